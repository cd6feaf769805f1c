//! Ways to close a seam, and where joints find room along each.

use design::SeamSide;
use geo::{Area, BooleanOps, BoundingRect, Coord, MapCoords, MinimumRotatedRect};
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

/// A section is a board's or a rail's where it fills so much of the least rectangle about it.
const FILLS: f64 = 0.9;
/// And leans where a side of that is further than this from the seam's axes.
const LEANS_DEG: f64 = 3.0;
/// So many axes are tried at the most: slats that stand in a round would each have their own.
const MOST_AXES: usize = 6;

/// The axes of a contact's section, where what it goes through is a board or a rail that leans
/// from the seam's axes.
fn leaning_axes(contact: &Contact, frame: &Frame) -> Option<[Vector; 2]> {
    let polygons = contact.outline.iter();
    let largest = polygons.max_by(|a, b| a.unsigned_area().total_cmp(&b.unsigned_area()))?;
    let rectangle = largest.minimum_rotated_rect()?;
    let side = rectangle.exterior().lines().next()?.delta();
    let along = (frame.u * side.x + frame.v * side.y).try_normalize(1e-9)?;
    let nearest = [frame.u, frame.v].map(|axis| axis.dot(&along).abs());
    let leans = nearest[0].max(nearest[1]) < LEANS_DEG.to_radians().cos();
    let fills = largest.unsigned_area() > FILLS * rectangle.unsigned_area();
    (leans && fills).then(|| [along, frame.n.cross(&along)])
}

