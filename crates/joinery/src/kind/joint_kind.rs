//! The joints by name.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};

/// A joint that the program can make, or none.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum JointKind {
    /// Tapered sliding dovetails.
    Dovetail,
    /// Dovetails whose neighbours carry small tails the other way.
    BracedDovetail,
    /// Interleaved round-ended tapered fingers.
    WedgeFingers,
    /// Tongue and groove: locates, does not lock.
    Tongue,
    /// A double-dovetail key, printed apart and dropped in along the seam once
    /// the halves have met.
    Butterfly,
    /// Tapered mortise and tenon, pushed in along the seam's normal.
    Tenon,
    /// Flat faces that meet; nothing holds them.
    Plain,
}

/// A word that names no joint.
#[derive(Clone, Debug, thiserror::Error, PartialEq, Eq)]
#[error("'{0}' is not a joint; use one of: {names}", names = JointKind::names())]
pub struct UnknownJoint(pub String);

impl JointKind {
    /// Every joint, the preferred first.
    pub const ALL: [Self; 7] = [
        Self::Dovetail,
        Self::BracedDovetail,
        Self::WedgeFingers,
        Self::Tongue,
        Self::Butterfly,
        Self::Tenon,
        Self::Plain,
    ];

    fn names() -> String {
        Self::ALL.map(Self::id).join(", ")
    }
}

impl fmt::Display for JointKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.id())
    }
}

impl FromStr for JointKind {
    type Err = UnknownJoint;

    fn from_str(word: &str) -> Result<Self, UnknownJoint> {
        Self::ALL
            .into_iter()
            .find(|kind| kind.id() == word)
            .ok_or_else(|| UnknownJoint(word.to_owned()))
    }
}
