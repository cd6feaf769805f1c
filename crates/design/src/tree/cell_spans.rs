//! The leaves of every region of a cut tree.

use std::ops::Range;

use crate::ids::{CellId, PlanSeam};
use crate::tree::cut_tree::{CutTree, Region};

/// The leaves of every region of a tree, as places in the order of the tree.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CellSpans {
    all: Range<usize>,
    sides: Vec<[Range<usize>; 2]>,
}

impl CellSpans {
    /// Those of a region.
    pub fn of(&self, region: Region) -> Range<usize> {
        match region {
            Region::Whole => self.all.clone(),
            Region::Side(seam, side) => self.sides[seam.place()][side.place()].clone(),
        }
    }

    /// Those of a region, as ids.
    pub fn ids(&self, region: Region) -> impl Iterator<Item = CellId> + use<> {
        self.of(region).map(CellId::at)
    }
}

impl<N> CutTree<N> {
    /// The leaves of a region, by their places in the order of the tree.
    pub fn cells(&self, region: Region) -> Range<usize> {
        self.spans().of(region)
    }

    /// The leaves of every region, found at once.
    pub fn spans(&self) -> CellSpans {
        // Leaves of each side, from the last seam to the first.
        let mut count = vec![[1usize; 2]; self.len()];
        for k in (0..self.len()).rev() {
            if let Region::Side(parent, side) = self.cuts(PlanSeam::at(k)) {
                count[parent.place()][side.place()] = count[k].iter().sum();
            }
        }
        let all = count.first().map_or(1, |c| c.iter().sum());
        let mut sides = vec![[0..0, 0..0]; self.len()];
        for k in 0..self.len() {
            let span: Range<usize> = match self.cuts(PlanSeam::at(k)) {
                Region::Whole => 0..all,
                Region::Side(parent, side) => {
                    let sides: &[Range<usize>; 2] = &sides[parent.place()];
                    sides[side.place()].clone()
                }
            };
            let middle = span.start + count[k][0];
            sides[k] = [span.start..middle, middle..span.end];
        }
        CellSpans { all: 0..all, sides }
    }
}
