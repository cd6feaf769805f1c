//! A plan read off a solved table, its seams staggered.

use crate::candidates::section_profile::Cut;
use crate::cost::four_corners::{Crossings, Ending};
use crate::lattice::box_range::BoxRange;
use crate::lattice::kdop::Shape;
use crate::lattice::part::Part;
use crate::search::question::Question;
use crate::search::table::Table;

/// A plan: planes square to the axes, each through all of what is left.
#[derive(Clone, Debug)]
pub(crate) enum Solution {
    /// What is left as it is.
    Left {
        /// The pieces in it.
        pieces: Vec<Shape>,
        /// What they cost.
        cost: f64,
    },
    /// A cut, and what is done with what lies on either side.
    Cut {
        /// The axis that it is square to.
        axis: usize,
        /// Where, and what it meets.
        cut: Box<Cut>,
        /// What the seam costs.
        cost: f64,
        /// The side of lesser coordinates.
        below: Box<Self>,
        /// The other side.
        above: Box<Self>,
    },
}

/// Shapes that differ by less are alike.
const ALIKE_MM: f64 = 0.05;

impl Solution {
    /// The best tree of a range of a solved question. Seams are staggered: what
    /// lies above a cut is solved again where seams that end on the cut from
    /// below would be met by others.
    pub(crate) fn read(
        question: &Question,
        table: &Table,
        range: BoxRange,
        crossings: &Crossings,
    ) -> Self {
        let best = table.of(range);
        let Some((axis, cut)) = best.cut else {
            let components = question.pieces.components(range);
            return Self::Left {
                pieces: components.iter().map(|c| c.shape()).collect(),
                cost: best.cost,
            };
        };
        let axis = usize::from(axis);
        let cost = question.seams.of(range, axis, cut)
            + crossings.cost(question.lattice, range, axis, cut);
        let (low, high) = range.divided(axis, cut);
        let below = Self::read(question, table, low, crossings);
        let cut = &question.lattice.cuts[axis][usize::from(cut)];
        let ending = below.endings(axis, cut, question.lattice.part(low));
        let above = if ending.is_empty() {
            Self::read(question, table, high, crossings)
        } else {
            let crossings = crossings.with(ending);
            let again = table.again(question, high, axis, &crossings);
            Self::read(question, &again, high, &crossings)
        };
        Self::Cut {
            axis,
            cut: Box::new(cut.clone()),
            cost,
            below: Box::new(below),
            above: Box::new(above),
        }
    }

    /// The sum of what pieces, seams and crossings cost.
    pub(crate) fn cost(&self) -> f64 {
        match self {
            Self::Left { cost, .. } => *cost,
            Self::Cut {
                cost, below, above, ..
            } => cost + below.cost() + above.cost(),
        }
    }

    /// Shows every cut, with the part that it divides, each before those of its
    /// two sides, below first.
    pub(crate) fn each_cut<'a>(&'a self, part: Part, see: &mut impl FnMut(usize, &'a Cut, Part)) {
        if let Self::Cut {
            axis,
            cut,
            below,
            above,
            ..
        } = self
        {
            see(*axis, cut, part);
            let (low, high) = part.divided(*axis, cut.at_mm);
            below.each_cut(low, see);
            above.each_cut(high, see);
        }
    }

    /// Those of its cuts that end on a face; it divides a part below that.
    pub(crate) fn endings(&self, axis: usize, face: &Cut, part: Part) -> Vec<Ending> {
        let mut out = Vec::new();
        self.each_cut(part, &mut |own, cut, divided| {
            out.extend(Ending::on((axis, face), (own, cut.at_mm), divided));
        });
        out
    }

    /// The shapes of its pieces.
    pub(crate) fn shapes(&self) -> Vec<Shape> {
        match self {
            Self::Left { pieces, .. } => pieces.clone(),
            Self::Cut { below, above, .. } => [below.shapes(), above.shapes()].concat(),
        }
    }

    /// How many pieces the cuts leave.
    pub(crate) fn pieces(&self) -> usize {
        match self {
            Self::Left { pieces, .. } => pieces.len(),
            Self::Cut { below, above, .. } => below.pieces() + above.pieces(),
        }
    }

    /// How many pieces are like an earlier one, as far as their sizes and
    /// volumes show.
    pub(crate) fn repeated(&self) -> usize {
        let mut seen: Vec<Shape> = Vec::new();
        let shapes = self.shapes();
        let all = shapes.len();
        for shape in shapes {
            let like = |s: &Shape| s.iter().zip(shape).all(|(a, b)| (a - b).abs() < ALIKE_MM);
            if !seen.iter().any(like) {
                seen.push(shape);
            }
        }
        all - seen.len()
    }
}
