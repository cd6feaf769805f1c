//! What kinds of results are recalled.

use serde::Serialize;

/// A kind of result. Two of different kinds are never taken for each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub enum Recalled {
    /// Whether a surface touches itself.
    Surface,
    /// The thinnest walls of a piece.
    Walls,
    /// Where on a move two pieces go through each other.
    Passage,
    /// What two pieces share in some position.
    Look,
    /// A picture, or all of a step.
    Picture,
}

impl Recalled {
    /// Whether results of the kind judge pieces.
    pub(crate) fn judges(self) -> bool {
        self != Self::Picture
    }
}
