//! A model as it is read and made ready for a split.

use std::path::{Path, PathBuf};

use design::ModelReference;
use exchange::LengthUnit;
use inspection::{Code, Finding};
use paperwork::ModelEntry;
use solid::{Bounds, Defects, Mends, Point, RayCaster, Solid};

use crate::failure::Failure;
use crate::model::bodies::together;
use crate::model::surface::closed;

mod bodies;
mod surface;

/// How a model is read.
///
/// ```
/// use exchange::LengthUnit;
/// use seamwright::Reading;
///
/// let reading = Reading { join_gaps_mm: Some(0.2), ..LengthUnit::Centimetre.into() };
/// assert!(reading.mend);
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// What its numbers stand for, where its form does not say.
    pub unit: LengthUnit,
    /// Whether what is wrong with its surface is mended where that is certain, or refused.
    pub mend: bool,
    /// Bodies that are apart by no more than this are joined.
    pub join_gaps_mm: Option<f64>,
    /// What is mended besides, where it is not certain.
    pub mends: Mends,
}

impl From<LengthUnit> for Reading {
    fn from(unit: LengthUnit) -> Self {
        Self {
            unit,
            mend: true,
            join_gaps_mm: None,
            mends: Mends::default(),
        }
    }
}

impl From<&ModelReference> for Reading {
    fn from(model: &ModelReference) -> Self {
        Self {
            join_gaps_mm: model.join_gaps_mm,
            mends: Mends {
                guess: model.mend,
                thicken_mm: model.thicken_mm,
            },
            ..model.unit.into()
        }
    }
}

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
    /// How it was read.
    pub reading: Reading,
    /// What its file calls its parts, and the box of each.
    pub parts: Vec<(String, Bounds)>,
    /// What had to be done to it.
    pub notes: Vec<Finding>,
}

/// Of a model's size so much is the thickness of a surface that is drawn.
const DRAWN: f64 = 600.0;
/// Longer than any furniture.
const TOO_LARGE_MM: f64 = 100_000.0;
/// Shorter than anything worth printing: most likely the numbers are metres.
const TOO_SMALL_MM: f64 = 5.0;
/// Shorter than most furniture: the numbers may be inches or centimetres.
const SMALL_MM: f64 = 100.0;
/// What is longer than this may be meant otherwise too.
const LARGE_MM: f64 = 4000.0;

impl Model {
    /// Reads a model file. Where it states no unit, its numbers are in the one
    /// given. What is wrong with its surface is mended where that is certain, and told.
    ///
    /// # Errors
    ///
    /// When the file cannot be read, or its surface bounds no solid.
    pub fn read(path: &Path, reading: impl Into<Reading>) -> Result<Self, Failure> {
        let reading = reading.into();
        let unit = reading.unit;
        let bytes = std::fs::read(path).map_err(|e| {
            Failure::input(
                path,
                e,
                "Give the path of an STL, 3MF, OBJ or PLY file that can be read.",
            )
        })?;
        let sha256 = exchange::digest(&bytes);
        let read = exchange::read_model(&bytes, unit).map_err(|e| {
            let what_to_do = "Export the model again as STL, 3MF, OBJ or PLY.";
            Failure::input(path, e, what_to_do)
        })?;
        drop(bytes);
        let parts = named_parts(&read);
        let indexed = read.indexed();
        let soup = read.triangles();
        let mut notes = Vec::new();
        let solid = closed(path, (soup, indexed), &reading, &mut notes)?.in_order();
        let solid = together(path, solid, reading.join_gaps_mm, &mut notes)?;
        notes.extend(sensible(path, &solid, unit)?);
        Ok(Self {
            path: path.to_owned(),
            solid,
            name: path
                .file_name()
                .map_or_else(String::new, |n| n.to_string_lossy().into_owned()),
            sha256,
            unit,
            reading,
            parts,
            notes,
        })
    }

    /// The surface of a model that is refused, made so thick that it can be drawn, and what is
    /// wrong with it; `None` where it is not refused for its surface, or cannot be drawn.
    pub fn surface(path: &Path, reading: Reading) -> Option<(Solid, Defects)> {
        let bytes = std::fs::read(path).ok()?;
        let soup = exchange::read_triangles(&bytes, reading.unit).ok()?;
        let defects = match reading.mend {
            true => Solid::mended_by(soup.clone(), reading.mends).err()?,
            false => Solid::from_triangles(soup.clone()).err()?,
        };
        let size = Bounds::of(soup.iter().flatten().copied())?.diagonal_mm();
        let drawn = Mends {
            guess: true,
            thicken_mm: Some(size / DRAWN),
        };
        Some((Solid::mended_by(soup, drawn).ok()?.solid, defects))
    }

    /// What its file calls the part that is all of a body with a point in it.
    pub fn name_at(&self, at: &Point) -> Option<String> {
        if self.parts.is_empty() {
            return None;
        }
        let holds = |b: &Solid| b.bounds().is_some_and(|b| b.contains(at, 0.0));
        let bodies = self.solid.bodies().into_iter().filter(holds);
        let inside = |b: &Solid| RayCaster::new(b).is_some_and(|rays| rays.contains(at));
        let body = bodies.into_iter().find(inside)?.bounds()?;
        let same = |b: &Bounds| {
            (b.min - body.min).amax() < SAME_PART_MM && (b.max - body.max).amax() < SAME_PART_MM
        };
        let part = self.parts.iter().find(|(_, b)| same(b))?;
        Some(part.0.clone())
    }

    /// How a plan names it.
    pub fn reference(&self) -> ModelReference {
        ModelReference {
            file: self.name.clone(),
            sha256: self.sha256.clone(),
            unit: self.unit,
            join_gaps_mm: self.reading.join_gaps_mm,
            mend: self.reading.mends.guess,
            thicken_mm: self.reading.mends.thicken_mm,
        }
    }

    /// What a report says of it.
    pub fn entry(&self) -> ModelEntry {
        ModelEntry::of(&self.solid, &self.name, &self.sha256, self.unit)
    }
}

/// A part whose box is that of a body, to this, is the body.
const SAME_PART_MM: f64 = 1e-2;

/// The parts of a file that have names, and their boxes.
fn named_parts(read: &exchange::Model) -> Vec<(String, Bounds)> {
    let parts = read.parts.iter();
    let named = parts.filter_map(|part| {
        let corners = part.triangles.iter().flatten().copied();
        Some((part.name.clone()?, Bounds::of(corners)?))
    });
    named.collect()
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
    if size > LARGE_MM {
        let message = format!(
            "the model is {:.1} m long, more than furniture is; if its numbers stand for a smaller \
             unit than {}, say so with --unit",
            size / 1000.0,
            unit.sign()
        );
        return Ok(Some(Finding::new(Code::LargeModel, message)));
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
