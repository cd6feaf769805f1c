//! A split made anew for other printers, around what is printed.

use design::{PieceId, Plan, PrinterId, ResplitEntry};
use printing::Printer;
use solid::Solid;
use workshop::{Build, FixedPieces, Kept, PieceFile, build_upon, priced};

use crate::around_fixed::replan_around;
use crate::earlier::Earlier;
use crate::no_resplit::NoResplit;
use crate::replan::{NoReplan, replan};
use crate::same_piece::{matched, same_place};
use crate::take_over::take_over;

/// A split made anew around printed pieces, with the ids, files and placements
/// of all that did not change.
#[derive(Clone, Debug)]
pub struct Resplit {
    /// The new plan; its printers are the earlier ones and then the new ones.
    pub plan: Plan,
    /// The pieces, the printed ones among them.
    pub build: Build,
    /// The files of the pieces.
    pub files: Vec<PieceFile>,
    /// What became of the earlier pieces.
    pub entry: ResplitEntry,
}

/// A plan around printed pieces, carried out, before anything is taken over from
/// the earlier split.
#[derive(Clone, Debug)]
pub struct Candidate {
    /// The new plan, for the new printers alone.
    pub plan: Plan,
    /// The pieces.
    pub build: Build,
}

/// Plans anew for other printers around printed pieces and carries it out, in
/// two ways: with the old cut tree as far as printed pieces hang from it, and
/// from scratch with the printed pieces as they stand. First comes the one with
/// the lower [`BuildMeasures::worth`](design::BuildMeasures::worth); the old tree
/// where they are alike, as less changes then.
///
/// # Errors
///
/// When neither way is found, and why; when the printed pieces are not what the
/// earlier plan makes.
pub fn resplit(
    model: &Solid,
    earlier: &Earlier,
    printers: &[Printer],
) -> Result<Vec<Candidate>, NoResplit> {
    let (old, printed) = as_it_was(model, earlier)?;
    Ok(candidates(model, &earlier.plan, &old, &printed, printers)?)
}

/// The earlier split built again from its plan and its joints, its pieces with
/// the ids that they have, and which of them are printed.
fn as_it_was(model: &Solid, earlier: &Earlier) -> Result<(Build, Vec<usize>), NoResplit> {
    let kept = Kept {
        records: earlier.records.clone(),
        fixed: FixedPieces::All,
    };
    let mut old = build_upon(model, &earlier.plan, &kept)?;
    let was = matched(&old, earlier)?;
    let printed: Vec<usize> = (0..old.pieces.len())
        .filter(|&k| was[k].is_some_and(|e| earlier.is_printed(e)))
        .collect();
    let found: Vec<&PieceId> = printed
        .iter()
        .filter_map(|&k| Some(&earlier.pieces[was[k]?].entry.id))
        .collect();
    let unmatched = earlier.printed.iter().filter(|id| !found.contains(id));
    let unmatched: Vec<PieceId> = unmatched.cloned().collect();
    if !unmatched.is_empty() {
        return Err(NoResplit::Changed(unmatched));
    }
    for (piece, entry) in old.pieces.iter_mut().zip(&was) {
        if let Some(e) = entry {
            piece.id.clone_from(&earlier.pieces[*e].entry.id);
        }
    }
    Ok((old, printed))
}

