//! A plan carried out, and cut further where a piece of it would fit no printer.

use design::{Plan, Region, SeamId};
use planner::{Brief, find_cuts};
use printing::Printer;
use solid::Solid;

use crate::build::{Build, build};
use crate::build_error::BuildError;
use crate::partition::cells::part;
use crate::tried::with_less_room;

/// A plan carried out, with the seams that it lacked.
#[derive(Clone, Debug)]
pub struct Extended {
    /// The plan, further seams among its own.
    pub plan: Plan,
    /// The pieces.
    pub build: Build,
    /// The seams that were added.
    pub added: Vec<SeamId>,
}

/// How often pieces that do not fit are cut further: once for what is too large
/// as it is, and again for what is too large with its joints.
const ROUNDS: usize = 3;
/// Room that the bed is taken to have less each time.
const ROOM_MM: f64 = 3.0;

/// Carries a plan out. A cell of which a piece fits no printer is planned by
/// itself and cut further; all seams of the plan stay where they are. What no
/// plan is found for stays as it is, for the judges to name.
///
/// Contacts with terms of their own are named by the ids of pieces, which more
/// cuts would change: a plan with such is carried out as it stands.
///
/// # Errors
///
/// As [`build`].
///
/// ```
/// use design::{CutTree, ModelReference, Plan, Settings};
/// use printing::Printer;
/// use solid::{Point, Solid};
///
/// let plank = Solid::cuboid(Point::origin(), Point::new(300.0, 90.0, 18.0));
/// let printers = vec![Printer::rectangular("bed-1", 220.0, 220.0, 250.0)];
/// let (model, settings) = (ModelReference::default(), Settings::default());
/// let plan = Plan::new(model, settings, printers, CutTree::uncut().named(1)).unwrap();
/// let extended = workshop::build_extended(&plank, plan).unwrap();
/// assert_eq!(extended.added.len(), 1);
/// assert!(extended.build.pieces.iter().all(|p| p.placement.is_ok()));
/// ```
pub fn build_extended(model: &Solid, plan: Plan) -> Result<Extended, BuildError> {
    let build = build(model, &plan)?;
    let mut now = Extended {
        plan,
        build,
        added: Vec::new(),
    };
    for round in 0..ROUNDS {
        let misfits = misfits(&now.build);
        if misfits.is_empty() || names_pieces(&now.plan) {
            break;
        }
        if let Some(next) = cut_further(model, &now, &misfits, ROOM_MM * round as f64)? {
            now = next;
        }
    }
    Ok(now)
}

/// The cells of which a piece fits no printer, the last first.
fn misfits(build: &Build) -> Vec<usize> {
    let misfits = build.pieces.iter().filter(|p| p.placement.is_err());
    let mut cells: Vec<usize> = misfits.filter_map(|p| Some(p.cell?.place())).collect();
    cells.sort_unstable();
    cells.dedup();
    cells.reverse();
    cells
}

fn names_pieces(plan: &Plan) -> bool {
    let tree = plan.tree();
    tree.seams().any(|s| !tree.seam(s).contacts.is_empty())
}

/// The same with some cells cut further, for beds with so much less room; `None`
/// where nothing is found to cut, or more would fit nowhere than before.
fn cut_further(
    model: &Solid,
    now: &Extended,
    unfit: &[usize],
    less_mm: f64,
) -> Result<Option<Extended>, BuildError> {
    let printers = now.plan.printers().iter();
    let beds: Vec<Printer> = printers.map(|p| with_less_room(p, less_mm)).collect();
    let cells = part(model, &now.plan)?.cells;
    let mut draft = now.plan.tree().clone().draft();
    // From the last cell to the first, so that those to come keep their places.
    for &cell in unfit {
        let content = Solid::gathered(&cells[cell].bodies);
        let brief = Brief::new(&content, &beds, now.plan.settings());
        let Ok(found) = find_cuts(&brief) else {
            continue;
        };
        let region = match draft.leaves()[cell].last() {
            None => Region::Whole,
            Some(&(seam, side)) => Region::Side(seam, side),
        };
        draft = draft.grafted(region, found.tree);
    }
    let tree = draft.named(now.plan.tree().next_number());
    let is_new = |id: &SeamId| now.plan.tree().find(id).is_none();
    let ids = tree.seams().map(|s| tree.id(s).clone());
    let new: Vec<SeamId> = ids.filter(is_new).collect();
    if new.is_empty() {
        return Ok(None);
    }
    // A longer plan may break a rule that the shorter kept.
    let remade = now.plan.remade(now.plan.printers().to_vec(), tree);
    let Ok(plan) = remade.map(|p| p.found_by(now.plan.found().cloned())) else {
        return Ok(None);
    };
    let Ok(build) = build(model, &plan) else {
        return Ok(None);
    };
    if misfits(&build).len() > unfit.len() {
        return Ok(None);
    }
    let added = now.added.iter().cloned().chain(new).collect();
    Ok(Some(Extended { plan, build, added }))
}
