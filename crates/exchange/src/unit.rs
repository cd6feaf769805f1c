//! Units of length.

use std::str::FromStr;

use serde::{Deserialize, Serialize};

/// The length that a number in a model file stands for.
///
/// ```
/// use exchange::LengthUnit;
///
/// let unit: LengthUnit = "in".parse().unwrap();
/// assert_eq!(unit.in_mm(), 25.4);
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "String", into = "&'static str")]
pub enum LengthUnit {
    /// Millimetre.
    #[default]
    Millimetre,
    /// Centimetre.
    Centimetre,
    /// Metre.
    Metre,
    /// Inch: 25.4 mm exactly (ISO 80000-3).
    Inch,
}

/// A word that names no unit.
#[derive(Clone, Debug, thiserror::Error, PartialEq, Eq)]
#[error("'{0}' is not a unit; use mm, cm, m or in")]
pub struct UnknownUnit(pub String);

impl LengthUnit {
    /// Its length in millimetres.
    pub fn in_mm(self) -> f64 {
        match self {
            Self::Millimetre => 1.0,
            Self::Centimetre => 10.0,
            Self::Metre => 1000.0,
            Self::Inch => 25.4,
        }
    }

    /// Its usual sign.
    pub fn sign(self) -> &'static str {
        match self {
            Self::Millimetre => "mm",
            Self::Centimetre => "cm",
            Self::Metre => "m",
            Self::Inch => "in",
        }
    }
}

impl FromStr for LengthUnit {
    type Err = UnknownUnit;

    fn from_str(word: &str) -> Result<Self, UnknownUnit> {
        [Self::Millimetre, Self::Centimetre, Self::Metre, Self::Inch]
            .into_iter()
            .find(|unit| unit.sign() == word)
            .ok_or_else(|| UnknownUnit(word.to_owned()))
    }
}

impl From<LengthUnit> for &'static str {
    fn from(unit: LengthUnit) -> Self {
        unit.sign()
    }
}

impl TryFrom<String> for LengthUnit {
    type Error = UnknownUnit;

    fn try_from(word: String) -> Result<Self, UnknownUnit> {
        word.parse()
    }
}
