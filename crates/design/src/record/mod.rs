//! The record of a split: how pieces lie and go together, shared by everything
//! that reports or judges it.

pub(crate) mod assembly;
pub(crate) mod entries;
pub(crate) mod label;
pub(crate) mod piece_entry;
pub(crate) mod resplit_entry;
pub(crate) mod seam_record;
pub(crate) mod step_entry;
