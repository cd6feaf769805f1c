//! A folder read back: its report, its joints, its pieces as they lie on disk.

use std::fs;
use std::path::Path;

use design::{Assembly, PieceInPlace, PrinterId, SeamRecord};
use solid::Solid;

use crate::folder::owned::is_inside;
use crate::record::entries::{PrinterEntry, Report};

/// A folder could not be read back.
#[derive(Debug, thiserror::Error)]
pub enum ReadBackError {
    /// A file is missing or unreadable.
    #[error("{file}: {source}; is this a folder that `seamwright split` wrote?")]
    Io {
        /// The file.
        file: String,
        /// Why.
        source: std::io::Error,
    },
    /// The report is no report.
    #[error("report.json: {0}")]
    Report(String),
    /// A piece's file is no solid.
    #[error("{file}: {why}")]
    Piece {
        /// The file.
        file: String,
        /// What is wrong.
        why: String,
    },
}

/// Reads the report of a folder.
///
/// # Errors
///
/// When it is missing or no report of version 1.
pub fn read_report(folder: &Path) -> Result<Report, ReadBackError> {
    let file = folder.join("report.json");
    let text = fs::read_to_string(&file).map_err(|source| ReadBackError::Io {
        file: file.display().to_string(),
        source,
    })?;
    let report: Report =
        serde_json::from_str(&text).map_err(|e| ReadBackError::Report(e.to_string()))?;
    if report.format != "seamwright-report" || report.version != 1 {
        return Err(ReadBackError::Report(format!(
            "this is \"{}\" version {}, not seamwright-report version 1",
            report.format, report.version
        )));
    }
    Ok(report)
}

/// Reads the joints of a folder's seams.
///
/// # Errors
///
/// When `joints.json` is missing or not what a split wrote.
pub fn read_joints(folder: &Path) -> Result<Vec<SeamRecord>, ReadBackError> {
    let file = folder.join("joints.json");
    let text = fs::read(&file).map_err(|source| ReadBackError::Io {
        file: file.display().to_string(),
        source,
    })?;
    serde_json::from_slice(&text).map_err(|e| ReadBackError::Piece {
        file: "joints.json".to_owned(),
        why: e.to_string(),
    })
}

/// Reads the pieces of a folder as they lie on disk, and puts them in place as
/// its report says.
///
/// # Errors
///
/// When a file is missing, a piece's surface is not closed, or the report
/// names what it does not have.
pub fn read_back(folder: &Path, report: &Report) -> Result<Assembly, ReadBackError> {
    let mut pieces = Vec::new();
    for entry in &report.pieces {
        let bad = |why: String| ReadBackError::Piece {
            file: entry.file.clone(),
            why,
        };
        let bytes = piece_bytes(folder, &entry.file)?;
        let soup = exchange::read_triangles(&bytes, exchange::LengthUnit::default())
            .map_err(|e| bad(e.to_string()))?;
        let as_printed = Solid::from_triangles(soup).map_err(|e| bad(e.to_string()))?;
        let motion = entry
            .motion()
            .ok_or_else(|| bad("its placement is no rigid motion".into()))?;
        let printer = report
            .printers
            .iter()
            .position(|p| p.name == entry.printer)
            .ok_or_else(|| {
                ReadBackError::Report(format!(
                    "piece {} is for the printer '{}', which it does not list",
                    entry.id, entry.printer
                ))
            })?;
        let (id, printer) = (entry.id.clone(), PrinterId::at(printer));
        pieces.push(PieceInPlace::placed(id, as_printed, motion, printer));
    }
    let printers = report.printers.iter().map(PrinterEntry::printer).collect();
    Assembly::new(pieces, report.seams.clone(), report.steps.clone(), printers)
        .map_err(|e| ReadBackError::Report(e.to_string()))
}

/// The bytes of a piece's file, which lies in the folder.
///
/// # Errors
///
/// When it cannot be read, or its name leads out of the folder.
pub fn piece_bytes(folder: &Path, file: &str) -> Result<Vec<u8>, ReadBackError> {
    if !is_inside(file) {
        return Err(ReadBackError::Piece {
            file: file.to_owned(),
            why: "its name leads out of the folder".to_owned(),
        });
    }
    let path = folder.join(file);
    fs::read(&path).map_err(|source| ReadBackError::Io {
        file: path.display().to_string(),
        source,
    })
}
