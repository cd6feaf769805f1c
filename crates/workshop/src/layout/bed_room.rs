//! What joints add to the pieces, and whether the beds have room for that.

use design::SeamSide;
use joinery::{JointKind, JointRules};
use printing::{BedFit, Printer};
use solid::{Solid, Vector};

use crate::layout::seam::PlacedJoint;
use crate::layout::seam::Seam;
use crate::partition::contacts::Contact;

/// What joints have added to each piece so far, and whether the beds have room
/// for more.
pub(crate) struct BedRoom<'a> {
    bodies: Vec<BedFit<'a>>,
    printers: &'a [Printer],
    /// For each piece how far joints reach out of it, one for a direction.
    added: Vec<Vec<Vector>>,
}

impl<'a> BedRoom<'a> {
    /// That of pieces without joints.
    pub(crate) fn of(bodies: Vec<&'a Solid>, printers: &'a [Printer]) -> Self {
        Self {
            added: vec![Vec::new(); bodies.len()],
            bodies: bodies.into_iter().map(BedFit::of).collect(),
            printers,
        }
    }

    /// A piece without joints.
    pub(crate) fn body(&self, piece: usize) -> &Solid {
        self.bodies[piece].piece()
    }

    /// Whether a joint of a kind adds no more to the pieces of a contact than
    /// some bed takes. `n` points from the half that carries the tails, which
    /// lies on `tails_on`, into the other.
    pub(crate) fn takes(
        &self,
        kind: JointKind,
        rules: &JointRules,
        contact: &Contact,
        toward: (Vector, SeamSide),
    ) -> bool {
        kind.is_key() || self.all_take(reaching(kind, rules, contact, toward), BedFit::grown)
    }

    /// Whether a joint of a kind leaves the pieces of a contact lying as they best do: where
    /// others hold as well, nothing is turned on its edge for it.
    pub(crate) fn leaves_lying(
        &self,
        kind: JointKind,
        rules: &JointRules,
        contact: &Contact,
        toward: (Vector, SeamSide),
    ) -> bool {
        let reaches = reaching(kind, rules, contact, toward);
        self.all_take(reaches, BedFit::grown_as_it_lies)
    }

    /// Whether a joint of a kind leaves the pieces of a contact lying flat on the side on which
    /// they print best, or on the opposite one.
    pub(crate) fn leaves_flat(
        &self,
        kind: JointKind,
        rules: &JointRules,
        contact: &Contact,
        toward: (Vector, SeamSide),
    ) -> bool {
        self.all_take(reaching(kind, rules, contact, toward), BedFit::grown_flat)
    }

    /// Whether both pieces of a contact still do with one more joint; see
    /// [`BedRoom::takes_more`].
    fn all_take(
        &self,
        reaches: [(usize, Vector); 2],
        fits: impl Fn(&BedFit<'a>, &[Vector], &Printer) -> bool + Copy,
    ) -> bool {
        let mut reaches = reaches.into_iter();
        reaches.all(|(piece, by)| self.takes_more(piece, by, fits))
    }

    /// Whether a piece that fits some bed still does with one more joint. One
    /// that fits none as it is, has nothing to lose.
    fn takes_more(
        &self,
        piece: usize,
        by: Vector,
        fits: impl Fn(&BedFit<'a>, &[Vector], &Printer) -> bool,
    ) -> bool {
        let mut more = self.added[piece].clone();
        reach_out(&mut more, by);
        let fits = |added: &[Vector]| {
            let mut printers = self.printers.iter();
            printers.any(|p| fits(&self.bodies[piece], added, p))
        };
        more == self.added[piece] || fits(&more) || !fits(&self.added[piece])
    }

    /// Takes the joints of a seam into account.
    pub(crate) fn add(&mut self, seam: &Seam) {
        for placed in &seam.joints {
            for (side, reach) in reaches(seam, placed) {
                for &k in &placed.contacts {
                    let piece = seam.contacts[k].contact.pieces[side.place()];
                    reach_out(&mut self.added[piece], seam.frame.n * (reach * side.out()));
                }
            }
        }
    }
}

/// How far a joint of a kind reaches out of the pieces of a contact: out of the one that
/// carries the tails, and out of the other.
fn reaching(
    kind: JointKind,
    rules: &JointRules,
    contact: &Contact,
    (n, tails_on): (Vector, SeamSide),
) -> [(usize, Vector); 2] {
    let (forward, back) = rules.reach_of_mm(kind);
    let carrying = contact.pieces[tails_on.place()];
    let receiving = contact.pieces[tails_on.other().place()];
    [(carrying, n * forward), (receiving, n * -back)]
}

/// How far the parts of a joint reach out of the side that carries them. Keys
/// reach out of neither.
pub fn reaches(seam: &Seam, placed: &PlacedJoint) -> impl Iterator<Item = (SeamSide, f64)> {
    placed.joint.transfers.iter().filter_map(|transfer| {
        let side = SeamSide::of_half(transfer.to, seam.tails_on)?;
        let heights = transfer.tail.vertices().iter();
        let heights = heights.map(|p| side.out() * seam.frame.height(p));
        Some((side, heights.fold(0.0, f64::max)))
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

#[cfg(test)]
mod tests {
    use solid::{Point, rectangle};

    use super::*;

    #[test]
    fn a_bed_takes_tails_until_it_is_full() {
        let rules = JointRules::default();
        let reach = rules.reach_of_mm(JointKind::Dovetail).0;
        let contact = Contact {
            pieces: [0, 1],
            cells: [0, 1],
            outline: rectangle([0.0, 0.0], [200.0, 18.0]),
            area_mm2: 3600.0,
            thick_mm: 18.0,
            slight: false,
        };
        let block = |long: f64| Solid::cuboid(Point::origin(), Point::new(long, 200.0, 18.0));
        let toward = (Vector::x(), SeamSide::Below);
        let takes = |long: f64, reached: &[Vector]| {
            let bodies = [block(long), block(100.0)];
            let mut printer = Printer::rectangular("bed-1", 220.0, 210.0, 100.0);
            printer.margin_mm = 0.0;
            let printers = [printer];
            let mut room = BedRoom::of(bodies.iter().collect(), &printers);
            for &by in reached {
                reach_out(&mut room.added[0], by);
            }
            room.takes(JointKind::Dovetail, &rules, &contact, toward)
        };
        let full = 220.0 - reach;
        assert!(takes(full - 0.5, &[]));
        assert!(!takes(full + 0.5, &[]));
        // A tail on the same side takes no more; one on the other side does.
        assert!(takes(full - 0.5, &[Vector::x() * reach]));
        assert!(!takes(full - 0.5, &[Vector::x() * -reach]));
        // What fits no bed has nothing to lose.
        assert!(takes(230.0, &[]));
    }
}
