//! An output folder that is written whole or not at all, and replaces nothing but
//! what a split wrote before.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

use exchange::digest;

use crate::folder::journal::{NoRun, RUN, Run, settle};
use crate::folder::owned::{OWNED, Owned, PLAN, digest_of, is_inside};

/// The output folder could not be made.
#[derive(Debug, thiserror::Error)]
pub enum FolderError {
    /// Something is there already.
    #[error(
        "{0} is there already; give --force to replace what a split wrote there, or another --out"
    )]
    Exists(String),
    /// What is there lists no files that a split wrote.
    #[error(
        "{0} is there already and has no list of files that a split wrote ({OWNED}), so --force \
         replaces nothing there; give another --out"
    )]
    NotOurs(String),
    /// Files of an earlier split were changed by hand.
    #[error(
        "{} in {folder} changed since the split that wrote it; put it elsewhere, or give another \
         --out", files.join(", ")
    )]
    Edited {
        /// The folder.
        folder: String,
        /// The files.
        files: Vec<String>,
    },
    /// The plan was changed by hand, and another is to be written.
    #[error(
        "{0}/plan.toml was edited, and this run would write another text over it; run --plan \
         {0}/plan.toml as it stands, or give another --out"
    )]
    PlanEdited(String),
    /// Files of somebody else stand where new ones go.
    #[error(
        "{} in {folder} is not a file of a split, and a new one goes there; move it, or give \
         another --out", files.join(", ")
    )]
    InTheWay {
        /// The folder.
        folder: String,
        /// The files.
        files: Vec<String>,
    },
    /// The model is one of the files that would be replaced.
    #[error("the model {file} is a piece or plate of {folder} itself; give another --out")]
    OwnModel {
        /// The folder.
        folder: String,
        /// The model, as seen from there.
        file: String,
    },
    /// Another run writes there.
    #[error("another run is writing to {0}; wait until it is done, or give another --out")]
    Busy(String),
    /// The disk refused.
    #[error("{path}: {source}")]
    Io {
        /// What was being written.
        path: String,
        /// Why it failed.
        source: std::io::Error,
    },
}

/// What a run may replace of what is there.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum Replace {
    /// Nothing: there must be nothing.
    #[default]
    Nothing,
    /// What a split wrote, as long as it is as it was written.
    Owned,
    /// The same, and the plan even if it was edited, as long as this is its text:
    /// it is what runs.
    OwnedAndPlan(String),
}

/// An output folder in the making: its files are gathered within it and go to
/// their places at the end, all or none.
pub struct OutputFolder {
    target: PathBuf,
    replace: Replace,
    owned: Owned,
    next: Owned,
    // Both are taken at the end; one that is dropped before goes back to what was.
    run: Option<Run>,
    created: bool,
    written: BTreeSet<String>,
    // All of the folder is made anew, not only what is written.
    whole: bool,
    // Folders of earlier versions have no list, and get none by an amendment.
    listed: bool,
}

impl OutputFolder {
    /// Starts a folder.
    ///
    /// # Errors
    ///
    /// When something is in its place that may not be replaced, or nothing can
    /// be written there.
    ///
    /// ```
    /// use paperwork::{OutputFolder, Replace};
    ///
    /// let place = std::env::temp_dir().join(format!("one-file-{}", std::process::id()));
    /// let mut folder = OutputFolder::begin(&place, Replace::Nothing).unwrap();
    /// folder.write("list.csv", b"P01").unwrap();
    /// folder.finish().unwrap();
    /// assert!(OutputFolder::may_begin(&place, &Replace::Nothing).is_err());
    /// assert!(OutputFolder::may_begin(&place, &Replace::Owned).is_ok());
    /// std::fs::write(place.join("list.csv"), "P01, printed on Monday").unwrap();
    /// assert!(OutputFolder::may_begin(&place, &Replace::Owned).is_err());
    /// # std::fs::remove_dir_all(&place).unwrap();
    /// ```
    pub fn begin(target: &Path, replace: Replace) -> Result<Self, FolderError> {
        Self::may_begin(target, &replace)?;
        let created = !target.exists();
        fs::create_dir_all(target).map_err(|e| io(target, e))?;
        let run = Run::begin(target).map_err(|e| no_run(target, e));
        if run.is_err() && created {
            let _ = fs::remove_dir(target);
        }
        Ok(Self {
            run: Some(run?),
            target: target.to_owned(),
            replace,
            owned: Owned::of(target).unwrap_or_default(),
            next: Owned::default(),
            created,
            written: BTreeSet::new(),
            whole: true,
            listed: true,
        })
    }

