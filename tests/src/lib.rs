//! Furniture for tests and fixtures: our own models, made from numbers.
#![deny(missing_docs)]

mod furniture;

pub use furniture::{bench, board, grand_table, side_table, stool, wall_shelf};
