//! Which bodies meet on which seam, and over what polygon.

use geo::{Area, BooleanOps, BoundingRect, InteriorPoint, Intersects};
use rayon::prelude::*;
use solid::{Outline, RayCaster};

use crate::partition::cells::{Cell, SeamPlane};

/// The polygon that two pieces share on one seam.
#[derive(Clone, Debug)]
pub struct Contact {
    /// The piece below the seam and the piece above it, by index.
    pub pieces: [usize; 2],
    /// Their cells, by their places.
    pub cells: [usize; 2],
    /// The polygon, in the seam frame's `(u, v)`; it may have several islands.
    pub outline: Outline,
    /// Its area.
    pub area_mm2: f64,
}

/// Smaller islands are dust.
const DUST_MM2: f64 = 0.05;

/// Where each cell's bodies stand in the list of pieces.
pub(crate) struct PieceIndex {
    first: Vec<usize>,
    pieces: usize,
}

impl PieceIndex {
    pub(crate) fn new(cells: &[Cell]) -> Self {
        let first = cells
            .iter()
            .scan(0, |next, cell| {
                let here = *next;
                *next += cell.bodies.len();
                Some(here)
            })
            .collect();
        let pieces = cells.iter().map(|c| c.bodies.len()).sum();
        Self { first, pieces }
    }

    /// The cell of a piece; of a key none.
    pub(crate) fn cell(&self, piece: usize) -> Option<usize> {
        (piece < self.pieces).then(|| self.first.partition_point(|&f| f <= piece) - 1)
    }

    pub(crate) fn piece(&self, cell: usize, body: usize) -> usize {
        self.first[cell] + body
    }
}

/// Ray casters for the cells that have more than one body.
pub(crate) struct BodyFinder<'a> {
    cells: &'a [Cell],
    casters: Vec<Vec<Option<RayCaster>>>,
}

impl<'a> BodyFinder<'a> {
    pub(crate) fn new(cells: &'a [Cell]) -> Self {
        let casters = cells
            .par_iter()
            .map(|cell| match cell.bodies.len() {
                0 | 1 => Vec::new(),
                _ => cell.bodies.iter().map(RayCaster::new).collect(),
            })
            .collect();
        Self { cells, casters }
    }

    fn body_at(&self, cell: usize, p: &solid::Point) -> Option<usize> {
        match self.cells[cell].bodies.len() {
            0 => None,
            1 => Some(0),
            _ => self.casters[cell]
                .iter()
                .position(|c| c.as_ref().is_some_and(|c| c.contains(p))),
        }
    }
}

/// Whether the rectangles about two faces overlap.
fn may_meet(a: &Outline, b: &Outline) -> bool {
    let (Some(a), Some(b)) = (a.bounding_rect(), b.bounding_rect()) else {
        return false;
    };
    a.intersects(&b)
}

/// The contacts of one seam, in the order of their cells.
pub(crate) fn contacts(
    seam: &SeamPlane,
    cells: &[Cell],
    pieces: &PieceIndex,
    bodies: &BodyFinder,
) -> Vec<Contact> {
    let both = seam.sections.below[0].intersection(&seam.sections.above[0]);
    let pairs: Vec<(usize, usize)> = seam
        .below
        .clone()
        .flat_map(|b| seam.above.clone().map(move |a| (b, a)))
        .collect();
    let faces_below: Vec<Outline> = seam
        .below
        .clone()
        .map(|c| cells[c].region.section(&seam.frame.raised(-1e-3)))
        .collect();
    let faces_above: Vec<Outline> = seam
        .above
        .clone()
        .map(|c| cells[c].region.section(&seam.frame.raised(1e-3)))
        .collect();
    pairs
        .par_iter()
        .flat_map_iter(|&(below, above)| {
            let face_below = &faces_below[below - seam.below.start];
            let face_above = &faces_above[above - seam.above.start];
            if !may_meet(face_below, face_above) {
                return Vec::new();
            }
            let shared = face_below.intersection(face_above);
            let outline = if shared.unsigned_area() < DUST_MM2 {
                Outline::new(Vec::new())
            } else {
                both.intersection(&shared)
            };
            let mut found: Vec<Contact> = Vec::new();
            for polygon in outline {
                let area = polygon.unsigned_area();
                let Some(inside) = polygon.interior_point().filter(|_| area > DUST_MM2) else {
                    continue;
                };
                let at = |h: f64| seam.frame.place(inside.x(), inside.y(), h);
                let (Some(low), Some(high)) = (
                    bodies.body_at(below, &at(-0.02)),
                    bodies.body_at(above, &at(0.02)),
                ) else {
                    continue;
                };
                let ids = [pieces.piece(below, low), pieces.piece(above, high)];
                match found.iter_mut().find(|c| c.pieces == ids) {
                    Some(contact) => {
                        contact.outline.0.push(polygon);
                        contact.area_mm2 += area;
                    }
                    None => found.push(Contact {
                        pieces: ids,
                        cells: [below, above],
                        outline: Outline::new(vec![polygon]),
                        area_mm2: area,
                    }),
                }
            }
            found
        })
        .collect()
}
