//! Where joints find room on a seam.

pub(crate) mod across;
pub(crate) mod axial;
pub(crate) mod lane_search;
pub(crate) mod scan;
pub(crate) mod seam_face;
pub(crate) mod slide;
pub(crate) mod walls;
