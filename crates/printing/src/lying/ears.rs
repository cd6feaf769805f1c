//! Corners that lift from the bed while plastic cools, and the ears that hold them down.

use solid::{Frame, Point, Solid, Vector};

use crate::lying::flat_fit::convex;
use crate::lying::room_on_bed::brim_room_mm;
use crate::print_profile::PrintProfile;
use crate::printer::Printer;

/// An ear is a disc of this radius, one layer high, about a corner of the first layer (common
/// practice, no published source).
pub const EAR_MM: f64 = 8.0;
/// What is so far from the middle of the first layer is pulled up by all that shrinks between:
/// of prints under some fifteen centimetres corners hardly lift (common practice, no published
/// source).
const FAR_MM: f64 = 75.0;
/// A corner that turns by less holds by the sides beside it.
const TURNS_DEG: f64 = 60.0;
/// A corner may be rounded: turns along so much of the outline are one.
const ROUNDED_MM: f64 = 20.0;
/// An ear that reaches no further past the corner holds nothing.
pub const LEAST_EAR_REACH_MM: f64 = 3.0;
/// Where the first layer is looked at, above the bed.
const FIRST_LAYER_MM: f64 = 0.1;

/// The corners of a first layer that lift, and how far an ear about each may reach.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Ears {
    /// Where they are on the bed.
    pub at_mm: Vec<[f64; 2]>,
    /// How far past them the bed has room along x and along y, up to the radius of an ear.
    pub reach_mm: [f64; 2],
}

impl Ears {
    /// Those of a piece that lies as it is printed, its lowest point at z = 0.
    ///
    /// ```
    /// use printing::{Ears, Printer};
    /// use solid::{Point, Solid};
    ///
    /// let board = |long| Solid::cuboid(Point::origin(), Point::new(long, 120.0, 18.0));
    /// let printer = Printer::rectangular("bed-1", 220.0, 220.0, 250.0);
    /// assert_eq!(Ears::of(&board(180.0), &printer).at_mm.len(), 4);
    /// assert!(Ears::of(&board(60.0), &printer).at_mm.is_empty());
    /// ```
    pub fn of(as_printed: &Solid, printer: &Printer) -> Self {
        let room = brim_room_mm(as_printed, printer);
        Self {
            at_mm: lifting(&first_layer(as_printed)),
            reach_mm: room.map(|mm| mm.clamp(0.0, EAR_MM)),
        }
    }

    /// Whether there are corners that lift and the bed has room for ears.
    pub fn are_wanted(&self) -> bool {
        !self.at_mm.is_empty() && self.has_room()
    }

    /// Whether the bed has room for an ear.
    pub fn has_room(&self) -> bool {
        self.reach_mm[0].max(self.reach_mm[1]) >= LEAST_EAR_REACH_MM
    }

    /// Plastic of all of them: of each the three quarters that a square corner leaves, as far
    /// as the bed has room.
    pub fn plastic_mm3(&self, profile: &PrintProfile) -> f64 {
        if !self.are_wanted() {
            return 0.0;
        }
        let across = self.reach_mm.map(|reach| (EAR_MM + reach) / 2.0);
        let disc = std::f64::consts::PI * across[0] * across[1];
        0.75 * disc * profile.layer_mm * self.at_mm.len() as f64
    }
}

/// The convex hull of the first layer, counterclockwise.
fn first_layer(as_printed: &Solid) -> Vec<[f64; 2]> {
    let above = Point::new(0.0, 0.0, FIRST_LAYER_MM);
    let layer = as_printed.section(&Frame::facing(above, Vector::z()));
    let frame = Frame::facing(Point::origin(), Vector::z());
    let rings = layer.iter().map(|island| island.exterior());
    let points = rings.flat_map(|ring| ring.coords().map(|c| frame.place(c.x, c.y, 0.0)));
    convex(points.map(|p| [p.x, p.y]))
}

