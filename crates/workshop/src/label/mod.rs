//! Ids and ways home, engraved.

pub(crate) mod engrave;
pub(crate) mod groove;
pub(crate) mod room;
pub(crate) mod unmarked;
