//! Corners that lift from the bed while plastic cools, and the ears that hold them down.

use solid::Solid;

use crate::lying::corners::lifting;
use crate::lying::footing::{Footing, hull_on_bed};
use crate::lying::room_on_bed::brim_room_mm;
use crate::print_profile::PrintProfile;
use crate::printer::Printer;

/// An ear is a disc of this radius, one layer high, about a corner of the first layer (common
/// practice, no published source).
pub const EAR_MM: f64 = 8.0;
/// An ear that reaches no further past the corner holds nothing.
const LEAST_REACH_MM: f64 = 3.0;

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
            at_mm: lifting(&hull_on_bed(as_printed)),
            reach_mm: room.map(|mm| mm.clamp(0.0, EAR_MM)),
        }
    }

    /// The corners about which the bed has room for an ear.
    pub fn laid(&self) -> &[[f64; 2]] {
        match self.reach_mm[0].max(self.reach_mm[1]) >= LEAST_REACH_MM {
            true => &self.at_mm,
            false => &[],
        }
    }

    /// Plastic of all of them: of each the three quarters that a square corner leaves, as far
    /// as the bed has room.
    pub fn plastic_mm3(&self, profile: &PrintProfile) -> f64 {
        let across = self.reach_mm.map(|reach| (EAR_MM + reach) / 2.0);
        let disc = std::f64::consts::PI * across[0] * across[1];
        0.75 * disc * profile.layer_mm * self.laid().len() as f64
    }
}

#[cfg(test)]
mod tests {
    use solid::Point;

    use super::*;

    #[test]
    fn the_bed_has_room_for_ears_or_not() {
        let board = |w: f64, d: f64| Solid::cuboid(Point::origin(), Point::new(w, d, 18.0));
        let printer = Printer::rectangular("bed-1", 220.0, 220.0, 250.0);
        let profile = PrintProfile::default();
        let full = Ears::of(&board(215.0, 215.0), &printer);
        assert_eq!(full.at_mm.len(), 4);
        assert!(full.laid().is_empty() && full.plastic_mm3(&profile) == 0.0);
        let free = Ears::of(&board(190.0, 150.0), &printer);
        assert_eq!(free.reach_mm, [EAR_MM; 2]);
        let exact = 4.0 * 0.75 * std::f64::consts::PI * 64.0 * 0.2;
        assert!((free.plastic_mm3(&profile) - exact).abs() < 1e-9);
    }
}
