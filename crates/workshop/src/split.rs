use planner::{
    Certificate, ModelReference, NoPlan, PLAN_FORMAT, Plan, Printer, Settings, Weights, find_cuts,
};
use solid::Solid;

use crate::{Build, BuildError, Remark, build};

/// A model split: the plan, what came of it, and how few pieces there could
/// be.
#[derive(Clone, Debug)]
pub struct Split {
    /// Where it was cut.
    pub plan: Plan,
    /// The pieces.
    pub build: Build,
    /// How few there could be.
    pub certificate: Certificate,
}

/// A model could not be split.
#[derive(Clone, Debug, thiserror::Error, PartialEq)]
pub enum NoSplit {
    /// No plan was found.
    #[error(transparent)]
    Plan(#[from] NoPlan),
    /// The plan could not be carried out.
    #[error(transparent)]
    Build(#[from] BuildError),
}

/// What a contact that nothing holds weighs against a piece more.
const PLAIN: f64 = 0.5;
/// What a piece that does not fit weighs.
const MISFIT: f64 = 20.0;
/// Room that the bed is taken to have less after a piece did not fit.
const ROOM_MM: f64 = 3.0;

/// Plans a split and carries it out. The planner only guesses at joints from
/// sections; where a contact turns out to get none, or a piece with its joints
/// does not fit, other plans are carried out too (with seams that are not
/// staggered, with more weight on room for joints, with more room on the bed),
/// and the one with the fewest pieces is taken, a contact without a joint
/// counted as half a piece.
///
/// # Errors
///
/// When no plan has fitting pieces, or the kernel refuses the model.
///
/// ```
/// use planner::{ModelReference, Printer, Settings};
/// use solid::{Point, Solid};
///
/// let plank = Solid::cuboid(Point::origin(), Point::new(300.0, 90.0, 18.0));
/// let printers = [Printer::rectangular("bed-1", 220.0, 220.0, 250.0)];
/// let split = workshop::split(&plank, &printers, &Settings::default(), ModelReference::default())
///     .unwrap();
/// assert_eq!(split.build.pieces.len(), 2);
/// ```
pub fn split(
    model: &Solid,
    printers: &[Printer],
    settings: &Settings,
    reference: ModelReference,
) -> Result<Split, NoSplit> {
    let carried_out = |weights: Weights, room_mm: f64| -> Result<Split, NoSplit> {
        let smaller: Vec<Printer> = printers
            .iter()
            .map(|p| with_less_room(p, room_mm))
            .collect();
        let settings_now = Settings {
            weights,
            ..settings.clone()
        };
        let found = find_cuts(model, &smaller, &settings_now)?;
        let plan = Plan {
            format: PLAN_FORMAT.to_owned(),
            version: 1,
            model: reference.clone(),
            settings: settings.clone(),
            printers: printers.to_vec(),
            seams: found.seams,
        };
        let build = build(model, &plan)?;
        Ok(Split {
            plan,
            build,
            certificate: found.certificate,
        })
    };
    let given = settings.weights;
    let mut best = carried_out(given, 0.0)?;
    let fewest = best.certificate.on_lattice;
    let unstaggered = Weights {
        four_corners: 0.0,
        ..given
    };
    let sounder = Weights {
        unsound: 2.0 * given.unsound,
        roomless: 2.0 * given.roomless,
        ..unstaggered
    };
    let mut tried = vec![best.plan.seams.clone()];
    for (weights, room_mm) in [(unstaggered, 0.0), (sounder, 0.0), (sounder, ROOM_MM)] {
        let misfits = misfits(&best.build);
        if misfits + plain(&best.build) == 0 {
            break;
        }
        if room_mm > 0.0 && misfits == 0 {
            break;
        }
        let Ok(other) = carried_out(weights, room_mm) else {
            continue;
        };
        if tried.contains(&other.plan.seams) {
            continue;
        }
        tried.push(other.plan.seams.clone());
        if faults(&other.build) < faults(&best.build) {
            best = other;
        }
    }
    best.certificate.on_lattice = best.certificate.on_lattice.min(fewest);
    Ok(best)
}

fn with_less_room(printer: &Printer, room_mm: f64) -> Printer {
    Printer {
        margin_mm: printer.margin_mm + room_mm / 2.0,
        height_mm: printer.height_mm - room_mm,
        ..printer.clone()
    }
}

fn plain(build: &Build) -> usize {
    let remarks = build.remarks.iter();
    remarks
        .filter(|r| matches!(r, Remark::PlainContact { .. }))
        .count()
}

fn misfits(build: &Build) -> usize {
    build.pieces.iter().filter(|p| p.placement.is_err()).count()
}

fn faults(build: &Build) -> f64 {
    build.pieces.len() as f64 + PLAIN * plain(build) as f64 + MISFIT * misfits(build) as f64
}
