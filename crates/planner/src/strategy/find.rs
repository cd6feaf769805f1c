//! Where to cut a model: the way in to everything in this crate.

use design::{CutTree as PlanTree, Draft, Emphasis, PlannedSeam, Prices, Settings, Wishes};
use geo::Area;
use printing::Printer;
use solid::{Bounds, Isometry, KernelError, Solid, Vector};

use crate::bounds::certificate::Certificate;
use crate::bounds::lower_bounds::LowerBounds;
use crate::candidates::places::MOST_OF_ALL;
use crate::candidates::proxy::Proxy;
use crate::constraint::constraints::Constraints;
use crate::constraint::fixed::Fixed;
use crate::constraint::keep_out::KeepOut;
use crate::members::found::Members;
use crate::search::solution::Solution;
use crate::strategy::by_members::{
    Further, NOTHING_MM3, beside_meeting, between_members, cut_to_fit,
};
use crate::strategy::coarse_to_fine::{Sought, SquareCuts};
use crate::strategy::leaf::leaf_with_joints;
use crate::strategy::leaning::across_what_leans;
use crate::strategy::no_plan::NoPlan;
use crate::strategy::scarf::{scarf, thickest_mm};

/// What is to be planned, for which printers, and around what.
#[derive(Clone, Copy, Debug)]
pub struct Brief<'a> {
    /// The model.
    pub model: &'a Solid,
    /// The printers, never none.
    pub printers: &'a [Printer],
    /// Joints, wishes, prices.
    pub settings: &'a Settings,
    /// What the search cares more or less about than the settings say.
    pub emphasis: Emphasis,
    /// Boxes through which no seam goes, besides those that are wished.
    pub keep_out: &'a [KeepOut],
    /// Pieces that are there already: no seam goes through them, nothing stays
    /// in one piece with them, and where they meet their neighbours there is a
    /// seam.
    pub fixed: Option<&'a Fixed>,
}

impl<'a> Brief<'a> {
    /// A model for some printers, with nothing in the way.
    pub fn new(model: &'a Solid, printers: &'a [Printer], settings: &'a Settings) -> Self {
        Self {
            model,
            printers,
            settings,
            emphasis: Emphasis::Given,
            keep_out: &[],
            fixed: None,
        }
    }

    /// The prices that the search goes by.
    fn prices(&self) -> Prices {
        emphasised(self.settings, self.emphasis)
    }
}

/// Where to cut, and what comes of it.
#[derive(Clone, Debug, PartialEq)]
pub struct FoundCuts {
    /// The cut tree; its seams have no names yet.
    pub tree: Draft,
    /// How many pieces the cuts leave.
    pub pieces: usize,
    /// How few there could be; not known around pieces that are there already.
    pub certificate: Option<Certificate>,
    /// Whether it is parted where boards and legs meet.
    pub by_members: bool,
}

/// Finds where to cut: planes square to the model's axes (its own, where it
/// stands askew) such that every piece fits a printer with its joints, pieces
/// are few, and each seam is sound and has room for a joint.
///
/// # Errors
///
/// When no division into fitting pieces exists among the candidate cuts; where a
/// wish is to blame, which one.
///
/// ```
/// use design::Settings;
/// use planner::{Brief, find_cuts};
/// use printing::Printer;
/// use solid::{Point, Solid};
///
/// let plank = Solid::cuboid(Point::origin(), Point::new(300.0, 90.0, 18.0));
/// let printers = [Printer::rectangular("bed-1", 220.0, 220.0, 250.0)];
/// let found = find_cuts(&Brief::new(&plank, &printers, &Settings::default())).unwrap();
/// assert_eq!((found.pieces, found.tree.len()), (2, 1));
/// ```
pub fn find_cuts(brief: &Brief) -> Result<FoundCuts, NoPlan> {
    let proxy = Proxy::of(brief.model, brief.printers)?;
    if brief.fixed.is_some() {
        // No bound is known that counts what is there already, so no plan is few
        // enough to be content with.
        let (tree, square_cuts) = cut_up(brief, &proxy, 0)?;
        return Ok(FoundCuts {
            tree,
            pieces: square_cuts.solution.pieces(),
            certificate: None,
            by_members: false,
        });
    }
    let bounds = LowerBounds::of(&proxy, brief.printers);
    let enough = bounds.lying_square;
    let (tree, square_cuts) = match cut_up(brief, &proxy, enough) {
        Err(too_small @ NoPlan::TooSmall { .. }) => {
            return Err(wish_to_blame(brief, &proxy).unwrap_or(too_small));
        }
        cut => cut?,
    };
    let certificate = Some(Certificate::of(&square_cuts, bounds));
    if brief.settings.wishes.by_members
        && let Some(by_members) = find_member_cuts(brief)?
    {
        return Ok(FoundCuts {
            certificate,
            ..by_members
        });
    }
    Ok(FoundCuts {
        tree,
        pieces: square_cuts.solution.pieces(),
        certificate,
        by_members: false,
    })
}

