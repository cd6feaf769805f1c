//! A lane: the strip of a seam in which one joint lies.

use printing::{BrokenRule, within};
use serde::de::Error;
use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// A strip along the slide that carries one joint.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(remote = "Self")]
pub struct Lane {
    /// Its middle line, along `u`.
    pub across_mm: f64,
    /// Where the tail comes in, along `v`: the wide end.
    pub from_mm: f64,
    /// Where its small end stops, along `v`.
    pub to_mm: f64,
    /// Whether the small end stops inside the material.
    pub blind: bool,
}

impl Serialize for Lane {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        Self::serialize(self, to)
    }
}

/// Numbers from outside keep the rules of those made inside.
impl<'de> Deserialize<'de> for Lane {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let read = Self::deserialize(from)?;
        read.checked().map_err(D::Error::custom)?;
        Ok(read)
    }
}

impl Lane {
    /// Checks that it runs forward, within what furniture can be long.
    ///
    /// # Errors
    ///
    /// The first number that breaks a rule, and the rule.
    pub fn checked(&self) -> Result<(), BrokenRule> {
        within("lane.across_mm", self.across_mm, -1e5, 1e5)?;
        within("lane.from_mm", self.from_mm, -1e5, 1e5)?;
        within("lane.to_mm", self.to_mm, self.from_mm + 1.0, 1e5)
    }

    /// Its length.
    pub fn run_mm(&self) -> f64 {
        self.to_mm - self.from_mm
    }
}
