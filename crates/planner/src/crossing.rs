use crate::box_range::BoxRange;
use crate::lattice::Lattice;

/// Seams that end on one face from its two sides nearer to each other than
/// this leave no room for a joint between the pieces across the corner.
const APART_MM: f64 = 15.0;
/// Nearer than this they meet in one crossing, where four corners lie
/// together.
const TOGETHER_MM: f64 = 0.5;

/// A cut of a plan that ends on the face of another.
#[derive(Clone, Debug)]
pub(crate) struct Ending {
    /// The axis of the face and the cut that it belongs to.
    face: (usize, u8),
    /// The cut that ends there, and the range that it divides.
    axis: usize,
    cut: u8,
    range: BoxRange,
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
        let evil = |e: &Ending| {
            if e.axis != axis || range.low[e.face.0] != e.face.1 + 1 {
                return 0.0;
            }
            let apart = (place(lattice, axis, cut) - place(lattice, axis, e.cut)).abs();
            if apart >= APART_MM || !met(lattice, e.face, (axis, cut), range, e.range) {
                0.0
            } else if apart < TOGETHER_MM {
                self.weight
            } else {
                2.0 * self.weight
            }
        };
        self.endings.iter().map(evil).sum()
    }
}

fn place(lattice: &Lattice, axis: usize, cut: u8) -> f64 {
    lattice.cuts[axis][usize::from(cut)].at_mm
}

/// Whether there is material on the face on both sides of a cut, somewhere
/// that both ranges have.
fn met(
    lattice: &Lattice,
    face: (usize, u8),
    (axis, cut): (usize, u8),
    one: BoxRange,
    other: BoxRange,
) -> bool {
    let third = 3 - face.0 - axis;
    let from = one.low[third].max(other.low[third]);
    let to = one.high[third].min(other.high[third]);
    (from..to).any(|l| {
        [cut, cut + 1].into_iter().all(|j| {
            let mut at = [0; 3];
            at[face.0] = usize::from(face.1);
            at[axis] = usize::from(j);
            at[third] = usize::from(l);
            let (b, c) = ((face.0 + 1) % 3, (face.0 + 2) % 3);
            lattice.areas[face.0][lattice.face_index(face.0, at[face.0], at[b], at[c])][0] > 0.05
        })
    })
}

/// A cut of a plan and the range that it divides.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct PlanCut {
    pub(crate) axis: usize,
    pub(crate) cut: u8,
    pub(crate) range: BoxRange,
}

/// Those cuts below a face that end on it.
pub(crate) fn endings(lattice: &Lattice, face: (usize, u8), below: &[PlanCut]) -> Vec<Ending> {
    below
        .iter()
        .filter(|c| c.axis != face.0 && c.range.high[face.0] == face.1 + 1)
        .filter(|c| met(lattice, face, (c.axis, c.cut), c.range, c.range))
        .map(|c| Ending {
            face,
            axis: c.axis,
            cut: c.cut,
            range: c.range,
        })
        .collect()
}
