//! Files put in their places so that a run which is cut short at any moment is
//! either finished or taken back by the next.
//!
//! New files are first written to a folder within the output folder. When all
//! are there, a list of what is to be done is put beside them; from then on
//! whoever finds the list carries it out, as often as it takes. Before that, the
//! new files are only thrown away.

use std::collections::BTreeMap;
use std::fs::{self, File, TryLockError};
use std::io;
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use crate::folder::owned::{OWNED, digest_of, is_inside};

/// The folder of a run that is going on, or was cut short.
pub(crate) const RUN: &str = "unfinished-run";
const LOCK: &str = "lock";
const LIST: &str = "ready.json";
const NEW: &str = "new";
const DRAFT: &str = "ready.draft";
const ABOUT: &str = "what-this-is.txt";

const NOTE: &str = "A run of seamwright is going on in this folder, or was cut short.\n\
                    The next command that reads or writes the folder finishes it or takes it \
                    back;\nnothing here is to be kept or printed.\n";

/// What is to be done once all new files are there.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Ready {
    /// Files to be moved to their places, with the digests of what is there.
    install: BTreeMap<String, Option<String>>,
    /// Files of the earlier split to be removed, with their digests.
    remove: BTreeMap<String, String>,
}

/// A run within a folder, which no other run may join.
pub(crate) struct Run {
    folder: PathBuf,
    _lock: File,
}

/// Why a run could not begin.
pub(crate) enum NoRun {
    /// Another one is going on.
    Busy,
    /// Something of somebody else has the name of a run's folder.
    NameTaken,
    /// The disk refused.
    Io(PathBuf, io::Error),
}

impl Run {
    /// Begins a run in a folder that is there, once one that was cut short there
    /// is settled.
    pub(crate) fn begin(folder: &Path) -> Result<Self, NoRun> {
        settle(folder)?;
        let run = folder.join(RUN);
        let failed = |e| NoRun::Io(run.clone(), e);
        fs::create_dir(&run).map_err(|e| match e.kind() {
            io::ErrorKind::AlreadyExists if is_ours(&run) => NoRun::Busy,
            io::ErrorKind::AlreadyExists => NoRun::NameTaken,
            _ => failed(e),
        })?;
        let begun = Self {
            folder: folder.to_owned(),
            _lock: locked(&run)?,
        };
        let furnished =
            fs::create_dir(run.join(NEW)).and_then(|()| fs::write(run.join(ABOUT), NOTE));
        match furnished {
            Ok(()) => Ok(begun),
            Err(e) => {
                begun.give_up();
                Err(failed(e))
            }
        }
    }

    /// Where a new file is written.
    pub(crate) fn place(&self, name: &str) -> PathBuf {
        self.folder.join(RUN).join(NEW).join(name)
    }

    /// Puts all new files in their places and removes others: from here on the
    /// run is finished, by this process or the next.
    pub(crate) fn finish(
        self,
        install: Vec<String>,
        remove: BTreeMap<String, String>,
    ) -> Result<(), (PathBuf, io::Error)> {
        let run = self.folder.join(RUN);
        let list = run.join(LIST);
        let draft = run.join(DRAFT);
        let there = |name: String| {
            let digest = digest_of(&self.folder.join(&name));
            (name, digest)
        };
        let install = install.into_iter().map(there).collect();
        let text = serde_json::to_vec(&Ready { install, remove }).map_err(io::Error::from);
        let listed = text
            .and_then(|text| fs::write(&draft, text))
            .and_then(|()| fs::rename(&draft, &list));
        match listed {
            Ok(()) => carried_out(&self.folder),
            Err(e) => {
                self.give_up();
                Err((list, e))
            }
        }
    }

    /// Takes the run back.
    pub(crate) fn give_up(self) {
        let _ = swept(&self.folder.join(RUN));
    }
}

/// Removes a run's folder, the lock last: one that is cut short here too is still
/// known for a run.
fn swept(run: &Path) -> io::Result<()> {
    let is_gone = |e: io::Error| match e.kind() {
        io::ErrorKind::NotFound => Ok(()),
        _ => Err(e),
    };
    fs::remove_dir_all(run.join(NEW)).or_else(is_gone)?;
    for name in [ABOUT, DRAFT, LIST, LOCK] {
        fs::remove_file(run.join(name)).or_else(is_gone)?;
    }
    fs::remove_dir(run).or_else(is_gone)
}

