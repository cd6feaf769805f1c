//! Reading PLY, ASCII and binary, never trusting the bytes.

use std::io::Cursor;

use ply_rs_bw::parser::{ParseError, Parser, Reader};
use ply_rs_bw::ply::{ElementDef, Property, PropertyAccess, PropertyAccessResult};
use solid::Point;

use crate::polygons::faces::Numbered;

/// A file is no usable PLY.
#[derive(Clone, Debug, thiserror::Error, PartialEq)]
pub enum PlyReadError {
    /// It does not follow its header.
    #[error("it does not hold what its header says: {0}")]
    Content(String),
    /// Its header counts more than there is.
    #[error("its header counts {count} of '{element}', more than the file has bytes")]
    Counts {
        /// What is counted.
        element: String,
        /// How many.
        count: usize,
    },
    /// Corners have no place, or there are none.
    #[error("it has no corners with x, y and z")]
    NoCorners,
    /// There are no faces.
    #[error("it has no faces: a cloud of points bounds no solid")]
    NoFaces,
    /// A coordinate is none.
    #[error("corner {0} has a coordinate that is not a finite number")]
    NotFinite(usize),
    /// A face names a corner that is not there.
    #[error("face {face} names a corner that it does not have")]
    NoSuchCorner {
        /// The face, from 1.
        face: usize,
    },
}

impl From<ParseError> for PlyReadError {
    fn from(e: ParseError) -> Self {
        // Its words for a line go over several, and repeat it.
        let words = e.to_string();
        let first = words.lines().next().unwrap_or_default();
        let first: String = first.chars().take(160).collect();
        Self::Content(
            e.line()
                .map_or(first, |n| format!("line {n} reads otherwise")),
        )
    }
}

/// Whether a file is PLY.
pub(crate) fn is_ply(bytes: &[u8]) -> bool {
    bytes.starts_with(b"ply\n") || bytes.starts_with(b"ply\r\n")
}

/// A corner: x, y and z where it has them.
#[derive(Default)]
struct Corner([Option<f64>; 3]);

impl PropertyAccess for Corner {
    fn new() -> Self {
        Self::default()
    }

    fn set_property(&mut self, name: &str, value: Property) -> PropertyAccessResult {
        let Some(axis) = ["x", "y", "z"].iter().position(|a| *a == name) else {
            return PropertyAccessResult::Ignored;
        };
        self.0[axis] = match value {
            Property::Char(v) => Some(v.into()),
            Property::UChar(v) => Some(v.into()),
            Property::Short(v) => Some(v.into()),
            Property::UShort(v) => Some(v.into()),
            Property::Int(v) => Some(v.into()),
            Property::UInt(v) => Some(v.into()),
            Property::Float(v) => Some(v.into()),
            Property::Double(v) => Some(v),
            _ => return PropertyAccessResult::UnsupportedType,
        };
        PropertyAccessResult::Set
    }
}

/// A face: the numbers of its corners, from 0; what is no such number is the largest, which
/// no file has.
#[derive(Default)]
struct Face(Vec<u32>);

impl PropertyAccess for Face {
    fn new() -> Self {
        Self::default()
    }

    fn set_property(&mut self, name: &str, value: Property) -> PropertyAccessResult {
        if !["vertex_indices", "vertex_index"].contains(&name) {
            return PropertyAccessResult::Ignored;
        }
        fn numbers<T: TryInto<u32>>(list: Vec<T>) -> Vec<u32> {
            let each = list.into_iter().map(|k| k.try_into().unwrap_or(u32::MAX));
            each.collect()
        }
        self.0 = match value {
            Property::ListChar(list) => numbers(list),
            Property::ListUChar(list) => numbers(list),
            Property::ListShort(list) => numbers(list),
            Property::ListUShort(list) => numbers(list),
            Property::ListInt(list) => numbers(list),
            Property::ListUInt(list) => list,
            _ => return PropertyAccessResult::UnsupportedType,
        };
        PropertyAccessResult::Set
    }
}

/// What nobody asks for is read past.
struct Other;

impl PropertyAccess for Other {
    fn new() -> Self {
        Self
    }
}

/// The triangles of a PLY file, in its own unit.
pub(crate) fn read_ply(bytes: &[u8]) -> Result<Numbered, PlyReadError> {
    let mut reader = Reader::new(Cursor::new(bytes));
    let header = Parser::<Other>::new().read_header(&mut reader)?;
    let mut places: Option<Vec<Point>> = None;
    let mut faces: Vec<Face> = Vec::new();
    for (_, element) in &header.elements {
        counted(element, bytes)?;
        match element.name.as_str() {
            "vertex" => {
                let parser = Parser::<Corner>::new();
                let corners = parser.read_payload_for_element(&mut reader, element, &header)?;
                places = Some(
                    corners
                        .iter()
                        .zip(1..)
                        .map(place)
                        .collect::<Result<_, _>>()?,
                );
            }
            "face" => {
                let parser = Parser::<Face>::new();
                faces = parser.read_payload_for_element(&mut reader, element, &header)?;
            }
            _ => {
                let parser = Parser::<Other>::new();
                parser.read_payload_for_element(&mut reader, element, &header)?;
            }
        }
    }
    let places = places
        .filter(|p| !p.is_empty())
        .ok_or(PlyReadError::NoCorners)?;
    let mut out = Numbered::default();
    for (Face(face), k) in faces.iter().zip(1..) {
        let no_such = |_| PlyReadError::NoSuchCorner { face: k };
        out.add(&places, face).map_err(no_such)?;
    }
    match out.triangles.is_empty() {
        true => Err(PlyReadError::NoFaces),
        false => Ok(out),
    }
}

