//! How few pieces there could be, beside a plan.

use serde::{Deserialize, Serialize};

use crate::bounds::equal_boxes::EqualBoxes;
use crate::bounds::lower_bounds::LowerBounds;
use crate::strategy::coarse_to_fine::SquareCuts;

/// How few pieces there could be at all, beside a plan.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Certificate {
    /// No split has fewer pieces, however it is cut and however they lie.
    pub any_plan: usize,
    /// Why.
    pub why: String,
    /// No split has fewer pieces, however it is cut, if all of them lie square:
    /// on a side square to one of the axes in `square_to`, the others square to
    /// the bed. A plan may have fewer where a piece lies turned.
    #[serde(default)]
    pub lying_square: usize,
    /// Points of the model, in millimetres, no two of which go on one bed so:
    /// each piece holds one of them at the most. Of a heavy model they may lie
    /// as far outside as what stood in for it.
    #[serde(default)]
    pub apart_mm: Vec<[f64; 3]>,
    /// The model's own axes.
    #[serde(default)]
    pub square_to: [[f64; 3]; 3],
    /// No plan of right-through cuts at the places that were considered has
    /// fewer pieces that fit: all were looked at.
    pub on_lattice: usize,
    /// How many places were considered.
    pub places: usize,
    /// How many were found but left out of the last lattice, the least important
    /// of a model that is many beds large, so that the search stays quick.
    #[serde(default)]
    pub left_out: usize,
    /// How many branches of a large plan on such a lattice were then searched
    /// again, each with its own places: a plan may have fewer pieces for it
    /// than any on the lattice.
    #[serde(default)]
    pub branches: usize,
    /// How many beds large the parts were along each side into which a model of
    /// very many beds was cut first; 0 where all of it was searched at once. What
    /// is said of the places holds for plans that make those first cuts.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub beds_a_part: usize,
    /// What equal boxes would make, with no joint and all of the bed, where
    /// that was asked.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub equal_boxes: Option<EqualBoxes>,
}

fn is_zero(beds: &usize) -> bool {
    *beds == 0
}

impl Certificate {
    /// Of a model that is one piece as it is.
    pub fn of_one_piece() -> Self {
        Self {
            any_plan: 1,
            why: "it fits as it is".to_owned(),
            lying_square: 1,
            apart_mm: Vec::new(),
            square_to: [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]],
            on_lattice: 1,
            places: 0,
            left_out: 0,
            branches: 0,
            beds_a_part: 0,
            equal_boxes: None,
        }
    }

    /// Of several models that are split one by one: no piece is of two.
    ///
    /// ```
    /// use planner::Certificate;
    ///
    /// let one = Certificate::of_one_piece();
    /// assert_eq!(Certificate::of_all([&one, &one]).any_plan, 2);
    /// ```
    pub fn of_all<'a>(each: impl IntoIterator<Item = &'a Self>) -> Self {
        let mut each = each.into_iter();
        let Some(first) = each.next() else {
            return Self::of_one_piece();
        };
        let mut out = Self {
            apart_mm: Vec::new(),
            equal_boxes: None,
            ..first.clone()
        };
        for next in each {
            out.any_plan += next.any_plan;
            out.lying_square += next.lying_square;
            out.on_lattice += next.on_lattice;
            out.places += next.places;
            out.left_out += next.left_out;
            out.branches += next.branches;
            out.beds_a_part = out.beds_a_part.max(next.beds_a_part);
            out.why = "it is several bodies that stand apart, no piece is of two, and each by \
                       itself has its own least"
                .to_owned();
        }
        out
    }

    pub(crate) fn of(found: &SquareCuts, least: LowerBounds) -> Self {
        Self {
            any_plan: least.any_plan,
            why: least.why,
            lying_square: least.lying_square,
            apart_mm: least.apart_mm,
            square_to: least.square_to,
            on_lattice: found.fewest,
            places: found.places,
            left_out: found.left_out,
            branches: found.branches,
            beds_a_part: found.beds_a_part,
            equal_boxes: None,
        }
    }
}
