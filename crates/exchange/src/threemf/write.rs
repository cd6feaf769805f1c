//! Writing 3MF.

use std::io::Cursor;

use solid::{Isometry, Solid, Vector};
use threemf2::model::builder::{ModelBuilder, ObjectType, Unit};
use threemf2::package::ThreemfPackageBuilder;

/// A solid to write, with the name that it gets and where it lies.
#[derive(Clone, Debug)]
pub struct Named<'a> {
    /// Its name and part number.
    pub name: &'a str,
    /// The solid.
    pub solid: &'a Solid,
    /// Takes the solid's coordinates to those of the build.
    pub placed: Isometry,
}

/// A 3MF file could not be written.
#[derive(Clone, Debug, thiserror::Error, PartialEq)]
#[error("the 3MF file could not be written: {0}")]
pub struct ThreemfError(String);

/// Where the picture of the whole lies in the file.
const THUMBNAIL: &str = "/Metadata/thumbnail.png";

/// Solids as a 3MF file (core specification): millimetres, one object for each
/// with its name as part number, one build item for each with its placement, a
/// title, and a picture where one is given as PNG.
///
/// # Errors
///
/// When the library refuses an object.
///
/// ```
/// use exchange::{Named, write_3mf};
/// use solid::{Isometry, Point, Solid};
///
/// let block = Solid::cuboid(Point::origin(), Point::new(2.0, 3.0, 4.0));
/// let item = Named { name: "P01", solid: &block, placed: Isometry::identity() };
/// let bytes = write_3mf("one block", &[item], None).unwrap();
/// assert_eq!(&bytes[..2], b"PK");
/// ```
pub fn write_3mf(
    title: &str,
    items: &[Named],
    picture_png: Option<Vec<u8>>,
) -> Result<Vec<u8>, ThreemfError> {
    fn refused(e: &dyn std::fmt::Debug) -> ThreemfError {
        ThreemfError(format!("{e:?}"))
    }
    let mut model = ModelBuilder::new(Unit::Millimeter, true);
    model
        .add_metadata("Title", Some(&as_text(title)))
        .add_metadata("Application", Some("seamwright"))
        .add_build(None)
        .map_err(|e| refused(&e))?;
    let mut objects = Vec::new();
    for item in items {
        let vertices: Vec<[f64; 3]> = item
            .solid
            .vertices()
            .iter()
            .map(|p| p.coords.into())
            .collect();
        let triangles: Vec<[usize; 3]> = item
            .solid
            .triangles()
            .iter()
            .map(|t| t.map(|i| i as usize))
            .collect();
        let id = model
            .add_mesh_object(|object| {
                object
                    .object_type(ObjectType::Model)
                    .name(&as_text(item.name))
                    .part_number(&as_text(item.name));
                object.add_vertices(&vertices).add_triangles(&triangles);
                Ok(())
            })
            .map_err(|e| refused(&e))?;
        objects.push(id);
    }
    for (id, item) in objects.into_iter().zip(items) {
        model
            .add_build_item_advanced(id, |build| {
                build
                    .partnumber(&as_text(item.name))
                    .transform(&in_columns(&item.placed));
            })
            .map_err(|e| refused(&e))?;
    }
    let mut package = ThreemfPackageBuilder::new();
    package.set_root_model(model.build().map_err(|e| refused(&e))?);
    if let Some(png) = picture_png {
        package
            .add_thumbnail(THUMBNAIL, png)
            .map_err(|e| refused(&e))?;
    }
    let package = package.build().map_err(|e| refused(&e))?;
    let mut bytes = Vec::new();
    package
        .write(Cursor::new(&mut bytes))
        .map_err(|e| refused(&e))?;
    Ok(bytes)
}

/// The library writes names and texts as they are given.
fn as_text(words: &str) -> String {
    words
        .replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
        .replace('"', "&quot;")
}

/// A motion as the matrix of the standard, which stands after its points as
/// rows: column after column.
fn in_columns(motion: &Isometry) -> [f64; 16] {
    let turn = motion.rotation.to_rotation_matrix();
    let shift: Vector = motion.translation.vector;
    let mut out = [0.0; 16];
    for column in 0..3 {
        for row in 0..3 {
            out[4 * column + row] = tidy(turn[(column, row)]);
        }
        out[4 * column + 3] = shift[column];
    }
    out[15] = 1.0;
    out
}

/// Quarter turns come out as -0 and 0.9999999999999999.
fn tidy(x: f64) -> f64 {
    if (x - x.round()).abs() < 1e-12 {
        x.round() + 0.0
    } else {
        x
    }
}
