//! Regions of a plane on a grid: straight edges that rounding has bent by a hair lie on one
//! line again, and nothing is left of the slivers between them.

use geo::{Area, CoordsIter, LineString, Polygon};
use solid::Outline;

/// Corners lie on multiples of this, in mm: well below what a size is told to, well above
/// what single precision loses over a metre.
const GRID_MM: f64 = 1.0 / 1024.0;
/// Rings that enclose less are dropped, in mm².
const SLIVER_MM2: f64 = 0.05;

/// A region with its corners on the grid, without repeated corners and slivers.
pub(crate) fn tidy(region: &Outline) -> Outline {
    let polygons = region.iter().filter_map(|polygon| {
        let outer = ring(polygon.exterior())?;
        let holes = polygon.interiors().iter().filter_map(ring).collect();
        Some(Polygon::new(outer, holes))
    });
    Outline::new(polygons.collect())
}

fn ring(ring: &LineString) -> Option<LineString> {
    let snapped = ring.coords().map(|c| {
        let on_grid = |x: f64| (x / GRID_MM).round() * GRID_MM;
        geo::Coord {
            x: on_grid(c.x),
            y: on_grid(c.y),
        }
    });
    let mut corners: Vec<geo::Coord> = snapped.collect();
    corners.dedup();
    let out = LineString::new(corners);
    let enclosed = Polygon::new(out.clone(), Vec::new()).unsigned_area();
    (out.coords_count() > 3 && enclosed > SLIVER_MM2).then_some(out)
}
