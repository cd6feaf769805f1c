//! What weight does to joints: it seats them, does not matter to them, or frees them.

use joinery::JointKind;
use solid::{Bounds, DisjointSets, Point, Vector};

/// A way home that climbs or falls by more than this, as the sine of its slope, is one
/// along which weight pushes; on others joints hold what hangs on them by their shape. The
/// least friction of printed plastic on itself, 0.2, holds what is no steeper: 11°.
pub const SLIPS: f64 = 0.196;
/// What climbs by more than this, as the sine of its slope, is said to come up or down. 30°.
pub const STEEP: f64 = 0.5;
/// What reaches down to the floor but for this stands on it.
pub const ON_FLOOR_MM: f64 = 0.5;

/// A limb thinner or smaller than this is not asked to hold a joint where another of the same
/// pieces does.
pub const LIMB_MM: f64 = 8.0;
/// See [`LIMB_MM`].
pub const LIMB_MM2: f64 = 200.0;

/// What of a contact lies no further from a joint counts as held by it.
pub const HELD_MM: f64 = 20.0;

/// A joined contact gapes where less than this share of it lies near its joints, and what is
/// far from them is this large, in mm² (our choice, without a source).
const GAPES_SHARE: f64 = 0.4;
const GAPES_MM2: f64 = 1000.0;

/// Whether a joined contact of so many mm², of which so much lies near its joints, gapes.
///
/// ```
/// use design::gapes;
///
/// assert!(gapes(3300.0, 920.0) && !gapes(3300.0, 1800.0) && !gapes(900.0, 100.0));
/// ```
pub fn gapes(area_mm2: f64, near_joints_mm2: f64) -> bool {
    near_joints_mm2 < GAPES_SHARE * area_mm2 && area_mm2 - near_joints_mm2 > GAPES_MM2
}

/// A joint between two pieces, as far as weight is concerned.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bearing {
    /// The piece below the seam and the one above it, by index.
    pub pieces: [usize; 2],
    /// What joins them.
    pub joint: JointKind,
    /// The way the piece below comes home; the other comes to it against it.
    pub slide: Vector,
    /// The middle of what they share.
    pub at: Point,
}

/// What is borne on one side of its middle tips off on the other where its supports are
/// further from its middle than this share of its length.
const TIPS: f64 = 0.2;

/// For each joint the piece that weight pushes out of it, if any: of the two sides of a
/// joint that slides steeply, that which does not stand on the floor and came home
/// upwards, where the other stands. A side is all that joints with level slides hold together,
/// for those bear weight by their shape. What no joint links, plain contacts counted, is a
/// body by itself and stands on its own lowest pieces. `bodies` are the boxes of the pieces.
///
/// ```
/// use design::{Bearing, freed};
/// use joinery::JointKind;
/// use solid::{Bounds, Point, Vector};
///
/// let leg = Bounds::between([0.0, 0.0, 0.0].into(), [40.0, 40.0, 400.0].into());
/// let seat = Bounds::between([40.0, 0.0, 380.0].into(), [240.0, 40.0, 400.0].into());
/// // A seat, pushed up into the leg that stands on the floor.
/// let (joint, at) = (JointKind::Dovetail, Point::new(40.0, 20.0, 390.0));
/// let pushed_up = Bearing { pieces: [1, 0], joint, slide: Vector::z(), at };
/// assert_eq!(freed(&[leg, seat], &[pushed_up], &Vector::z()), [Some(1)]);
/// let let_down = Bearing { slide: -Vector::z(), ..pushed_up };
/// assert_eq!(freed(&[leg, seat], &[let_down], &Vector::z()), [None]);
/// ```
pub fn freed(bodies: &[Bounds], joints: &[Bearing], up: &Vector) -> Vec<Option<usize>> {
    let stands = Sides::of(bodies, joints, up);
    let of = |joint: &Bearing| {
        let (hangs, other) = joint.climbs_into(up)?;
        (!stands.on_floor(hangs) && stands.on_floor(other)).then_some(hangs)
    };
    joints.iter().map(of).collect()
}

