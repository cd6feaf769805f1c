//! How well a piece prints as it lies.

use solid::Solid;

use crate::lying::ears::Ears;
use crate::lying::footing::Footing;
use crate::lying::room_on_bed::brim_room_mm;
use crate::lying::support::Support;
use crate::print_profile::PrintProfile;
use crate::printer::Printer;

/// What is less wide than so many lines holds nothing and is no brim (common practice, no
/// published source).
const LEAST_BRIM_LINES: f64 = 2.0;

/// How well a piece prints as it lies.
#[derive(Clone, Debug, PartialEq)]
pub struct Stance {
    /// What it stands on by itself.
    pub footing: Footing,
    /// Where it does not stand by itself: what it stands on with the supports that it
    /// needs on the bed anyway, and a brim about all that.
    pub helped: Option<Footing>,
    /// Whether its supports alone keep it from tipping, for it is broad on the bed.
    pub borne: bool,
    /// How wide a brim the bed has room for, along x and along y, up to that of the
    /// profile.
    pub brim_mm: [f64; 2],
    /// Where it stands by itself: the corners that lift, and ears about them.
    pub ears: Ears,
    /// What has to be printed under it.
    pub support: Support,
}

/// How a piece stands while it is printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// By itself.
    ByItself,
    /// Once its supports keep it from tipping: it is broad on the bed, and its centre is beside
    /// what it stands on, or near its edge.
    Borne,
    /// With a brim, and with the supports that it needs.
    Helped,
    /// Not at all.
    Falls,
}

impl Stance {
    /// That of a piece which lies as it is printed, its lowest point at z = 0, on a
    /// printer.
    ///
    /// ```
    /// use printing::{PrintProfile, Printer, Stance};
    /// use solid::{Point, Solid};
    ///
    /// let board = Solid::cuboid(Point::origin(), Point::new(200.0, 150.0, 18.0));
    /// let printer = Printer::rectangular("bed-1", 220.0, 220.0, 250.0);
    /// let stance = Stance::of(&board, &printer, &PrintProfile::default());
    /// assert!(stance.footing.stands());
    /// assert_eq!(stance.support.space_mm3, 0.0);
    /// ```
    pub fn of(as_printed: &Solid, printer: &Printer, profile: &PrintProfile) -> Self {
        let support = Support::under(as_printed, profile);
        let centre = as_printed
            .moments()
            .map_or(solid::Point::origin(), |m| m.centroid);
        let footing = Footing::of(as_printed, centre);
        let on_bed = &support.on_bed;
        let room_mm = brim_room_mm(as_printed, printer);
        let brim_mm = room_mm.map(|room| match room < LEAST_BRIM_LINES * profile.line_mm {
            true => 0.0,
            false => room.min(profile.brim_mm),
        });
        let helped = |brim_mm| Footing::helped(as_printed, centre, on_bed, brim_mm);
        let borne = || footing.holds() && footing.is_broad() && helped([0.0; 2]).is_held();
        Self {
            helped: (!footing.stands()).then(|| helped(brim_mm)),
            borne: !footing.stands() && borne(),
            ears: Ears::of(as_printed, printer),
            footing,
            support,
            brim_mm,
        }
    }

    /// The same where it does not stand by itself: of most pieces that is soon told.
    pub fn if_falling(
        as_printed: &Solid,
        printer: &Printer,
        profile: &PrintProfile,
    ) -> Option<Self> {
        let centre = as_printed.moments()?.centroid;
        let stands = Footing::of(as_printed, centre).stands();
        (!stands).then(|| Self::of(as_printed, printer, profile))
    }

    /// Plastic of the brim that it needs, or of its ears.
    pub fn brim_mm3(&self, profile: &PrintProfile) -> f64 {
        match self.needs_brim() {
            true => self.footing.brim_mm3(profile),
            false => self.ears.plastic_mm3(profile),
        }
    }

    /// How far what is laid about the piece reaches past it, along x and along y.
    pub fn around_mm(&self) -> [f64; 2] {
        match self.needs_brim() {
            true => self.brim_mm,
            false if self.ears.laid().is_empty() => [0.0; 2],
            false => self.ears.reach_mm,
        }
    }

    fn needs_brim(&self) -> bool {
        self.helped.is_some() && !self.borne
    }

    /// How it stands.
    pub fn standing(&self) -> Standing {
        match self.helped {
            None => Standing::ByItself,
            Some(_) if self.borne => Standing::Borne,
            Some(helped) if helped.is_held() => Standing::Helped,
            Some(_) => Standing::Falls,
        }
    }
}
