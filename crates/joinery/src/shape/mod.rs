//! What joints look like: tails, rows of fingers, tenons and their sockets.

pub(crate) mod joint;
pub(crate) mod joint_shape;
pub(crate) mod lane;
pub(crate) mod profile;
pub(crate) mod sliding;
pub(crate) mod tail;
pub mod tenon;
