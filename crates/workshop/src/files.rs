//! Pieces as they go to disk, and how they read back.

use design::{PieceId, Recall};
use exchange::{LengthUnit, PieceFormat};
use rayon::prelude::*;
use solid::Solid;

use crate::build::Build;

/// A piece as it was written.
#[derive(Clone, Debug)]
pub struct Written {
    /// Its file in the folder.
    pub file: String,
    /// The solid as it reads back from the file's bytes.
    pub as_printed: Solid,
}

/// A piece as it goes to disk.
#[derive(Clone, Debug)]
pub struct PieceFile {
    /// How it reads back.
    pub written: Written,
    /// Its bytes; none where the file of another piece serves.
    pub bytes: Option<Vec<u8>>,
}

/// A piece that has no form as a file.
#[derive(Clone, Debug, thiserror::Error, PartialEq)]
#[error("piece {piece} could not be written: {why}; move the seams beside it a little in the plan")]
pub struct BadFile {
    /// The piece.
    pub piece: PieceId,
    /// Why.
    pub why: String,
}

/// The pieces as they go to disk, with their bytes. Congruent pieces share the
/// file of the first. What is known already of their surfaces is not looked at again.
///
/// # Errors
///
/// When a piece does not survive being rounded to the precision of its format.
pub fn written(
    build: &Build,
    format: PieceFormat,
    recall: &Recall,
) -> Result<Vec<PieceFile>, BadFile> {
    let mut files: Vec<Option<PieceFile>> = build
        .pieces
        .par_iter()
        .map(|piece| {
            // One that fits no bed is only shifted there, each by itself.
            if piece.congruent.is_some() && piece.placement.is_ok() {
                return Ok(None);
            }
            let fail = |why: String| BadFile {
                piece: piece.id.clone(),
                why,
            };
            let as_printed = piece.solid.moved(&piece.onto_bed());
            let bytes = format.write(piece.id.as_str(), &as_printed, |surface| {
                recall.touches_itself(surface).is_none()
            });
            let bytes = bytes.map_err(fail)?;
            let soup = exchange::read_triangles(&bytes, LengthUnit::default())
                .map_err(|e| fail(e.to_string()))?;
            let as_printed = Solid::from_triangles(soup).map_err(|e| fail(e.to_string()))?;
            let file = format!("pieces/{}.{}", piece.id, format.extension());
            Ok(Some(PieceFile {
                written: Written { file, as_printed },
                bytes: Some(bytes),
            }))
        })
        .collect::<Result<_, BadFile>>()?;
    for k in 0..files.len() {
        if let (None, Some(first)) = (&files[k], build.pieces[k].congruent) {
            files[k] = files[first.of].as_ref().map(|file| PieceFile {
                written: file.written.clone(),
                bytes: None,
            });
        }
    }
    Ok(files.into_iter().flatten().collect())
}
