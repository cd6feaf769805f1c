//! A plan made anew around pieces that are printed already.
//!
//! The cut tree is kept wherever a printed piece hangs from it. Any other
//! branch is planned from scratch for the new printers, and the new plan is
//! taken where it has fewer pieces; otherwise the branch is left as it was, so
//! that as little as possible changes. Seams that are kept keep their joints
//! to the last bit, and no new seam goes through one of them.

use design::{
    BadPlan, CutTree, Draft, Emphasis, Parting, PieceId, Plan, PlannedSeam, Region, SeamRecord,
    SeamSide,
};
use planner::{Brief, KeepOut, NoPlan, find_cuts};
use printing::{Printer, Standing, place};
use rayon::prelude::*;
use solid::{Bounds, Frame, KernelError, Solid};
use workshop::{Build, BuildError, FixedPiece, FixedPieces, Kept, Seam};

use crate::keep_out::around_joint;
use crate::remnant::{Way, joints_on, remnant};

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
        piece: PieceId,
        /// The printed piece.
        printed: PieceId,
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
    let records: Vec<SeamRecord> = old.seams.iter().map(Seam::record).collect();
    let fits: Vec<Fits> = old
        .pieces
        .par_iter()
        .map(|p| Fits::of(&p.solid, printers))
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
    };
    let branch = task.branch(Region::Whole, &[])?;
    let tree = branch.tree.named(plan.tree().next_number());
    let kept = Kept {
        records: records
            .into_iter()
            .filter(|r| tree.find(&r.id).is_some())
            .collect(),
        fixed: FixedPieces::These(
            printed
                .iter()
                .map(|&k| FixedPiece {
                    id: old.pieces[k].id.clone(),
                    solid: old.pieces[k].solid.clone(),
                })
                .collect(),
        ),
    };
    let plan = plan.remade(printers.to_vec(), tree)?;
    Ok(Replan { plan, kept })
}

/// What is planned anew, and around what.
struct Task<'a> {
    model: &'a Solid,
    plan: &'a Plan,
    old: &'a Build,
    records: &'a [SeamRecord],
    printed: &'a [usize],
    printers: &'a [Printer],
    /// How each old piece fits the new printers.
    fits: Vec<Fits>,
    bounds: Vec<Option<Bounds>>,
}

/// How an old piece fits the new printers.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Fits {
    /// None.
    No,
    /// One, but so that it falls while it is printed.
    ButFalls,
    /// One.
    Well,
}

impl Fits {
    fn of(piece: &Solid, printers: &[Printer]) -> Self {
        let each = printers.iter().map(|printer| match place(piece, printer) {
            Err(_) => Self::No,
            Ok(placed) if placed.standing == Standing::Falls => Self::ButFalls,
            Ok(_) => Self::Well,
        });
        each.max().unwrap_or(Self::No)
    }
}

/// A part of the new tree; seams that were there before have their names.
struct Branch {
    pieces: usize,
    tree: Draft,
}

