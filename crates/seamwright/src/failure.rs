use std::path::Path;

/// Why a run came to nothing: what, where, and what to do.
#[derive(Debug, thiserror::Error)]
pub(crate) enum Failure {
    /// The command line asks for something that cannot be.
    #[error("{0}")]
    Usage(String),
    /// A file cannot be used.
    #[error("{file}: {what}\n  {advice}")]
    Input {
        file: String,
        what: String,
        advice: String,
    },
}

impl Failure {
    pub(crate) fn input(file: &Path, what: impl ToString, advice: &str) -> Self {
        Self::Input {
            file: file.display().to_string(),
            what: what.to_string(),
            advice: advice.to_owned(),
        }
    }

    pub(crate) fn exit_code(&self) -> u8 {
        match self {
            Self::Usage(_) => 2,
            Self::Input { .. } => 3,
        }
    }
}

impl From<paperwork::FolderError> for Failure {
    fn from(e: paperwork::FolderError) -> Self {
        Self::Usage(e.to_string())
    }
}
