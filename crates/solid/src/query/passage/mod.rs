//! When two solids meet while one of them moves along a straight line.

mod crossing;
pub(crate) mod passages;
