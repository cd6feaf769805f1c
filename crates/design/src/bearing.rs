//! What weight does to joints: it seats them, does not matter to them, or frees them.

use joinery::JointKind;
use solid::{DisjointSets, Vector};

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

/// A joint between two pieces, as far as weight is concerned.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bearing {
    /// The piece below the seam and the one above it, by index.
    pub pieces: [usize; 2],
    /// What joins them.
    pub joint: JointKind,
    /// The way the piece below comes home; the other comes to it against it.
    pub slide: Vector,
}

/// For each joint the piece that weight pushes out of it, if any: of the two sides of a
/// joint that slides steeply, that which does not stand on the floor and came home
/// upwards. A side is all that joints with level slides hold together, for those bear
/// weight by their shape. `lowest_mm` is how far down each piece reaches, along `up`. What no
/// joint links, plain contacts counted, is a body by itself and stands on its own lowest
/// pieces.
///
/// ```
/// use design::{Bearing, freed};
/// use joinery::JointKind;
/// use solid::Vector;
///
/// // A seat, pushed up into the leg that stands on the floor.
/// let joint = JointKind::Dovetail;
/// let pushed_up = Bearing { pieces: [1, 0], joint, slide: Vector::z() };
/// assert_eq!(freed(&[0.0, 380.0], &[pushed_up], &Vector::z()), [Some(1)]);
/// let let_down = Bearing { slide: -Vector::z(), ..pushed_up };
/// assert_eq!(freed(&[0.0, 380.0], &[let_down], &Vector::z()), [None]);
/// ```
pub fn freed(lowest_mm: &[f64], joints: &[Bearing], up: &Vector) -> Vec<Option<usize>> {
    let stands = standing(lowest_mm, joints, up);
    let of = |joint: &Bearing| {
        let climbs = joint.slide.dot(up);
        let slides = joint.joint != JointKind::Plain && !joint.joint.is_key();
        let [below, above] = joint.pieces;
        match (stands[below], stands[above]) {
            _ if !slides || climbs.abs() <= SLIPS => None,
            (false, true) if climbs > 0.0 => Some(below),
            (true, false) if climbs < 0.0 => Some(above),
            _ => None,
        }
    };
    joints.iter().map(of).collect()
}

/// For each piece whether what level joints hold together with it stands on the floor.
fn standing(lowest_mm: &[f64], joints: &[Bearing], up: &Vector) -> Vec<bool> {
    let floor = floors(lowest_mm, joints);
    let mut sides = DisjointSets::of(lowest_mm.len());
    let level = joints.iter().filter(|j| j.slide.dot(up).abs() <= SLIPS);
    for joint in level.filter(|j| j.joint != JointKind::Plain) {
        let [a, b] = joint.pieces;
        sides.unite(a, b);
    }
    let of: Vec<usize> = (0..lowest_mm.len()).map(|k| sides.find(k)).collect();
    let stands = |side: usize| {
        let mut members = (0..of.len()).filter(|&k| of[k] == side);
        members.any(|k| lowest_mm[k] - floor[k] < ON_FLOOR_MM)
    };
    of.iter().map(|&side| stands(side)).collect()
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
