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
