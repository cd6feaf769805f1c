//! Which bodies meet on which seam, and over what polygon.

use std::ops::Range;

use design::{LIMB_MM, LIMB_MM2};
use geo::{Area, BooleanOps, BoundingRect, Centroid, InteriorPoint, Intersects};
use rayon::prelude::*;
use solid::{Frame, Limb, Outline, Point, RayCaster, limbs};

use crate::partition::cells::{Cell, SeamPlane};

/// A limb of what two pieces share on one seam.
#[derive(Clone, Debug)]
pub struct Contact {
    /// The piece below the seam and the piece above it, by index.
    pub pieces: [usize; 2],
    /// Their cells, by their places.
    pub cells: [usize; 2],
    /// The limb, in the seam frame's `(u, v)`; of webs all that the pieces share.
    pub outline: Outline,
    /// Its area.
    pub area_mm2: f64,
    /// Its thickness: of several islands that of the thickest.
    pub thick_mm: f64,
    /// Whether it is a web, or an island as thin, beside a limb that can hold a joint:
    /// what it joins is held there.
    pub slight: bool,
}

impl Contact {
    /// Its middle, on its seam's frame; `None` where it has no area.
    pub fn middle(&self, seam: &Frame) -> Option<Point> {
        let at = self.outline.centroid()?;
        Some(seam.place(at.x(), at.y(), 0.0))
    }
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

    /// The pieces of some cells.
    pub(crate) fn pieces(&self, cells: &Range<usize>) -> Range<usize> {
        let first = |cell: usize| self.first.get(cell).copied().unwrap_or(self.pieces);
        first(cells.start)..first(cells.end)
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
                for limb in limbs(&polygon) {
                    taken_in(&mut found, limb, ids, [below, above]);
                }
            }
            beside_limbs(&mut found);
            found
        })
        .collect()
}

/// Takes a limb in among the contacts of a pair of cells: by itself where it can hold a
/// joint, and otherwise with all that is as slight between the same pieces.
fn taken_in(found: &mut Vec<Contact>, limb: Limb, pieces: [usize; 2], cells: [usize; 2]) {
    let area_mm2 = limb.outline.unsigned_area();
    let slight = limb.thick_mm < LIMB_MM || area_mm2 < LIMB_MM2;
    let same = |c: &&mut Contact| c.pieces == pieces && c.slight;
    match found.iter_mut().find(same).filter(|_| slight) {
        Some(contact) => {
            contact.outline.0.extend(limb.outline);
            contact.area_mm2 += area_mm2;
            contact.thick_mm = contact.thick_mm.max(limb.thick_mm);
        }
        None => found.push(Contact {
            pieces,
            cells,
            outline: limb.outline,
            area_mm2,
            thick_mm: limb.thick_mm,
            slight,
        }),
    }
}

/// What is slight stays so only beside a limb between the same pieces.
fn beside_limbs(found: &mut [Contact]) {
    let limbs: Vec<[usize; 2]> = found
        .iter()
        .filter(|c| !c.slight)
        .map(|c| c.pieces)
        .collect();
    for contact in found {
        contact.slight &= limbs.contains(&contact.pieces);
    }
}
