//! Reading 3MF.

use std::io::{Cursor, Read};

use solid::{Point, TriangleCorners};
use threemf2::model::PathResource;
use threemf2::model::domain::mesh::Mesh;
use threemf2::model::domain::model::{Model, Unit};
use threemf2::model::domain::object::{ObjectKind, ObjectType};
use threemf2::package::ThreemfPackage;

use crate::model::{Model as ReadModel, Part};
use crate::polygons::faces::Numbered;
use crate::threemf::affine::{Affine, UNMOVED, affine, applied, determinant, then};
use crate::threemf::read_error::{MOST_PARTS, MOST_TRIANGLES, ThreemfReadError, UNPACKED_BYTES};
use crate::threemf::strict::{Heeded, heeded};
use crate::unit::LengthUnit;

/// Components may lie in components this often.
const DEEPEST: usize = 16;

/// Whether some bytes begin as a 3MF package does.
pub fn is_3mf(bytes: &[u8]) -> bool {
    bytes.starts_with(b"PK\x03\x04")
}

/// The triangles of all build items of a 3MF file, in place, in millimetres.
///
/// # Errors
///
/// When it is no package, or its parts do not fit together.
///
/// ```
/// use exchange::{Named, read_3mf, write_3mf};
/// use solid::{Isometry, Point, Solid};
///
/// let block = Solid::cuboid(Point::origin(), Point::new(2.0, 3.0, 4.0));
/// let item = Named { name: "P01", solid: &block, placed: Isometry::translation(5.0, 0.0, 0.0) };
/// let soup = read_3mf(&write_3mf("one block", &[item], None).unwrap()).unwrap();
/// let again = Solid::from_triangles(soup).unwrap();
/// assert_eq!(again.bounds().unwrap().min.x, 5.0);
/// assert!((again.volume_mm3() - 24.0).abs() < 1e-12);
/// ```
pub fn read_3mf(bytes: &[u8]) -> Result<Vec<TriangleCorners>, ThreemfReadError> {
    read_3mf_model(bytes).map(ReadModel::triangles)
}

/// A 3MF file: a part a build item, in place, in millimetres.
///
/// # Errors
///
/// As [`read_3mf`].
pub(crate) fn read_3mf_model(bytes: &[u8]) -> Result<ReadModel, ThreemfReadError> {
    let Heeded {
        printable,
        names_parts,
    } = within_bounds(bytes)?;
    let package = ThreemfPackage::from_reader_with_memory_optimized_deserializer(
        Cursor::new(bytes),
        names_parts,
    )
    .map_err(|e| ThreemfReadError::Package(e.to_string()))?;
    let model = &package.root;
    let (scale, unit) = match model.unit.clone().unwrap_or_default() {
        Unit::Micron => (1e-3, None),
        Unit::Millimeter => (1.0, Some(LengthUnit::Millimetre)),
        Unit::Centimeter => (10.0, Some(LengthUnit::Centimetre)),
        Unit::Inch => (25.4, Some(LengthUnit::Inch)),
        Unit::Foot => (304.8, None),
        Unit::Meter => (1000.0, Some(LengthUnit::Metre)),
    };
    let mut parts = Vec::new();
    let mut left = Left {
        triangles: MOST_TRIANGLES,
        parts: MOST_PARTS,
    };
    if printable.contains(&false) && printable.len() != model.build.item.len() {
        let why = "it has several models with items, some of which are not to be printed";
        return Err(ThreemfReadError::Package(why.to_owned()));
    }
    let printed = |k: usize| printable.get(k) != Some(&false);
    let items = model
        .build
        .item
        .iter()
        .enumerate()
        .filter(|(k, _)| printed(*k));
    let mut next = 0;
    for (_, item) in items {
        let placed = item.transform.as_ref().map(affine).unwrap_or(UNMOVED);
        let mut numbered = Numbered::default();
        let mut gathered = Gathered {
            out: &mut numbered,
            next: &mut next,
            left: &mut left,
        };
        let (home, id) = (home(&package, item.path.as_ref())?, item.objectid as usize);
        gather(
            &package,
            home.unwrap_or(model),
            id,
            &placed,
            0,
            &mut gathered,
        )?;
        for p in numbered.triangles.iter_mut().flatten() {
            *p *= scale;
        }
        let mut objects = home.unwrap_or(model).resources.object.iter();
        let object = objects.find(|o| o.id == item.objectid);
        let name = object.and_then(|o| Some(o.name.as_ref()?.to_string()));
        parts.push(Part::numbered(name, numbered));
    }
    Ok(ReadModel { parts, unit })
}

