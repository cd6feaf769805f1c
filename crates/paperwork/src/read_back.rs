use std::fs;
use std::path::Path;

use inspection::{Assembly, ContactClaim, PieceInPlace, SeamClaim, StepClaim};
use solid::Solid;
use workshop::SeamRecord;

use crate::Report;
use crate::report::frame_of;

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
/// names pieces that it does not have.
pub fn read_back(folder: &Path, report: &Report) -> Result<Assembly, ReadBackError> {
    let mut pieces = Vec::new();
    for entry in &report.pieces {
        let file = folder.join(&entry.file);
        let bytes = fs::read(&file).map_err(|source| ReadBackError::Io {
            file: file.display().to_string(),
            source,
        })?;
        let bad = |why: String| ReadBackError::Piece {
            file: entry.file.clone(),
            why,
        };
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
            .unwrap_or(0);
        pieces.push(PieceInPlace {
            id: entry.id.clone(),
            in_place: as_printed.moved(&motion),
            as_printed,
            printer,
        });
    }
    let index = |id: &String| {
        report
            .pieces
            .iter()
            .position(|p| &p.id == id)
            .ok_or_else(|| {
                ReadBackError::Report(format!("it names a piece {id} that it does not list"))
            })
    };
    let mut seams = Vec::new();
    for seam in &report.seams {
        let frame = frame_of(seam)
            .ok_or_else(|| ReadBackError::Report(format!("seam {} has no normal", seam.id)))?;
        let contacts = seam
            .contacts
            .iter()
            .map(|c| {
                Ok(ContactClaim {
                    pieces: [index(&c.pieces[0])?, index(&c.pieces[1])?],
                    joint: c.joint,
                    keys: c.keys.iter().map(index).collect::<Result<_, _>>()?,
                    area_mm2: c.area_mm2,
                    reason: c.reason.clone(),
                })
            })
            .collect::<Result<_, ReadBackError>>()?;
        seams.push(SeamClaim {
            id: seam.id.clone(),
            frame,
            contacts,
        });
    }
    let mut steps = Vec::new();
    for step in &report.steps {
        let seam = report
            .seams
            .iter()
            .position(|s| s.id == step.seam)
            .ok_or_else(|| {
                ReadBackError::Report(format!("step {} names a seam it does not list", step.step))
            })?;
        steps.push(StepClaim {
            moving: step.moving.iter().map(index).collect::<Result<_, _>>()?,
            onto: step.onto.iter().map(index).collect::<Result<_, _>>()?,
            seam,
            direction: step.direction.into(),
            travel_mm: step.travel_mm,
        });
    }
    Ok(Assembly {
        pieces,
        seams,
        steps,
        printers: report
            .printers
            .iter()
            .map(crate::PrinterEntry::printer)
            .collect(),
    })
}
