//! How a search bends the prices of the settings, and what a plan says of it.

use serde::{Deserialize, Serialize};

use crate::objective::prices::Prices;

/// What a search cares more or less about than the settings say. Every place
/// where given prices are overridden is one of these.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Emphasis {
    /// As given.
    #[default]
    Given,
    /// Seams need not be staggered: four corners may meet.
    Unstaggered,
    /// Keys only where nothing else is possible: more than plans differ by.
    KeysLast,
    /// Boards lie down: where seams are tilted, what has a tilted end cannot
    /// stand on it.
    LyingDown,
    /// Pieces that do not stand while they are printed cost many times as much.
    Standing,
    /// Support costs more than plans differ by otherwise.
    Unsupported,
    /// How a part lies says nothing yet: it is cut further.
    RoughParts,
}

/// How many times as much what does not stand costs where that matters most.
const STANDING: f64 = 4.0;
/// How many times support is counted where there is to be none.
const UNSUPPORTED: f64 = 100.0;
/// What a side with keys costs where they come last.
const KEYS_LAST: f64 = 3000.0;
/// The share of a print that each unit of slenderness spoils where seams are to be
/// tilted.
const LIE_DOWN: f64 = 6.0;

impl Emphasis {
    /// The prices that a search with this emphasis goes by.
    ///
    /// ```
    /// use design::{Emphasis, Prices, Settings};
    ///
    /// let given = Prices::of(&Settings::default());
    /// assert_eq!(Emphasis::Given.on(given), given);
    /// assert_eq!(Emphasis::Unstaggered.on(given).four_corners, 0.0);
    /// ```
    #[must_use]
    pub fn on(self, given: Prices) -> Prices {
        match self {
            Self::Given => given,
            Self::Unstaggered => Prices {
                four_corners: 0.0,
                ..given
            },
            Self::KeysLast => Prices {
                keyed: KEYS_LAST,
                ..given
            },
            Self::LyingDown => Prices {
                wobble: LIE_DOWN,
                ..given
            },
            Self::Standing => Prices {
                footing: STANDING * given.footing,
                ..given
            },
            Self::Unsupported => Prices {
                support: UNSUPPORTED,
                ..given
            },
            Self::RoughParts => Prices {
                wobble: 0.0,
                support: 0.0,
                footing: 0.0,
                spoilt: 0.0,
                ..given
            },
        }
    }
}

/// How a plan was found: of the plans that a run tried, the one that it took.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Found {
    /// What the search cared about.
    pub emphasis: Emphasis,
    /// By how much beds counted as smaller, because pieces with their joints had
    /// not fitted before.
    pub less_room_mm: f64,
    /// Boxes about joints that had found no room before, by two corners: no seam
    /// was to go through them.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub keep_out_mm: Vec<[[f64; 3]; 2]>,
    /// Whether the model was parted where its boards and legs meet.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub by_members: bool,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::settings::Settings;

    #[test]
    fn each_emphasis_bends_only_what_it_names() {
        let given = Prices::of(&Settings::default());
        let keyed = KEYS_LAST;
        assert_eq!(Emphasis::KeysLast.on(given), Prices { keyed, ..given });
        let wobble = LIE_DOWN;
        assert_eq!(Emphasis::LyingDown.on(given), Prices { wobble, ..given });
        let footing = 4.0 * given.footing;
        assert_eq!(Emphasis::Standing.on(given), Prices { footing, ..given });
        let support = UNSUPPORTED;
        assert_eq!(Emphasis::Unsupported.on(given), Prices { support, ..given });
        let rough = Emphasis::RoughParts.on(given);
        assert_eq!((rough.wobble, rough.support), (0.0, 0.0));
        assert_eq!((rough.spoilt, rough.footing), (0.0, 0.0));
        assert_eq!(rough.seam, given.seam);
    }
}
