use planner::{Plan, Printer};
use solid::Solid;

use crate::around::replan_around;
use crate::faults::Faults;
use crate::replan::{NoReplan, replan};
use crate::{Build, Kept, build_upon};

/// A split made anew around printed pieces.
#[derive(Clone, Debug)]
pub struct Resplit {
    /// The new plan.
    pub plan: Plan,
    /// What is kept of the old split.
    pub kept: Kept,
    /// The pieces, the printed ones among them.
    pub build: Build,
}

/// Plans anew for other printers around printed pieces and carries it out, in
/// two ways: with the old cut tree as far as printed pieces hang from it, and
/// from scratch with the printed pieces as they stand. First comes the one
/// with fewer pieces, a contact without a joint counted as three quarters of a
/// piece; the old tree where they are alike, as less changes then.
///
/// `old` is the build of the old plan with its recorded joints; `printed` are
/// indices of its pieces.
///
/// # Errors
///
/// When neither way is found, and why.
pub fn resplit(
    model: &Solid,
    plan: &Plan,
    old: &Build,
    printed: &[usize],
    printers: &[Printer],
) -> Result<Vec<Resplit>, NoReplan> {
    let (tree, scratch) = rayon::join(
        || replan(model, plan, old, printed, printers),
        || replan_around(model, plan, old, printed, printers),
    );
    let scratch = scratch?;
    let mut out: Vec<(f64, Resplit)> = Vec::new();
    let mut failed = None;
    for found in [tree.map(Some), Ok(scratch)] {
        let again = match found {
            Ok(Some(again)) => again,
            Ok(None) => continue,
            Err(why) => {
                failed = Some(why);
                continue;
            }
        };
        let build = build_upon(model, &again.plan, &again.kept)?;
        let is_printed = |k: usize| {
            let bounds = build.pieces[k].solid.bounds();
            bounds.is_some_and(|b| {
                printed.iter().any(|&p| {
                    let was = old.pieces[p].solid.bounds();
                    was.is_some_and(|w| {
                        (w.min - b.min).norm() < 1e-3 && (w.max - b.max).norm() < 1e-3
                    })
                })
            })
        };
        let weight = Faults::of(&build, is_printed).weight();
        out.push((
            weight,
            Resplit {
                plan: again.plan,
                kept: again.kept,
                build,
            },
        ));
    }
    out.sort_by(|a, b| a.0.total_cmp(&b.0));
    match failed {
        Some(why) if out.is_empty() => Err(why),
        _ => Ok(out.into_iter().map(|(_, r)| r).collect()),
    }
}

#[cfg(test)]
mod tests {
    use planner::{ModelReference, PLAN_FORMAT, PlannedSeam, Region, Settings};
    use solid::Point;

    use super::*;
    use crate::{BuildError, build};

    fn plank(seams: Vec<PlannedSeam>) -> (Solid, Plan) {
        let plan = Plan {
            format: PLAN_FORMAT.into(),
            version: 1,
            model: ModelReference::default(),
            settings: Settings::default(),
            printers: vec![Printer::rectangular("bed-1", 220.0, 220.0, 250.0)],
            seams,
        };
        let plank = Solid::cuboid(Point::origin(), Point::new(600.0, 90.0, 18.0));
        (plank, plan)
    }

    fn quarters() -> Vec<PlannedSeam> {
        let x = [1.0, 0.0, 0.0];
        vec![
            PlannedSeam::at("S1", Region::Whole, x, 300.0),
            PlannedSeam::at("S2", Region::Below("S1".into()), x, 150.0),
            PlannedSeam::at("S3", Region::Above("S1".into()), x, 450.0),
        ]
    }

    #[test]
    fn parts_are_joined_across_an_old_seam_that_no_printed_piece_ends_on() {
        let (model, plan) = plank(quarters());
        let old = build(&model, &plan).unwrap();
        let large = [Printer::rectangular("bed-2", 480.0, 480.0, 250.0)];
        let tree = replan(&model, &plan, &old, &[0], &large).unwrap();
        let with_tree = build_upon(&model, &tree.plan, &tree.kept).unwrap();
        assert_eq!(with_tree.pieces.len(), 3);
        let best = &resplit(&model, &plan, &old, &[0], &large).unwrap()[0];
        assert_eq!(best.build.pieces.len(), 2);
        // The printed piece is what it was, joints and all.
        let volumes = [&old, &best.build].map(|b| b.pieces[0].solid.volume_mm3());
        assert!((volumes[0] - volumes[1]).abs() < 1e-6);
        assert_eq!(best.plan.seams[0].id, "S2");
    }

    #[test]
    fn no_keys_take_the_place_of_joints_that_a_printed_piece_has() {
        // What meets the printed half carries the tails: as long as the bed
        // without them, it has to be cut.
        let model = Solid::cuboid(Point::origin(), Point::new(600.0, 290.0, 18.0));
        let (_, plan) = plank(vec![PlannedSeam::at(
            "S1",
            Region::Whole,
            [1.0, 0.0, 0.0],
            300.0,
        )]);
        let large = vec![Printer::rectangular("bed-1", 320.0, 320.0, 200.0)];
        let plan = Plan {
            printers: large,
            ..plan
        };
        let old = build(&model, &plan).unwrap();
        assert!(old.seams[0].tails_point_up);
        let smaller = [Printer::rectangular("bed-2", 304.0, 304.0, 200.0)];
        let around = replan_around(&model, &plan, &old, &[1], &smaller)
            .unwrap()
            .unwrap();
        let anew = build_upon(&model, &around.plan, &around.kept).unwrap();
        assert_eq!(anew.pieces.iter().filter(|p| p.cell.is_some()).count(), 3);
        assert!(anew.pieces.iter().all(|p| p.placement.is_ok()));
    }

    #[test]
    fn a_box_in_the_material_is_refused() {
        let mut seams = quarters();
        seams.truncate(1);
        seams[0].within_mm = Some([[-10.0, -10.0, -10.0], [700.0, 50.0, 30.0]]);
        let (model, plan) = plank(seams);
        let refused = build(&model, &plan).unwrap_err();
        assert!(matches!(refused, BuildError::BoxInMaterial { seam } if seam == "S1"));
    }

    #[test]
    fn a_box_beside_the_material_is_refused() {
        let mut seams = quarters();
        seams.truncate(1);
        seams[0].within_mm = Some([[-10.0, 200.0, -10.0], [700.0, 250.0, 30.0]]);
        let (model, plan) = plank(seams);
        let refused = build(&model, &plan).unwrap_err();
        assert!(matches!(refused, BuildError::EmptyBox { seam } if seam == "S1"));
    }
}
