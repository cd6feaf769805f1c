//! The files of a folder that a split wrote: those it may replace.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Component, Path, PathBuf};

use exchange::digest;
use serde::{Deserialize, Serialize};

/// Where the list lies in a folder.
pub(crate) const OWNED: &str = "owned-files.json";
/// What a run remembers for the next.
pub const RECALL: &str = "recall.bin";
/// The maker's own file among them.
pub(crate) const PLAN: &str = "plan.toml";

/// What a split wrote into a folder, and where its model lies.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Owned {
    /// The model's file, as seen from the folder.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) model: Option<String>,
    /// The files by their places in the folder, with the SHA-256 of their bytes.
    pub(crate) files: BTreeMap<String, String>,
}

impl Owned {
    /// The list of a folder; `None` where there is none, or one that is no list.
    pub(crate) fn of(folder: &Path) -> Option<Self> {
        let bytes = fs::read(folder.join(OWNED)).ok()?;
        let list: Self = serde_json::from_slice(&bytes).ok()?;
        list.files
            .keys()
            .all(|name| is_inside(name))
            .then_some(list)
    }

    /// The files, of some, that somebody changed since they were written; what only a run reads
    /// is nobody's work.
    pub(crate) fn edited(&self, folder: &Path, some: impl Fn(&str) -> bool) -> Vec<String> {
        let edited = |(name, digest): &(&String, &String)| {
            some(name)
                && *name != RECALL
                && digest_of(&folder.join(name)).is_some_and(|now| now != **digest)
        };
        let files = self.files.iter().filter(edited);
        files.map(|(name, _)| name.clone()).collect()
    }

    /// The files that are there and somebody else's, of some that are to be
    /// written.
    pub(crate) fn strangers<'a>(
        &self,
        folder: &Path,
        names: impl Iterator<Item = &'a String>,
    ) -> Vec<String> {
        names
            .filter(|name| *name != OWNED && !self.files.contains_key(*name))
            .filter(|name| fs::symlink_metadata(folder.join(name)).is_ok())
            .cloned()
            .collect()
    }
}

/// The model that a folder was split from, where it says so and it is there.
///
/// ```
/// let nowhere = std::path::Path::new("no-such-folder");
/// assert_eq!(paperwork::remembered_model(nowhere), None);
/// ```
pub fn remembered_model(folder: &Path) -> Option<PathBuf> {
    let path = folder.join(Owned::of(folder)?.model?);
    path.is_file().then_some(path)
}

/// What the split in a folder remembers for another run, where it is as it was written.
///
/// ```
/// let nowhere = std::path::Path::new("no-such-folder");
/// assert_eq!(paperwork::remembered_results(nowhere), None);
/// ```
pub fn remembered_results(folder: &Path) -> Option<Vec<u8>> {
    let owned = Owned::of(folder)?;
    let bytes = fs::read(folder.join(RECALL)).ok()?;
    (owned.files.get(RECALL) == Some(&digest(&bytes))).then_some(bytes)
}

/// The files of the pieces of a folder that are not what the split wrote, as far as the
/// folder says what that was.
///
/// ```
/// let nowhere = std::path::Path::new("no-such-folder");
/// assert!(paperwork::changed_pieces(nowhere).is_empty());
/// ```
pub fn changed_pieces(folder: &Path) -> Vec<String> {
    let is_piece = |name: &str| name.starts_with("pieces/");
    Owned::of(folder).map_or_else(Vec::new, |owned| owned.edited(folder, is_piece))
}

/// The plates of a folder that are not what the split wrote, and those that are gone.
///
/// ```
/// let nowhere = std::path::Path::new("no-such-folder");
/// assert_eq!(paperwork::changed_plates(nowhere), [Vec::<String>::new(), Vec::new()]);
/// ```
pub fn changed_plates(folder: &Path) -> [Vec<String>; 2] {
    let Some(owned) = Owned::of(folder) else {
        return [Vec::new(), Vec::new()];
    };
    let is_plate = |name: &str| name.starts_with("plates/");
    let names = owned.files.keys().filter(|name| is_plate(name));
    let gone = names.filter(|name| !folder.join(name).is_file());
    [owned.edited(folder, is_plate), gone.cloned().collect()]
}

/// The digest of a file; `None` where there is none.
pub(crate) fn digest_of(path: &Path) -> Option<String> {
    fs::read(path).ok().map(|bytes| digest(&bytes))
}

/// Whether a name leads to a place within a folder.
pub(crate) fn is_inside(name: &str) -> bool {
    let mut parts = Path::new(name).components();
    !name.is_empty() && parts.all(|part| matches!(part, Component::Normal(_)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_edited_and_what_is_a_strangers_is_told_apart() {
        let folder = tempfile::tempdir().unwrap();
        let place = |name: &str| folder.path().join(name);
        for (name, text) in [("a.txt", "a"), ("b.txt", "b"), ("thesis.txt", "mine")] {
            fs::write(place(name), text).unwrap();
        }
        let files = ["a.txt", "b.txt", "gone.txt"];
        let owned = Owned {
            model: None,
            files: files
                .map(|n| (n.to_owned(), digest(&n.as_bytes()[..1])))
                .into(),
        };
        assert!(owned.edited(folder.path(), |_| true).is_empty());
        fs::write(place("b.txt"), "b and a note").unwrap();
        assert_eq!(owned.edited(folder.path(), |_| true), ["b.txt"]);
        let new = ["a.txt", "thesis.txt", "new.txt"].map(str::to_owned);
        assert_eq!(owned.strangers(folder.path(), new.iter()), ["thesis.txt"]);
    }

    #[test]
    fn plates_that_were_changed_or_taken_away_are_told() {
        let folder = tempfile::tempdir().unwrap();
        let place = |name: &str| folder.path().join(name);
        fs::create_dir(place("plates")).unwrap();
        let files = [
            "cut-list.csv",
            "plates/1.3mf",
            "plates/2.3mf",
            "plates/3.3mf",
        ];
        let files = files.map(|name| {
            fs::write(place(name), name).unwrap();
            (name.to_owned(), digest(name.as_bytes()))
        });
        let owned = Owned {
            model: None,
            files: files.into(),
        };
        fs::write(place(OWNED), serde_json::to_vec(&owned).unwrap()).unwrap();
        assert_eq!(
            changed_plates(folder.path()),
            [Vec::<String>::new(), Vec::new()]
        );
        fs::write(place("plates/2.3mf"), "another").unwrap();
        fs::remove_file(place("plates/3.3mf")).unwrap();
        fs::remove_file(place("cut-list.csv")).unwrap();
        assert_eq!(
            changed_plates(folder.path()),
            [["plates/2.3mf"], ["plates/3.3mf"]]
        );
    }

    #[test]
    fn a_list_that_leads_out_of_its_folder_is_no_list() {
        let folder = tempfile::tempdir().unwrap();
        for name in ["../thesis.txt", "/etc/passwd", ""] {
            assert!(!is_inside(name));
            let text = format!("{{\"files\": {{\"{name}\": \"00\"}}}}");
            fs::write(folder.path().join(OWNED), text).unwrap();
            assert_eq!(Owned::of(folder.path()), None);
        }
        assert!(is_inside("pieces/P01.stl"));
    }
}
