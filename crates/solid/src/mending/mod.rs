//! Loose triangles made a solid, where what is wrong has one remedy that is certain.

mod doubles;
pub(crate) mod gaps;
mod holes;
mod junctions;
mod loose;
pub(crate) mod mended;
mod orientation;
mod patch;
pub(crate) mod remedy;
mod sheets;
mod thicken;

#[cfg(test)]
mod tests;
