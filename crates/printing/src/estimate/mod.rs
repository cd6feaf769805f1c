//! How much plastic and time a piece takes.

pub(crate) mod print_bill;
pub(crate) mod print_estimate;
pub(crate) mod print_price;
mod scan_lines;
mod slices;