/// The part of a package that a path names, as the production extension has it; `None` where
/// no path is given.
fn home<'a>(
    package: &'a ThreemfPackage,
    path: Option<&PathResource>,
) -> Result<Option<&'a Model>, ThreemfReadError> {
    let Some(path) = path else { return Ok(None) };
    let no_such = || ThreemfReadError::OtherPart(path.to_string());
    let part = package.sub_models.get(path).ok_or_else(no_such)?;
    // The standard has one unit for all; a part that says otherwise is not trusted.
    let unit = |model: &Model| model.unit.clone().unwrap_or_default();
    match unit(part) == unit(&package.root) || part.unit.is_none() {
        true => Ok(Some(part)),
        false => Err(ThreemfReadError::OtherUnit(path.to_string())),
    }
}

/// Unpacks a package once, without keeping it, to see that the whole of it is no
/// larger than a model may be and that its transforms are matrices, before a
/// library that trusts both reads it; what the texts of its models say.
fn within_bounds(bytes: &[u8]) -> Result<Heeded, ThreemfReadError> {
    let mut whole = Heeded::default();
    let bad = |e: zip::result::ZipError| ThreemfReadError::Package(e.to_string());
    let mut archive = zip::ZipArchive::new(Cursor::new(bytes)).map_err(bad)?;
    let mut left = UNPACKED_BYTES;
    for k in 0..archive.len() {
        let file = archive.by_index(k).map_err(bad)?;
        // A forged size would be set aside at once.
        if file.size() > left {
            return Err(ThreemfReadError::TooLarge);
        }
        let claimed = file.size();
        let is_model = file.name().to_ascii_lowercase().ends_with(".model");
        let mut text = Vec::new();
        let mut limited = file.take(left + 1);
        let read = match is_model {
            true => limited.read_to_end(&mut text).map(|n| n as u64),
            false => std::io::copy(&mut limited, &mut std::io::sink()),
        };
        let read = read.map_err(|e| ThreemfReadError::Package(e.to_string()))?;
        if read <= left && read != claimed {
            let why = format!("a part claims {claimed} bytes and has {read}");
            return Err(ThreemfReadError::Package(why));
        }
        left = left.checked_sub(read).ok_or(ThreemfReadError::TooLarge)?;
        // Items stand in the root alone.
        if is_model {
            let part = heeded(&text)?;
            whole.printable.extend(part.printable);
            whole.names_parts |= part.names_parts;
        }
    }
    Ok(whole)
}

/// How much more may be gathered.
struct Left {
    triangles: usize,
    parts: usize,
}

/// The triangles of a build item so far.
struct Gathered<'a> {
    out: &'a mut Numbered,
    /// The number that is free for the next corner of any object.
    next: &'a mut u32,
    left: &'a mut Left,
}

