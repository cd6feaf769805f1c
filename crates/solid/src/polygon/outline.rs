//! Flat regions: what they are made of, grown and shrunk.

use geo::algorithm::buffer::{Buffer, BufferStyle, LineJoin};
use geo::{Coord, LineString, MultiPolygon, Polygon};

/// A flat region with holes, in the `(u, v)` of some [`Frame`](crate::frame::Frame),
/// in millimetres.
pub type Outline = MultiPolygon<f64>;

/// A closed chain of points in the plane; the last is joined to the first.
pub type Ring = Vec<[f64; 2]>;

/// The rectangle between two corners.
///
/// ```
/// use geo::Area;
///
/// assert_eq!(solid::rectangle([0.0, 0.0], [2.0, 3.0]).unsigned_area(), 6.0);
/// ```
pub fn rectangle(low: [f64; 2], high: [f64; 2]) -> Outline {
    let at = |x, y| Coord { x, y };
    Outline::new(vec![Polygon::new(
        LineString::new(vec![
            at(low[0], low[1]),
            at(high[0], low[1]),
            at(high[0], high[1]),
            at(low[0], high[1]),
        ]),
        Vec::new(),
    )])
}

/// The region of all points that lie at least `by_mm` inside the outline.
pub fn shrink(outline: &Outline, by_mm: f64) -> Outline {
    offset(outline, -by_mm)
}

/// The region of all points within `by_mm` of the outline, corners mitred.
pub fn grow(outline: &Outline, by_mm: f64) -> Outline {
    offset(outline, by_mm)
}

fn offset(outline: &Outline, by_mm: f64) -> Outline {
    outline.buffer_with_style(BufferStyle::new(by_mm).line_join(LineJoin::Miter(1.0)))
}
