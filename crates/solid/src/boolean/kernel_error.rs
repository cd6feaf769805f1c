//! Why the kernel could not work on a solid.

/// The boolean kernel could not work on a solid.
#[derive(Clone, Debug, thiserror::Error, PartialEq)]
#[error("the boolean kernel refused: {why}")]
pub struct KernelError {
    /// The kernel's reason.
    pub why: String,
}

impl From<String> for KernelError {
    fn from(why: String) -> Self {
        Self { why }
    }
}
