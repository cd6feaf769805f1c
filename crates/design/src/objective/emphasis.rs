//! How a search bends the weights that were given, and what a plan says of it.

use serde::{Deserialize, Serialize};

use crate::objective::weights::Weights;

/// What a search cares more or less about than the settings say. Every place
/// where given weights are overridden is one of these.
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
/// What a litre of support costs where there is to be none.
const UNSUPPORTED: f64 = 100.0;
/// What a side with keys costs where they come last.
const KEYS_LAST: f64 = 100.0;
/// What standing a board on its edge weighs where seams are to be tilted.
const LIE_DOWN: f64 = 2.0;

impl Emphasis {
    /// The weights that a search with this emphasis goes by.
    ///
    /// ```
    /// use design::{Emphasis, Weights};
    ///
    /// let given = Weights::default();
    /// assert_eq!(Emphasis::Given.on(given), given);
    /// assert_eq!(Emphasis::Unstaggered.on(given).four_corners, 0.0);
    /// ```
    #[must_use]
    pub fn on(self, given: Weights) -> Weights {
        match self {
            Self::Given => given,
            Self::Unstaggered => Weights {
                four_corners: 0.0,
                ..given
            },
            Self::KeysLast => Weights {
                keyed: KEYS_LAST,
                ..given
            },
            Self::LyingDown => Weights {
                wobble: LIE_DOWN,
                ..given
            },
            Self::Standing => Weights {
                footing: STANDING * given.footing,
                ..given
            },
            Self::Unsupported => Weights {
                support: UNSUPPORTED,
                ..given
            },
            Self::RoughParts => Weights {
                wobble: 0.0,
                support: 0.0,
                footing: 0.0,
                print_hour: 0.0,
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
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_emphasis_bends_only_what_it_names() {
        let given = Weights::default();
        let keys = Emphasis::KeysLast.on(given);
        assert_eq!(
            keys,
            Weights {
                keyed: 100.0,
                ..given
            }
        );
        let down = Emphasis::LyingDown.on(given);
        assert_eq!(
            down,
            Weights {
                wobble: 2.0,
                ..given
            }
        );
        let rough = Emphasis::RoughParts.on(given);
        assert_eq!(
            (rough.wobble, rough.support, rough.print_hour),
            (0.0, 0.0, 0.0)
        );
        assert_eq!(rough.footing, 0.0);
        assert_eq!(
            Emphasis::Standing.on(given),
            Weights {
                footing: 12.0,
                ..given
            }
        );
        assert_eq!(rough.seam, given.seam);
    }
}
