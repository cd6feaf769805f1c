use geo::Area;
use solid::{Bounds, KernelError, Solid, Vector};

use crate::axes::own_axes;
use crate::certificate::{Certificate, bound_for_any_plan};
use crate::constraints::Constraints;
use crate::cut_tree::CutTree;
use crate::leaning::across_what_leans;
use crate::scarf::{scarf, thickest_mm};
use crate::square_cuts::Sought;
use crate::{Around, PlannedSeam, Printer, Region, Settings, Weights};

/// Where to cut, and what comes of it.
#[derive(Clone, Debug, PartialEq)]
pub struct FoundCuts {
    /// The cut tree, a seam an entry.
    pub seams: Vec<PlannedSeam>,
    /// How many pieces the cuts leave.
    pub pieces: usize,
    /// How few there could be.
    pub certificate: Certificate,
}

/// No plan was found.
#[derive(Clone, Debug, thiserror::Error, PartialEq)]
pub enum NoPlan {
    /// The kernel refused the model.
    #[error(transparent)]
    Kernel(#[from] KernelError),
    /// A wish leaves no plan.
    #[error(
        "this wish leaves no plan whose pieces all fit: {wish}; give it up or use a larger bed"
    )]
    Wish {
        /// In words.
        wish: String,
    },
    /// A seam of a piece that is there already is square to none of the axes.
    #[error("a seam of a printed piece is square to none of the model's axes")]
    Askew,
    /// However it is cut, something is left that does not fit.
    #[error(
        "no cut leaves pieces that fit a bed of {bed}: a joint reaches {reach_mm} mm past its \
         seam, and every place to cut was tried; use a larger bed or smaller joints"
    )]
    TooSmall {
        /// The printer's sizes.
        bed: String,
        /// How far joints reach.
        reach_mm: f64,
    },
}

/// What standing a board on its edge weighs where seams are to be tilted.
const LIE_DOWN: f64 = 2.0;
/// Above this many triangles the search works on a simplified stand-in.
const STAND_IN_ABOVE: usize = 20_000;
/// How far the stand-in's surface may lie from the model's; further where it
/// has still more triangles than `COARSER_ABOVE`. Beds count as smaller by
/// twice that.
const STAND_IN_MM: [f64; 2] = [0.05, 0.25];
/// See there.
const COARSER_ABOVE: usize = 80_000;

/// Finds where to cut: planes square to the model's axes (its own, where it
/// stands askew) such that every piece fits a printer with its joints, pieces
/// are few, and each seam is sound and has room for a joint.
///
/// # Errors
///
/// When no division into fitting pieces exists among the candidate cuts.
pub fn find_cuts(
    model: &Solid,
    printers: &[Printer],
    settings: &Settings,
) -> Result<FoundCuts, NoPlan> {
    find_cuts_sparing(model, printers, settings, &[])
}

/// Like [`find_cuts`], with boxes through which no seam goes, besides those
/// that are wished.
///
/// # Errors
///
/// As [`find_cuts`].
pub fn find_cuts_sparing(
    model: &Solid,
    printers: &[Printer],
    settings: &Settings,
    spared: &[Bounds],
) -> Result<FoundCuts, NoPlan> {
    let around = Around::default();
    let found = without_blame(model, printers, settings, spared, &around);
    if !matches!(found, Err(NoPlan::TooSmall { .. })) {
        return found;
    }
    // Whether it is a wish that stands in the way, and which.
    for (name, wishes) in settings.wishes.each_left_out() {
        let settings = Settings {
            wishes,
            ..settings.clone()
        };
        if without_blame(model, printers, &settings, spared, &around).is_ok() {
            return Err(NoPlan::Wish { wish: name });
        }
    }
    found
}

/// Like [`find_cuts`], around pieces that are there already: no seam goes
/// through them, nothing stays in one piece with them, and where they meet
/// their neighbours there is a seam. They count as pieces.
///
/// # Errors
///
/// As [`find_cuts`], and where a seam of theirs is tilted.
pub fn find_cuts_around(
    model: &Solid,
    printers: &[Printer],
    settings: &Settings,
    around: &Around,
) -> Result<FoundCuts, NoPlan> {
    without_blame(model, printers, settings, &[], around)
}

