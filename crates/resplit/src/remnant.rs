//! What the model has in a branch of the cut tree, with the joints of the seams
//! above it: what is left to plan when those seams are kept.

use design::{Plan, PlanSeam, SeamRecord, SeamSide};
use joinery::{JointError, Transfer};
use solid::{KernelError, Solid};
use workshop::cells::RIM_MM;
use workshop::{BuildError, jointed};

/// A way down the tree: seams, and the side of each.
pub(crate) type Way = [(PlanSeam, SeamSide)];

/// The records of the seams on a way, each with the side on which the way goes
/// on.
pub(crate) fn joints_on<'a>(
    records: &'a [SeamRecord],
    plan: &'a Plan,
    way: &'a Way,
) -> impl Iterator<Item = (SeamSide, &'a SeamRecord)> {
    way.iter().filter_map(|&(seam, side)| {
        let record = records.iter().find(|r| r.id == *plan.tree().id(seam))?;
        Some((side, record))
    })
}

/// The recorded joints of a seam on a way, each with whether the way goes to
/// the half that it goes over to.
fn joints_of(
    records: &[SeamRecord],
    plan: &Plan,
    way: &Way,
) -> Result<Vec<(bool, Transfer)>, JointError> {
    let mut out = Vec::new();
    for (side, record) in joints_on(records, plan, way) {
        let own = side.half(record.tails_on);
        for joint in &record.joints {
            for transfer in joint.shape.joint(&joint.frame())?.transfers {
                out.push((transfer.to == own, transfer));
            }
        }
    }
    Ok(out)
}

/// The model within a branch, with the tails that it carries over the seams
/// above it and without their sockets.
pub(crate) fn remnant(
    model: &Solid,
    plan: &Plan,
    records: &[SeamRecord],
    way: &Way,
) -> Result<Solid, BuildError> {
    let Some(bounds) = model.bounds() else {
        return Ok(Solid::empty());
    };
    let rim = bounds.grown(RIM_MM);
    let mut region = Solid::cuboid(rim.min, rim.max);
    let within = |mut part: Solid, but: Option<PlanSeam>| -> Result<Solid, KernelError> {
        let seams = way.iter().filter(|(k, _)| plan.tree().body(*k).is_none());
        for &(seam, side) in seams.filter(|(seam, _)| Some(*seam) != but) {
            part = plan.tree().seam(seam).side_of(&part, side)?;
        }
        Ok(part)
    };
    region = within(region, None)?;
    let own_bounds = region.bounds();
    let (mut gained, mut lost) = (Vec::new(), Vec::new());
    for &step in way {
        for (gains, transfer) in joints_of(records, plan, &[step])? {
            let near = |s: &Solid| match (s.bounds(), own_bounds) {
                (Some(a), Some(b)) => a.overlaps(&b, 0.0),
                _ => false,
            };
            if gains && near(&transfer.tail) {
                gained.push(within(transfer.tail, Some(step.0))?);
            } else if !gains && near(&transfer.socket) {
                lost.push(transfer);
            }
        }
    }
    let mut own = model.clone();
    for &(k, side) in way {
        if let Some(body) = plan.tree().body(k) {
            own = body.side_of(&own, side);
        }
    }
    Ok(own.intersection(&jointed(region, &gained, &lost)?)?)
}