    /// Starts to replace some files of a folder; all others stay.
    ///
    /// # Errors
    ///
    /// When nothing can be written there.
    pub fn amend(target: &Path) -> Result<Self, FolderError> {
        let run = Run::begin(target).map_err(|e| no_run(target, e))?;
        let list = Owned::of(target);
        let listed = list.is_some();
        let owned = list.unwrap_or_default();
        Ok(Self {
            run: Some(run),
            target: target.to_owned(),
            replace: Replace::Owned,
            next: owned.clone(),
            owned,
            created: false,
            written: BTreeSet::new(),
            whole: false,
            listed,
        })
    }

    /// Whether a folder could be started here: the check alone, to make it
    /// before any work is done. A run that was cut short there is settled first.
    ///
    /// # Errors
    ///
    /// When something is in its place that may not be replaced.
    pub fn may_begin(target: &Path, replace: &Replace) -> Result<(), FolderError> {
        if !target.exists() {
            return can_be_made(target);
        }
        let name = || target.display().to_string();
        if !target.is_dir() {
            return Err(FolderError::Exists(name()));
        }
        let cut_short = settle(target).map_err(|e| no_run(target, e))?;
        let empty = fs::read_dir(target).is_ok_and(|mut d| d.next().is_none());
        if empty && (cut_short || *replace != Replace::Nothing) {
            return Ok(());
        }
        if *replace == Replace::Nothing {
            return Err(FolderError::Exists(name()));
        }
        let Some(owned) = Owned::of(target) else {
            return Err(FolderError::NotOurs(name()));
        };
        unedited(target, &owned, replace, |_| true)
    }

    /// Writes a file into it.
    ///
    /// # Errors
    ///
    /// When the disk refuses.
    pub fn write(&mut self, name: &str, bytes: &[u8]) -> Result<(), FolderError> {
        self.gather(name, bytes)?;
        self.written.insert(name.to_owned());
        self.next.files.insert(name.to_owned(), digest(bytes));
        Ok(())
    }

    fn gather(&self, name: &str, bytes: &[u8]) -> Result<(), FolderError> {
        let Some(run) = &self.run else {
            return Ok(());
        };
        let path = run.place(name);
        if let Some(parent) = path.parent() {
            fs::create_dir_all(parent).map_err(|e| io(parent, e))?;
        }
        fs::write(&path, bytes).map_err(|e| io(&path, e))
    }

    /// Lets the folder remember where its model is.
    pub fn remember_model(&mut self, model: &Path) {
        let folder = fs::canonicalize(&self.target);
        let way = match (folder, fs::canonicalize(model)) {
            (Ok(folder), Ok(model)) => pathdiff::diff_paths(model, folder),
            _ => None,
        };
        self.next.model = way.map(|way| way.display().to_string());
    }

