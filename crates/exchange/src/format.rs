//! Which form a file has, and what reads and writes it.

use solid::{Isometry, Solid, TriangleCorners};

use crate::model::{Model, Part};
use crate::polygons::obj::{ObjReadError, is_obj, read_obj};
use crate::polygons::ply::{PlyReadError, is_ply, read_ply};
use crate::stl::read::read_stl;
use crate::stl::read_error::ReadError;
use crate::stl::write::write_stl_where;
use crate::threemf::read::{is_3mf, read_3mf_model};
use crate::threemf::read_error::ThreemfReadError;
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
    /// As OBJ.
    #[error("as OBJ, {0}")]
    Obj(#[from] ObjReadError),
    /// As PLY.
    #[error("as PLY, {0}")]
    Ply(#[from] PlyReadError),
    /// It is of a form that is not read.
    #[error("it is {0}, which is not read")]
    OtherForm(&'static str),
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
const FORMATS: [Format; 4] = [
    Format {
        is: is_3mf,
        read: |bytes, _| Ok(read_3mf_model(bytes)?),
    },
    Format {
        is: is_ply,
        read: |bytes, unit| {
            let part = Part::numbered(None, read_ply(bytes)?);
            Ok(in_unit(vec![part], unit))
        },
    },
    Format {
        is: is_obj,
        read: |bytes, unit| Ok(in_unit(read_obj(bytes)?, unit)),
    },
    Format {
        is: |_| true,
        read: stl,
    },
];

/// How files of other forms begin, and what they are.
const OTHERS: [(&[u8], &str); 7] = [
    (b"glTF", "a binary glTF file"),
    (b"\x1f\x8b", "a gzip archive"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"GIF8", "a picture"),
    (b"%PDF", "a PDF"),
    (b"ISO-10303-21", "a STEP file"),
];

/// What a file is that is of none of the forms that are read, where that is sure.
fn other_form(bytes: &[u8]) -> Option<&'static str> {
    let known = OTHERS.iter().find(|(mark, _)| bytes.starts_with(mark));
    known.map(|(_, what)| *what)
}

fn stl(bytes: &[u8], unit: LengthUnit) -> Result<Model, ModelReadError> {
    let part = Part {
        name: None,
        triangles: read_stl(bytes)?,
        numbers: None,
    };
    Ok(in_unit(vec![part], unit))
}

/// Parts whose numbers are in a unit that their form does not state.
fn in_unit(mut parts: Vec<Part>, unit: LengthUnit) -> Model {
    let scale = unit.in_mm();
    for part in &mut parts {
        part.triangles
            .iter_mut()
            .flatten()
            .for_each(|p| *p *= scale);
    }
    Model {
        parts,
        unit: Some(unit),
    }
}

/// A model file: 3MF, which states its unit, or STL, OBJ or PLY, which are read in the unit
/// given. Told apart by content.
///
/// # Errors
///
/// When the bytes are none of them, or cut short.
pub fn read_model(bytes: &[u8], unit: LengthUnit) -> Result<Model, ModelReadError> {
    if let Some(what) = other_form(bytes) {
        return Err(ModelReadError::OtherForm(what));
    }
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

    /// The bytes of a piece's file, by somebody's word on whether a surface is clear of
    /// itself: the look at that takes most of the time.
    ///
    /// # Errors
    ///
    /// When the solid does not survive being rounded to the precision of the
    /// form, in words.
    pub fn write(
        self,
        name: &str,
        solid: &Solid,
        is_clear: impl Fn(&Solid) -> bool,
    ) -> Result<Vec<u8>, String> {
        match self {
            Self::Stl => write_stl_where(solid, is_clear).map_err(|e| e.to_string()),
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn files_of_other_forms_are_named() {
        let read = |bytes: &[u8]| read_model(bytes, LengthUnit::Millimetre).err();
        for (bytes, what) in [
            (&b"glTF\x02\0\0\0"[..], "a binary glTF file"),
            (b"ISO-10303-21;\nHEADER;", "a STEP file"),
        ] {
            assert_eq!(read(bytes), Some(ModelReadError::OtherForm(what)));
        }
        assert!(!matches!(
            read(b"solid v\n"),
            Some(ModelReadError::OtherForm(_))
        ));
    }
}
