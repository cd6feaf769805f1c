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

    /// The word for it in plans, reports and on the command line.
    pub fn id(self) -> &'static str {
        match self {
            Self::Dovetail => "dovetail",
            Self::BracedDovetail => "braced-dovetail",
            Self::WedgeFingers => "wedge-fingers",
            Self::Tongue => "tongue",
            Self::Butterfly => "butterfly",
            Self::Tenon => "tenon",
            Self::Plain => "plain",
        }
    }

    /// Whether its halves go home in the plane of the seam rather than along
    /// its normal.
    pub fn slides(self) -> bool {
        matches!(
            self,
            Self::Dovetail | Self::BracedDovetail | Self::WedgeFingers | Self::Tongue
        )
    }

    /// Whether its shape stops the halves from being pulled apart along the
    /// seam's normal.
    pub fn locks(self) -> bool {
        matches!(
            self,
            Self::Dovetail | Self::BracedDovetail | Self::WedgeFingers | Self::Butterfly
        )
    }

    /// One of it, in a word.
    pub fn noun(self) -> &'static str {
        match self {
            Self::Dovetail => "tail",
            Self::BracedDovetail => "braced tail",
            Self::WedgeFingers => "row of fingers",
            Self::Tongue => "tongue",
            Self::Butterfly => "butterfly key",
            Self::Tenon => "tenon",
            Self::Plain => "plain face",
        }
    }

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