/// Finds where boards, legs and rails of a model meet, parts it there, and cuts what of it
/// fits no printer further; `None` where no plane parts two of them that cuts no third.
///
/// # Errors
///
/// When the kernel refuses the model.
///
/// ```
/// use design::Settings;
/// use planner::{Brief, find_member_cuts};
/// use printing::Printer;
/// use solid::{Point, Solid};
///
/// let block = |a: [f64; 3], b: [f64; 3]| Solid::cuboid(Point::from(a), Point::from(b));
/// let side = block([0.0, 0.0, 0.0], [18.0, 200.0, 200.0]);
/// let shelf = block([0.0, 0.0, 100.0], [150.0, 200.0, 118.0]);
/// let model = side.union(&shelf).unwrap();
/// let printers = [Printer::rectangular("bed-1", 220.0, 220.0, 250.0)];
/// let settings = Settings::default();
/// let found = find_member_cuts(&Brief::new(&model, &printers, &settings)).unwrap().unwrap();
/// assert_eq!((found.pieces, found.tree.len()), (2, 1));
/// assert!(find_member_cuts(&Brief::new(&side, &printers, &settings)).unwrap().is_none());
/// ```
pub fn find_member_cuts(brief: &Brief) -> Result<Option<FoundCuts>, KernelError> {
    let settings = brief.settings;
    let members = Members::of(brief.model, &settings.up.direction())?;
    if members.are_hardly_any() {
        return Ok(None);
    }
    // Where a joint between members finds no room it may do without; only what is cut further
    // is cut elsewhere then.
    let spared = settings.wishes.boxes(&Isometry::identity());
    let between = between_members(&members, &spared, &settings.wishes);
    if between.is_empty() {
        return Ok(None);
    }
    let meetings: Vec<KeepOut> = members.meetings.iter().filter_map(beside_meeting).collect();
    let growth = settings.joints.growth_of_any_mm(settings.joint.kinds());
    let cut_further = |part: &Solid, further: &Further| {
        let mut settings = settings.clone();
        let wishes = &mut settings.wishes;
        wishes.by_members = false;
        let longest = wishes.largest_mm.into_iter().chain(further.longest_mm);
        wishes.largest_mm = longest.reduce(f64::min);
        let bounds = part.bounds()?;
        *wishes = Wishes {
            seam_at: wishes.within(&bounds).seam_at,
            ..wishes.clone()
        };
        let mut keep_out = brief.keep_out.to_vec();
        if further.beside_meetings {
            keep_out.extend(&meetings);
        }
        let brief = Brief {
            model: part,
            printers: &further.printers,
            settings: &settings,
            keep_out: &keep_out,
            ..*brief
        };
        find_cuts(&brief).ok().map(|found| found.tree)
    };
    let tree = cut_to_fit(brief.model, between, brief.printers, growth, cut_further)?;
    Ok(Some(FoundCuts {
        pieces: pieces_of(brief.model, &tree)?,
        tree,
        certificate: None,
        by_members: true,
    }))
}

/// How many pieces some cuts leave.
fn pieces_of(model: &Solid, tree: &Draft) -> Result<usize, KernelError> {
    let leaves = tree.leaves();
    let parts = leaves.iter().map(|path| {
        let part = leaf_with_joints(model, tree, path, (0.0, 0.0))?;
        let bodies = part.bodies();
        Ok(bodies
            .iter()
            .filter(|b| b.volume_mm3() > NOTHING_MM3)
            .count())
    });
    parts.sum()
}

/// The wish without which there is a plan.
fn wish_to_blame(brief: &Brief, proxy: &Proxy) -> Option<NoPlan> {
    let each = brief.settings.wishes.each_left_out();
    each.into_iter().find_map(|(wish, wishes)| {
        let settings = Settings {
            wishes,
            ..brief.settings.clone()
        };
        let without = Brief {
            settings: &settings,
            ..*brief
        };
        cut_up(&without, proxy, usize::MAX)
            .is_ok()
            .then_some(NoPlan::Wish { wish })
    })
}

