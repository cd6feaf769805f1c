//! Printers: what they can build.

use std::fmt;
use std::str::FromStr;

use crate::broken_rule::BrokenRule;
use crate::print_profile::PrintProfile;
use serde::{Deserialize, Serialize};

/// The outline of a printer's bed.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Bed {
    /// Width and depth.
    Rectangle {
        /// Along x.
        width_mm: f64,
        /// Along y.
        depth_mm: f64,
    },
    /// A round bed.
    Round {
        /// Across.
        diameter_mm: f64,
    },
}

/// A printer: what it can build, and how much of its bed's rim stays free.
///
/// ```
/// use printing::Printer;
///
/// let p: Printer = "220x220x250".parse().unwrap();
/// assert_eq!(p.usable_mm(), [216.0, 216.0, 250.0]);
/// let r: Printer = "round200x300".parse().unwrap();
/// assert_eq!(r.size_mm(), [200.0, 200.0, 300.0]);
/// assert!("0x10x10".parse::<Printer>().is_err());
/// ```
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Printer {
    /// What the cut list calls it.
    pub name: String,
    /// Its bed.
    pub bed: Bed,
    /// How high it builds.
    pub height_mm: f64,
    /// Rim of the bed that stays free.
    pub margin_mm: f64,
    /// How it prints, where that is otherwise than the plan says for all.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub print: Option<PrintProfile>,
}

/// The rim that stays free unless another is asked for.
pub const MARGIN_MM: f64 = 2.0;

/// A word that describes no bed.
#[derive(Clone, Debug, thiserror::Error, PartialEq)]
pub enum BadBed {
    /// It has another form.
    #[error(
        "'{0}' is not a bed; write WIDTHxDEPTHxHEIGHT in mm, such as 220x220x250, or roundDIAMETERxHEIGHT, such as round200x300"
    )]
    Form(String),
    /// It has no name to be told by.
    #[error(
        "the name of a printer is empty; give it the word that is to stand in the cut list, such as bed-1"
    )]
    Nameless,
    /// The rim that is to stay free is none.
    #[error("a margin of {0} mm is out of range; it must lie from 0 to 1000")]
    Margin(f64),
    /// A number of its print profile breaks a rule.
    #[error(transparent)]
    Profile(#[from] BrokenRule),
    /// A size is too small or too large to be meant.
    #[error(
        "a bed of '{word}' is out of range: {what} is {value} mm, and must lie from {low} to {high}"
    )]
    Size {
        /// The word.
        word: String,
        /// Which size.
        what: &'static str,
        /// Its value.
        value: f64,
        /// Least sensible value.
        low: f64,
        /// Greatest sensible value.
        high: f64,
    },
}

impl Printer {
    /// A printer with a rectangular bed and the usual margin.
    pub fn rectangular(name: &str, width_mm: f64, depth_mm: f64, height_mm: f64) -> Self {
        Self {
            name: name.to_owned(),
            bed: Bed::Rectangle { width_mm, depth_mm },
            height_mm,
            margin_mm: MARGIN_MM,
            print: None,
        }
    }

    /// Width, depth and height.
    pub fn size_mm(&self) -> [f64; 3] {
        match self.bed {
            Bed::Rectangle { width_mm, depth_mm } => [width_mm, depth_mm, self.height_mm],
            Bed::Round { diameter_mm } => [diameter_mm, diameter_mm, self.height_mm],
        }
    }

    /// Width, depth and height within the margin.
    pub fn usable_mm(&self) -> [f64; 3] {
        let [w, d, h] = self.size_mm();
        [w - 2.0 * self.margin_mm, d - 2.0 * self.margin_mm, h]
    }

    /// Checks the sizes, the margin and how it prints.
    ///
    /// # Errors
    ///
    /// When a size is not positive, the margin is less than nothing or leaves
    /// less than 10 mm, or a number of the profile breaks a rule.
    pub fn checked(&self) -> Result<(), BadBed> {
        if self.name.trim().is_empty() {
            return Err(BadBed::Nameless);
        }
        if !(0.0..=1000.0).contains(&self.margin_mm) {
            return Err(BadBed::Margin(self.margin_mm));
        }
        if let Some(print) = &self.print {
            print.checked()?;
        }
        let [w, d, h] = self.size_mm();
        let least = 2.0 * self.margin_mm + 10.0;
        for (what, value, low) in [
            ("the width", w, least),
            ("the depth", d, least),
            ("the height", h, 10.0),
        ] {
            if !(value >= low && value <= 20_000.0) {
                return Err(BadBed::Size {
                    word: self.to_string(),
                    what,
                    value,
                    low,
                    high: 20_000.0,
                });
            }
        }
        Ok(())
    }
}

impl fmt::Display for Printer {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.bed {
            Bed::Rectangle { width_mm, depth_mm } => {
                write!(f, "{width_mm}x{depth_mm}x{}", self.height_mm)
            }
            Bed::Round { diameter_mm } => write!(f, "round{diameter_mm}x{}", self.height_mm),
        }
    }
}

impl FromStr for Printer {
    type Err = BadBed;

    fn from_str(word: &str) -> Result<Self, BadBed> {
        let form = || BadBed::Form(word.to_owned());
        let (round, sizes) = match word.strip_prefix("round") {
            Some(rest) => (true, rest),
            None => (false, word),
        };
        let numbers: Vec<f64> = sizes
            .split(['x', 'X', '×'])
            .map(|s| {
                s.trim()
                    .parse::<f64>()
                    .ok()
                    .filter(|v| v.is_finite())
                    .ok_or_else(form)
            })
            .collect::<Result<_, _>>()?;
        let (bed, height_mm) = match (round, &numbers[..]) {
            (false, &[width_mm, depth_mm, h]) => (Bed::Rectangle { width_mm, depth_mm }, h),
            (true, &[diameter_mm, h]) => (Bed::Round { diameter_mm }, h),
            _ => return Err(form()),
        };
        let printer = Self {
            name: "bed-1".to_owned(),
            bed,
            height_mm,
            margin_mm: MARGIN_MM,
            print: None,
        };
        printer.checked()?;
        Ok(printer)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_margin_that_enlarges_the_bed_is_refused() {
        let mut printer = Printer::rectangular("bed-1", 220.0, 220.0, 250.0);
        for margin_mm in [-40.0, f64::NAN, 2000.0] {
            printer.margin_mm = margin_mm;
            assert!(
                matches!(printer.checked(), Err(BadBed::Margin(_))),
                "{margin_mm}"
            );
        }
    }

    #[test]
    fn a_wrong_print_profile_is_refused_with_its_printer() {
        let mut printer = Printer::rectangular("bed-1", 220.0, 220.0, 250.0);
        printer.print = Some(PrintProfile {
            layer_mm: 0.0,
            ..PrintProfile::default()
        });
        assert!(matches!(printer.checked(), Err(BadBed::Profile(_))));
    }
}
