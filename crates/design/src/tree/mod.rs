//! The cut tree: which plane cuts what, and what lies on its sides.

pub(crate) mod body_apart;
pub(crate) mod cell_spans;
pub(crate) mod cut_tree;
pub(crate) mod draft;
pub(crate) mod listed;
pub(crate) mod planned_seam;
pub(crate) mod seam_side;
pub(crate) mod terms;
