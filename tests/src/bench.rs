use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;

use crate::program::{plank_in, seamwright};

/// A plank split into a folder beside it.
pub struct Bench {
    /// The folder of both.
    pub home: tempfile::TempDir,
    /// The plank's file.
    pub plank: PathBuf,
    /// The folder of the split.
    pub out: PathBuf,
}

impl Bench {
    /// The plank, split for a bed of 220 × 220 × 250.
    ///
    /// # Panics
    ///
    /// When it cannot be split.
    #[expect(clippy::new_without_default, reason = "it is work, and not a value")]
    pub fn new() -> Self {
        let home = tempfile::tempdir().unwrap();
        let plank = plank_in(home.path());
        let out = home.path().join("mine");
        let bench = Self { home, plank, out };
        let first = bench.split(&["--bed", "220x220x250"]);
        assert!(first.status.success(), "{}", said(&first));
        bench
    }

    /// Another run on the plank into the same folder.
    ///
    /// # Panics
    ///
    /// When the program does not start.
    pub fn split(&self, more: &[&str]) -> Output {
        let mut run = seamwright();
        run.current_dir(self.home.path()).arg("split");
        run.arg(&self.plank).args(["--out", "mine", "--quiet"]);
        run.args(more).output().unwrap()
    }
}

/// What a run said of itself.
pub fn said(run: &Output) -> String {
    String::from_utf8_lossy(&run.stderr).into_owned()
}

/// Every file of a folder, with its bytes.
///
/// # Panics
///
/// When it cannot be read.
pub fn files(folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    let mut out = BTreeMap::new();
    let mut open = vec![folder.to_owned()];
    while let Some(next) = open.pop() {
        for entry in fs::read_dir(next).unwrap() {
            let path = entry.unwrap().path();
            match path.is_dir() {
                true => open.push(path),
                false => {
                    let name = path.strip_prefix(folder).unwrap().to_owned();
                    out.insert(name, fs::read(&path).unwrap());
                }
            }
        }
    }
    out
}
