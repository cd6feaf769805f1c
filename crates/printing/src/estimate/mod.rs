//! How much plastic and time a piece takes.

pub(crate) mod print_estimate;
mod scan_lines;
mod slices;
