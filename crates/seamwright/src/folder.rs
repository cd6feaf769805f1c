//! A folder that a split was written to, read back.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use design::{Assembly, PieceId, Plan, Recall, SeamRecord};
use paperwork::{ReadBackError, Report};
use resplit::{Earlier, EarlierPiece};

use crate::failure::Failure;

/// What to do with a folder that is not as it was written.
const ADVICE: &str = "Split the model again, or put the missing or changed file back.";

/// A folder that a split was written to, as it lies on disk.
#[derive(Clone, Debug)]
pub struct SplitFolder {
    /// Where it is.
    pub path: PathBuf,
    /// Its report.
    pub report: Report,
    /// Its pieces, in place.
    pub assembly: Assembly,
}

impl SplitFolder {
    /// Reads the report of a folder and its pieces.
    ///
    /// # Errors
    ///
    /// When a file is missing, or not what a split writes.
    pub fn read(path: &Path) -> Result<Self, Failure> {
        if path.is_dir() {
            paperwork::settled(path)?;
        }
        let unusable = |e: ReadBackError| Failure::input(path, e, ADVICE);
        let report = paperwork::read_report(path).map_err(unusable)?;
        let assembly = paperwork::read_back(path, &report).map_err(|e| {
            let broken = broken(path, &report);
            match broken.is_empty() {
                true => unusable(e),
                false => Failure::input(path, format!("{broken} ({e})"), ADVICE),
            }
        })?;
        Ok(Self {
            path: path.to_owned(),
            report,
            assembly,
        })
    }

    /// What its split remembers for another run.
    pub fn recall(&self) -> Recall {
        recalled([self.path.as_path()])
    }

    /// The joints of its seams by their numbers.
    ///
    /// # Errors
    ///
    /// When `joints.json` is missing, or not what a split writes.
    pub fn joints(&self) -> Result<Vec<SeamRecord>, Failure> {
        paperwork::read_joints(&self.path).map_err(|e| Failure::input(&self.path, e, ADVICE))
    }

    /// Its plan.
    ///
    /// # Errors
    ///
    /// As [`read_plan`].
    pub fn plan(&self) -> Result<Plan, Failure> {
        read_plan(&self.path.join("plan.toml")).map(|(plan, _)| plan)
    }

    /// All of it, for a re-split around some pieces that are printed, besides
    /// those that were printed before.
    ///
    /// # Errors
    ///
    /// When a file is missing or not what a split writes; when a piece that is
    /// said to be printed is not there.
    pub fn earlier(&self, printed: &[PieceId]) -> Result<Earlier, Failure> {
        let before = self.report.pieces.iter().filter(|p| p.printed);
        let before = before.map(|p| p.id.clone());
        let printed: BTreeSet<PieceId> = printed.iter().cloned().chain(before).collect();
        for id in &printed {
            if !self.report.pieces.iter().any(|p| p.id == *id) {
                let ids: Vec<&str> = self.report.pieces.iter().map(|p| p.id.as_str()).collect();
                return Err(Failure::Usage(format!(
                    "there is no piece {id} in this split; its pieces are {}",
                    ids.join(", ")
                )));
            }
        }
        let pieces = self.report.pieces.iter().zip(self.assembly.pieces());
        let pieces = pieces.map(|(entry, piece)| {
            let bytes = paperwork::piece_bytes(&self.path, &entry.file)
                .map_err(|e| Failure::input(&self.path, e, ADVICE))?;
            Ok(EarlierPiece {
                entry: entry.clone(),
                in_place: piece.in_place.clone(),
                as_printed: piece.as_printed.clone(),
                bytes,
                printer: piece.printer,
            })
        });
        let pieces = pieces.collect::<Result<_, Failure>>()?;
        let plan = self.plan()?;
        if plan.printers().len() < self.assembly.printers().len() {
            return Err(Failure::input(
                &self.path.join("plan.toml"),
                "it has fewer printers than report.json, which was made with it",
                ADVICE,
            ));
        }
        Ok(Earlier {
            plan,
            records: self.joints()?,
            pieces,
            printed,
        })
    }

    /// Where the model is that it was split from: where the folder remembers it,
    /// in the working folder, the split's or the one above it.
    pub fn find_model(&self, file: &str) -> Option<PathBuf> {
        if let Some(model) = paperwork::remembered_model(&self.path) {
            return Some(model);
        }
        let places = [PathBuf::from("."), self.path.clone(), self.path.join("..")];
        let name = Path::new(file).file_name()?;
        let mut files = places.iter().map(|p| p.join(name));
        files.find(|p| p.is_file())
    }
}

/// Which piece files of a folder are missing or not what the split wrote; empty where none.
fn broken(folder: &Path, report: &Report) -> String {
    let files: BTreeSet<&String> = report.pieces.iter().map(|p| &p.file).collect();
    let missing: Vec<&str> = files
        .into_iter()
        .filter(|file| !folder.join(file).is_file())
        .map(String::as_str)
        .collect();
    let changed = paperwork::changed_pieces(folder);
    let told = [
        (missing.join(", "), "missing"),
        (changed.join(", "), "not what the split wrote"),
    ];
    let told = told.iter().filter(|(files, _)| !files.is_empty());
    let told: Vec<String> = told
        .map(|(files, what)| format!("{what}: {files}"))
        .collect();
    told.join("; ")
}

/// What the splits in some folders remember for another run.
pub fn recalled<'a>(folders: impl IntoIterator<Item = &'a Path>) -> Recall {
    let files = folders
        .into_iter()
        .filter_map(paperwork::remembered_results);
    files.fold(Recall::begun(), |recall, file| recall.after(&file))
}

/// Reads a plan file; the plan and its text.
///
/// # Errors
///
/// When it cannot be read, is no plan, or one that cannot be carried out.
pub fn read_plan(path: &Path) -> Result<(Plan, String), Failure> {
    let text = std::fs::read_to_string(path)
        .map_err(|e| Failure::input(path, e, "Give the path of a plan.toml."))?;
    let plan = Plan::from_toml(&text).map_err(|e| {
        Failure::input(
            path,
            e,
            "Correct the plan, or let `seamwright split` write a new one.",
        )
    })?;
    Ok((plan, text))
}