    /// Puts all files in their places and removes those of the split before that
    /// there are no longer. What no split wrote stays where it is.
    ///
    /// # Errors
    ///
    /// When a file was edited meanwhile, one of somebody else stands in the way,
    /// or the disk refuses; what was there before is then still there, or, where
    /// files were being moved already, the next command finishes that.
    pub fn finish(mut self) -> Result<(), FolderError> {
        let touches = |name: &str| self.whole || self.written.contains(name);
        unedited(&self.target, &self.owned, &self.replace, touches)?;
        let folder = || self.target.display().to_string();
        let is_owned = |file: &&String| {
            let files = [&self.owned.files, &self.next.files];
            is_inside(file) && files.iter().any(|f| f.contains_key(*file))
        };
        if let Some(file) = self.next.model.as_ref().filter(is_owned) {
            let (folder, file) = (folder(), file.clone());
            return Err(FolderError::OwnModel { folder, file });
        }
        let files = self.owned.strangers(&self.target, self.next.files.keys());
        if self.listed && !files.is_empty() {
            let folder = folder();
            return Err(FolderError::InTheWay { folder, files });
        }
        let parents = self.next.files.keys().filter_map(|n| Path::new(n).parent());
        let mut rooms = parents.filter(|p| !p.as_os_str().is_empty());
        // Through a link they would land elsewhere.
        let elsewhere = |p: &&Path| {
            let there = fs::symlink_metadata(self.target.join(p));
            there.is_ok_and(|m| !m.is_dir())
        };
        if let Some(room) = rooms.find(elsewhere) {
            return Err(FolderError::InTheWay {
                folder: folder(),
                files: vec![room.display().to_string()],
            });
        }
        if self.listed {
            let list = serde_json::to_vec_pretty(&self.next).unwrap_or_default();
            self.gather(OWNED, &list)?;
        }
        let own = self.listed.then(|| OWNED.to_owned());
        let install = self.written.iter().cloned().chain(own).collect();
        let gone = self.owned.files.iter();
        let gone: BTreeMap<String, String> = gone
            .filter(|(name, _)| !self.next.files.contains_key(*name))
            .map(|(name, digest)| (name.clone(), digest.clone()))
            .collect();
        match self.run.take() {
            None => Ok(()),
            Some(run) => run.finish(install, gone).map_err(|(path, e)| io(&path, e)),
        }
    }
}

impl Drop for OutputFolder {
    fn drop(&mut self) {
        if let Some(run) = self.run.take() {
            run.give_up();
            if self.created {
                let _ = fs::remove_dir(&self.target);
            }
        }
    }
}

/// Finishes or takes back a run that was cut short in a folder, if there was one.
///
/// # Errors
///
/// When another run is going on there, or the disk refuses.
pub fn settled(folder: &Path) -> Result<(), FolderError> {
    settle(folder).map(drop).map_err(|e| no_run(folder, e))
}

/// Checks that a folder which is not there can be made, by making another beside
/// it that goes at once.
fn can_be_made(target: &Path) -> Result<(), FolderError> {
    let above = target.ancestors().skip(1).find(|p| p.exists());
    let above = match above {
        // A name alone stands in the working folder.
        None => Path::new("."),
        Some(above) => above,
    };
    tempfile::tempdir_in(above)
        .map(drop)
        .map_err(|e| io(target, e))
}

/// Checks that what is to be replaced is as it was written.
fn unedited(
    folder: &Path,
    owned: &Owned,
    replace: &Replace,
    some: impl Fn(&str) -> bool,
) -> Result<(), FolderError> {
    let mut files = owned.edited(folder, some);
    let before = files.len();
    files.retain(|name| name != PLAN);
    let name = folder.display().to_string();
    let runs = match replace {
        Replace::OwnedAndPlan(text) => {
            digest_of(&folder.join(PLAN)) == Some(digest(text.as_bytes()))
        }
        Replace::Nothing | Replace::Owned => false,
    };
    if before > files.len() && !runs {
        return Err(FolderError::PlanEdited(name));
    }
    if !files.is_empty() {
        return Err(FolderError::Edited {
            folder: name,
            files,
        });
    }
    Ok(())
}

fn no_run(folder: &Path, why: NoRun) -> FolderError {
    match why {
        NoRun::Busy => FolderError::Busy(folder.display().to_string()),
        NoRun::NameTaken => FolderError::InTheWay {
            folder: folder.display().to_string(),
            files: vec![RUN.to_owned()],
        },
        NoRun::Io(path, e) => io(&path, e),
    }
}

fn io(path: &Path, source: std::io::Error) -> FolderError {
    FolderError::Io {
        path: path.display().to_string(),
        source,
    }
}
