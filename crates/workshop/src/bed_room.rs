use joinery::{Half, JointKind, JointRules};
use planner::{Printer, fits_grown};
use solid::{Solid, Vector};

use crate::seam::PlacedJoint;
use crate::{Contact, Seam};

/// What joints have added to each piece so far, and whether the beds have room
/// for more.
pub(crate) struct BedRoom<'a> {
    bodies: Vec<&'a Solid>,
    printers: &'a [Printer],
    /// For each piece how far joints reach out of it, one for a direction.
    added: Vec<Vec<Vector>>,
}

impl<'a> BedRoom<'a> {
    /// That of pieces without joints.
    pub(crate) fn of(bodies: Vec<&'a Solid>, printers: &'a [Printer]) -> Self {
        Self {
            added: vec![Vec::new(); bodies.len()],
            bodies,
            printers,
        }
    }

    /// Whether a joint of a kind adds no more to the pieces of a contact than
    /// some bed takes. `n` points from the half that carries the tails, which
    /// `tails_point_up` says, into the other.
    pub(crate) fn takes(
        &self,
        kind: JointKind,
        rules: &JointRules,
        contact: &Contact,
        (n, tails_point_up): (Vector, bool),
    ) -> bool {
        let (forward, back) = rules.reach_of_mm(kind);
        let [mut carrying, mut receiving] = contact.pieces;
        if !tails_point_up {
            std::mem::swap(&mut carrying, &mut receiving);
        }
        kind == JointKind::Butterfly
            || self.takes_more(carrying, n * forward) && self.takes_more(receiving, n * -back)
    }

    /// Whether a piece that fits some bed still does with one more joint. One
    /// that fits none as it is, has nothing to lose.
    fn takes_more(&self, piece: usize, by: Vector) -> bool {
        let mut more = self.added[piece].clone();
        reach_out(&mut more, by);
        let fits = |added: &[Vector]| {
            self.printers
                .iter()
                .any(|p| fits_grown(self.bodies[piece], added, p))
        };
        more == self.added[piece] || fits(&more) || !fits(&self.added[piece])
    }

    /// Takes the joints of a seam into account.
    pub(crate) fn add(&mut self, seam: &Seam) {
        for placed in &seam.joints {
            for (side, reach) in reaches(seam, placed) {
                let out = if side == 0 { reach } else { -reach };
                for &k in &placed.contacts {
                    let piece = seam.contacts[k].pieces[side];
                    reach_out(&mut self.added[piece], seam.frame.n * out);
                }
            }
        }
    }
}

/// How far the parts of a joint reach out of the side that carries them, the
/// first below the seam and the second above it. Keys reach out of neither.
pub(crate) fn reaches(seam: &Seam, placed: &PlacedJoint) -> impl Iterator<Item = (usize, f64)> {
    let transfers = placed.joint.transfers.iter();
    transfers.filter(|t| t.to != Half::Key).map(|transfer| {
        let from_below = (transfer.to == Half::Tails) == seam.tails_point_up;
        let sign = if from_below { 1.0 } else { -1.0 };
        let heights = transfer.tail.vertices().iter();
        let heights = heights.map(|p| sign * seam.frame.height(p));
        (usize::from(!from_below), heights.fold(0.0, f64::max))
    })
}

/// Adds how far a joint reaches, or makes what is known of its direction longer.
fn reach_out(added: &mut Vec<Vector>, by: Vector) {
    let length = by.norm();
    if length < 1e-9 {
        return;
    }
    let alike = |a: &&mut Vector| a.dot(&by) > (1.0 - 1e-9) * a.norm() * length;
    match added.iter_mut().find(alike) {
        Some(a) if a.norm() < length => *a = by,
        Some(_) => {}
        None => added.push(by),
    }
}
