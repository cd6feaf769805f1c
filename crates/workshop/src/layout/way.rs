//! Ways to close a seam, and where joints find room along each.

use design::SeamSide;
use geo::{BooleanOps, BoundingRect, Coord, MapCoords};
use joinery::JointKind;
use solid::{Frame, Outline, Vector};

use crate::layout::earlier::Earlier;
use crate::partition::cells::SeamPlane;
use crate::partition::contacts::Contact;

/// A way to close a seam: which way the tails' half moves, and from which side
/// the tails come.
#[derive(Clone, Copy)]
pub(crate) struct Way {
    /// `n` from the tails' half into the other, `v` the slide of the tails.
    pub(crate) frame: Frame,
    pub(crate) tails_on: SeamSide,
}

/// An outline given in one frame, in the coordinates of another in the same
/// plane.
pub(crate) fn in_frame(outline: &Outline, from: &Frame, to: &Frame) -> Outline {
    outline.map_coords(|c: Coord| {
        let p = to.coordinates(&from.place(c.x, c.y, 0.0));
        Coord { x: p.x, y: p.y }
    })
}

/// The ways to try: along either axis of the seam's frame in either direction,
/// with tails from below or from above.
pub(crate) fn ways(seam: &SeamPlane, slide: Option<Vector>) -> Vec<Way> {
    let Frame { origin, u, v, n } = seam.frame;
    let directions = match slide {
        // Prescribed for the tails' half, whichever that is.
        Some(s) => vec![s],
        None => vec![u, -u, v, -v],
    };
    SeamSide::BOTH
        .into_iter()
        .flat_map(|tails_on| {
            directions.clone().into_iter().map(move |along| {
                let n = match tails_on {
                    SeamSide::Below => n,
                    SeamSide::Above => -n,
                };
                // u × v = n, so u = v × n.
                let frame = Frame::with_axes(origin, n, along.cross(&n));
                Way { frame, tails_on }
            })
        })
        .collect()
}

/// Shifts that differ by less are one.
const ALIKE_MM: f64 = 0.2;

impl Way {
    /// Where on a contact joints of a kind may lie, in the way's frame.
    pub(crate) fn room(
        &self,
        kind: JointKind,
        seam: &SeamPlane,
        contact: &Contact,
        taken: &Outline,
    ) -> Outline {
        let (own, other) = self.sides(seam);
        let mut room = contact.outline.intersection(&own[1]);
        if kind.abilities().form.is_deep_on_both_sides() {
            // Fingers and keys reach as deep on both sides.
            room = room.intersection(&own[0]).intersection(&own[2]);
        }
        for section in other {
            room = room.intersection(section);
        }
        in_frame(&room.difference(taken), &seam.frame, &self.frame)
    }

    /// By how much the faces that this way comes in and leaves through shift,
    /// along the slide, from just beside the seam to beyond the reach of a
    /// joint, where both do so alike: a board cut by a tilted seam.
    pub(crate) fn lean_mm(&self, seam: &SeamPlane) -> f64 {
        let ends = |section: &Outline| {
            in_frame(section, &seam.frame, &self.frame)
                .bounding_rect()
                .map(|r| (r.min().y, r.max().y))
        };
        let (_, other) = self.sides(seam);
        match (ends(&other[0]), ends(&other[2])) {
            (Some(near), Some(far)) => {
                let (enter, leave) = (far.0 - near.0, far.1 - near.1);
                if (enter - leave).abs() < ALIKE_MM {
                    enter.abs()
                } else {
                    0.0
                }
            }
            _ => 0.0,
        }
    }

    fn sides<'a>(&self, seam: &'a SeamPlane) -> (&'a [Outline; 3], &'a [Outline; 3]) {
        let on = |side| seam.sections.on(side);
        (on(self.tails_on), on(self.tails_on.other()))
    }

    /// What joints of other seams fill of the half that takes the tails and of
    /// that which carries them.
    pub(crate) fn taken(&self, seam: &SeamPlane, earlier: &Earlier) -> [Outline; 2] {
        [self.tails_on.other(), self.tails_on]
            .map(|side| in_frame(earlier.filled(side), &seam.frame, &self.frame))
    }

    /// All that tails would run into on the side that takes them.
    pub(crate) fn receiving(&self, seam: &SeamPlane, earlier: &Earlier) -> Outline {
        let tails = earlier.tails(self.tails_on.other());
        self.standing(seam, self.sides(seam).1, tails)
    }

    /// All that braces and fingers of the other half would run into on the
    /// side that carries the tails.
    pub(crate) fn carrying(&self, seam: &SeamPlane, earlier: &Earlier) -> Outline {
        let tails = earlier.tails(self.tails_on);
        self.standing(seam, self.sides(seam).0, tails)
    }

    fn standing(&self, seam: &SeamPlane, side: &[Outline; 3], tails: &Outline) -> Outline {
        let all = side[0].union(&side[1]).union(&side[2]).union(tails);
        in_frame(&all, &seam.frame, &self.frame)
    }
}
