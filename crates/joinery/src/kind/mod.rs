//! Which joints there are, and the one table of what each can do.

pub(crate) mod abilities;
pub(crate) mod joint_kind;
