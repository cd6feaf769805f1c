//! What the layout of a seam's joints starts from.

use std::ops::Range;

use design::{SeamId, SeamTerms, Side, Terms};
use joinery::JointKind;
use printing::Printer;
use solid::{Bounds, Vector};

use crate::layout::bed_room::BedRoom;
use crate::layout::earlier::Obstacle;
use crate::layout::joining::Stock;
use crate::layout::load::foot::Foot;
use crate::layout::way::{Way, ways};
use crate::partition::cells::SeamPlane;
use crate::partition::contacts::Contact;

/// What the layout of a seam's joints starts from.
pub(crate) struct Task<'a> {
    /// The seam's id.
    pub(crate) id: &'a SeamId,
    pub(crate) seam: &'a SeamPlane,
    pub(crate) contacts: Vec<Contact>,
    /// The box within which it cuts, where it does not go right through.
    pub(crate) within: Option<Bounds>,
    /// The terms of the seam.
    pub(crate) common: &'a Terms,
    /// The terms of each contact.
    pub(crate) terms: Vec<&'a Terms>,
    /// What pieces are made of.
    pub(crate) stock: Stock<'a>,
    /// The slide of the tails' half, where it is prescribed.
    pub(crate) slide: Option<Vector>,
    /// Sides that must not show a joint.
    pub(crate) hide: &'a [Side],
    /// Which way is up where the furniture stands.
    pub(crate) up: Vector,
    /// How the half below climbed on a way on which weight frees the seam.
    pub(crate) freed: Option<f64>,
    /// Boxes of all pieces, without joints.
    pub(crate) bodies: &'a [Bounds],
    /// What each of them would stand on.
    pub(crate) feet: &'a [Foot],
    /// The pieces of the body that the seam cuts.
    pub(crate) own: Range<usize>,
    /// Joints of seams laid out before.
    pub(crate) obstacles: &'a [Obstacle],
    pub(crate) printers: &'a [Printer],
    /// What joints laid out before have added to the pieces.
    pub(crate) room: &'a BedRoom<'a>,
}

impl Task<'_> {
    /// Whether the bed takes what a joint of a kind adds to the pieces of a contact,
    /// by index, or nothing else could hold it than such a joint.
    pub(crate) fn bed_takes(&self, kind: JointKind, way: &Way, contact: usize) -> bool {
        let terms = self.terms[contact];
        let toward = (way.frame.n, way.tails_on);
        !terms.may_be_keyed()
            || self
                .room
                .takes(kind, &terms.rules, &self.contacts[contact], toward)
    }

    /// Whether that is so of no kind that slides and that a contact may have.
    pub(crate) fn no_bed_room(&self, way: &Way, contact: usize) -> bool {
        let kinds = self.terms[contact].sliding_kinds();
        !kinds.is_empty() && !kinds.iter().any(|&kind| self.bed_takes(kind, way, contact))
    }

    /// The way with tails from below, along any of the seam's axes.
    pub(crate) fn tails_below(&self) -> Way {
        ways(self.seam, &[], None)[0]
    }

    /// How far any joint of the seam reaches.
    pub(crate) fn reach_mm(&self) -> f64 {
        self.terms
            .iter()
            .chain([&self.common])
            .map(|t| t.rules.reach_mm())
            .fold(0.0, f64::max)
    }

    /// The box of all pieces of the body that the seam cuts.
    pub(crate) fn furniture(&self) -> Option<Bounds> {
        let own = self.bodies[self.own.clone()].iter().copied();
        own.reduce(|a, b| a.joined(&b))
    }
}

/// Whether what comes in along a way comes in from no hidden side.
pub(crate) fn enters_unseen(way: &Way, hide: &[Side]) -> bool {
    !hide.iter().any(|side| side.has(&-way.frame.v))
}

/// The terms of each contact of a seam.
pub(crate) fn terms_of<'a>(
    terms: &'a SeamTerms,
    contacts: &[Contact],
    id: impl Fn(usize) -> design::PieceId,
) -> Vec<&'a Terms> {
    let of = |c: &Contact| {
        let [a, b] = c.pieces.map(&id);
        terms.between([&a, &b])
    };
    contacts.iter().map(of).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use design::SeamSide;
    use solid::{Frame, Point};

    #[test]
    fn what_comes_in_through_a_hidden_side_is_seen() {
        let way = |v: Vector| Way {
            frame: Frame::with_axes(Point::origin(), Vector::x(), v.cross(&Vector::x())),
            tails_on: SeamSide::Below,
        };
        let front: Side = "-y".parse().unwrap();
        assert!(!enters_unseen(&way(Vector::y()), &[front]));
        assert!(enters_unseen(&way(-Vector::y()), &[front]));
        assert!(enters_unseen(&way(Vector::z()), &[front]));
    }
}
