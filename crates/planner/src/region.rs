use serde::{Deserialize, Serialize};

use crate::PlannedSeam;

/// A part of the model that a seam cuts.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub enum Region {
    /// All of it.
    Whole,
    /// The side of an earlier seam to which its normal points.
    Above(String),
    /// The other side.
    Below(String),
}

impl Region {
    /// One side of a seam.
    pub fn side(seam: &str, above: bool) -> Self {
        if above {
            Self::Above(seam.to_owned())
        } else {
            Self::Below(seam.to_owned())
        }
    }

    /// The seam of which it is a side, and whether it lies above; `None` of the
    /// whole.
    pub fn seam(&self) -> Option<(&str, bool)> {
        match self {
            Self::Whole => None,
            Self::Above(seam) => Some((seam, true)),
            Self::Below(seam) => Some((seam, false)),
        }
    }

    /// The same with seams called otherwise.
    pub fn renamed(&self, name: impl Fn(&str) -> String) -> Self {
        match self.seam() {
            None => Self::Whole,
            Some((seam, above)) => Self::side(&name(seam), above),
        }
    }

    /// The seams that bound it, each with whether it lies above, the last that
    /// was made first.
    ///
    /// ```
    /// use planner::{PlannedSeam, Region};
    ///
    /// let x = [1.0, 0.0, 0.0];
    /// let seams = [
    ///     PlannedSeam::at("S1", Region::Whole, x, 300.0),
    ///     PlannedSeam::at("S2", Region::side("S1", false), x, 150.0),
    /// ];
    /// let between = Region::side("S2", true);
    /// let way: Vec<(&str, bool)> = between
    ///     .way_up(&seams)
    ///     .map(|(seam, above)| (seam.id.as_str(), above))
    ///     .collect();
    /// assert_eq!(way, [("S2", true), ("S1", false)]);
    /// ```
    pub fn way_up<'a>(
        &'a self,
        seams: &'a [PlannedSeam],
    ) -> impl Iterator<Item = (&'a PlannedSeam, bool)> {
        let step = |region: &'a Self| {
            let (id, above) = region.seam()?;
            Some((seams.iter().find(|s| s.id == id)?, above))
        };
        std::iter::successors(step(self), move |(seam, _)| step(&seam.cuts))
    }
}

impl From<Region> for String {
    fn from(region: Region) -> Self {
        match region.seam() {
            None => "whole".to_owned(),
            Some((seam, true)) => format!("{seam} above"),
            Some((seam, false)) => format!("{seam} below"),
        }
    }
}

impl TryFrom<String> for Region {
    type Error = String;

    fn try_from(word: String) -> Result<Self, String> {
        match word.split_whitespace().collect::<Vec<_>>()[..] {
            ["whole"] => Ok(Self::Whole),
            [seam, "above"] => Ok(Self::Above(seam.to_owned())),
            [seam, "below"] => Ok(Self::Below(seam.to_owned())),
            _ => Err(format!(
                "'{word}' is no region; write 'whole', 'S1 above' or 'S1 below'"
            )),
        }
    }
}
