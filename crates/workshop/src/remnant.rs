//! What the model has in a branch of the cut tree, with the joints of the seams
//! above it: what is left to plan when those seams are kept.

use joinery::{Half, JointError, Transfer};
use planner::Plan;
use solid::{KernelError, Solid};

use crate::cells::RIM_MM;
use crate::jointed::jointed;
use crate::{BuildError, SeamRecord};

/// A way down the tree: seams, and whether above each.
pub(crate) type Path = [(usize, bool)];

/// The records of the seams on a path, each with whether the path goes above it.
pub(crate) fn joints_on<'a>(
    records: &'a [SeamRecord],
    plan: &'a Plan,
    path: &'a Path,
) -> impl Iterator<Item = (bool, &'a SeamRecord)> {
    path.iter().filter_map(|&(index, above)| {
        let record = records.iter().find(|r| r.id == plan.seams[index].id)?;
        Some((above, record))
    })
}

/// The recorded joints of a seam on a path, each with whether the path goes to
/// the half that it goes over to.
fn joints_of(
    records: &[SeamRecord],
    plan: &Plan,
    path: &Path,
) -> Result<Vec<(bool, Transfer)>, JointError> {
    let mut out = Vec::new();
    for (above, record) in joints_on(records, plan, path) {
        let own = if above == record.tails_point_up {
            Half::Sockets
        } else {
            Half::Tails
        };
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
    path: &Path,
) -> Result<Solid, BuildError> {
    let Some(bounds) = model.bounds() else {
        return Ok(Solid::empty());
    };
    let rim = bounds.grown(RIM_MM);
    let mut region = Solid::cuboid(rim.min, rim.max);
    let within = |mut part: Solid, but: Option<usize>| -> Result<Solid, KernelError> {
        for &(index, above) in path.iter().filter(|(index, _)| Some(*index) != but) {
            part = plan.seams[index].side_of(&part, above)?;
        }
        Ok(part)
    };
    region = within(region, None)?;
    let own_bounds = region.bounds();
    let (mut gained, mut lost) = (Vec::new(), Vec::new());
    for &step in path {
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
    Ok(model.intersection(&jointed(region, &gained, &lost)?)?)
}
