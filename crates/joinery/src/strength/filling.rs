//! What of a section is plastic as it is printed.

use printing::PrintProfile;

/// How the sections of a piece are printed: lines of wall, or solid layers, in a casing
/// along their outline, and inside it a share.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Filling {
    /// Width of the casing, which is printed solid.
    pub casing_mm: f64,
    /// Share of the inside that is filled.
    pub infill: f64,
}

/// How the strength of an infill goes with its density: as the density itself where its
/// lines are stretched, and as this power of it where they are bent (Gibson & Ashby 1997,
/// *Cellular Solids*, open cells).
const BENT: f64 = 1.5;

impl Filling {
    /// Solid all through.
    pub const SOLID: Self = Self {
        casing_mm: 0.0,
        infill: 1.0,
    };

    /// What both fillings have.
    pub fn least(self, other: Self) -> Self {
        Self {
            casing_mm: self.casing_mm.min(other.casing_mm),
            infill: self.infill.min(other.infill),
        }
    }

    /// What the inside bears of what it would bear solid, at the least and at the most.
    fn inside(&self) -> [f64; 2] {
        [self.infill.powf(BENT), self.infill]
    }

    /// Which share of the strength of a solid rectangle one printed so bears in tension or
    /// shear, at the least and at the most.
    ///
    /// ```
    /// use joinery::capacity::Filling;
    ///
    /// let printed = Filling { casing_mm: 1.0, infill: 0.25 };
    /// // Of 100 mm² 36 are casing.
    /// let [least, most] = printed.of_area(10.0, 10.0);
    /// assert!((least - 0.36 - 0.64 * 0.125).abs() < 1e-12);
    /// assert!((most - 0.36 - 0.64 * 0.25).abs() < 1e-12);
    /// assert_eq!(Filling::SOLID.of_area(10.0, 10.0), [1.0, 1.0]);
    /// ```
    pub fn of_area(&self, wide_mm: f64, high_mm: f64) -> [f64; 2] {
        let within = |mm: f64| (mm - 2.0 * self.casing_mm).max(0.0) / mm.max(1e-9);
        let core = within(wide_mm) * within(high_mm);
        self.inside().map(|inside| 1.0 - core * (1.0 - inside))
    }

    /// The same in bending across `thick_mm`: the section modulus of a rectangle less that
    /// of what is hollow within.
    pub fn of_bending(&self, wide_mm: f64, thick_mm: f64) -> [f64; 2] {
        let within = |mm: f64| (mm - 2.0 * self.casing_mm).max(0.0) / mm.max(1e-9);
        let core = within(wide_mm) * within(thick_mm).powi(3);
        self.inside().map(|inside| 1.0 - core * (1.0 - inside))
    }
}

impl From<&PrintProfile> for Filling {
    fn from(profile: &PrintProfile) -> Self {
        Self {
            casing_mm: f64::from(profile.walls) * profile.line_mm,
            infill: profile.infill,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_thinner_than_two_casings_is_solid() {
        let printed = Filling {
            casing_mm: 1.8,
            infill: 0.25,
        };
        assert_eq!(printed.of_area(3.5, 18.0), [1.0, 1.0]);
        assert_eq!(printed.of_bending(18.0, 3.5), [1.0, 1.0]);
        let [low, high] = printed.of_area(10.0, 18.0);
        assert!(low < high && high < 1.0);
        // The middle of a beam bears little.
        assert!(printed.of_bending(18.0, 10.0)[0] > low);
    }
}
