use solid::TriangleCorners;

use crate::{LengthUnit, ReadError, ThreemfReadError, is_3mf, read_3mf, read_stl};

/// A model file could not be read.
#[derive(Clone, Debug, thiserror::Error, PartialEq)]
pub enum ModelReadError {
    /// As STL.
    #[error(transparent)]
    Stl(#[from] ReadError),
    /// As 3MF.
    #[error(transparent)]
    Threemf(#[from] ThreemfReadError),
}

/// The triangles of a model file in millimetres: 3MF, which states its unit,
/// or STL, which is read in the unit given. Told apart by content.
///
/// # Errors
///
/// When the bytes are neither, or cut short.
pub fn read_triangles(
    bytes: &[u8],
    unit: LengthUnit,
) -> Result<Vec<TriangleCorners>, ModelReadError> {
    if is_3mf(bytes) {
        return Ok(read_3mf(bytes)?);
    }
    let scale = unit.in_mm();
    let mut soup = read_stl(bytes)?;
    for p in soup.iter_mut().flatten() {
        *p *= scale;
    }
    Ok(soup)
}