/// Both ways, carried out, the better first. `old` is the build of the old plan
/// with its recorded joints; `printed` are indices of its pieces.
fn candidates(
    model: &Solid,
    plan: &Plan,
    old: &Build,
    printed: &[usize],
    printers: &[Printer],
) -> Result<Vec<Candidate>, NoReplan> {
    let (tree, scratch) = rayon::join(
        || replan(model, plan, old, printed, printers),
        || replan_around(model, plan, old, printed, printers),
    );
    let scratch = scratch?;
    let mut out: Vec<(f64, Candidate)> = Vec::new();
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
            let is = |p: &usize| same_place(&old.pieces[*p].solid, &build.pieces[k].solid);
            printed.iter().any(is)
        };
        let rates = &again.plan.settings().rates;
        let worth = priced(&again.plan, &build, is_printed).worth(rates).total();
        out.push((
            worth,
            Candidate {
                plan: again.plan,
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

impl Candidate {
    /// The same with ids, files and placements of all that did not change taken
    /// over from the earlier split.
    ///
    /// # Errors
    ///
    /// When the kernel refuses a label, or a new piece has no form as a file.
    pub fn taken_over(self, earlier: &Earlier) -> Result<Resplit, NoResplit> {
        let Self { plan, mut build } = self;
        let new = plan.printers().to_vec();
        let all = [earlier.plan.printers(), &new].concat();
        let plan = plan.on_printers(all)?;
        let offset = earlier.plan.printers().len();
        for piece in &mut build.pieces {
            piece.printer = PrinterId::at(offset + piece.printer.place());
        }
        let (files, entry) = take_over(&mut build, earlier, (&plan, &new))?;
        Ok(Resplit {
            plan,
            build,
            files,
            entry,
        })
    }
}

impl Resplit {
    /// Printed pieces that it does not have.
    pub fn lost(&self, earlier: &Earlier) -> Vec<PieceId> {
        let is_lost = |id: &&PieceId| !self.entry.printed.contains(*id);
        earlier.printed.iter().filter(is_lost).cloned().collect()
    }
}

#[cfg(test)]
mod tests {
    use design::{CutTree, Draft, ModelReference, PlannedSeam, SeamSide, Settings};
    use solid::Point;
    use workshop::build;

    use super::*;

    fn plank(tree: Draft) -> (Solid, Plan) {
        let printers = vec![Printer::rectangular("bed-1", 220.0, 220.0, 250.0)];
        let (model, settings) = (ModelReference::default(), Settings::default());
        let plan = Plan::new(model, settings, printers, tree.named(1)).unwrap();
        let plank = Solid::cuboid(Point::origin(), Point::new(600.0, 90.0, 18.0));
        (plank, plan)
    }

    fn half(at_mm: f64) -> PlannedSeam {
        PlannedSeam::at([1.0, 0.0, 0.0], at_mm)
    }

    fn one(seam: PlannedSeam) -> Draft {
        CutTree::cut(None, seam, Draft::uncut(), Draft::uncut())
    }

    /// The seams at a quarter, the middle and three quarters: `S2`, `S1`, `S3`.
    fn quarters() -> Draft {
        CutTree::cut(None, half(300.0), one(half(150.0)), one(half(450.0)))
    }

    #[test]
    fn parts_are_joined_across_an_old_seam_that_no_printed_piece_ends_on() {
        let (model, plan) = plank(quarters());
        let old = build(&model, &plan).unwrap();
        let large = [Printer::rectangular("bed-2", 480.0, 480.0, 250.0)];
        let tree = replan(&model, &plan, &old, &[0], &large).unwrap();
        let with_tree = build_upon(&model, &tree.plan, &tree.kept).unwrap();
        assert_eq!(with_tree.pieces.len(), 3);
        let best = &candidates(&model, &plan, &old, &[0], &large).unwrap()[0];
        assert_eq!(best.build.pieces.len(), 2);
        // The printed piece is what it was, joints and all.
        let volumes = [&old, &best.build].map(|b| b.pieces[0].solid.volume_mm3());
        assert!((volumes[0] - volumes[1]).abs() < 1e-6);
        let ids = best
            .plan
            .tree()
            .seams()
            .map(|s| best.plan.tree().id(s).as_str());
        assert_eq!(ids.collect::<Vec<_>>(), ["S2"]);
    }

    #[test]
    fn no_keys_take_the_place_of_joints_that_a_printed_piece_has() {
        // What meets the printed half carries the tails: as long as the bed
        // without them, it has to be cut.
        let model = Solid::cuboid(Point::origin(), Point::new(600.0, 290.0, 18.0));
        let (_, plan) = plank(one(half(300.0)));
        let large = vec![Printer::rectangular("bed-1", 320.0, 320.0, 200.0)];
        let plan = plan.on_printers(large).unwrap();
        let old = build(&model, &plan).unwrap();
        assert_eq!(old.seams[0].tails_on, SeamSide::Below);
        let smaller = [Printer::rectangular("bed-2", 304.0, 304.0, 200.0)];
        let around = replan_around(&model, &plan, &old, &[1], &smaller)
            .unwrap()
            .unwrap();
        let anew = build_upon(&model, &around.plan, &around.kept).unwrap();
        assert_eq!(anew.pieces.iter().filter(|p| p.cell.is_some()).count(), 3);
        assert!(anew.pieces.iter().all(|p| p.placement.is_ok()));
    }
}
