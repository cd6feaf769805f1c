//! Why a run came to nothing: what, where, and what to do.

use std::path::Path;

/// Why a run came to nothing.
#[derive(Debug, thiserror::Error)]
pub enum Failure {
    /// What was asked for cannot be.
    #[error("{0}")]
    Usage(String),
    /// A file cannot be used.
    #[error("{file}: {what}\n  {advice}")]
    Input {
        /// The file or folder.
        file: String,
        /// What is wrong with it.
        what: String,
        /// What to do.
        advice: String,
    },
    /// The result could not be written; what was there before still is.
    #[error("{what}\n  Make room on the disk, or allow writing there; nothing was changed.")]
    Output {
        /// What could not be written, and why.
        what: String,
    },
}

impl Failure {
    /// A file that cannot be used.
    pub fn input(file: &Path, what: impl ToString, advice: &str) -> Self {
        Self::Input {
            file: file.display().to_string(),
            what: what.to_string(),
            advice: advice.to_owned(),
        }
    }

    /// Something that could not be written.
    pub fn output(what: impl ToString) -> Self {
        Self::Output {
            what: what.to_string(),
        }
    }

    /// What a program that fails so exits with: 2 wrong usage, 3 the input cannot
    /// be used, 4 the result could not be written.
    ///
    /// ```
    /// assert_eq!(seamwright::Failure::Usage("no bed".into()).exit_code(), 2);
    /// assert_eq!(seamwright::Failure::output("disk full").exit_code(), 4);
    /// ```
    pub fn exit_code(&self) -> u8 {
        match self {
            Self::Usage(_) => 2,
            Self::Input { .. } => 3,
            Self::Output { .. } => 4,
        }
    }
}

impl From<paperwork::FolderError> for Failure {
    fn from(e: paperwork::FolderError) -> Self {
        match e {
            paperwork::FolderError::Io { .. } => Self::output(e),
            _ => Self::Usage(e.to_string()),
        }
    }
}
