//! What joints may bear: estimates.

pub mod capacity;
mod filling;
