//! Which form a file has, and what reads and writes it.

use solid::{Isometry, Solid, TriangleCorners};

use crate::model::{Model, Part};
use crate::stl::read::{ReadError, read_stl};
use crate::stl::write::write_stl;
use crate::threemf::read::{ThreemfReadError, is_3mf, read_3mf_model};
use crate::threemf::write::{Named, write_3mf};
use crate::unit::LengthUnit;

/// A model file could not be read.
#[derive(Clone, Debug, thiserror::Error, PartialEq)]
pub enum ModelReadError {
    /// As STL.
    #[error(transparent)]
    Stl(#[from] ReadError),
    /// As 3MF.
    #[error(transparent)]
    Threemf(#[from] ThreemfReadError),
    /// A coordinate is beyond anything that is built.
    #[error(
        "a coordinate of {0:e} mm is beyond {MOST_MM:e} mm, which nothing that is built reaches"
    )]
    FarAway(f64),
}

/// No coordinate may be further from the origin: ten kilometres, within which
/// sums of products of coordinates stay exact enough to cut.
const MOST_MM: f64 = 1e7;

/// A form of model files. A new one is a row in [`FORMATS`].
struct Format {
    /// Whether some bytes are of this form.
    is: fn(&[u8]) -> bool,
    /// Reads them; where the form states no unit, in the one given.
    read: fn(&[u8], LengthUnit) -> Result<Model, ModelReadError>,
}

/// The forms that are read, the surest to tell first. STL has no mark that all
/// its files bear, so what is nothing else is taken for it.
const FORMATS: [Format; 2] = [
    Format {
        is: is_3mf,
        read: |bytes, _| Ok(read_3mf_model(bytes)?),
    },
    Format {
        is: |_| true,
        read: stl,
    },
];

fn stl(bytes: &[u8], unit: LengthUnit) -> Result<Model, ModelReadError> {
    let scale = unit.in_mm();
    let mut triangles = read_stl(bytes)?;
    for p in triangles.iter_mut().flatten() {
        *p *= scale;
    }
    Ok(Model {
        parts: vec![Part {
            name: None,
            triangles,
        }],
        unit: Some(unit),
    })
}

/// A model file: 3MF, which states its unit, or STL, which is read in the unit
/// given. Told apart by content.
///
/// # Errors
///
/// When the bytes are neither, or cut short.
pub fn read_model(bytes: &[u8], unit: LengthUnit) -> Result<Model, ModelReadError> {
    let last = &FORMATS[FORMATS.len() - 1];
    let format = FORMATS.iter().find(|f| (f.is)(bytes)).unwrap_or(last);
    let model = (format.read)(bytes, unit)?;
    let triangles = model.parts.iter().flat_map(|part| &part.triangles);
    let mut coordinates = triangles.flatten().flat_map(|p| [p.x, p.y, p.z]);
    match coordinates.find(|x| !(-MOST_MM..=MOST_MM).contains(x)) {
        None => Ok(model),
        Some(x) => Err(ModelReadError::FarAway(x)),
    }
}

/// The triangles of a model file in millimetres, its parts taken together.
///
/// # Errors
///
/// As [`read_model`].
pub fn read_triangles(
    bytes: &[u8],
    unit: LengthUnit,
) -> Result<Vec<TriangleCorners>, ModelReadError> {
    read_model(bytes, unit).map(Model::triangles)
}

/// The form of a piece's file.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum PieceFormat {
    /// Binary STL, in millimetres.
    #[default]
    Stl,
    /// 3MF, which states its unit and the piece's name.
    Threemf,
}

impl PieceFormat {
    /// What the names of its files end with.
    pub const fn extension(self) -> &'static str {
        match self {
            Self::Stl => "stl",
            Self::Threemf => "3mf",
        }
    }

    /// The bytes of a piece's file.
    ///
    /// # Errors
    ///
    /// When the solid does not survive being rounded to the precision of the
    /// form, in words.
    pub fn write(self, name: &str, solid: &Solid) -> Result<Vec<u8>, String> {
        match self {
            Self::Stl => write_stl(solid).map_err(|e| e.to_string()),
            Self::Threemf => {
                let item = Named {
                    name,
                    solid,
                    placed: Isometry::identity(),
                };
                write_3mf(name, &[item], None).map_err(|e| e.to_string())
            }
        }
    }
}
