use geo::{BooleanOps, BoundingRect, Coord, MapCoords};
use joinery::JointKind;
use solid::{Frame, Outline, Vector};

use crate::Contact;
use crate::cells::SeamPlane;
use crate::earlier::Earlier;

/// A way to close a seam: which way the tails' half moves, and from which side
/// the tails come.
#[derive(Clone, Copy)]
pub(crate) struct Way {
    /// `n` from the tails' half into the other, `v` the slide of the tails.
    pub(crate) frame: Frame,
    pub(crate) tails_point_up: bool,
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
    [true, false]
        .into_iter()
        .flat_map(|up| {
            directions.clone().into_iter().map(move |along| {
                let n = if up { n } else { -n };
                // u × v = n, so u = v × n.
                let frame = Frame::with_axes(origin, n, along.cross(&n));
                Way {
                    frame,
                    tails_point_up: up,
                }
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
        if matches!(kind, JointKind::WedgeFingers | JointKind::Butterfly) {
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
        if self.tails_point_up {
            (&seam.sections.below, &seam.sections.above)
        } else {
            (&seam.sections.above, &seam.sections.below)
        }
    }

    /// What joints of other seams fill of the half that takes the tails and of
    /// that which carries them.
    pub(crate) fn taken(&self, seam: &SeamPlane, earlier: &Earlier) -> [Outline; 2] {
        let mut halves = [&earlier.filled_above, &earlier.filled_below];
        if !self.tails_point_up {
            halves.reverse();
        }
        halves.map(|half| in_frame(half, &seam.frame, &self.frame))
    }

    /// All that tails would run into on the side that takes them.
    pub(crate) fn receiving(&self, seam: &SeamPlane, earlier: &Earlier) -> Outline {
        let tails = if self.tails_point_up {
            &earlier.tails_above
        } else {
            &earlier.tails_below
        };
        self.standing(seam, self.sides(seam).1, tails)
    }

    /// All that braces and fingers of the other half would run into on the
    /// side that carries the tails.
    pub(crate) fn carrying(&self, seam: &SeamPlane, earlier: &Earlier) -> Outline {
        let tails = if self.tails_point_up {
            &earlier.tails_below
        } else {
            &earlier.tails_above
        };
        self.standing(seam, self.sides(seam).0, tails)
    }

    fn standing(&self, seam: &SeamPlane, side: &[Outline; 3], tails: &Outline) -> Outline {
        let all = side[0].union(&side[1]).union(&side[2]).union(tails);
        in_frame(&all, &seam.frame, &self.frame)
    }
}
