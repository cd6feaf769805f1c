//! Sides of the furniture.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};
use solid::Vector;

/// A side of the furniture, by the way its faces look: `+z` is the top.
///
/// ```
/// use design::Side;
///
/// let top: Side = "+z".parse().unwrap();
/// assert_eq!(top.direction().z, 1.0);
/// assert!("up".parse::<Side>().is_err());
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Side {
    axis: u8,
    positive: bool,
}

/// A word that names no side.
#[derive(Clone, Debug, thiserror::Error, PartialEq, Eq)]
#[error("'{0}' is no side; write +x, -x, +y, -y, +z or -z")]
pub struct UnknownSide(pub String);

/// Faces within this angle of a side's direction belong to it: 45°, so that
/// each face belongs to one side.
const WITHIN: f64 = std::f64::consts::FRAC_1_SQRT_2;

impl Side {
    /// `+z`.
    pub const TOP: Self = Self {
        axis: 2,
        positive: true,
    };

    /// All six.
    pub const ALL: [Self; 6] = {
        const fn of(axis: u8, positive: bool) -> Side {
            Side { axis, positive }
        }
        [
            of(0, false),
            of(0, true),
            of(1, false),
            of(1, true),
            of(2, false),
            of(2, true),
        ]
    };

    /// The way its faces look.
    pub fn direction(self) -> Vector {
        Vector::ith(
            usize::from(self.axis),
            if self.positive { 1.0 } else { -1.0 },
        )
    }

    /// Whether a face with this normal belongs to it.
    pub fn has(self, normal: &Vector) -> bool {
        self.direction().dot(normal) > WITHIN - 1e-9
    }
}

impl fmt::Display for Side {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = if self.positive { '+' } else { '-' };
        write!(f, "{sign}{}", ["x", "y", "z"][usize::from(self.axis)])
    }
}

impl FromStr for Side {
    type Err = UnknownSide;

    fn from_str(word: &str) -> Result<Self, UnknownSide> {
        let (sign, axis) = word.trim().split_at_checked(1).unwrap_or(("", ""));
        let axis = match axis {
            "x" => 0,
            "y" => 1,
            "z" => 2,
            _ => return Err(UnknownSide(word.to_owned())),
        };
        match sign {
            "+" => Ok(Self {
                axis,
                positive: true,
            }),
            "-" => Ok(Self {
                axis,
                positive: false,
            }),
            _ => Err(UnknownSide(word.to_owned())),
        }
    }
}

impl From<Side> for String {
    fn from(side: Side) -> Self {
        side.to_string()
    }
}

impl TryFrom<String> for Side {
    type Error = UnknownSide;

    fn try_from(word: String) -> Result<Self, UnknownSide> {
        word.parse()
    }
}
