//! Where on a face a label has room.

use geo::{Area, BoundingRect, Centroid, Contains, PreparedGeometry, Relate};

/// Places along each side of an island at which a label is tried.
const TRIES: usize = 32;

/// A part of a face in which a label may lie. Hundreds of places are tried in
/// one that joints have left hundreds of corners.
pub(crate) struct Island<'a> {
    outline: &'a geo::Polygon<f64>,
    pub(crate) area_mm2: f64,
    edges: PreparedGeometry<'a, &'a geo::Polygon<f64>>,
}

impl<'a> Island<'a> {
    pub(crate) fn of(outline: &'a geo::Polygon<f64>) -> Self {
        Self {
            outline,
            area_mm2: outline.unsigned_area(),
            edges: outline.into(),
        }
    }

    fn holds(&self, at: [f64; 2], size: [f64; 2], run: [f64; 2]) -> bool {
        self.outline.contains(&geo::Point::from(at))
            && self.edges.relate(&box_at(at, size, run)).is_contains()
    }

    /// The place nearest to its middle at which a rectangle lies inside.
    pub(crate) fn room(&self, size: [f64; 2], run: [f64; 2]) -> Option<[f64; 2]> {
        let bounds = self.outline.bounding_rect()?;
        let half = [
            (size[0] * run[0].abs() + size[1] * run[1].abs()) / 2.0,
            (size[0] * run[1].abs() + size[1] * run[0].abs()) / 2.0,
        ];
        if 2.0 * half[0] > bounds.width() || 2.0 * half[1] > bounds.height() {
            return None;
        }
        let middle = self.outline.centroid()?;
        let steps = |low: f64, high: f64| {
            let count = (((high - low) / 2.0).ceil() as usize).clamp(1, TRIES);
            (0..=count).map(move |k| low + (high - low) * k as f64 / count as f64)
        };
        let mut places: Vec<[f64; 2]> = vec![[middle.x(), middle.y()]];
        for x in steps(bounds.min().x + half[0], bounds.max().x - half[0]) {
            for y in steps(bounds.min().y + half[1], bounds.max().y - half[1]) {
                places.push([x, y]);
            }
        }
        let far = |p: &[f64; 2]| (p[0] - middle.x()).hypot(p[1] - middle.y());
        places.sort_by(|a, b| far(a).total_cmp(&far(b)));
        places.into_iter().find(|&at| self.holds(at, size, run))
    }
}

/// The rectangle of a size about a place, its width along a run.
pub(crate) fn box_at(at: [f64; 2], size: [f64; 2], run: [f64; 2]) -> geo::Polygon<f64> {
    let corner = |x: f64, y: f64| geo::Coord {
        x: at[0] + x * size[0] / 2.0 * run[0] - y * size[1] / 2.0 * run[1],
        y: at[1] + x * size[0] / 2.0 * run[1] + y * size[1] / 2.0 * run[0],
    };
    let ring = vec![
        corner(-1.0, -1.0),
        corner(1.0, -1.0),
        corner(1.0, 1.0),
        corner(-1.0, 1.0),
    ];
    geo::Polygon::new(geo::LineString::new(ring), Vec::new())
}

#[cfg(test)]
mod tests {
    use geo::BooleanOps;
    use proptest::prelude::*;

    use super::*;

    proptest! {
        #[test]
        fn a_label_lies_inside_where_the_plain_search_finds_its_place(
            holes in proptest::collection::vec((0.0f64..60.0, 0.0f64..40.0), 0..12),
            size in (4.0f64..30.0, 3.0f64..12.0),
            turn in 0.0f64..3.0,
        ) {
            let plate = solid::rectangle([0.0; 2], [60.0, 40.0]);
            let face = holes.iter().fold(plate, |face, &(x, y)| {
                face.difference(&solid::rectangle([x, y], [x + 3.0, y + 5.0]))
            });
            let (size, run) = ([size.0, size.1], [turn.cos(), turn.sin()]);
            for outline in &face {
                let island = Island::of(outline);
                let room = island.room(size, run);
                if let Some(at) = room {
                    prop_assert!(outline.contains(&box_at(at, size, run)));
                }
                for x in 0..12 {
                    let at = [5.0 * f64::from(x) + 2.0, 20.0];
                    let plainly = outline.contains(&box_at(at, size, run));
                    prop_assert_eq!(island.holds(at, size, run), plainly);
                }
            }
        }
    }
}
