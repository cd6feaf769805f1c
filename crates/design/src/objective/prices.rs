//! What a search counts a plan by, derived from the maker's rates.

use printing::PrintPrice;

use crate::settings::Settings;

/// What a plan's pieces and seams cost a search, in minutes of work. Shares of a
/// maker's rates are our choice, measured on the fixtures.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Prices {
    /// Each piece.
    pub piece: f64,
    /// Hours and plastic of a print.
    pub print: PrintPrice,
    /// The share of a print that each of its hours spoils; the piece is to be started
    /// again then.
    pub spoilt: f64,
    /// The share of a print that is spoilt for each unit of slenderness above what
    /// stands steady on the bed.
    pub wobble: f64,
    /// How many times what support takes is counted: its plastic, its hours, what is to
    /// be scraped.
    pub support: f64,
    /// A piece that stands on none of its sides while it is printed.
    pub footing: f64,
    /// A piece so thin or short that it is a sliver.
    pub sliver: f64,
    /// A side of a piece that is held by keys because the bed has no room for tails
    /// there.
    pub keyed: f64,
    /// What each piece saves that has the shape of another.
    pub alike: f64,
    /// Each seam.
    pub seam: f64,
    /// A seam none of whose section has material a joint deep on both sides.
    pub unsound: f64,
    /// A seam none of whose sound section is wide enough for a joint.
    pub roomless: f64,
    /// A seam that can bear nothing: the estimates of joints grow with the section that
    /// has room for them, and half of this is left at 400 mm².
    pub weak: f64,
    /// A seam none of whose section has material 24 mm behind it on both sides: it runs
    /// along a board, or close to where something ends.
    pub shallow: f64,
    /// A seam with 100 mm of feather edge: where it meets the surface at less than 20°,
    /// one side of it is too thin to print.
    pub feather: f64,
    /// 100 mm of a seam's line on a hidden side.
    pub shown: f64,
    /// 1,000 mm² of a seam that rip a rail, a leg or a ring along its length: what is less than
    /// 24 mm thick on either side of it.
    pub ripped: f64,
    /// A seam flush with the face of a panel, in which what ends on it is housed.
    pub housed: f64,
    /// A seam in the middle of the model's length, where bending is greatest; less
    /// towards the ends.
    pub mid_span: f64,
    /// Two seams that end on a third from its two sides at one place.
    pub four_corners: f64,
    /// What each seam saves that lies in line with another or where another lies in the
    /// mirror.
    pub aligned: f64,
}

/// What it costs that a piece falls over while it is printed, in pieces: its print is
/// lost, and the next is too.
const FALLS: f64 = 3.0;
/// What a sliver costs, in pieces: it is easily lost and easily broken.
const SLIVER: f64 = 0.4;
/// The share of a print that each unit of slenderness puts at risk.
const WOBBLE: f64 = 0.1;
/// Shares of what a seam costs that can bear nothing.
const ROOMLESS: f64 = 0.4;
const WEAK: f64 = 1.0 / 60.0;
const SHALLOW: f64 = 1.0 / 6.0;
const FEATHER: f64 = 5.0 / 3.0;
const RIPPED: f64 = 1.0 / 9.0;
const HOUSED: f64 = 1.0 / 30.0;
const MID_SPAN: f64 = 1.0 / 150.0;

impl Prices {
    /// Those of some settings.
    ///
    /// ```
    /// use design::{Prices, Settings};
    ///
    /// let settings = Settings::default();
    /// assert_eq!(Prices::of(&settings).piece, settings.rates.piece_min);
    /// ```
    #[must_use]
    pub fn of(settings: &Settings) -> Self {
        let rates = &settings.rates;
        Self {
            piece: rates.piece_min,
            print: rates.of_print(settings.material.density_g_cm3),
            spoilt: rates.spoilt_per_hour,
            wobble: WOBBLE,
            support: 1.0,
            footing: FALLS * rates.piece_min,
            sliver: SLIVER * rates.piece_min,
            keyed: rates.key_min,
            alike: rates.alike_min,
            seam: rates.seam_min,
            unsound: rates.weak_min,
            roomless: ROOMLESS * rates.weak_min,
            weak: WEAK * rates.weak_min,
            shallow: SHALLOW * rates.weak_min,
            feather: FEATHER * rates.weak_min,
            shown: rates.shown_min,
            ripped: RIPPED * rates.weak_min,
            housed: HOUSED * rates.weak_min,
            mid_span: MID_SPAN * rates.weak_min,
            four_corners: rates.four_corners_min,
            aligned: rates.aligned_min,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::objective::rates::Rates;

    /// What a search counts changes with every rate that a maker can set.
    #[test]
    fn every_rate_has_its_price() {
        let given = Settings::default();
        let rates: [fn(&mut Rates) -> &mut f64; 11] = [
            |r| &mut r.print_hour_min,
            |r| &mut r.gram_min,
            |r| &mut r.piece_min,
            |r| &mut r.seam_min,
            |r| &mut r.key_min,
            |r| &mut r.weak_min,
            |r| &mut r.shown_min,
            |r| &mut r.four_corners_min,
            |r| &mut r.alike_min,
            |r| &mut r.aligned_min,
            |r| &mut r.spoilt_per_hour,
        ];
        for (k, rate) in rates.into_iter().enumerate() {
            let mut other = given.clone();
            *rate(&mut other.rates) *= 2.0;
            assert!(other.checked().is_ok());
            assert_ne!(Prices::of(&other), Prices::of(&given), "rate {k}");
        }
    }

    #[test]
    fn a_denser_plastic_costs_more() {
        let mut other = Settings::default();
        other.material.density_g_cm3 *= 2.0;
        let price = |s: &Settings| Prices::of(s).print.cm3_min;
        assert_eq!(price(&other), 2.0 * price(&Settings::default()));
    }
}
