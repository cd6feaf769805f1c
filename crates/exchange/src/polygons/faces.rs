//! Faces of any number of corners, in triangles.

use solid::{Point, TriangleCorners, facet};

/// The triangles of a face; the first number that names no place is an error. One of less
/// than three corners has none.
pub(super) fn triangles(
    places: &[Point],
    face: &[u32],
    out: &mut Vec<TriangleCorners>,
) -> Result<(), u32> {
    let corner = |&k: &u32| places.get(k as usize).copied().ok_or(k);
    if let [a, b, c] = face {
        out.push([corner(a)?, corner(b)?, corner(c)?]);
        return Ok(());
    }
    let corners = face.iter().map(corner).collect::<Result<Vec<_>, _>>()?;
    let each = facet(&corners).into_iter();
    out.extend(each.map(|t| t.map(|k| corners[k])));
    Ok(())
}
