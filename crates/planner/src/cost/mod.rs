//! What pieces, seams and crossings cost, a record a term.

pub(crate) mod four_corners;
pub(crate) mod growth;
pub(crate) mod kdop_fit;
pub(crate) mod lie;
pub(crate) mod piece_cost;
pub(crate) mod piece_terms;
pub(crate) mod seam_cost;
pub(crate) mod seam_terms;
