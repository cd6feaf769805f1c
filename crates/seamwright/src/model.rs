//! A model as it is read and made ready for a split.

use std::path::{Path, PathBuf};

use design::ModelReference;
use exchange::LengthUnit;
use inspection::{Code, Finding};
use paperwork::ModelEntry;
use solid::{DefectKind, Defects, Solid, TriangleCorners};

use crate::failure::Failure;

/// A model as it was read.
#[derive(Clone, Debug)]
pub struct Model {
    /// Where its file is.
    pub path: PathBuf,
    /// Its solid.
    pub solid: Solid,
    /// The name of its file.
    pub name: String,
    /// The digest of the file's bytes.
    pub sha256: String,
    /// The unit that it was read in.
    pub unit: LengthUnit,
    /// What had to be done to it.
    pub notes: Vec<Finding>,
}

/// Longer than any furniture.
const TOO_LARGE_MM: f64 = 100_000.0;
/// Shorter than anything worth printing: most likely the numbers are metres.
const TOO_SMALL_MM: f64 = 5.0;
/// Shorter than most furniture: the numbers may be inches or centimetres.
const SMALL_MM: f64 = 100.0;

impl Model {
    /// Reads a model file. Where it states no unit, its numbers are in the one
    /// given.
    ///
    /// # Errors
    ///
    /// When the file cannot be read, or its surface bounds no solid.
    pub fn read(path: &Path, unit: LengthUnit) -> Result<Self, Failure> {
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
        let solid = closed(path, soup, &mut notes)?;
        let solid = apart(path, solid, &mut notes)?;
        notes.extend(sensible(path, &solid, unit)?);
        Ok(Self {
            path: path.to_owned(),
            solid,
            name: path
                .file_name()
                .map_or_else(String::new, |n| n.to_string_lossy().into_owned()),
            sha256: exchange::digest(&bytes),
            unit,
            notes,
        })
    }

    /// How a plan names it.
    pub fn reference(&self) -> ModelReference {
        ModelReference {
            file: self.name.clone(),
            sha256: self.sha256.clone(),
            unit: self.unit,
        }
    }

    /// What a report says of it.
    pub fn entry(&self) -> ModelEntry {
        ModelEntry::of(&self.solid, &self.name, &self.sha256, self.unit)
    }
}

/// The triangles as a closed solid, zero-area faces removed.
fn closed(
    path: &Path,
    soup: Vec<TriangleCorners>,
    notes: &mut Vec<Finding>,
) -> Result<Solid, Failure> {
    match Solid::from_triangles(soup.iter().copied()) {
        Ok(solid) => Ok(solid),
        Err(defects) if defects.found.iter().all(|d| mendable(d.kind)) => {
            let (solid, turned) = Solid::turned_outward(soup).map_err(|e| broken(path, &e))?;
            let done = match (defects.has(DefectKind::ZeroArea), turned) {
                (_, 0) => "removed, which changes no shape".to_owned(),
                (false, turned) => format!("{turned} turned outward, as the others are"),
                (true, turned) => format!(
                    "removed, which changes no shape; {turned} bodies inside out, turned outward"
                ),
            };
            let message = format!("{defects}: {done}");
            notes.push(Finding::new(Code::Mended, message));
            Ok(solid)
        }
        Err(defects) => Err(broken(path, &defects)),
    }
}

/// Whether a defect has one remedy that is certain.
fn mendable(kind: DefectKind) -> bool {
    matches!(kind, DefectKind::ZeroArea | DefectKind::InsideOut)
}

/// The solid with overlapping parts joined.
fn apart(path: &Path, solid: Solid, notes: &mut Vec<Finding>) -> Result<Solid, Failure> {
    let kernel = |e| {
        Failure::input(
            path,
            e,
            "Export the model again, or repair it in a mesh editor.",
        )
    };
    if !solid.crosses_itself().map_err(kernel)? {
        return Ok(solid);
    }
    notes.push(Finding::new(
        Code::Rebuilt,
        "the model's surface passes through itself; overlapping parts were joined into one body",
    ));
    solid.rebuilt().map_err(kernel)
}

/// Checks that the model is as large as furniture; of one that is small the
/// maker is asked.
fn sensible(path: &Path, solid: &Solid, unit: LengthUnit) -> Result<Option<Finding>, Failure> {
    let size = solid.bounds().map_or(0.0, |b| b.size_mm().max());
    if !(TOO_SMALL_MM..=TOO_LARGE_MM).contains(&size) {
        return Err(Failure::input(
            path,
            format!("the model is {size:.3} mm long"),
            "Say what its numbers stand for with --unit mm, cm, m or in.",
        ));
    }
    let small = size < SMALL_MM && unit == LengthUnit::Millimetre;
    Ok(small.then(|| {
        Finding::new(
            Code::SmallModel,
            format!(
                "the model is {size:.1} mm long; if its numbers are not millimetres, say with \
                 --unit what they are"
            ),
        )
    }))
}

fn broken(path: &Path, defects: &Defects) -> Failure {
    Failure::input(
        path,
        format!("the surface does not bound a solid: {defects}"),
        "Close the surface and turn its faces outward in the program that made it.",
    )
}