fn locked(run: &Path) -> Result<File, NoRun> {
    let path = run.join(LOCK);
    let lock = File::create(&path).map_err(|e| match e.kind() {
        io::ErrorKind::NotFound => NoRun::Busy,
        _ => NoRun::Io(path.clone(), e),
    })?;
    match lock.try_lock() {
        // The run that held it may have ended, and its folder be gone or another's.
        Ok(()) if !is_at(&lock, &path) => Err(NoRun::Busy),
        Ok(()) => Ok(lock),
        Err(TryLockError::WouldBlock) => Err(NoRun::Busy),
        Err(TryLockError::Error(e)) => Err(NoRun::Io(path, e)),
    }
}

/// Whether an open file is the one that now has a name.
#[cfg(unix)]
fn is_at(file: &File, path: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    let same = |a: &fs::Metadata, b: &fs::Metadata| (a.dev(), a.ino()) == (b.dev(), b.ino());
    matches!((file.metadata(), fs::metadata(path)), (Ok(a), Ok(b)) if same(&a, &b))
}

/// Whether an open file is the one that now has a name; here a file that is open
/// cannot go.
#[cfg(not(unix))]
fn is_at(_: &File, path: &Path) -> bool {
    path.is_file()
}

/// Whether what has the name of a run's folder is one: it holds a lock and
/// nothing that a run does not make, or nothing yet.
fn is_ours(run: &Path) -> bool {
    if !fs::symlink_metadata(run).is_ok_and(|m| m.is_dir()) {
        return false;
    }
    let Ok(entries) = fs::read_dir(run) else {
        return false;
    };
    let names: Vec<_> = entries.flatten().map(|entry| entry.file_name()).collect();
    let makes =
        |name: &std::ffi::OsString| [LOCK, LIST, DRAFT, NEW, ABOUT].iter().any(|m| name == m);
    names.iter().all(makes) && (names.is_empty() || names.iter().any(|name| name == LOCK))
}

/// Finishes or takes back a run that was cut short in a folder, if there was one.
pub(crate) fn settle(folder: &Path) -> Result<bool, NoRun> {
    let run = folder.join(RUN);
    if !is_ours(&run) {
        return Ok(false);
    }
    let _lock = locked(&run)?;
    if run.join(LIST).is_file() {
        carried_out(folder).map_err(|(path, e)| NoRun::Io(path, e))?;
    } else {
        swept(&run).map_err(|e| NoRun::Io(run, e))?;
    }
    Ok(true)
}

/// Does what a list says that is not done yet. The list of owned files goes in
/// last: until then the earlier one holds.
fn carried_out(folder: &Path) -> Result<(), (PathBuf, io::Error)> {
    let run = folder.join(RUN);
    let list = run.join(LIST);
    let read = fs::read(&list).and_then(|bytes| Ok(serde_json::from_slice(&bytes)?));
    let Ready { install, remove } = read.map_err(|e| (list.clone(), e))?;
    let inside = install.iter().filter(|(name, _)| is_inside(name));
    let (last, first): (Vec<_>, Vec<_>) = inside.partition(|(name, _)| *name == OWNED);
    let put = |(name, before): (&String, &Option<String>)| {
        moved(
            &run.join(NEW).join(name),
            &folder.join(name),
            before.as_ref(),
        )
    };
    first.into_iter().try_for_each(put)?;
    for (name, digest) in remove.iter().filter(|(name, _)| is_inside(name)) {
        let path = folder.join(name);
        if digest_of(&path).is_some_and(|now| now == *digest) {
            fs::remove_file(&path).map_err(|e| (path.clone(), e))?;
        }
        if let Some(parent) = path.parent().filter(|p| *p != folder) {
            // Only an empty folder goes.
            let _ = fs::remove_dir(parent);
        }
    }
    last.into_iter().try_for_each(put)?;
    swept(&run).map_err(|e| (run, e))
}

