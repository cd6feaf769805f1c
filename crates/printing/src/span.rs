//! A value that is known only between two bounds.

use serde::{Deserialize, Deserializer, Serialize};

use crate::broken_rule::{BrokenRule, within};

/// What is known to lie between two bounds; in files `[low, high]`, or a number where the
/// two are one.
///
/// ```
/// use printing::Span;
///
/// let strength = Span::new(40.0, 60.0);
/// assert_eq!(strength.middle(), 50.0);
/// assert_eq!(Span::from(50.0), Span::new(50.0, 50.0));
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(into = "[f64; 2]")]
pub struct Span {
    /// The lower bound.
    pub low: f64,
    /// The upper bound.
    pub high: f64,
}

impl Span {
    /// Between two bounds.
    pub const fn new(low: f64, high: f64) -> Self {
        Self { low, high }
    }

    /// Half-way between them.
    pub fn middle(self) -> f64 {
        (self.low + self.high) / 2.0
    }

    /// Checks that both bounds lie within a rule's, in their order.
    ///
    /// # Errors
    ///
    /// The rule that is broken, by its name.
    pub fn checked(self, name: &'static str, least: f64, most: f64) -> Result<(), BrokenRule> {
        within(name, self.low, least, most)?;
        within(name, self.high, self.low, most)
    }
}

impl std::ops::Mul for Span {
    type Output = Self;

    /// The span of products; of values that are not negative.
    fn mul(self, other: Self) -> Self {
        Self::new(self.low * other.low, self.high * other.high)
    }
}

impl std::ops::Add for Span {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        Self::new(self.low + other.low, self.high + other.high)
    }
}

impl From<f64> for Span {
    fn from(value: f64) -> Self {
        Self::new(value, value)
    }
}

impl From<Span> for [f64; 2] {
    fn from(span: Span) -> Self {
        [span.low, span.high]
    }
}

impl std::fmt::Display for Span {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        if self.low == self.high {
            return write!(f, "{}", self.low);
        }
        write!(f, "{} to {}", self.low, self.high)
    }
}

#[derive(Deserialize)]
#[serde(untagged, expecting = "a number, or [low, high]")]
enum Written {
    One(f64),
    Two([f64; 2]),
}

impl<'de> Deserialize<'de> for Span {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        Ok(match Written::deserialize(from)? {
            Written::One(value) => Self::from(value),
            Written::Two([low, high]) => Self::new(low, high),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_is_read_as_both_bounds_and_a_pair_as_each() {
        let read = |text: &str| serde_json::from_str::<Span>(text).unwrap();
        assert_eq!(read("50"), Span::from(50.0));
        assert_eq!(read("[40, 60.5]"), Span::new(40.0, 60.5));
        assert_eq!(
            serde_json::to_string(&Span::new(1.0, 2.0)).unwrap(),
            "[1.0,2.0]"
        );
        let told = serde_json::from_str::<Span>("\"strong\"").unwrap_err();
        assert!(
            told.to_string().contains("a number, or [low, high]"),
            "{told}"
        );
    }

    #[test]
    fn bounds_in_the_wrong_order_are_refused() {
        assert!(Span::new(1.0, 2.0).checked("x", 0.0, 3.0).is_ok());
        assert!(Span::new(2.0, 1.0).checked("x", 0.0, 3.0).is_err());
        assert!(Span::new(1.0, f64::NAN).checked("x", 0.0, 3.0).is_err());
    }
}
