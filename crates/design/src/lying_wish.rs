//! What the maker wants of how one piece lies while it is printed.

use printing::BrokenRule;
use serde::{Deserialize, Serialize};
use solid::Vector;

use crate::side::Side;

/// What the maker wants of how one piece lies while it is printed. The piece is named
/// by a point within it, for ids may change from one plan to the next.
///
/// ```
/// use design::LyingWish;
///
/// let wish: LyingWish = toml::from_str("at_mm = [10.0, 20.0, 400.0]\nup = [0.0, 0.0, -1.0]").unwrap();
/// assert!(wish.checked().is_ok() && wish.supports.is_none());
/// ```
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LyingWish {
    /// A point within the piece, in the model's coordinates.
    pub at_mm: [f64; 3],
    /// What of the model looks up while the piece is printed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub up: Option<[f64; 3]>,
    /// Whether it may have supports; where it does not say, as all pieces may.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub supports: Option<bool>,
    /// Sides of the furniture whose faces on this piece support must not touch.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub clean: Vec<Side>,
}

impl LyingWish {
    /// What looks up, of length one.
    pub fn up(&self) -> Option<Vector> {
        self.up.map(|up| Vector::from(up).normalize())
    }

    /// Checks every number.
    ///
    /// # Errors
    ///
    /// The first that breaks a rule, and the rule.
    pub fn checked(&self) -> Result<(), BrokenRule> {
        let fail = |name, value, rule: &str| {
            Err(BrokenRule {
                name,
                value,
                rule: rule.into(),
            })
        };
        if let Some(x) = self.at_mm.iter().find(|x| !x.is_finite()) {
            return fail("wishes.lying.at_mm", *x, "it must be a number");
        }
        let length = self.up.map_or(1.0, |up| Vector::from(up).norm());
        match (1e-6..1e6).contains(&length) {
            true => Ok(()),
            false => fail(
                "wishes.lying.up",
                length,
                "its length must lie from 1e-6 to 1e6: it says only which way is up",
            ),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_way_up_without_length_is_refused() {
        let wish = |up| LyingWish {
            at_mm: [0.0; 3],
            up: Some(up),
            supports: None,
            clean: Vec::new(),
        };
        assert!(wish([0.0, 3.0, 4.0]).checked().is_ok());
        assert_eq!(
            wish([0.0, 3.0, 4.0]).up().unwrap(),
            Vector::new(0.0, 0.6, 0.8)
        );
        for up in [[0.0; 3], [f64::NAN, 0.0, 1.0], [f64::INFINITY, 0.0, 0.0]] {
            assert_eq!(wish(up).checked().unwrap_err().name, "wishes.lying.up");
        }
    }
}