/// Moves a file to its place, unless that was done before. What somebody put there
/// since the run began stays.
fn moved(from: &Path, to: &Path, before: Option<&String>) -> Result<(), (PathBuf, io::Error)> {
    if !from.is_file() {
        return Ok(());
    }
    if digest_of(to).as_ref() != before {
        let why = "changed since a run that was cut short began to replace it; put it elsewhere \
                   and run the command again";
        return Err((to.to_owned(), io::Error::other(why)));
    }
    let parent = to.parent().map_or(Ok(()), fs::create_dir_all);
    parent
        .and_then(|()| fs::rename(from, to))
        .map_err(|e| (to.to_owned(), e))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn begun(folder: &Path) -> Run {
        let run = Run::begin(folder).ok().unwrap();
        for (name, text) in [("a.txt", "new a"), ("deep/b.txt", "new b")] {
            let place = run.place(name);
            fs::create_dir_all(place.parent().unwrap()).unwrap();
            fs::write(place, text).unwrap();
        }
        run
    }

    fn text(folder: &Path, name: &str) -> Option<String> {
        fs::read_to_string(folder.join(name)).ok()
    }

    #[test]
    fn a_run_cut_short_before_its_list_is_taken_back() {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("a.txt"), "old a").unwrap();
        drop(begun(folder.path()));
        assert!(settle(folder.path()).ok().unwrap());
        assert_eq!(text(folder.path(), "a.txt").unwrap(), "old a");
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
        assert!(!settle(folder.path()).ok().unwrap());
    }

    #[test]
    fn a_run_cut_short_between_any_two_moves_is_finished() {
        for done in 0..3 {
            let folder = tempfile::tempdir().unwrap();
            for name in ["a.txt", "gone.txt"] {
                fs::write(folder.path().join(name), "old").unwrap();
            }
            let run = begun(folder.path());
            let ready = Ready {
                install: [
                    ("a.txt".to_owned(), Some(exchange::digest(b"old"))),
                    ("deep/b.txt".to_owned(), None),
                ]
                .into(),
                remove: [("gone.txt".to_owned(), exchange::digest(b"old"))].into(),
            };
            let list = folder.path().join(RUN).join(LIST);
            fs::write(list, serde_json::to_vec(&ready).unwrap()).unwrap();
            for (name, before) in ready.install.iter().take(done) {
                moved(&run.place(name), &folder.path().join(name), before.as_ref())
                    .ok()
                    .unwrap();
            }
            drop(run);
            assert!(settle(folder.path()).ok().unwrap());
            assert_eq!(text(folder.path(), "a.txt").unwrap(), "new a");
            assert_eq!(text(folder.path(), "deep/b.txt").unwrap(), "new b");
            assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 2);
        }
    }

    #[test]
    fn a_run_cut_short_while_it_is_swept_away_is_swept_by_the_next() {
        let steps: [&[&str]; 5] = [&[ABOUT], &[DRAFT], &[LIST], &[LOCK], &[]];
        for gone in 1..=steps.len() {
            let folder = tempfile::tempdir().unwrap();
            let run = begun(folder.path());
            fs::remove_dir_all(folder.path().join(RUN).join(NEW)).unwrap();
            for name in steps[..gone].concat() {
                let _ = fs::remove_file(folder.path().join(RUN).join(name));
            }
            drop(run);
            assert!(settle(folder.path()).ok().unwrap());
            assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 0);
        }
    }

    #[test]
    fn what_was_put_in_a_place_after_a_run_was_cut_short_stays() {
        let folder = tempfile::tempdir().unwrap();
        let run = begun(folder.path());
        let install = ["a.txt", "deep/b.txt"].map(|name| (name.to_owned(), None));
        let ready = Ready {
            install: install.into(),
            remove: BTreeMap::new(),
        };
        let list = folder.path().join(RUN).join(LIST);
        fs::write(list, serde_json::to_vec(&ready).unwrap()).unwrap();
        drop(run);
        fs::write(folder.path().join("a.txt"), "mine").unwrap();
        assert!(
            matches!(settle(folder.path()), Err(NoRun::Io(path, _)) if path.ends_with("a.txt"))
        );
        assert_eq!(text(folder.path(), "a.txt").unwrap(), "mine");
        // Out of the way, the run is finished.
        fs::rename(folder.path().join("a.txt"), folder.path().join("mine.txt")).unwrap();
        assert!(settle(folder.path()).ok().unwrap());
        assert_eq!(text(folder.path(), "a.txt").unwrap(), "new a");
        assert_eq!(text(folder.path(), "mine.txt").unwrap(), "mine");
    }

    #[test]
    fn no_run_joins_another() {
        let folder = tempfile::tempdir().unwrap();
        let first = begun(folder.path());
        assert!(matches!(Run::begin(folder.path()), Err(NoRun::Busy)));
        assert!(matches!(settle(folder.path()), Err(NoRun::Busy)));
        first.give_up();
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 0);
    }

    #[test]
    fn a_folder_that_only_bears_the_name_is_left_alone() {
        let folder = tempfile::tempdir().unwrap();
        let own = folder.path().join(RUN);
        fs::create_dir_all(own.join(NEW)).unwrap();
        for name in ["diary.txt", LOCK] {
            fs::write(own.join(name), "miles").unwrap();
        }
        assert!(!settle(folder.path()).ok().unwrap());
        let run = Run::begin(folder.path());
        assert!(matches!(run, Err(NoRun::NameTaken)));
        assert!(own.join("diary.txt").is_file() && own.join(NEW).is_dir());
    }
}