/// The ways to try: along either axis of the seam's frame in either direction, and along those
/// of what leans there, with tails from below or from above.
pub(crate) fn ways(seam: &SeamPlane, contacts: &[Contact], slide: Option<Vector>) -> Vec<Way> {
    let Frame { origin, u, v, n } = seam.frame;
    let directions = match slide {
        // Prescribed for the tails' half, whichever that is.
        Some(s) => vec![s],
        None => {
            let mut largest_first: Vec<&Contact> = contacts.iter().collect();
            largest_first.sort_by(|a, b| b.area_mm2.total_cmp(&a.area_mm2));
            let leaning = largest_first.into_iter();
            let leaning = leaning.filter_map(|contact| leaning_axes(contact, &seam.frame));
            let mut axes = vec![u, v];
            for along in leaning.flatten() {
                let is_same =
                    |axis: &Vector| axis.dot(&along).abs() >= LEANS_DEG.to_radians().cos();
                if axes.len() < MOST_AXES && !axes.iter().any(is_same) {
                    axes.push(along);
                }
            }
            axes.into_iter().flat_map(|axis| [axis, -axis]).collect()
        }
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

#[cfg(test)]
mod tests {
    use design::{PlannedSeam, Settings};
    use geo::Area;
    use solid::{Bounds, Point, Solid, rectangle};

    use super::*;
    use crate::layout::earlier::Obstacle;
    use crate::layout::trial::Trial;

    #[test]
    fn tails_come_from_either_side_along_either_axis_both_ways() {
        Trial::plank(18.0, "dovetail").show(&[], |task| {
            let all = ways(task.seam, &task.contacts, None);
            assert_eq!(all.len(), 8);
            let into = |way: &Way| way.frame.n.dot(&task.seam.frame.n) * way.tails_on.out();
            assert!(all.iter().all(|way| into(way) > 0.999));
            let right = |f: &Frame| (f.u.cross(&f.v) - f.n).norm() < 1e-12;
            assert!(all.iter().all(|way| right(&way.frame)));
            let down = -Vector::z();
            let prescribed = ways(task.seam, &task.contacts, Some(down));
            assert_eq!(prescribed.len(), 2);
            assert!(
                prescribed
                    .iter()
                    .all(|way| (way.frame.v - down).norm() < 1e-12)
            );
        });
    }

    /// A rail tilted about its length: a slide through its thickness joins it as one through a
    /// board does that stands square.
    #[test]
    fn what_leans_is_slid_along_its_own_axes_too() {
        let turned = |deg: f64| {
            let rail = Solid::cuboid(Point::new(0.0, -45.0, -10.0), Point::new(200.0, 45.0, 10.0));
            let tilt = solid::Isometry::rotation(Vector::x() * deg.to_radians());
            let seam = PlannedSeam::at([1.0, 0.0, 0.0], 100.0);
            Trial::cut(&rail.moved(&tilt), seam, Settings::default()).show(&[], |task| {
                let slides = ways(task.seam, &task.contacts, None).into_iter();
                slides.map(|way| way.frame.v).collect::<Vec<Vector>>()
            })
        };
        let (sin, cos) = 25f64.to_radians().sin_cos();
        let through = Vector::new(0.0, -sin, cos);
        let leans = turned(25.0);
        assert_eq!(leans.len(), 16);
        assert!(leans.iter().any(|v| (v - through).norm() < 1e-6));
        assert_eq!(turned(0.0).len(), 8);
        assert_eq!(turned(2.0).len(), 8, "hardly");
    }

    #[test]
    fn joints_find_room_where_nothing_is_taken() {
        Trial::plank(18.0, "dovetail").show(&[], |task| {
            let way = task.tails_below();
            let room = |taken: &Outline| {
                let contact = &task.contacts[0];
                let room = way.room(JointKind::Dovetail, task.seam, contact, taken);
                room.unsigned_area()
            };
            assert!((room(&Outline::new(Vec::new())) - 1800.0).abs() < 1e-6);
            let half = in_frame(&task.contacts[0].outline, &task.seam.frame, &way.frame)
                .bounding_rect()
                .unwrap();
            let middle = (half.min() + half.max()) / 2.0;
            let taken = rectangle([half.min().x, half.min().y], [middle.x, half.max().y]);
            let taken = in_frame(&taken, &way.frame, &task.seam.frame);
            assert!((room(&taken) - 900.0).abs() < 1e-6);
        });
    }

    #[test]
    fn the_faces_of_a_board_lean_against_a_tilted_seam_only() {
        let lean = |normal: [f64; 3]| {
            let board = Solid::cuboid(Point::origin(), Point::new(200.0, 100.0, 18.0));
            let seam = PlannedSeam::at(normal, 100.0 * normal[0]);
            Trial::cut(&board, seam, Settings::default()).show(&[], |task| {
                let leans = ways(task.seam, &task.contacts, None)
                    .into_iter()
                    .map(|w| w.lean_mm(task.seam));
                leans.fold(0.0, f64::max)
            })
        };
        assert!(lean([1.0, 0.0, 0.0]) < 1e-9);
        // Per millimetre of depth the faces shift by the tangent of the tilt.
        let tilted = lean([0.8, 0.0, 0.6]);
        assert!(tilted > 0.75 * 4.0 && tilted < 0.75 * 20.0, "{tilted}");
    }

    #[test]
    fn a_tail_that_a_half_carries_stands_in_the_way_of_the_other_half_only() {
        let tail = Bounds {
            min: Point::new(95.0, 40.0, 18.0),
            max: Point::new(99.0, 60.0, 26.0),
        };
        let carried = Obstacle {
            bounds: tail,
            carriers: 0..2,
        };
        let standing = |obstacle: Obstacle| {
            let obstacles = [obstacle];
            Trial::plank(18.0, "dovetail").show(&obstacles, |task| {
                let rules = &task.common.rules;
                let earlier = Earlier::of(task.seam, task.obstacles, rules);
                let way = task.tails_below();
                [
                    way.receiving(task.seam, &earlier),
                    way.carrying(task.seam, &earlier),
                ]
                .map(|o| o.unsigned_area())
            })
        };
        let [receiving, carrying] = standing(carried);
        assert!((receiving - 1800.0).abs() < 1e-6, "{receiving}");
        assert!(carrying > 1800.0 + 20.0 * 8.0 - 1e-6, "{carrying}");
        let [_, free] = standing(Obstacle::carried_by_none(tail));
        assert!((free - 1800.0).abs() < 1e-6, "{free}");
    }
}
