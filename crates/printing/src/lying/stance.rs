//! How well a piece prints as it lies.

use solid::Solid;

use crate::lying::footing::Footing;
use crate::lying::support::Support;
use crate::print_profile::PrintProfile;

/// How well a piece prints as it lies.
#[derive(Clone, Debug, PartialEq)]
pub struct Stance {
    /// What it stands on by itself.
    pub footing: Footing,
    /// What it stands on with a brim about its first layer and the supports that it
    /// needs on the bed anyway.
    pub helped: Footing,
    /// What has to be printed under it.
    pub support: Support,
}

/// How a piece stands while it is printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// By itself.
    ByItself,
    /// With a brim, and with the supports that it needs.
    Helped,
    /// Not at all.
    Falls,
}

impl Stance {
    /// That of a piece which lies as it is printed, its lowest point at z = 0.
    ///
    /// ```
    /// use printing::{PrintProfile, Stance};
    /// use solid::{Point, Solid};
    ///
    /// let board = Solid::cuboid(Point::origin(), Point::new(200.0, 150.0, 18.0));
    /// let stance = Stance::of(&board, &PrintProfile::default());
    /// assert!(stance.footing.stands());
    /// assert_eq!(stance.support.space_mm3, 0.0);
    /// ```
    pub fn of(as_printed: &Solid, profile: &PrintProfile) -> Self {
        let support = Support::under(as_printed, profile);
        let centre = as_printed
            .moments()
            .map_or(solid::Point::origin(), |m| m.centroid);
        let footing = Footing::of(as_printed, centre, &[]);
        Self {
            helped: Footing::with_brim(as_printed, centre, &support.on_bed, profile.brim_mm),
            footing,
            support,
        }
    }

    /// How it stands.
    pub fn standing(&self) -> Standing {
        match (self.footing.stands(), self.helped.stands()) {
            (true, _) => Standing::ByItself,
            (false, true) => Standing::Helped,
            (false, false) => Standing::Falls,
        }
    }
}