/// Each that is counted takes a byte at least.
fn counted(element: &ElementDef, bytes: &[u8]) -> Result<(), PlyReadError> {
    if element.count <= bytes.len() {
        return Ok(());
    }
    Err(PlyReadError::Counts {
        element: element.name.chars().take(40).collect(),
        count: element.count,
    })
}

fn place((corner, k): (&Corner, usize)) -> Result<Point, PlyReadError> {
    let [Some(x), Some(y), Some(z)] = corner.0 else {
        return Err(PlyReadError::NoCorners);
    };
    match [x, y, z].iter().all(|v| v.is_finite()) {
        true => Ok(Point::new(x, y, z)),
        false => Err(PlyReadError::NotFinite(k)),
    }
}

#[cfg(test)]
mod tests {
    use solid::Solid;

    use super::*;

    const CORNERS: [[f32; 3]; 8] = [
        [0., 0., 0.],
        [1., 0., 0.],
        [1., 2., 0.],
        [0., 2., 0.],
        [0., 0., 3.],
        [1., 0., 3.],
        [1., 2., 3.],
        [0., 2., 3.],
    ];
    const FACES: [[u32; 4]; 6] = [
        [3, 2, 1, 0],
        [4, 5, 6, 7],
        [0, 1, 5, 4],
        [1, 2, 6, 5],
        [2, 3, 7, 6],
        [3, 0, 4, 7],
    ];

    fn header(encoding: &str) -> String {
        format!(
            "ply\nformat {encoding} 1.0\ncomment a block\nelement vertex 8\nproperty float x\n\
             property float y\nproperty float z\nproperty uchar red\nelement face 6\nproperty list \
             uchar int vertex_indices\nend_header\n"
        )
    }

    fn ascii() -> String {
        let mut text = header("ascii");
        for [x, y, z] in CORNERS {
            text += &format!("{x} {y} {z} 255\n");
        }
        for [a, b, c, d] in FACES {
            text += &format!("4 {a} {b} {c} {d}\n");
        }
        text
    }

    fn binary(big: bool) -> Vec<u8> {
        let encoding = ["binary_little_endian", "binary_big_endian"][usize::from(big)];
        let ordered = |mut word: [u8; 4]| {
            if !big {
                word.reverse();
            }
            word
        };
        let mut bytes = header(encoding).into_bytes();
        for corner in CORNERS {
            bytes.extend(corner.iter().flat_map(|x| ordered(x.to_be_bytes())));
            bytes.push(255);
        }
        for face in FACES {
            bytes.push(4);
            bytes.extend(face.iter().flat_map(|k| ordered(k.to_be_bytes())));
        }
        bytes
    }

    fn volume(bytes: &[u8]) -> f64 {
        Solid::from_triangles(read_ply(bytes).unwrap().triangles)
            .unwrap()
            .volume_mm3()
    }

    #[test]
    fn a_block_is_read_from_each_encoding() {
        assert_eq!(volume(ascii().as_bytes()), 6.0);
        for big in [false, true] {
            assert_eq!(volume(&binary(big)), 6.0);
        }
    }

    #[test]
    fn what_is_wrong_is_told() {
        let said = |from: &str, to: &str| {
            let text = ascii().replacen(from, to, 1);
            read_ply(text.as_bytes()).unwrap_err().to_string()
        };
        for (from, to, words) in [
            (
                "4 3 2 1 0",
                "4 3 2 1 8",
                "face 1 names a corner that it does not have",
            ),
            (
                "4 3 2 1 0",
                "4 3 2 1 -1",
                "face 1 names a corner that it does not have",
            ),
            (
                "0 0 0 255",
                "0 nan 0 255",
                "it does not hold what its header says: line 12 reads otherwise",
            ),
            ("float z", "float w", "it has no corners with x, y and z"),
            (
                "vertex 8",
                "vertex 80000000",
                "its header counts 80000000 of 'vertex', more than the file has bytes",
            ),
        ] {
            assert_eq!(said(from, to), words);
        }
        let mut not_finite = binary(false);
        let first = header("binary_little_endian").len();
        not_finite[first..first + 4].copy_from_slice(&f32::NAN.to_le_bytes());
        assert_eq!(read_ply(&not_finite), Err(PlyReadError::NotFinite(1)));
        let short = &binary(false)[..300];
        assert!(matches!(read_ply(short), Err(PlyReadError::Content(_))));
        assert!(matches!(
            read_ply(b"ply\nnonsense"),
            Err(PlyReadError::Content(_))
        ));
        let points = ascii().replacen("element face 6", "element face 0", 1);
        assert_eq!(read_ply(points.as_bytes()), Err(PlyReadError::NoFaces));
    }
}
