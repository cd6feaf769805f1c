use solid::{KernelError, Solid};

use crate::{PlannedSeam, Region};

/// For each leaf of the cut tree the seams above it, and on which side of each
/// it lies.
pub(crate) fn leaves(seams: &[PlannedSeam]) -> Vec<Vec<(usize, bool)>> {
    fn walk(
        seams: &[PlannedSeam],
        region: &Region,
        above: &[(usize, bool)],
        out: &mut Vec<Vec<(usize, bool)>>,
    ) {
        let Some(k) = seams.iter().position(|s| &s.cuts == region) else {
            out.push(above.to_vec());
            return;
        };
        let id = &seams[k].id;
        for (side, next) in [
            (false, Region::Below(id.clone())),
            (true, Region::Above(id.clone())),
        ] {
            walk(seams, &next, &[above, &[(k, side)]].concat(), out);
        }
    }
    let mut out = Vec::new();
    walk(seams, &Region::Whole, &[], &mut out);
    out
}

/// What the model has in a leaf, and as far beyond the seams above it as joints
/// reach.
///
/// # Errors
///
/// When the kernel refuses the model.
pub(crate) fn leaf_with_joints(
    model: &Solid,
    seams: &[PlannedSeam],
    path: &[(usize, bool)],
    reach_mm: (f64, f64),
) -> Result<Solid, KernelError> {
    let mut part = model.clone();
    for &(k, above) in path {
        let by_mm = if above { -reach_mm.1 } else { reach_mm.0 };
        let moved = PlannedSeam {
            at_mm: seams[k].at_mm + by_mm,
            ..seams[k].clone()
        };
        part = moved.side_of(&part, above)?;
    }
    Ok(part)
}
