//! What the model has in a leaf of the cut tree.

use design::{Draft, PlanSeam, PlannedSeam, SeamSide};
use solid::{KernelError, Solid};

/// What the model has in a leaf, and as far beyond the seams above it as joints
/// reach.
///
/// # Errors
///
/// When the kernel refuses the model.
pub(crate) fn leaf_with_joints(
    model: &Solid,
    tree: &Draft,
    path: &[(PlanSeam, SeamSide)],
    reach_mm: (f64, f64),
) -> Result<Solid, KernelError> {
    let mut part = model.clone();
    for &(k, side) in path {
        let by_mm = match side {
            SeamSide::Above => -reach_mm.1,
            SeamSide::Below => reach_mm.0,
        };
        let seam = tree.seam(k);
        let moved = PlannedSeam {
            at_mm: seam.at_mm + by_mm,
            ..seam.clone()
        };
        part = moved.side_of(&part, side)?;
    }
    Ok(part)
}

#[cfg(test)]
mod tests {
    use solid::Point;

    use super::*;

    #[test]
    fn a_leaf_reaches_as_far_past_its_seams_as_their_joints() {
        let plank = Solid::cuboid(Point::origin(), Point::new(300.0, 90.0, 18.0));
        let seam = |at_mm| PlannedSeam::at([1.0, 0.0, 0.0], at_mm);
        let above = Draft::cut(None, seam(200.0), Draft::uncut(), Draft::uncut());
        let tree = Draft::cut(None, seam(100.0), Draft::uncut(), above);
        let lengths: Vec<f64> = tree
            .leaves()
            .iter()
            .map(|path| leaf_with_joints(&plank, &tree, path, (8.0, 3.0)).unwrap())
            .map(|part| part.bounds().unwrap().size_mm().x)
            .collect();
        for (length, wanted) in lengths.iter().zip([108.0, 111.0, 103.0]) {
            assert!((length - wanted).abs() < 1e-9, "{lengths:?}");
        }
    }
}
