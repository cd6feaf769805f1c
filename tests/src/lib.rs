//! Furniture for tests and fixtures: our own models, made from numbers.
#![deny(missing_docs)]

mod bars;
mod furniture;
mod judged;
mod program;

pub use bars::{bars, halved};
pub use furniture::{bench, board, grand_table, side_table, stool, wall_shelf};
pub use judged::{Judged, carry_out_and_judge, split_and_judge};
pub use program::{fixture, seamwright};
