//! What it costs where seams end on another from both sides at one place.

use solid::area_within;

use crate::candidates::section_profile::Cut;
use crate::lattice::box_lattice::Lattice;
use crate::lattice::box_range::BoxRange;
use crate::lattice::part::Part;
use crate::lattice::place::is_same_place;

/// Seams that end on one face from its two sides nearer to each other than
/// this leave no room for a joint between the pieces across the corner.
const APART_MM: f64 = 15.0;
/// Nearer than this they meet in one crossing, where four corners lie
/// together.
const TOGETHER_MM: f64 = 0.5;
/// A seam ends on a face where there is material so close beside it.
const BESIDE_MM: f64 = 2.0;
/// Less material than this is none.
const DUST_MM2: f64 = 0.05;

/// A cut of a plan that ends on the face of another from below.
#[derive(Clone, Debug)]
pub(crate) struct Ending {
    /// The axis of the face and its place.
    face: (usize, f64),
    /// The axis of the cut that ends there, and its place.
    cut: (usize, f64),
    /// From where to where it does, along the third axis.
    along_mm: [f64; 2],
}

/// Beyond any furniture.
const FAR_MM: f64 = 1e6;

impl Ending {
    /// A cut that divides a part, where it ends on a face above the part; the
    /// face and the cut are given by their axes.
    pub(crate) fn on(
        (axis, face): (usize, &Cut),
        (own, at_mm): (usize, f64),
        divided: Part,
    ) -> Option<Self> {
        if own == axis || !is_same_place(divided.high[axis], face.at_mm) {
            return None;
        }
        let third = 3 - axis - own;
        let along_mm = [divided.low[third], divided.high[third]];
        let beside = |from: f64, to: f64| {
            let mut corners = [[0.0; 2]; 2];
            // The face's frame has its u along the next axis.
            let nth = |k: usize| (k + 3 - axis - 1) % 3;
            corners[0][nth(own)] = from;
            corners[1][nth(own)] = to;
            corners[0][nth(third)] = along_mm[0].max(-FAR_MM);
            corners[1][nth(third)] = along_mm[1].min(FAR_MM);
            area_within(&face.section, corners[0], corners[1]) > DUST_MM2
        };
        let ends = beside(at_mm - BESIDE_MM, at_mm) && beside(at_mm, at_mm + BESIDE_MM);
        ends.then_some(Self {
            face: (axis, face.at_mm),
            cut: (own, at_mm),
            along_mm,
        })
    }
}

/// Cuts that others should not meet across a face (as in brickwork, where no
/// joint stands above another), and what it costs where they do.
#[derive(Clone, Debug, Default)]
pub(crate) struct Crossings {
    endings: Vec<Ending>,
    weight: f64,
}

impl Crossings {
    pub(crate) fn weighing(weight: f64) -> Self {
        Self {
            endings: Vec::new(),
            weight,
        }
    }

    /// These, and the cuts that end on a face from below.
    pub(crate) fn with(&self, endings: Vec<Ending>) -> Self {
        let mut out = self.clone();
        out.endings.extend(endings);
        out
    }

    /// What a cut that divides a range costs where it meets others across a
    /// face on which the range lies from above. Where two nearly meet it is
    /// twice as bad: the pieces across the corner touch, and nothing holds
    /// them there.
    pub(crate) fn cost(&self, lattice: &Lattice, range: BoxRange, axis: usize, cut: u8) -> f64 {
        let at_mm = lattice.cuts[axis][usize::from(cut)].at_mm;
        let cost = |e: &Ending| {
            let (face, face_mm) = e.face;
            let apart = (at_mm - e.cut.1).abs();
            if e.cut.0 != axis || apart >= APART_MM {
                return 0.0;
            }
            let below = range.low[face].checked_sub(1);
            let Some(below) =
                below.filter(|&k| is_same_place(lattice.cuts[face][usize::from(k)].at_mm, face_mm))
            else {
                return 0.0;
            };
            if !met(lattice, (face, below), (axis, cut), range, e.along_mm) {
                0.0
            } else if apart < TOGETHER_MM {
                self.weight
            } else {
                2.0 * self.weight
            }
        };
        self.endings.iter().map(cost).sum()
    }
}

/// Whether there is material on the face on both sides of a cut, somewhere
/// that a range has between two places along the third axis.
fn met(
    lattice: &Lattice,
    face: (usize, u8),
    (axis, cut): (usize, u8),
    range: BoxRange,
    along_mm: [f64; 2],
) -> bool {
    let third = 3 - face.0 - axis;
    let place = |k: usize| lattice.cuts[third].get(k).map(|c| c.at_mm);
    let holds = |l: usize| {
        let begins = l.checked_sub(1).and_then(place);
        begins.is_none_or(|at| at < along_mm[1]) && place(l).is_none_or(|at| at > along_mm[0])
    };
    let layers = usize::from(range.low[third])..usize::from(range.high[third]);
    layers.filter(|&l| holds(l)).any(|l| {
        [cut, cut + 1].into_iter().all(|j| {
            let mut at = [0; 3];
            at[face.0] = usize::from(face.1);
            at[axis] = usize::from(j);
            at[third] = l;
            let (b, c) = ((face.0 + 1) % 3, (face.0 + 2) % 3);
            let index = lattice.face_index(face.0, at[face.0], at[b], at[c]);
            lattice.areas[face.0][index].all_mm2 > DUST_MM2
        })
    })
}

#[cfg(test)]
mod tests {
    use joinery::JointRules;
    use solid::{Point, Solid};

    use super::*;
    use crate::candidates::section_profile::Profiler;
    use crate::constraint::constraints::Constraints;

    #[test]
    fn where_four_corners_meet_it_costs_and_where_they_nearly_meet_twice_that() {
        let board = Solid::cuboid(Point::origin(), Point::new(200.0, 200.0, 18.0));
        let rules = JointRules::default();
        let cuts = |axis, at: &[f64]| Profiler::new(&board, axis, &rules, 8.0).cuts(at);
        let cuts = [cuts(0, &[100.0]), cuts(1, &[80.0, 92.0, 100.0]), Vec::new()];
        let lattice = Lattice::over(&board, cuts, &Constraints::default()).unwrap();
        let (low, high) = BoxRange::all(lattice.counts()).divided(0, 0);
        let face = &lattice.cuts[0][0];
        let ending = Ending::on((0, face), (1, 100.0), lattice.part(low)).unwrap();
        let crossings = Crossings::weighing(3.0).with(vec![ending]);
        let cost = |cut| crossings.cost(&lattice, high, 1, cut);
        assert_eq!([0, 1, 2].map(cost), [0.0, 6.0, 3.0]);
        // A range that does not lie on the face meets nothing there.
        assert_eq!(crossings.cost(&lattice, low, 1, 2), 0.0);
        // A cut beside the board ends on no face.
        assert!(Ending::on((0, face), (1, 300.0), lattice.part(low)).is_none());
    }
}