fn without_blame(
    model: &Solid,
    printers: &[Printer],
    settings: &Settings,
    spared: &[Bounds],
    around: &Around,
) -> Result<FoundCuts, NoPlan> {
    let mut turned = model.clone();
    let mut error_mm = 0.0;
    for (tolerance_mm, above) in STAND_IN_MM.into_iter().zip([STAND_IN_ABOVE, COARSER_ABOVE]) {
        if turned.triangles().len() > above {
            turned = turned.simplified(tolerance_mm)?;
            error_mm += tolerance_mm;
        }
    }
    let turn = own_axes(&turned);
    if turn != solid::Isometry::identity() {
        turned = turned.moved(&turn);
    }
    let printers: Vec<Printer> = printers
        .iter()
        .map(|p| Printer {
            margin_mm: p.margin_mm + error_mm,
            height_mm: p.height_mm - 2.0 * error_mm,
            ..p.clone()
        })
        .collect();
    let printers = printers.as_slice();
    let turn_back = turn.inverse();
    let constraints = Constraints::of(settings, spared, &turn)
        .around(around, &turn)
        .ok_or(NoPlan::Askew)?;
    let growth = settings.joints.growth_of_any_mm(settings.joint.kinds());
    let found = best_cuts(
        &turned,
        &turn_back,
        printers,
        settings,
        growth,
        &constraints,
    )?;
    if settings.scarf_deg == 0.0 {
        if !around.pieces.is_empty() {
            return Ok(found);
        }
        let seams = across_what_leans(
            &turned.moved(&turn_back),
            found.seams,
            printers,
            growth,
            (
                &settings.wishes,
                &[
                    settings.wishes.boxes(&solid::Isometry::identity()),
                    spared.to_vec(),
                ]
                .concat(),
            ),
        )?;
        return Ok(FoundCuts { seams, ..found });
    }
    // Tilted seams reach further on either side: plan again with that, if any
    // seam can be tilted at all. Where the crest meets the board's face, half
    // its thickness off the middle, it lies furthest along the board.
    let Some(thickness) = thickest_mm(model, &found.seams) else {
        return Ok(found);
    };
    let (sin, cos) = settings.scarf_deg.to_radians().sin_cos();
    let further = |reach: f64| (reach + thickness / 2.0 * sin) / cos;
    let growth = (further(growth.0), further(growth.1));
    let mut found = best_cuts(
        &turned,
        &turn_back,
        printers,
        settings,
        growth,
        &constraints,
    )?;
    scarf(
        model,
        &mut found.seams,
        settings.scarf_deg,
        printers,
        growth,
    )?;
    Ok(found)
}

/// The cheapest square cuts, in the coordinates that the model came in.
/// Pieces are counted longer by `reach`, forward and back, at every seam.
fn best_cuts(
    model: &Solid,
    back: &solid::Isometry,
    printers: &[Printer],
    settings: &Settings,
    reach: (f64, f64),
    constraints: &Constraints,
) -> Result<FoundCuts, NoPlan> {
    // What has a tilted end cannot stand on it.
    let weights = Weights {
        wobble: if settings.scarf_deg > 0.0 {
            LIE_DOWN
        } else {
            settings.weights.wobble
        },
        ..settings.weights
    };
    let sought = Sought {
        model,
        printers,
        rules: &settings.joints,
        reach_mm: reach,
        weights,
        profile: settings.print,
        constraints,
    };
    let Some(found) = sought.best()? else {
        return Err(NoPlan::TooSmall {
            bed: printers
                .iter()
                .map(ToString::to_string)
                .collect::<Vec<_>>()
                .join(" or "),
            reach_mm: reach.0.max(reach.1),
        });
    };
    let (any_plan, why) = bound_for_any_plan(model, &found.lattice, printers);
    Ok(FoundCuts {
        seams: seams(&found.tree, back),
        pieces: found.tree.pieces(),
        certificate: Certificate {
            any_plan: any_plan.min(found.fewest).min(found.tree.pieces()),
            why,
            on_lattice: found.fewest,
            places: found.places,
            left_out: found.left_out,
            branches: found.branches,
        },
    })
}

/// The cuts of a plan as seams, in the coordinates that the model came in.
fn seams(tree: &CutTree, back: &solid::Isometry) -> Vec<PlannedSeam> {
    let mut out = Vec::new();
    add_seams(tree, Region::Whole, back, &mut out);
    out
}

fn add_seams(tree: &CutTree, region: Region, back: &solid::Isometry, out: &mut Vec<PlannedSeam>) {
    let CutTree::Cut {
        axis,
        cut,
        below,
        above,
        ..
    } = tree
    else {
        return;
    };
    let percent = |part: f64, whole: f64| {
        if whole > 0.0 {
            100.0 * part / whole
        } else {
            100.0
        }
    };
    let [all, sound, roomy] = [&cut.section, &cut.sound, &cut.roomy].map(|s| s.unsigned_area());
    let id = format!("S{}", out.len() + 1);
    let normal: Vector = back.rotation * Vector::ith(*axis, 1.0);
    let normal = normal.map(|x| if x.abs() < 1e-15 { 0.0 } else { x }).into();
    out.push(PlannedSeam {
        reason: format!(
            "parts what does not fit; at this place {:.0} % of the section has material a joint \
             deep on both sides and {:.0} % is wide enough for a joint",
            percent(sound, all),
            percent(roomy, all)
        ),
        ..PlannedSeam::at(&id, region, normal, cut.at_mm)
    });
    add_seams(below, Region::Below(id.clone()), back, out);
    add_seams(above, Region::Above(id), back, out);
}
