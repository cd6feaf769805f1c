//! Writing binary STL.

use solid::{Defects, Solid};
use stl_io::{Normal, Triangle, Vertex};

/// A solid could not be written.
#[derive(Debug, thiserror::Error)]
pub enum WriteError {
    /// Rounded to single precision, as STL has it, the surface does not close.
    #[error("rounding to the precision of STL breaks the surface: {0}")]
    Rounding(#[from] Defects),
    /// Writing failed.
    #[error(transparent)]
    Io(#[from] std::io::Error),
}

/// The solid as binary STL, in millimetres.
///
/// STL keeps single precision, so the solid is rounded first and checked (and
/// mended where corners fall together) after rounding: what is written is
/// closed and oriented as it lies on disk.
///
/// # Errors
///
/// When the rounded surface cannot be mended.
pub fn write_stl(solid: &Solid) -> Result<Vec<u8>, WriteError> {
    bytes_of(&solid.rounded_to_single()?)
}

/// Like [`write_stl`], by somebody's word on whether a surface is clear of itself.
pub(crate) fn write_stl_where(
    solid: &Solid,
    is_clear: impl Fn(&Solid) -> bool,
) -> Result<Vec<u8>, WriteError> {
    bytes_of(&solid.rounded_to_single_where(is_clear)?)
}

/// A solid of single precision as binary STL.
fn bytes_of(rounded: &Solid) -> Result<Vec<u8>, WriteError> {
    let triangles: Vec<Triangle> = rounded
        .triangle_corners()
        .enumerate()
        .map(|(k, corners)| {
            let n = rounded.normal(k);
            Triangle {
                normal: Normal::new([n.x as f32, n.y as f32, n.z as f32]),
                vertices: corners.map(|p| Vertex::new([p.x as f32, p.y as f32, p.z as f32])),
            }
        })
        .collect();
    let mut bytes = Vec::with_capacity(84 + 50 * triangles.len());
    stl_io::write_stl(&mut bytes, triangles.iter())?;
    Ok(bytes)
}
