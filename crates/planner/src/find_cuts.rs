use geo::Area;
use joinery::JointKind;
use solid::{Bounds, KernelError, Solid, Vector};

use crate::certificate::Certificate;
use crate::constraints::Constraints;
use crate::cut_tree::CutTree;
use crate::leaning::across_what_leans;
use crate::least::Least;
use crate::scarf::{scarf, thickest_mm};
use crate::square_cuts::{Sought, SquareCuts};
use crate::stand_in::StandIn;
use crate::{Around, PlannedSeam, Printer, Region, Settings, Spared, Weights};

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
    /// No way to cut it was found that leaves nothing that does not fit.
    #[error(
        "no way was found to cut it into pieces that fit a bed of {bed}, where a joint reaches \
         {reach_mm} mm past its seam; use a larger bed or smaller joints"
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
    spared: &[Spared],
) -> Result<FoundCuts, NoPlan> {
    let stand_in = StandIn::of(model, printers)?;
    let least = Least::of(&stand_in, printers);
    let enough = least.lying_square;
    let cut = cut_up(
        model,
        &stand_in,
        settings,
        spared,
        &Around::default(),
        enough,
    );
    let (seams, square_cuts) = match cut {
        Err(too_small @ NoPlan::TooSmall { .. }) => {
            return Err(whose_fault(model, &stand_in, settings, spared).unwrap_or(too_small));
        }
        cut => cut?,
    };
    Ok(FoundCuts {
        seams,
        pieces: square_cuts.tree.pieces(),
        certificate: Certificate::of(&square_cuts, least),
    })
}

/// The wish without which there is a plan.
fn whose_fault(
    model: &Solid,
    stand_in: &StandIn,
    settings: &Settings,
    spared: &[Spared],
) -> Option<NoPlan> {
    settings
        .wishes
        .each_left_out()
        .into_iter()
        .find_map(|(wish, wishes)| {
            let settings = Settings {
                wishes,
                ..settings.clone()
            };
            cut_up(
                model,
                stand_in,
                &settings,
                spared,
                &Around::default(),
                usize::MAX,
            )
            .is_ok()
            .then_some(NoPlan::Wish { wish })
        })
}

/// Like [`find_cuts`], around pieces that are there already: no seam goes
/// through them, nothing stays in one piece with them, and where they meet
/// their neighbours there is a seam.
///
/// # Errors
///
/// As [`find_cuts`], and where a seam of theirs is tilted.
pub fn find_cuts_around(
    model: &Solid,
    printers: &[Printer],
    settings: &Settings,
    around: &Around,
) -> Result<Vec<PlannedSeam>, NoPlan> {
    let stand_in = StandIn::of(model, printers)?;
    // No bound is known that counts what is there already, so no plan is few
    // enough to be content with.
    cut_up(model, &stand_in, settings, &[], around, 0).map(|(seams, _)| seams)
}

/// The seams, tilted or square to what leans where that is wanted, and the
/// square cuts that they come from. With no more than `enough` pieces the search
/// is content.
fn cut_up(
    model: &Solid,
    stand_in: &StandIn,
    settings: &Settings,
    spared: &[Spared],
    around: &Around,
    enough: usize,
) -> Result<(Vec<PlannedSeam>, SquareCuts), NoPlan> {
    let (turn, back) = (&stand_in.turn, stand_in.turn.inverse());
    let printers = stand_in.printers.as_slice();
    let constraints = Constraints::of(settings, spared, turn)
        .around(around, turn)
        .ok_or(NoPlan::Askew)?;
    let growth = settings.joints.growth_of_any_mm(settings.joint.kinds());
    let cuts = best_cuts(stand_in, settings, growth, &constraints, enough)?;
    let square = seams(&cuts.tree, &back);
    if settings.scarf_deg == 0.0 {
        if !around.pieces.is_empty() {
            return Ok((square, cuts));
        }
        let mut spared: Vec<Bounds> = spared.iter().map(|s| s.bounds).collect();
        spared.extend(settings.wishes.boxes(&solid::Isometry::identity()));
        let seams = across_what_leans(
            &stand_in.model.moved(&back),
            square,
            printers,
            growth,
            (&settings.wishes, &spared),
        )?;
        return Ok((seams, cuts));
    }
    // Tilted seams reach further on either side: plan again with that, if any
    // seam can be tilted at all. Where the crest meets the board's face, half
    // its thickness off the middle, it lies furthest along the board.
    let Some(thickness) = thickest_mm(model, &square) else {
        return Ok((square, cuts));
    };
    let (sin, cos) = settings.scarf_deg.to_radians().sin_cos();
    let further = |reach: f64| (reach + thickness / 2.0 * sin) / cos;
    let growth = (further(growth.0), further(growth.1));
    let cuts = best_cuts(stand_in, settings, growth, &constraints, enough)?;
    let mut tilted = seams(&cuts.tree, &back);
    scarf(model, &mut tilted, settings.scarf_deg, printers, growth)?;
    Ok((tilted, cuts))
}

/// Whether keys may hold what has no room for tails.
pub(crate) fn keys(settings: &Settings) -> bool {
    settings.scarf_deg == 0.0 && settings.joint.kinds().contains(&JointKind::Butterfly)
}

/// What is minded and how much: what has a tilted end cannot stand on it.
pub(crate) fn weights_for(settings: &Settings) -> Weights {
    Weights {
        wobble: if settings.scarf_deg > 0.0 {
            LIE_DOWN
        } else {
            settings.weights.wobble
        },
        ..settings.weights
    }
}

/// The cheapest square cuts of what stands in for the model. Pieces are counted
/// longer by `reach`, forward and back, at every seam.
fn best_cuts(
    stand_in: &StandIn,
    settings: &Settings,
    reach: (f64, f64),
    constraints: &Constraints,
    enough: usize,
) -> Result<SquareCuts, NoPlan> {
    let sought = Sought {
        model: &stand_in.model,
        printers: &stand_in.printers,
        rules: &settings.joints,
        reach_mm: reach,
        keys: keys(settings),
        weights: weights_for(settings),
        profile: settings.print,
        constraints,
        enough,
        heavy: stand_in.error_mm > 0.0,
    };
    sought.best()?.ok_or_else(|| NoPlan::TooSmall {
        bed: stand_in.beds.clone(),
        reach_mm: reach.0.max(reach.1),
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
