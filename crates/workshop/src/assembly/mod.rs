//! Which pieces are alike, who prints them, and in which order they go together.

pub(crate) mod asked;
pub(crate) mod congruent;
pub(crate) mod home;
pub(crate) mod printers;
pub(crate) mod steps;
pub(crate) mod ways;
