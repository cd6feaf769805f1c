//! What a model was made of: boards, legs, posts and rails, found in the solid
//! alone, and where they meet.

pub(crate) mod covered;
pub(crate) mod flat_faces;
pub(crate) mod found;
pub(crate) mod meeting;
pub(crate) mod member;
pub(crate) mod owned;
pub(crate) mod parts;
pub(crate) mod slab;
pub(crate) mod stick;
pub(crate) mod tidy;
pub(crate) mod turned;

#[cfg(test)]
mod tests;