/// The corners of a convex ring that lift: sharp, and far from its middle.
pub(crate) fn lifting(ring: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let count = ring.len();
    if count < 3 {
        return Vec::new();
    }
    let step = |k: usize| {
        let (a, b) = (ring[k % count], ring[(k + 1) % count]);
        [b[0] - a[0], b[1] - a[1]]
    };
    let length = |v: [f64; 2]| v[0].hypot(v[1]);
    let turn = |k: usize| {
        let (a, b) = (step(k + count - 1), step(k));
        let cross = a[0] * b[1] - a[1] * b[0];
        cross.atan2(a[0] * b[0] + a[1] * b[1]).abs()
    };
    let middle = centroid(ring);
    let far = |p: [f64; 2]| length([p[0] - middle[0], p[1] - middle[1]]);
    // From the end of a long side, so that no corner is begun half-way.
    let first = (0..count)
        .max_by(|&a, &b| length(step(a)).total_cmp(&length(step(b))))
        .map_or(0, |k| k + 1);
    let mut out = Vec::new();
    let mut k = first;
    while k < first + count {
        let (mut turned, mut along) = (turn(k), 0.0);
        let mut next = k + 1;
        while next < first + count && along + length(step(next - 1)) <= ROUNDED_MM {
            along += length(step(next - 1));
            turned += turn(next);
            next += 1;
        }
        let turns = |angle: f64| angle >= TURNS_DEG.to_radians();
        let sharp: Vec<usize> = (k..next).filter(|&j| turns(turn(j))).collect();
        // Rounded, the furthest point stands for all of it.
        let tip = || {
            (k..next).max_by(|&a, &b| {
                let [a, b] = [a, b].map(|j| far(ring[j % count]));
                a.total_cmp(&b)
            })
        };
        let tips = match sharp.is_empty() && turns(turned) {
            true => tip().into_iter().collect(),
            false => sharp,
        };
        let tips = tips.into_iter().map(|j| ring[j % count]);
        out.extend(tips.filter(|p| far(*p) >= FAR_MM));
        k = next;
    }
    out
}

fn centroid(ring: &[[f64; 2]]) -> [f64; 2] {
    let origin = ring[0];
    let (mut area, mut sum) = (0.0, [0.0; 2]);
    for pair in ring.windows(2).skip(1) {
        let [a, b] = [pair[0], pair[1]].map(|p| [p[0] - origin[0], p[1] - origin[1]]);
        let doubled = a[0] * b[1] - a[1] * b[0];
        area += doubled;
        for axis in 0..2 {
            sum[axis] += doubled * (a[axis] + b[axis]) / 3.0;
        }
    }
    [0, 1].map(|k| origin[k] + sum[k] / area)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn disc(radius: f64, sides: u32) -> Vec<[f64; 2]> {
        let corner = |k: u32| {
            let angle = std::f64::consts::TAU * f64::from(k) / f64::from(sides);
            [radius * angle.cos(), radius * angle.sin()]
        };
        (0..sides).map(corner).collect()
    }

    #[test]
    fn corners_of_what_is_large_lift_and_a_round_has_none() {
        let rectangle = |w: f64, d: f64| vec![[0.0, 0.0], [w, 0.0], [w, d], [0.0, d]];
        assert_eq!(lifting(&rectangle(200.0, 100.0)).len(), 4);
        assert!(lifting(&rectangle(100.0, 80.0)).is_empty());
        // The end of a strip has two.
        assert_eq!(lifting(&rectangle(200.0, 12.0)).len(), 4);
        assert!(lifting(&disc(110.0, 96)).is_empty());
        assert_eq!(lifting(&disc(110.0, 5)).len(), 5);
        assert!(lifting(&[[0.0, 0.0], [300.0, 0.0]]).is_empty());
    }

    /// Corners rounded by 6 mm are corners still; rounded by 40 they are none.
    #[test]
    fn a_rounded_corner_is_one_corner() {
        let rounded = |r: f64| {
            let centres = [
                [r, r],
                [200.0 - r, r],
                [200.0 - r, 150.0 - r],
                [r, 150.0 - r],
            ];
            let mut ring = Vec::new();
            for (quarter, [x, y]) in (2..).zip(centres) {
                for k in 0..=8 {
                    let angle =
                        (f64::from(quarter) + f64::from(k) / 8.0) * std::f64::consts::FRAC_PI_2;
                    ring.push([x + r * angle.cos(), y + r * angle.sin()]);
                }
            }
            convex(ring.into_iter())
        };
        assert_eq!(lifting(&rounded(6.0)).len(), 4);
        assert!(lifting(&rounded(40.0)).is_empty());
    }

    #[test]
    fn the_bed_has_room_for_ears_or_not() {
        let board = |w: f64, d: f64| Solid::cuboid(Point::origin(), Point::new(w, d, 18.0));
        let printer = Printer::rectangular("bed-1", 220.0, 220.0, 250.0);
        let profile = PrintProfile::default();
        let full = Ears::of(&board(215.0, 215.0), &printer);
        assert_eq!(full.at_mm.len(), 4);
        assert!(!full.are_wanted() && full.plastic_mm3(&profile) == 0.0);
        let free = Ears::of(&board(190.0, 150.0), &printer);
        assert_eq!(free.reach_mm, [EAR_MM; 2]);
        let exact = 4.0 * 0.75 * std::f64::consts::PI * 64.0 * 0.2;
        assert!((free.plastic_mm3(&profile) - exact).abs() < 1e-9);
    }
}
