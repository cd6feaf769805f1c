//! The files of the output folder, written and read back.

pub(crate) mod bench;
pub(crate) mod cut_list;
pub(crate) mod entries;
pub(crate) mod made_of;
pub(crate) mod manual;
pub(crate) mod print_order;
pub(crate) mod read_back;
pub(crate) mod recorded;
pub(crate) mod report;
pub(crate) mod resting;
pub(crate) mod undoing;
pub(crate) mod way;
