//! What a re-split made of the pieces of the split before.

use serde::{Deserialize, Serialize};

use crate::ids::PieceId;

/// What a re-split made of the pieces of the split before.
///
/// ```
/// let nothing = design::ResplitEntry::default();
/// assert_eq!(nothing.rows()[0], ("printed, kept", &[][..]));
/// ```
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct ResplitEntry {
    /// Printed, and as they were.
    pub printed: Vec<PieceId>,
    /// Not printed, and as they were.
    pub kept: Vec<PieceId>,
    /// Mostly what they were, but not the same: print them anew.
    pub changed: Vec<PieceId>,
    /// Not there any more.
    pub gone: Vec<PieceId>,
    /// Not there before.
    pub new: Vec<PieceId>,
}

impl ResplitEntry {
    /// Its rows, each with what it says of the pieces.
    pub fn rows(&self) -> [(&'static str, &[PieceId]); 5] {
        [
            ("printed, kept", &self.printed),
            ("kept", &self.kept),
            ("changed", &self.changed),
            ("gone", &self.gone),
            ("new", &self.new),
        ]
    }
}
