//! Corners that lift from the bed while plastic cools, and the ears that hold them down.

use solid::{Frame, Point, Solid, Vector};

use crate::lying::corners::lifting;
use crate::lying::flat_fit::convex;
use crate::lying::footing::{FIRST_LAYER_MM, Footing};
use crate::lying::room_on_bed::brim_room_mm;
use crate::print_profile::PrintProfile;
use crate::printer::Printer;

/// An ear is a disc of this radius, one layer high, about a corner of the first layer (common
/// practice, no published source).
pub const EAR_MM: f64 = 8.0;
/// An ear that reaches no further past the corner holds nothing.
pub const LEAST_EAR_REACH_MM: f64 = 3.0;

/// The corners of a first layer that lift, and how far an ear about each may reach.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Ears {
    /// Where they are on the bed.
    pub at_mm: Vec<[f64; 2]>,
    /// How far past them the bed has room along x and along y, up to the radius of an ear.
    pub reach_mm: [f64; 2],
}

impl Ears {
    /// Those of a piece that lies as it is printed, its lowest point at z = 0; none where it
    /// stands only with a brim, or not at all.
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
        let centre = as_printed.moments().map(|m| m.centroid);
        if !centre.is_some_and(|at| Footing::of(as_printed, at).stands()) {
            return Self::default();
        }
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

#[cfg(test)]
mod tests {
    use super::*;

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
