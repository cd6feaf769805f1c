//! What pieces stand on where the furniture stands.

use design::ON_FLOOR_MM;
use solid::{Bounds, Point, Solid, Vector};

/// What a piece would stand on: its lowest faces, whether they reach the floor or not.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Foot {
    pub(crate) lowest_mm: f64,
    area_mm2: f64,
    pub(crate) centre: Point,
}

impl Foot {
    /// Those of some pieces.
    pub(crate) fn each(pieces: &[&Solid], up: &Vector) -> Vec<Self> {
        pieces.iter().map(|piece| Self::of(piece, up)).collect()
    }

    fn of(piece: &Solid, up: &Vector) -> Self {
        let heights = piece.vertices().iter().map(|p| p.coords.dot(up));
        let lowest_mm = heights.fold(f64::INFINITY, f64::min);
        let low = |p: &Point| p.coords.dot(up) < lowest_mm + ON_FLOOR_MM;
        let (mut area_mm2, mut sum) = (0.0, Vector::zeros());
        for k in 0..piece.triangles().len() {
            let [a, b, c] = piece.corners(k);
            if [a, b, c].iter().all(low) {
                let area = (b - a).cross(&(c - a)).dot(up).abs() / 2.0;
                area_mm2 += area;
                sum += (a.coords + b.coords + c.coords) / 3.0 * area;
            }
        }
        // A round foot touches at a point.
        let touching = || Bounds::of(piece.vertices().iter().copied().filter(low));
        let centre = match area_mm2 > 1e-6 {
            true => Point::from(sum / area_mm2),
            false => touching().map_or_else(Point::origin, |b| b.centre()),
        };
        Self {
            lowest_mm,
            area_mm2: area_mm2.max(1e-6),
            centre,
        }
    }

    /// The middle of several.
    pub(crate) fn middle<'a>(feet: impl Iterator<Item = &'a Self>) -> Option<Point> {
        let (mut area, mut sum) = (0.0, Vector::zeros());
        for foot in feet {
            area += foot.area_mm2;
            sum += foot.centre.coords * foot.area_mm2;
        }
        (area > 0.0).then(|| Point::from(sum / area))
    }
}
