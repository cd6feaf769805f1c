//! All that a piece takes to print.

use solid::Solid;

use crate::estimate::print_estimate::{PrintEstimate, print_estimate};
use crate::lying::place::Placement;
use crate::lying::stance::Stance;
use crate::print_profile::PrintProfile;

/// All that a piece takes to print as it lies: itself, its support, its brim.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct PrintBill {
    /// The piece by itself.
    pub estimate: PrintEstimate,
    /// Plastic of its support.
    pub support_mm3: f64,
    /// Plastic of its brim, or of its ears.
    pub brim_mm3: f64,
    /// Surface that support marks.
    pub scraped_mm2: f64,
}

impl PrintBill {
    /// That of a piece which lies as it is printed, and stands so.
    ///
    /// ```
    /// use printing::{PrintBill, PrintProfile, Printer, Stance};
    /// use solid::{Point, Solid};
    ///
    /// let block = Solid::cuboid(Point::origin(), Point::new(20.0, 20.0, 10.0));
    /// let profile = PrintProfile { infill: 1.0, ..PrintProfile::default() };
    /// let printer = Printer::rectangular("bed-1", 220.0, 220.0, 250.0);
    /// let stance = Stance::of(&block, &printer, &profile);
    /// let bill = PrintBill::of(&block, &stance, &profile);
    /// assert!((bill.plastic_mm3() - 4000.0).abs() < 1e-6);
    /// // 400 s for the plastic, 8 s more for the first layer, 4 s for each of 50 layers.
    /// assert!((bill.hours(&profile) - 608.0 / 3600.0).abs() < 1e-9);
    /// ```
    pub fn of(as_printed: &Solid, stance: &Stance, profile: &PrintProfile) -> Self {
        Self {
            estimate: print_estimate(as_printed, profile),
            support_mm3: stance.support.plastic_mm3(profile),
            brim_mm3: stance.brim_mm3(profile),
            scraped_mm2: stance.support.marked_mm2(),
        }
    }

    /// That of a piece that was laid on a bed.
    pub fn placed(piece: &Solid, placement: &Placement, profile: &PrintProfile) -> Self {
        Self {
            estimate: print_estimate(&piece.moved(&placement.onto_bed), profile),
            support_mm3: profile.support_share * placement.support_mm3,
            brim_mm3: placement.brim_mm3,
            scraped_mm2: placement.scraped_mm2,
        }
    }

    /// All of the plastic.
    pub fn plastic_mm3(&self) -> f64 {
        self.estimate.plastic_mm3 + self.support_mm3 + self.brim_mm3
    }

    /// Time to lay all of it down.
    pub fn laying_s(&self, profile: &PrintProfile) -> f64 {
        self.estimate.laying_s + (self.support_mm3 + self.brim_mm3) / profile.flow_mm3_s
    }

    /// Hours to print it by itself, without what comes before its first layer.
    pub fn hours(&self, profile: &PrintProfile) -> f64 {
        let PrintEstimate {
            layers, cooling_s, ..
        } = self.estimate;
        (self.laying_s(profile) + cooling_s + profile.layer_s * layers as f64) / 3600.0
    }
}
