//! The report page: one file that opens from disk and prints as a manual.

pub(crate) mod fewest;
pub(crate) mod html;
pub(crate) mod joint_drawing;
pub(crate) mod members;
pub(crate) mod to_print;
pub(crate) mod view;
