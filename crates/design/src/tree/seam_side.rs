//! The two sides of a seam.

use joinery::Half;
use serde::{Deserialize, Serialize};

/// A side of a seam: that to which its normal points, or the other.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum SeamSide {
    /// Away from the normal.
    Below,
    /// Where the normal points.
    Above,
}

impl SeamSide {
    /// Both, below first: the order of every pair `[below, above]`.
    pub const BOTH: [Self; 2] = [Self::Below, Self::Above];

    /// Its place in a pair `[below, above]`.
    pub const fn place(self) -> usize {
        match self {
            Self::Below => 0,
            Self::Above => 1,
        }
    }

    /// The other side.
    #[must_use]
    pub const fn other(self) -> Self {
        match self {
            Self::Below => Self::Above,
            Self::Above => Self::Below,
        }
    }

    /// The side on which something of this height over the plane lies.
    pub fn of_height(height_mm: f64) -> Self {
        if height_mm > 0.0 {
            Self::Above
        } else {
            Self::Below
        }
    }

    /// 1 along the normal, out of what lies below; -1 the other way.
    pub const fn out(self) -> f64 {
        match self {
            Self::Below => 1.0,
            Self::Above => -1.0,
        }
    }

    /// Which half of a joint lies on this side where the tails are carried on
    /// `tails_on`.
    ///
    /// ```
    /// use design::SeamSide::{Above, Below};
    /// use joinery::Half;
    ///
    /// assert_eq!(Below.half(Below), Half::Tails);
    /// assert_eq!(Above.half(Below), Half::Sockets);
    /// ```
    pub fn half(self, tails_on: Self) -> Half {
        if self == tails_on {
            Half::Tails
        } else {
            Half::Sockets
        }
    }

    /// The side on which a half of a joint lies where the tails are carried on
    /// `tails_on`; a key lies on neither.
    pub fn of_half(half: Half, tails_on: Self) -> Option<Self> {
        match half {
            Half::Tails => Some(tails_on),
            Half::Sockets => Some(tails_on.other()),
            Half::Key => None,
        }
    }

    /// In a word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Below => "below",
            Self::Above => "above",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_half_lies_on_the_side_that_has_it() {
        for tails_on in SeamSide::BOTH {
            for side in SeamSide::BOTH {
                assert_eq!(SeamSide::of_half(side.half(tails_on), tails_on), Some(side));
                assert_ne!(side.half(tails_on), side.other().half(tails_on));
            }
            assert_eq!(SeamSide::of_half(Half::Key, tails_on), None);
        }
    }
}
