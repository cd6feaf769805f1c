//! What weight does to a seam: how it is closed so that weight seats it.

pub(crate) mod bearing;
pub(crate) mod foot;
pub(crate) mod held_share;
pub(crate) mod run_within;
pub(crate) mod seating;
