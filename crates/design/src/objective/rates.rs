//! What a maker's plan costs: the rates that turn print and plastic, pieces and seams
//! into one number.

use std::collections::BTreeMap;

use printing::{BrokenRule, PrintPrice, within};
use serde::{Deserialize, Serialize};

/// What things cost, in minutes of the maker's work: the plan with the lowest sum is
/// taken. The defaults are our choice, without a source; `docs/planning.md` argues them.
///
/// ```
/// use design::Rates;
///
/// let rates = Rates::default();
/// assert!(rates.piece_min > 10.0 * rates.print_hour_min);
/// assert!(rates.checked().is_ok());
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Rates {
    /// An hour of a printer: its wear, its power, the wait.
    pub print_hour_min: f64,
    /// A gram of plastic.
    pub gram_min: f64,
    /// A piece: starting its print, taking it off the bed, cleaning, marking, trying it
    /// in its place.
    pub piece_min: f64,
    /// A seam: sliding it home.
    pub seam_min: f64,
    /// A key, or all keys of a contact for whose tails the bed has no room.
    pub key_min: f64,
    /// A seam that can bear nothing; one that runs along a board, is too narrow for
    /// joints or lies where bending is greatest costs a share of it.
    pub weak_min: f64,
    /// A hundred millimetres of a seam's line on a side that is hidden.
    pub shown_min: f64,
    /// Two seams that end on a third from its two sides at one place, so that four
    /// corners meet; twice where they end within 15 mm of each other.
    pub four_corners_min: f64,
    /// What each piece saves that has the shape of another.
    pub alike_min: f64,
    /// What each seam saves that lies in line with another, or where another lies in the
    /// mirror.
    pub aligned_min: f64,
    /// The share of prints that each of their hours spoils.
    pub spoilt_per_hour: f64,
}

impl Default for Rates {
    fn default() -> Self {
        Self {
            print_hour_min: PrintPrice::default().hour_min,
            gram_min: 0.08,
            piece_min: 30.0,
            seam_min: 2.0,
            key_min: 8.0,
            weak_min: 90.0,
            shown_min: 2.0,
            four_corners_min: 6.0,
            alike_min: 1.5,
            aligned_min: 1.0,
            spoilt_per_hour: 0.005,
        }
    }
}

impl Rates {
    /// What a print costs in a plastic of some density.
    pub fn of_print(&self, density_g_cm3: f64) -> PrintPrice {
        PrintPrice {
            hour_min: self.print_hour_min,
            cm3_min: self.gram_min * density_g_cm3,
        }
    }

    /// Checks that every rate is a number in a range that can be meant.
    ///
    /// # Errors
    ///
    /// The first that is not.
    pub fn checked(&self) -> Result<(), BrokenRule> {
        let Self {
            print_hour_min,
            gram_min,
            piece_min,
            seam_min,
            key_min,
            weak_min,
            shown_min,
            four_corners_min,
            alike_min,
            aligned_min,
            spoilt_per_hour,
        } = *self;
        for (name, value) in [
            ("rates.print_hour_min", print_hour_min),
            ("rates.gram_min", gram_min),
            ("rates.piece_min", piece_min),
            ("rates.seam_min", seam_min),
            ("rates.key_min", key_min),
            ("rates.weak_min", weak_min),
            ("rates.shown_min", shown_min),
            ("rates.four_corners_min", four_corners_min),
            ("rates.alike_min", alike_min),
            ("rates.aligned_min", aligned_min),
        ] {
            within(name, value, 0.0, 10_000.0)?;
        }
        within("rates.spoilt_per_hour", spoilt_per_hour, 0.0, 1.0)
    }
}

/// The weights that plans of earlier versions have, by name: read, and not used.
pub type FormerWeights = BTreeMap<String, f64>;
