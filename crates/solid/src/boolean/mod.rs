//! Cutting and combining, through one wrapped kernel.

pub(crate) mod kernel;
pub(crate) mod kernel_error;
pub(crate) mod kernel_work;
pub(crate) mod operations;
