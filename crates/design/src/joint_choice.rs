//! Which joints to use, in order of preference.

use std::fmt;
use std::str::FromStr;

use joinery::{JointKind, UnknownJoint};
use serde::{Deserialize, Serialize};

/// Which joints to use, in order of preference: `auto`, or a comma list.
///
/// ```
/// use design::JointChoice;
///
/// let choice: JointChoice = "tenon,dovetail".parse().unwrap();
/// assert_eq!(choice.kinds().len(), 2);
/// assert_eq!(choice.to_string(), "tenon,dovetail");
/// ```
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct JointChoice(Vec<JointKind>);

/// What `auto` tries, in order. It also braces a dovetail whose walls are thin,
/// which only the layout can tell.
const AUTO: [JointKind; 3] = [JointKind::Dovetail, JointKind::Butterfly, JointKind::Tenon];

impl JointChoice {
    /// Some joints, in order of preference.
    pub fn of(kinds: impl IntoIterator<Item = JointKind>) -> Self {
        Self(kinds.into_iter().collect())
    }

    /// The joints to try, in order; a plain seam is what is left.
    pub fn kinds(&self) -> &[JointKind] {
        if self.0.is_empty() { &AUTO } else { &self.0 }
    }

    /// Whether the program chooses.
    pub fn is_auto(&self) -> bool {
        self.0.is_empty()
    }
}

impl fmt::Display for JointChoice {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.is_auto() {
            return f.write_str("auto");
        }
        let words: Vec<&str> = self.0.iter().map(|k| k.id()).collect();
        f.write_str(&words.join(","))
    }
}

impl FromStr for JointChoice {
    type Err = UnknownJoint;

    fn from_str(words: &str) -> Result<Self, UnknownJoint> {
        if words.trim() == "auto" {
            return Ok(Self::default());
        }
        words
            .split(',')
            .map(|w| w.trim().parse())
            .collect::<Result<_, _>>()
            .map(Self)
    }
}

impl From<JointChoice> for String {
    fn from(choice: JointChoice) -> Self {
        choice.to_string()
    }
}

impl TryFrom<String> for JointChoice {
    type Error = UnknownJoint;

    fn try_from(words: String) -> Result<Self, UnknownJoint> {
        words.parse()
    }
}