impl Gathered<'_> {
    /// Makes room for one more object with some triangles.
    fn take(&mut self, triangles: usize) -> Result<(), ThreemfReadError> {
        let take = |from: usize, n: usize| from.checked_sub(n).ok_or(ThreemfReadError::TooMany);
        self.left.parts = take(self.left.parts, 1)?;
        self.left.triangles = take(self.left.triangles, triangles)?;
        Ok(())
    }

    /// Adds a mesh where it is placed.
    fn mesh(&mut self, id: usize, mesh: &Mesh, placed: &Affine) -> Result<(), ThreemfReadError> {
        self.take(mesh.triangles.triangle.len())?;
        // A mirror turns faces inward: their corners go round the other way.
        let mirrors = determinant(placed) < 0.0;
        let vertices: Vec<Point> = mesh
            .vertices
            .vertex
            .iter()
            .map(|v| applied(placed, [v.x.value(), v.y.value(), v.z.value()]).into())
            .collect();
        if vertices
            .iter()
            .any(|p: &Point| !p.coords.iter().all(|x| x.is_finite()))
        {
            return Err(ThreemfReadError::NotANumber(id));
        }
        for (triangle, t) in mesh.triangles.triangle.iter().enumerate() {
            let corner = |i: usize| {
                vertices
                    .get(i)
                    .copied()
                    .ok_or(ThreemfReadError::NoSuchVertex {
                        object: id,
                        triangle,
                    })
            };
            let named = match mirrors {
                true => [t.v1, t.v3, t.v2],
                false => [t.v1, t.v2, t.v3],
            };
            let [a, b, c] = named.map(|v| corner(v as usize));
            self.out.triangles.push([a?, b?, c?]);
            let first = *self.next;
            let numbers = named.map(|v| first.saturating_add(v));
            self.out.numbers.push(numbers);
        }
        *self.next = self.next.saturating_add(vertices.len() as u32);
        Ok(())
    }
}