/// For each joint the piece that weight tips out of it, if any, though neither side stands on
/// the floor: it came home upwards into what is borne from there over fewer others, and what
/// bears it itself lies to one side of its middle. What came down onto something that is
/// borne is borne; see [`freed`].
pub fn tipped(bodies: &[Bounds], joints: &[Bearing], up: &Vector) -> Vec<Option<usize>> {
    let stands = Sides::of(bodies, joints, up);
    let of = |(k, joint): (usize, &Bearing)| {
        let (hangs, other) = joint.climbs_into(up)?;
        if stands.on_floor(hangs) || stands.on_floor(other) {
            return None;
        }
        let above_floor = stands.above_floor(joints, up, k);
        let rank = |piece: usize| above_floor[stands.side(piece)];
        let is_borne = |piece: usize| rank(piece).is_some();
        let further = rank(other).is_some_and(|r| rank(hangs).is_none_or(|own| r < own));
        let holds = is_borne(hangs) && !tips_off((bodies, joints), up, (k, hangs), is_borne);
        (further && !holds).then_some(hangs)
    };
    joints.iter().enumerate().map(of).collect()
}

impl Bearing {
    /// Where it slides steeply, the piece that came home upwards and the one that it came into.
    fn climbs_into(&self, up: &Vector) -> Option<(usize, usize)> {
        let climbs = self.slide.dot(up);
        let slides = self.joint != JointKind::Plain && !self.joint.is_key();
        let [below, above] = self.pieces;
        (slides && climbs.abs() > SLIPS).then_some(match climbs > 0.0 {
            true => (below, above),
            false => (above, below),
        })
    }
}

/// Whether a piece would tip off what bears it, without a joint, about its own middle: all of
/// that lies to one side.
fn tips_off(
    (bodies, joints): (&[Bounds], &[Bearing]),
    up: &Vector,
    (without, piece): (usize, usize),
    is_borne: impl Fn(usize) -> bool,
) -> bool {
    let level = |v: Vector| v - up * v.dot(up);
    let bears = joints.iter().enumerate().filter(|&(k, joint)| {
        let other = joint.pieces.iter().find(|&&p| p != piece);
        let own = k != without && joint.pieces.contains(&piece);
        let freed = joint
            .climbs_into(up)
            .is_some_and(|(hangs, _)| hangs == piece);
        own && !freed && joint.joint != JointKind::Plain && other.is_some_and(|&p| is_borne(p))
    });
    let Some(supports) = Bounds::of(bears.map(|(_, joint)| joint.at)) else {
        return false;
    };
    let middle = bodies[piece].centre();
    let within = |k: usize| middle[k].clamp(supports.min[k], supports.max[k]);
    let off = level(Point::from([0, 1, 2].map(within)) - middle);
    off.norm() > TIPS * level(bodies[piece].size_mm()).norm()
}

/// The sides of joints: what joints with level slides hold together.
struct Sides {
    of: Vec<usize>,
    on_floor: Vec<bool>,
}

impl Sides {
    fn of(bodies: &[Bounds], joints: &[Bearing], up: &Vector) -> Self {
        let lowest = |b: &Bounds| {
            let heights = b.corners().map(|p| p.coords.dot(up));
            heights.into_iter().fold(f64::INFINITY, f64::min)
        };
        let lowest_mm: Vec<f64> = bodies.iter().map(lowest).collect();
        let floor = floors(&lowest_mm, joints);
        let mut sides = DisjointSets::of(bodies.len());
        let level = joints.iter().filter(|j| j.slide.dot(up).abs() <= SLIPS);
        for joint in level.filter(|j| j.joint != JointKind::Plain) {
            let [a, b] = joint.pieces;
            sides.unite(a, b);
        }
        let of: Vec<usize> = (0..bodies.len()).map(|k| sides.find(k)).collect();
        let mut on_floor = vec![false; bodies.len()];
        for k in 0..bodies.len() {
            on_floor[of[k]] |= lowest_mm[k] - floor[k] < ON_FLOOR_MM;
        }
        Self { of, on_floor }
    }

    fn side(&self, piece: usize) -> usize {
        self.of[piece]
    }

    fn on_floor(&self, piece: usize) -> bool {
        self.on_floor[self.of[piece]]
    }

