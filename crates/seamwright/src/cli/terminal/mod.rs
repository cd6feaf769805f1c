//! How a run is told on a terminal.

pub(super) mod progress;
pub(super) mod table;
pub(super) mod wrapped;
