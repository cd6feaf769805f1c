//! Furniture for tests and fixtures: our own models, made from numbers.
#![deny(missing_docs)]

mod furniture;
mod judged;
mod program;

pub use furniture::{bench, board, grand_table, side_table, stool, wall_shelf};
pub use judged::{Judged, split_and_judge};
pub use program::{fixture, seamwright};
