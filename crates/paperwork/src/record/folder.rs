//! An output folder that appears whole or not at all.

use std::fs;
use std::path::{Path, PathBuf};

/// The output folder could not be made.
#[derive(Debug, thiserror::Error)]
pub enum FolderError {
    /// Something is there already.
    #[error("{0} is there already; give --force to replace it, or another --out")]
    Exists(String),
    /// What is there is not a folder that this program wrote.
    #[error(
        "{0} is there already and holds no report.json of this program, so --force does not replace it; give another --out"
    )]
    NotOurs(String),
    /// The disk refused.
    #[error("{path}: {source}")]
    Io {
        /// What was being written.
        path: String,
        /// Why it failed.
        source: std::io::Error,
    },
}

/// An output folder that appears whole or not at all: it is written under
/// another name beside its place and moved there at the end.
pub struct OutputFolder {
    target: PathBuf,
    staged: tempfile::TempDir,
    replace: bool,
}

impl OutputFolder {
    /// Starts a folder.
    ///
    /// # Errors
    ///
    /// When something is in its place that may not be replaced, or nothing can
    /// be written beside it.
    pub fn begin(target: &Path, replace: bool) -> Result<Self, FolderError> {
        Self::may_begin(target, replace)?;
        let parent = match target.parent() {
            Some(p) if !p.as_os_str().is_empty() => p,
            _ => Path::new("."),
        };
        fs::create_dir_all(parent).map_err(|e| io(parent, e))?;
        let staged = tempfile::Builder::new()
            .prefix(".seamwright-")
            .tempdir_in(parent)
            .map_err(|e| io(parent, e))?;
        Ok(Self {
            target: target.to_owned(),
            staged,
            replace,
        })
    }

    /// Whether a folder could be started here: the check alone, to make it
    /// before any work is done.
    ///
    /// # Errors
    ///
    /// When something is in its place that may not be replaced.
    pub fn may_begin(target: &Path, replace: bool) -> Result<(), FolderError> {
        if !target.exists() {
            return Ok(());
        }
        let name = target.display().to_string();
        if !replace {
            return Err(FolderError::Exists(name));
        }
        let empty = fs::read_dir(target).is_ok_and(|mut d| d.next().is_none());
        if empty || target.join("report.json").is_file() {
            return Ok(());
        }
        Err(FolderError::NotOurs(name))
    }

    /// Writes a file into it.
    ///
    /// # Errors
    ///
    /// When the disk refuses.
    pub fn write(&self, name: &str, bytes: &[u8]) -> Result<(), FolderError> {
        let path = self.staged.path().join(name);
        if let Some(parent) = path.parent() {
            fs::create_dir_all(parent).map_err(|e| io(parent, e))?;
        }
        fs::write(&path, bytes).map_err(|e| io(&path, e))
    }

    /// Puts the folder in its place.
    ///
    /// # Errors
    ///
    /// When the disk refuses; what was there before is then still there.
    pub fn finish(self) -> Result<(), FolderError> {
        let staged = self.staged.keep();
        // Temporary folders are private; the maker's is not.
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            let _ = fs::set_permissions(&staged, fs::Permissions::from_mode(0o755));
        }
        let mut earlier = None;
        if self.replace && self.target.exists() {
            let aside = staged.with_extension("old");
            fs::rename(&self.target, &aside).map_err(|e| {
                let _ = fs::remove_dir_all(&staged);
                io(&self.target, e)
            })?;
            earlier = Some(aside);
        }
        if let Err(e) = fs::rename(&staged, &self.target) {
            if let Some(aside) = &earlier {
                let _ = fs::rename(aside, &self.target);
            }
            let _ = fs::remove_dir_all(&staged);
            return Err(io(&self.target, e));
        }
        if let Some(aside) = earlier {
            let _ = fs::remove_dir_all(aside);
        }
        Ok(())
    }
}

fn io(path: &Path, source: std::io::Error) -> FolderError {
    FolderError::Io {
        path: path.display().to_string(),
        source,
    }
}
