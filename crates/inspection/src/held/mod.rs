//! What holds pieces together: joints, friction, weight, the room that they have.

pub(crate) mod frail;
pub(crate) mod hold;
pub(crate) mod load;
pub(crate) mod locked;
pub(crate) mod long_slide;
pub(crate) mod parts;
pub(crate) mod play;
