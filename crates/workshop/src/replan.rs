//! A plan made anew around pieces that are printed already.
//!
//! The cut tree is kept wherever a printed piece hangs from it. Any other
//! branch is planned from scratch for the new printers, and the new plan is
//! taken where it has fewer pieces; otherwise the branch is left as it was, so
//! that as little as possible changes. Seams that are kept keep their joints
//! to the last bit, and no new seam goes through one of them.

use std::cell::Cell;

use planner::{
    BadPlan, NoPlan, Node, Plan, PlannedSeam, Printer, Region, Spared, find_cuts_sparing, place,
};
use rayon::prelude::*;
use solid::{Bounds, Frame, KernelError, Solid};

use crate::remnant::{Path, joints_on, remnant};
use crate::{Build, BuildError, Kept, SeamRecord};

/// A new plan, and which of its seams have their old joints.
#[derive(Clone, Debug)]
pub struct Replan {
    /// The plan.
    pub plan: Plan,
    /// What is kept of the old split.
    pub kept: Kept,
}

/// No plan was found around the printed pieces.
#[derive(Clone, Debug, thiserror::Error, PartialEq)]
pub enum NoReplan {
    /// A piece must be cut, and nothing parts it from a printed one.
    #[error(
        "{piece} no longer fits and shares a region with {printed}, which is printed, and no plane \
         passes between them; print {piece} on the larger printer, or give {printed} up"
    )]
    Blocked {
        /// The piece that does not fit.
        piece: String,
        /// The printed piece.
        printed: String,
    },
    /// What is left around the printed pieces has no plan.
    #[error("the part of the furniture that {pieces} were cut from finds no new plan: {why}")]
    Branch {
        /// The old pieces of that part.
        pieces: String,
        /// Why.
        why: NoPlan,
    },
    /// The old plan is wrong.
    #[error(transparent)]
    Plan(#[from] BadPlan),
    /// The old plan can not be carried out any more.
    #[error(transparent)]
    Build(#[from] BuildError),
    /// The kernel refused.
    #[error(transparent)]
    Kernel(#[from] KernelError),
}

/// Plans anew for other printers around printed pieces. `old` is the build of
/// the old plan with its recorded joints; `printed` are indices of its pieces.
///
/// # Errors
///
/// When a piece that does not fit can not be parted, and which.
pub fn replan(
    model: &Solid,
    plan: &Plan,
    old: &Build,
    printed: &[usize],
    printers: &[Printer],
) -> Result<Replan, NoReplan> {
    let tree = plan.tree()?;
    let records: Vec<SeamRecord> = old.seams.iter().map(crate::Seam::record).collect();
    let fits: Vec<bool> = old
        .pieces
        .par_iter()
        .map(|p| printers.iter().any(|b| place(&p.solid, b).is_ok()))
        .collect();
    let task = Task {
        model,
        plan,
        old,
        records: &records,
        printed,
        printers,
        fits,
        bounds: old.pieces.iter().map(|p| p.solid.bounds()).collect(),
        named: Cell::new(0),
    };
    let branch = task.branch(&tree, &Region::Whole, &[], 0)?;
    let seams = named(&branch.seams, plan);
    let kept = Kept {
        records: records
            .into_iter()
            .filter(|r| seams.iter().any(|s| s.id == r.id))
            .collect(),
        printed: printed
            .iter()
            .filter_map(|&k| old.pieces[k].solid.bounds())
            .collect(),
    };
    let plan = Plan {
        seams,
        printers: printers.to_vec(),
        ..plan.clone()
    };
    plan.checked()?;
    Ok(Replan { plan, kept })
}

struct Task<'a> {
    model: &'a Solid,
    plan: &'a Plan,
    old: &'a Build,
    records: &'a [SeamRecord],
    printed: &'a [usize],
    printers: &'a [Printer],
    /// Whether each old piece fits a new printer.
    fits: Vec<bool>,
    bounds: Vec<Option<Bounds>>,
    /// New seams so far.
    named: Cell<usize>,
}

/// A part of the new tree.
struct Branch {
    pieces: usize,
    seams: Vec<PlannedSeam>,
}

impl Task<'_> {
    fn pieces_of(&self, cells: std::ops::Range<usize>) -> Vec<usize> {
        (0..self.old.pieces.len())
            .filter(|&k| self.old.pieces[k].cell.is_some_and(|c| cells.contains(&c)))
            .collect()
    }

    fn branch(
        &self,
        node: &Node,
        region: &Region,
        path: &Path,
        first_cell: usize,
    ) -> Result<Branch, NoReplan> {
        let pieces = self.pieces_of(first_cell..first_cell + node.cells());
        let is_printed = |k: &usize| self.printed.contains(k);
        let as_it_was = self.as_it_was(node, region, path, first_cell);
        if pieces.iter().any(is_printed) {
            return as_it_was;
        }
        let left = remnant(self.model, self.plan, self.records, path)?;
        if let Ok(branch) = &as_it_was
            && branch.pieces <= left.bodies().len()
        {
            return as_it_was;
        }
        let anew = self.anew(&left, region, path);
        match (as_it_was, anew) {
            (Ok(old), Ok(new)) if new.pieces < old.pieces => Ok(new),
            (Ok(old), _) => Ok(old),
            (Err(_), Ok(new)) => Ok(new),
            (Err(_), Err(why)) => Err(NoReplan::Branch {
                pieces: self.names(&pieces),
                why,
            }),
        }
    }

    /// The node kept, and what hangs from it.
    fn as_it_was(
        &self,
        node: &Node,
        region: &Region,
        path: &Path,
        first_cell: usize,
    ) -> Result<Branch, NoReplan> {
        let Node::Seam {
            index,
            above,
            below,
        } = node
        else {
            return self.cell(region, path, first_cell);
        };
        let seam = self.plan.seams[*index].clone();
        let id = seam.id.clone();
        let down = |up: bool| [path, &[(*index, up)]].concat();
        let halfway = first_cell + below.cells();
        let low = self.branch(below, &Region::Below(id.clone()), &down(false), first_cell)?;
        let high = self.branch(above, &Region::Above(id), &down(true), halfway)?;
        let own = PlannedSeam {
            cuts: region.clone(),
            // The record has their joints.
            contacts: Vec::new(),
            ..seam
        };
        Ok(Branch {
            pieces: low.pieces + high.pieces,
            seams: std::iter::once(own)
                .chain(low.seams)
                .chain(high.seams)
                .collect(),
        })
    }

    /// A leaf kept as it is; where a body of it does not fit and another is
    /// printed, parted through the air between them.
    fn cell(&self, region: &Region, path: &Path, cell: usize) -> Result<Branch, NoReplan> {
        self.bodies(region, path, &self.pieces_of(cell..cell + 1), &[])
    }

    /// Some bodies of a leaf, on the inner side of planes through the air.
    fn bodies(
        &self,
        region: &Region,
        path: &Path,
        pieces: &[usize],
        sides: &[Frame],
    ) -> Result<Branch, NoReplan> {
        let printed = pieces.iter().find(|k| self.printed.contains(k));
        let misfit = pieces
            .iter()
            .find(|k| !self.fits[**k] && !self.printed.contains(k));
        let Some(&misfit) = misfit else {
            return Ok(Branch {
                pieces: pieces.len(),
                seams: Vec::new(),
            });
        };
        let Some(&printed) = printed else {
            let mut left = remnant(self.model, self.plan, self.records, path)?;
            for side in sides {
                left = left.trimmed(side)?;
            }
            return self
                .anew(&left, region, path)
                .map_err(|why| NoReplan::Branch {
                    pieces: self.names(pieces),
                    why,
                });
        };
        let (axis, at_mm) = self.air_between(pieces).ok_or_else(|| NoReplan::Blocked {
            piece: self.old.pieces[misfit].id.clone(),
            printed: self.old.pieces[printed].id.clone(),
        })?;
        let mut normal = [0.0; 3];
        normal[axis] = 1.0;
        let id = self.unnamed();
        let parting = PlannedSeam {
            reason: "passes through the air between a printed piece and one that must be cut"
                .into(),
            ..PlannedSeam::at(&id, region.clone(), normal, at_mm)
        };
        let below = |k: &usize| self.bounds[*k].is_some_and(|b| b.max[axis] < at_mm);
        let (low, high): (Vec<usize>, Vec<usize>) = pieces.iter().partition(|k| below(k));
        let plane = parting.frame();
        let side = |part: &[usize], region: Region, inner: Frame| {
            self.bodies(&region, path, part, &[sides, &[inner]].concat())
        };
        let low = side(&low, Region::Below(id.clone()), plane.flipped())?;
        let high = side(&high, Region::Above(id), plane)?;
        Ok(Branch {
            pieces: low.pieces + high.pieces,
            seams: std::iter::once(parting)
                .chain(low.seams)
                .chain(high.seams)
                .collect(),
        })
    }

    /// The first plane across an axis that parts some bodies and goes through
    /// none.
    fn air_between(&self, pieces: &[usize]) -> Option<(usize, f64)> {
        (0..3).find_map(|axis| {
            let mut spans: Vec<(f64, f64)> = pieces
                .iter()
                .filter_map(|&k| self.bounds[k])
                .map(|b| (b.min[axis], b.max[axis]))
                .collect();
            spans.sort_by(|a, b| a.0.total_cmp(&b.0));
            let mut end = spans.first()?.1;
            for &(low, high) in &spans[1..] {
                if low > end {
                    return Some((axis, (low + end) / 2.0));
                }
                end = end.max(high);
            }
            None
        })
    }

    /// A branch planned from scratch.
    fn anew(&self, left: &Solid, region: &Region, path: &Path) -> Result<Branch, NoPlan> {
        let settings = &self.plan.settings;
        let wall = 2.0 * settings.joints.min_wall_mm;
        let mut spared = Vec::new();
        for joint in joints_on(self.records, self.plan, path).flat_map(|(_, r)| &r.joints) {
            let frame = joint.frame();
            let made = joint.shape.joint(&frame);
            let made = made.map_err(|e| NoPlan::Kernel(KernelError::from(e.to_string())))?;
            let boxes = joint.shape.spared(&made, &frame).into_iter();
            spared.extend(boxes.map(|s| Spared {
                bounds: s.bounds.grown(wall),
                ..s
            }));
        }
        let whole: Vec<Spared> = spared.iter().map(|s| s.bounds.into()).collect();
        // As few joints as may be are cut across.
        let found = find_cuts_sparing(left, self.printers, settings, &whole)
            .or_else(|_| find_cuts_sparing(left, self.printers, settings, &spared))?;
        let ids: Vec<(String, String)> = found
            .seams
            .iter()
            .map(|s| (s.id.clone(), self.unnamed()))
            .collect();
        let name = |id: &str| {
            let known = ids.iter().find(|(from, _)| from == id);
            known.map_or_else(|| id.to_owned(), |(_, to)| to.clone())
        };
        let seams = found
            .seams
            .iter()
            .map(|seam| match seam.cuts {
                Region::Whole => PlannedSeam {
                    cuts: region.clone(),
                    ..seam.renamed(name)
                },
                _ => seam.renamed(name),
            })
            .collect();
        Ok(Branch {
            pieces: found.pieces,
            seams,
        })
    }

    fn unnamed(&self) -> String {
        let count = self.named.get();
        self.named.set(count + 1);
        format!("{UNNAMED}{count}")
    }

    fn names(&self, pieces: &[usize]) -> String {
        let ids: Vec<&str> = pieces
            .iter()
            .map(|&k| self.old.pieces[k].id.as_str())
            .collect();
        ids.join(", ")
    }
}

/// What the ids of new seams begin with until the whole tree is known.
const UNNAMED: &str = "new-";

/// Gives new seams ids that no old one has, in the order of the tree.
fn named(seams: &[PlannedSeam], plan: &Plan) -> Vec<PlannedSeam> {
    let first = plan.next_seam_number();
    let new: Vec<String> = seams
        .iter()
        .filter(|s| s.id.starts_with(UNNAMED))
        .map(|s| s.id.clone())
        .collect();
    let name = |id: &str| match new.iter().position(|n| n == id) {
        Some(k) => format!("S{}", first + k),
        None => id.to_owned(),
    };
    seams.iter().map(|seam| seam.renamed(name)).collect()
}