impl Task<'_> {
    fn tree(&self) -> &CutTree {
        self.plan.tree()
    }

    /// The old pieces of a region.
    fn pieces_of(&self, region: Region) -> Vec<usize> {
        let cells = self.tree().cells(region);
        (0..self.old.pieces.len())
            .filter(|&k| {
                let cell = self.old.pieces[k].cell;
                cell.is_some_and(|c| cells.contains(&c.place()))
            })
            .collect()
    }

    /// A region kept as it is, or planned from scratch where no printed piece
    /// hangs from it and that has fewer pieces.
    fn branch(&self, region: Region, way: &Way) -> Result<Branch, NoReplan> {
        let pieces = self.pieces_of(region);
        let is_printed = |k: &usize| self.printed.contains(k);
        let as_it_was = self.as_it_was(region, way);
        let parts_bodies = |k| self.tree().body(k).is_some();
        if pieces.iter().any(is_printed) || self.tree().cut_by(region).is_some_and(parts_bodies) {
            return as_it_was;
        }
        let left = remnant(self.model, self.plan, self.records, way)?;
        if let Ok(branch) = &as_it_was
            && branch.pieces <= left.bodies().len()
        {
            return as_it_was;
        }
        let anew = self.anew(&left, way);
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

    /// What cuts a region kept, and what hangs from it.
    fn as_it_was(&self, region: Region, way: &Way) -> Result<Branch, NoReplan> {
        let Some(seam) = self.tree().cut_by(region) else {
            // A leaf kept as it is; where a body of it does not fit and another is
            // printed, parted through the air between them.
            return self.bodies(way, &self.pieces_of(region), &[]);
        };
        let down = |side: SeamSide| [way, &[(seam, side)]].concat();
        let side = |side| self.branch(Region::Side(seam, side), &down(side));
        let (low, high) = (side(SeamSide::Below)?, side(SeamSide::Above)?);
        let own: Parting = match self.tree().parting(seam) {
            Parting::Body(body) => body.clone().into(),
            Parting::Seam(planned) => PlannedSeam {
                // The record has their joints.
                contacts: Vec::new(),
                ..planned.clone()
            }
            .into(),
        };
        let name = Some(self.tree().id(seam).clone());
        Ok(Branch {
            pieces: low.pieces + high.pieces,
            tree: Draft::cut(name, own, low.tree, high.tree),
        })
    }

    /// Some bodies of a leaf, cut further where one of them does not fit; where one only
    /// falls while it is printed, if there is a way to.
    fn bodies(&self, way: &Way, pieces: &[usize], sides: &[Frame]) -> Result<Branch, NoReplan> {
        let misfits = |k: &usize| self.fits[*k] == Fits::No && !self.printed.contains(k);
        let cut = self.cut_further(way, pieces, sides);
        match cut {
            Err(_) if !pieces.iter().any(misfits) => Ok(Branch {
                pieces: pieces.len(),
                tree: Draft::uncut(),
            }),
            cut => cut,
        }
    }

    /// Some bodies of a leaf, on the inner side of planes through the air.
    fn cut_further(
        &self,
        way: &Way,
        pieces: &[usize],
        sides: &[Frame],
    ) -> Result<Branch, NoReplan> {
        let printed = pieces.iter().find(|k| self.printed.contains(k));
        let misfit = pieces
            .iter()
            .find(|k| self.fits[**k] != Fits::Well && !self.printed.contains(k));
        let Some(&misfit) = misfit else {
            return Ok(Branch {
                pieces: pieces.len(),
                tree: Draft::uncut(),
            });
        };
        let Some(&printed) = printed else {
            let mut left = remnant(self.model, self.plan, self.records, way)?;
            for side in sides {
                left = left.trimmed(side)?;
            }
            return self.anew(&left, way).map_err(|why| NoReplan::Branch {
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
        let through_air = PlannedSeam {
            reason: "passes through the air between a printed piece and one that must be cut"
                .into(),
            ..PlannedSeam::at(normal, at_mm)
        };
        let below = |k: &usize| self.bounds[*k].is_some_and(|b| b.max[axis] < at_mm);
        let (low, high): (Vec<usize>, Vec<usize>) = pieces.iter().partition(|k| below(k));
        let plane = through_air.frame();
        let side =
            |part: &[usize], inner: Frame| self.bodies(way, part, &[sides, &[inner]].concat());
        let (low, high) = (side(&low, plane.flipped())?, side(&high, plane)?);
        Ok(Branch {
            pieces: low.pieces + high.pieces,
            tree: Draft::cut(None, through_air, low.tree, high.tree),
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
    fn anew(&self, left: &Solid, way: &Way) -> Result<Branch, NoPlan> {
        let settings = self.plan.settings();
        let wall = 2.0 * settings.joints.min_wall_mm;
        let mut keep_out = Vec::new();
        for joint in joints_on(self.records, self.plan, way).flat_map(|(_, r)| &r.joints) {
            let frame = joint.frame();
            let made = joint.shape.joint(&frame);
            let made = made.map_err(|e| NoPlan::Kernel(KernelError::from(e.to_string())))?;
            let boxes = around_joint(&joint.shape, &made, &frame).into_iter();
            keep_out.extend(boxes.map(|k| KeepOut {
                bounds: k.bounds.grown(wall),
                ..k
            }));
        }
        let whole: Vec<KeepOut> = keep_out.iter().map(|k| k.bounds.into()).collect();
        let brief = Brief::new(left, self.printers, settings);
        // As few joints as may be are cut across.
        let sought = |emphasis: Emphasis| {
            let with = |keep_out| Brief {
                keep_out,
                emphasis,
                ..brief
            };
            find_cuts(&with(&whole)).or_else(|_| find_cuts(&with(&keep_out)))
        };
        let mut found = sought(Emphasis::Given)?;
        let falls = |body: &Solid| Fits::of(body, self.printers) == Fits::ButFalls;
        if found.tree.is_empty() && left.bodies().iter().any(falls) {
            // What fits as it is would be left so.
            found = sought(Emphasis::Standing).unwrap_or(found);
        }
        Ok(Branch {
            pieces: found.pieces,
            tree: found.tree,
        })
    }

    fn names(&self, pieces: &[usize]) -> String {
        let ids: Vec<&str> = pieces
            .iter()
            .map(|&k| self.old.pieces[k].id.as_str())
            .collect();
        ids.join(", ")
    }
}