    /// For each side that the floor bears, were there no such joint, over how many others.
    fn above_floor(&self, joints: &[Bearing], up: &Vector, without: usize) -> Vec<Option<usize>> {
        let mut rank: Vec<Option<usize>> = self.on_floor.iter().map(|on| on.then_some(0)).collect();
        let others = || joints.iter().enumerate().filter(|(k, _)| *k != without);
        for over in 1.. {
            let rests = |(_, joint): (usize, &Bearing)| {
                let ends = joint.climbs_into(up)?;
                let (under, upper) = (self.side(ends.0), self.side(ends.1));
                (rank[under] == Some(over - 1) && rank[upper].is_none()).then_some(upper)
            };
            let next: Vec<usize> = others().filter_map(rests).collect();
            if next.is_empty() {
                break;
            }
            for side in next {
                rank[side] = Some(over);
            }
        }
        rank
    }
}

/// For each piece what its body stands on: a drawer on its lowest piece, not on the floor of
/// the room.
fn floors(lowest_mm: &[f64], joints: &[Bearing]) -> Vec<f64> {
    let mut bodies = DisjointSets::of(lowest_mm.len());
    for [a, b] in joints.iter().map(|joint| joint.pieces) {
        bodies.unite(a, b);
    }
    let of: Vec<usize> = (0..lowest_mm.len()).map(|k| bodies.find(k)).collect();
    let mut floor = vec![f64::INFINITY; lowest_mm.len()];
    for (&body, &low) in of.iter().zip(lowest_mm) {
        floor[body] = low.min(floor[body]);
    }
    of.into_iter().map(|body| floor[body]).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A slat in three lengths on two rails that stand, all let down but for the far end of the
    /// middle one.
    fn slat(middle_up: [f64; 2]) -> Vec<Option<usize>> {
        let block = |low: [f64; 3], high: [f64; 3]| Bounds::between(low.into(), high.into());
        let bodies = [
            block([0.0, 0.0, 0.0], [30.0, 40.0, 100.0]),
            block([600.0, 0.0, 0.0], [630.0, 40.0, 100.0]),
            block([0.0, 0.0, 90.0], [180.0, 40.0, 110.0]),
            block([180.0, 0.0, 90.0], [440.0, 40.0, 110.0]),
            block([440.0, 0.0, 90.0], [630.0, 40.0, 110.0]),
        ];
        let joint = |pieces: [usize; 2], x: f64, z: f64| Bearing {
            pieces,
            joint: JointKind::Dovetail,
            slide: Vector::z() * z,
            at: Point::new(x, 20.0, 100.0),
        };
        let [near, far] = middle_up;
        let joints = [
            joint([2, 0], 15.0, -1.0),
            joint([4, 1], 615.0, -1.0),
            joint([3, 2], 180.0, near),
            joint([3, 4], 440.0, far),
        ];
        tipped(&bodies, &joints, &Vector::z())
    }

    #[test]
    fn a_length_between_two_that_are_borne_needs_both_under_it() {
        assert_eq!(slat([-1.0, -1.0]), [None; 4]);
        assert_eq!(slat([-1.0, 1.0]), [None, None, None, Some(3)]);
        assert_eq!(slat([1.0, 1.0])[2..], [Some(3), Some(3)]);
    }

    /// A divider let down onto a shelf, and a top let down onto it and onto two sides.
    #[test]
    fn what_rests_about_its_middle_is_not_pushed_out_of_what_rests_on_it() {
        let block = |low: [f64; 3], high: [f64; 3]| Bounds::between(low.into(), high.into());
        let bodies = [
            block([0.0, 0.0, 0.0], [18.0, 200.0, 300.0]),
            block([18.0, 0.0, 100.0], [300.0, 200.0, 118.0]),
            block([150.0, 0.0, 118.0], [168.0, 200.0, 300.0]),
            block([0.0, 0.0, 300.0], [300.0, 200.0, 318.0]),
        ];
        let joint = |pieces: [usize; 2], slide: Vector, at: [f64; 3]| Bearing {
            pieces,
            joint: JointKind::Dovetail,
            slide,
            at: at.into(),
        };
        let joints = [
            joint([0, 1], Vector::y(), [18.0, 100.0, 109.0]),
            joint([2, 1], -Vector::z(), [159.0, 100.0, 118.0]),
            joint([3, 2], -Vector::z(), [159.0, 100.0, 300.0]),
            joint([3, 0], -Vector::z(), [9.0, 100.0, 300.0]),
        ];
        assert_eq!(freed(&bodies, &joints, &Vector::z()), [None; 4]);
        assert_eq!(tipped(&bodies, &joints, &Vector::z()), [None; 4]);
    }
}