fn gather(
    package: &ThreemfPackage,
    model: &Model,
    id: usize,
    placed: &Affine,
    depth: usize,
    gathered: &mut Gathered,
) -> Result<(), ThreemfReadError> {
    if depth > DEEPEST {
        return Err(ThreemfReadError::TooDeep(id));
    }
    let object = model
        .resources
        .object
        .iter()
        .find(|o| o.id as usize == id)
        .ok_or(ThreemfReadError::NoSuchObject(id))?;
    // Scaffolds and surfaces are no furniture.
    let model_or_part = matches!(
        object.objecttype,
        None | Some(ObjectType::Model | ObjectType::Other)
    );
    if !model_or_part {
        return gathered.take(0);
    }
    match &object.kind {
        Some(ObjectKind::Mesh(mesh)) => {
            gathered.mesh(id, mesh, placed)?;
        }
        Some(ObjectKind::Components(parts)) => {
            gathered.take(0)?;
            for part in &parts.component {
                let own = part.transform.as_ref().map(affine).unwrap_or(UNMOVED);
                let home = home(package, part.path.as_ref())?;
                gather(
                    package,
                    home.unwrap_or(model),
                    part.objectid as usize,
                    &then(&own, placed),
                    depth + 1,
                    gathered,
                )?;
            }
        }
        _ => gathered.take(0)?,
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::threemf::write::{Named, write_3mf};
    use solid::{Isometry, Solid, Vector};

    fn file() -> Vec<u8> {
        let block = Solid::cuboid(Point::origin(), Point::new(2.0, 3.0, 4.0));
        let placed = Isometry::new(Vector::new(5.0, 6.0, 7.0), Vector::z() * 0.7);
        let item = Named {
            name: "P<1>",
            solid: &block,
            placed,
        };
        write_3mf("a & b", &[item], None).unwrap()
    }

    #[test]
    fn placements_are_kept() {
        let again = Solid::from_triangles(read_3mf(&file()).unwrap()).unwrap();
        let centre = Isometry::new(Vector::new(5.0, 6.0, 7.0), Vector::z() * 0.7)
            * Point::new(1.0, 1.5, 2.0);
        let off = (again.moments().unwrap().centroid - centre).norm();
        // The library writes placements to six places.
        assert!(off < 1e-5, "{off}");
    }

    #[test]
    fn a_transform_without_its_twelve_numbers_is_no_matrix() {
        let read = |text: &str| heeded(text.as_bytes()).map(|_| ());
        let with = |value: &str| read(&format!("<item transform = '{value}'/>"));
        assert_eq!(with("1 0 0 0 1 0 0 0 1 5 6 7"), Ok(()));
        let short = with("1 0 0 0 1 0 0 0 1 5 6");
        assert_eq!(short, Err(ThreemfReadError::Transform(11)));
        let long = with("1 0 0 0 1 0 0 0 1 5 6 7 8");
        assert_eq!(long, Err(ThreemfReadError::Transform(13)));
        assert_eq!(read("<metadata>how to transform it</metadata>"), Ok(()));
    }

    /// A file of the writer's, unturned, with something in its model's text replaced.
    fn altered(from: &str, to: &str) -> Vec<u8> {
        use std::io::Write;
        let block = Solid::cuboid(Point::origin(), Point::new(2.0, 3.0, 4.0));
        let item = Named {
            name: "P01",
            solid: &block,
            placed: Isometry::translation(5.0, 6.0, 7.0),
        };
        let whole = write_3mf("altered", &[item], None).unwrap();
        let mut archive = zip::ZipArchive::new(Cursor::new(whole)).unwrap();
        let mut out = zip::ZipWriter::new(Cursor::new(Vec::new()));
        for k in 0..archive.len() {
            let mut entry = archive.by_index(k).unwrap();
            let mut bytes = Vec::new();
            entry.read_to_end(&mut bytes).unwrap();
            if entry.name().ends_with(".model") {
                let text = String::from_utf8(bytes).unwrap();
                assert!(text.contains(from), "{text}");
                bytes = text.replacen(from, to, 1).into_bytes();
            }
            let options = zip::write::SimpleFileOptions::default();
            out.start_file(entry.name(), options).unwrap();
            out.write_all(&bytes).unwrap();
        }
        out.finish().unwrap().into_inner()
    }

    #[test]
    fn a_mirrored_item_keeps_its_faces_outward() {
        let mirrored = altered("transform=\"1", "transform=\"-1");
        let solid = Solid::from_triangles(read_3mf(&mirrored).unwrap()).unwrap();
        assert!((solid.volume_mm3() - 24.0).abs() < 1e-9);
        assert_eq!(solid.bounds().unwrap().max.x, 5.0);
    }

    #[test]
    fn an_item_that_is_not_to_be_printed_is_no_furniture() {
        let none = read_3mf(&altered("<item ", "<item printable=\"0\" ")).unwrap();
        assert!(none.is_empty());
        let support = altered("type=\"model\"", "type=\"support\"");
        assert!(read_3mf(&support).unwrap().is_empty());
    }

    #[test]
    fn an_object_in_a_part_that_is_not_there_is_refused() {
        let elsewhere = "<item xmlns:p=\"http://schemas.microsoft.com/3dmanufacturing/production/\
                         2015/06\" p:path=\"/3D/none.model\" ";
        let read = read_3mf(&altered("<item ", elsewhere));
        let told = ThreemfReadError::OtherPart("/3D/none.model".to_owned());
        assert_eq!(read, Err(told));
    }

    #[test]
    fn a_coordinate_that_is_no_number_is_refused_and_not_taken_for_0() {
        let comma = read_3mf(&altered("z=\"4", "z=\"4,0"));
        assert!(
            matches!(comma, Err(ThreemfReadError::NoNumber(_))),
            "{comma:?}"
        );
    }

    proptest! {
        #[test]
        fn bad_bytes_give_errors(at in 0usize..4000, with in any::<u8>(), keep in 0usize..4000) {
            let mut bytes = file();
            let n = bytes.len();
            bytes[at % n] = with;
            bytes.truncate(n.min(keep.max(4)));
            let _ = read_3mf(&bytes);
        }
    }
}