/// The seams, tilted or square to what leans where that is wanted, and the
/// square cuts that they come from. With no more than `enough` pieces the search
/// is content.
fn cut_up(brief: &Brief, proxy: &Proxy, enough: usize) -> Result<(Draft, SquareCuts), NoPlan> {
    let (settings, printers) = (brief.settings, proxy.printers.as_slice());
    let (turn, back) = (&proxy.turn, proxy.turn.inverse());
    let mut constraints = Constraints::of(settings, brief.keep_out, turn);
    if let Some(fixed) = brief.fixed {
        constraints = constraints.around(fixed, turn).ok_or(NoPlan::Askew)?;
    }
    let growth = settings.joints.growth_of_any_mm(settings.joint.kinds());
    let cuts = best_cuts(brief, proxy, growth, &constraints, enough)?;
    let square = seams(&cuts.solution, &back);
    if settings.scarf_deg == 0.0 {
        if brief.fixed.is_some_and(|f| !f.pieces.is_empty()) {
            return Ok((square, cuts));
        }
        let mut keep_out: Vec<Bounds> = brief.keep_out.iter().map(|s| s.bounds).collect();
        keep_out.extend(settings.wishes.boxes(&Isometry::identity()));
        let tree = across_what_leans(
            &proxy.model.moved(&back),
            square,
            printers,
            growth,
            (&settings.wishes, &keep_out),
        )?;
        return Ok((tree, cuts));
    }
    // Tilted seams reach further on either side: plan again with that, if any
    // seam can be tilted at all. Where the crest meets the board's face, half
    // its thickness off the middle, it lies furthest along the board.
    let Some(thickness) = thickest_mm(brief.model, &square) else {
        return Ok((square, cuts));
    };
    let (sin, cos) = settings.scarf_deg.to_radians().sin_cos();
    let further = |reach: f64| (reach + thickness / 2.0 * sin) / cos;
    let growth = (further(growth.0), further(growth.1));
    let cuts = best_cuts(brief, proxy, growth, &constraints, enough)?;
    let mut tilted = seams(&cuts.solution, &back);
    scarf(
        brief.model,
        &mut tilted,
        settings.scarf_deg,
        printers,
        growth,
    )?;
    Ok((tilted, cuts))
}

/// Whether keys may hold what has no room for tails.
pub(crate) fn keys(settings: &Settings) -> bool {
    settings.scarf_deg == 0.0 && settings.joint.kinds().iter().any(|kind| kind.is_key())
}

/// The prices of some settings with an emphasis, boards lying down where seams
/// are tilted.
pub(crate) fn emphasised(settings: &Settings, emphasis: Emphasis) -> Prices {
    let mut prices = emphasis.on(Prices::of(settings));
    if settings.wishes.no_supports {
        prices = Emphasis::Unsupported.on(prices);
    }
    if settings.scarf_deg > 0.0 {
        Emphasis::LyingDown.on(prices)
    } else {
        prices
    }
}

/// The cheapest square cuts of the proxy. Pieces are counted longer by `reach`,
/// forward and back, at every seam.
fn best_cuts(
    brief: &Brief,
    proxy: &Proxy,
    reach: (f64, f64),
    constraints: &Constraints,
    enough: usize,
) -> Result<SquareCuts, NoPlan> {
    let wished = constraints.most_forced();
    if wished > MOST_OF_ALL {
        return Err(NoPlan::TooManySeams { wished });
    }
    let sought = Sought {
        model: &proxy.model,
        printers: &proxy.printers,
        rules: &brief.settings.joints,
        reach_mm: reach,
        keys: keys(brief.settings),
        prices: brief.prices(),
        profile: brief.settings.print,
        constraints,
        enough,
        whole_if_it_fits: !matches!(brief.emphasis, Emphasis::Standing | Emphasis::Unsupported),
        heavy: proxy.error_mm > 0.0,
    };
    let found = sought.best()?.ok_or_else(|| NoPlan::TooSmall {
        bed: proxy.beds.clone(),
        reach_mm: reach.0.max(reach.1),
    })?;
    Ok(SquareCuts {
        solution: found.solution.lightened(),
        ..found
    })
}

/// The cuts of a plan as seams, in the coordinates that the model came in.
fn seams(solution: &Solution, back: &Isometry) -> Draft {
    let Solution::Cut {
        axis,
        cut,
        below,
        above,
        ..
    } = solution
    else {
        return Draft::uncut();
    };
    let percent = |part: f64, whole: f64| {
        if whole > 0.0 {
            100.0 * part / whole
        } else {
            100.0
        }
    };
    let [all, sound, roomy] = [&cut.section, &cut.sound, &cut.roomy].map(|s| s.unsigned_area());
    let normal: Vector = back.rotation * Vector::ith(*axis, 1.0);
    let normal = normal.map(|x| if x.abs() < 1e-15 { 0.0 } else { x }).into();
    let seam = PlannedSeam {
        reason: format!(
            "parts what does not fit; found at {:.1} mm, where {:.0} % of the section has material \
             a joint deep on both sides and {:.0} % is wide enough for a joint",
            cut.at_mm,
            percent(sound, all),
            percent(roomy, all)
        ),
        ..PlannedSeam::at(normal, cut.at_mm)
    };
    PlanTree::cut(None, seam, seams(below, back), seams(above, back))
}
