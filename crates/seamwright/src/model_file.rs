use std::path::Path;

use exchange::LengthUnit;
use inspection::{Finding, Severity};
use sha2::{Digest, Sha256};
use solid::{DefectKind, Defects, Solid};

use crate::failure::Failure;

/// A model as it was read.
pub(crate) struct Model {
    pub(crate) solid: Solid,
    pub(crate) name: String,
    pub(crate) sha256: String,
    /// What had to be done to it.
    pub(crate) notes: Vec<Finding>,
}

/// Longer than any furniture.
const TOO_LARGE_MM: f64 = 100_000.0;
/// Shorter than anything worth printing: most likely the numbers are metres.
const TOO_SMALL_MM: f64 = 5.0;
/// Shorter than most furniture: the numbers may be inches or centimetres.
const SMALL_MM: f64 = 100.0;

pub(crate) fn read(path: &Path, unit: LengthUnit) -> Result<Model, Failure> {
    let bytes = std::fs::read(path).map_err(|e| {
        Failure::input(
            path,
            e,
            "Give the path of an STL or 3MF file that can be read.",
        )
    })?;
    let soup = exchange::read_triangles(&bytes, unit)
        .map_err(|e| Failure::input(path, e, "Export the model again as STL or 3MF."))?;
    let mut notes = Vec::new();
    let solid = match Solid::from_triangles(soup.iter().copied()) {
        Ok(solid) => solid,
        Err(defects) if defects.found.iter().all(|d| d.kind == DefectKind::ZeroArea) => {
            let mended = Solid::mended_from_triangles(soup).map_err(|e| broken(path, &e))?;
            notes.push(Finding::new(
                Severity::Note,
                "mended",
                format!("{defects}: removed, which changes no shape"),
            ));
            mended
        }
        Err(defects) => return Err(broken(path, &defects)),
    };
    let kernel = |e| {
        Failure::input(
            path,
            e,
            "Export the model again, or repair it in a mesh editor.",
        )
    };
    let crosses = solid.crosses_itself().map_err(kernel)?;
    let solid = if crosses {
        notes.push(Finding::new(
            Severity::Note,
            "rebuilt",
            "the model's surface passes through itself; overlapping parts were joined into one body",
        ));
        solid.rebuilt().map_err(kernel)?
    } else {
        solid
    };
    let size = solid.bounds().map_or(0.0, |b| b.size_mm().max());
    if !(TOO_SMALL_MM..=TOO_LARGE_MM).contains(&size) {
        return Err(Failure::input(
            path,
            format!("the model is {size:.3} mm long"),
            "Say what its numbers stand for with --unit mm, cm, m or in.",
        ));
    }
    if size < SMALL_MM && unit == LengthUnit::Millimetre {
        notes.push(Finding::new(
            Severity::Warning,
            "small-model",
            format!(
                "the model is {size:.1} mm long; if its numbers are not millimetres, say with \
                 --unit what they are"
            ),
        ));
    }
    Ok(Model {
        solid,
        name: path
            .file_name()
            .map_or_else(String::new, |n| n.to_string_lossy().into_owned()),
        sha256: Sha256::digest(&bytes)
            .iter()
            .map(|b| format!("{b:02x}"))
            .collect(),
        notes,
    })
}

fn broken(path: &Path, defects: &Defects) -> Failure {
    Failure::input(
        path,
        format!("the surface does not bound a solid: {defects}"),
        "Close the surface and turn its faces outward in the program that made it.",
    )
}
