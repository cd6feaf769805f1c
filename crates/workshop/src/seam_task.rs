use joinery::JointKind;
use planner::{Printer, Side, Terms};
use solid::{Bounds, Vector};

use crate::Contact;
use crate::attempt::sliding_kinds;
use crate::bed_room::BedRoom;
use crate::cells::SeamPlane;
use crate::earlier::Obstacle;
use crate::way::{Way, ways};

/// What the layout of a seam's joints starts from.
pub(crate) struct Task<'a> {
    /// The seam's id.
    pub(crate) id: &'a str,
    pub(crate) seam: &'a SeamPlane,
    pub(crate) contacts: Vec<Contact>,
    /// The box within which it cuts, where it does not go right through.
    pub(crate) within: Option<Bounds>,
    /// The terms of the seam.
    pub(crate) common: Terms,
    /// The terms of each contact.
    pub(crate) terms: Vec<Terms>,
    /// The slide of the tails' half, where it is prescribed.
    pub(crate) slide: Option<Vector>,
    /// Sides that must not show a joint.
    pub(crate) hide: &'a [Side],
    /// Boxes of all pieces, without joints.
    pub(crate) bodies: &'a [Bounds],
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
        let terms = &self.terms[contact];
        let toward = (way.frame.n, way.tails_point_up);
        !terms.choice.kinds().contains(&JointKind::Butterfly)
            || self
                .room
                .takes(kind, &terms.rules, &self.contacts[contact], toward)
    }

    /// Whether that is so of no kind that slides and that a contact may have.
    pub(crate) fn no_bed_room(&self, way: &Way, contact: usize) -> bool {
        let kinds = sliding_kinds(&self.terms[contact]);
        !kinds.is_empty() && !kinds.iter().any(|&kind| self.bed_takes(kind, way, contact))
    }

    /// The way with tails from below, along any of the seam's axes.
    pub(crate) fn tails_up(&self) -> Way {
        ways(self.seam, None)[0]
    }

    /// How far any joint of the seam reaches.
    pub(crate) fn reach_mm(&self) -> f64 {
        self.terms
            .iter()
            .chain([&self.common])
            .map(|t| t.rules.reach_mm())
            .fold(0.0, f64::max)
    }
}

/// Whether what comes in along a way comes in from no hidden side.
pub(crate) fn enters_unseen(way: &Way, hide: &[Side]) -> bool {
    !hide.iter().any(|side| side.has(&-way.frame.v))
}
