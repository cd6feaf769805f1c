//! Solids rounded to single precision and kept closed.

use std::collections::HashMap;

use crate::mesh::defects::Defects;
use crate::mesh::needles::without_needles;
use crate::mesh::solid_type::{Solid, TriangleCorners};
use crate::mesh::weld;
use crate::{Point, Vector};

/// How far a vertex is moved when two that are not the same fall on one place.
const NUDGE_MM: f64 = 0.002;
/// How much coarser a surface may be made so that it does not fold when rounded.
const COARSER_MM: [f64; 3] = [2e-4, 1e-3, 4e-3];

/// A body or a cavity of less, or one that is thinner, is a speck.
const SPECK_MM3: f64 = 1e-3;
const SHEET_MM: f64 = 1e-4;

/// Steps in a millimetre of the finest lattice on which coordinates of a file lie. Single
/// precision is ever finer towards zero: a piece that was turned had corners 4e-14 mm
/// apart there, which others who read the file take for one.
const FINEST: f64 = 1_048_576.0;

/// A coordinate in single precision, on the finest lattice.
fn single(x: f64) -> f64 {
    // Zero has one sign.
    f64::from(((x * FINEST).round() / FINEST) as f32) + 0.0
}

impl Solid {
    /// The solid with every coordinate rounded to single precision, as STL
    /// stores it, and still closed and oriented after that, its surface clear of
    /// itself: corners that fall together are joined, needles and specks removed, and vertices
    /// that met without being the same are moved apart by two thousandths of a
    /// millimetre. Where rounding folds what is finer than that, it is simplified
    /// first; where nothing helps, the surface stays as it comes.
    ///
    /// # Errors
    ///
    /// When no such solid is found nearby.
    pub fn rounded_to_single(&self) -> Result<Self, Defects> {
        self.rounded_to_single_where(|surface| surface.touches_itself().is_none())
    }

    /// Like [`rounded_to_single`](Self::rounded_to_single), by somebody's word on whether a
    /// surface is clear of itself: the look at that takes most of the time.
    ///
    /// # Errors
    ///
    /// When no such solid is found nearby.
    ///
    /// ```
    /// use solid::{Point, Solid};
    ///
    /// let block = Solid::cuboid(Point::origin(), Point::new(0.1, 0.2, 0.3));
    /// let rounded = block.rounded_to_single_where(|_| true).unwrap();
    /// let x = rounded.bounds().unwrap().max.x;
    /// assert!(x == f64::from(x as f32) && (x - 0.1).abs() < 1e-6);
    /// ```
    pub fn rounded_to_single_where(
        &self,
        is_clear: impl Fn(&Self) -> bool,
    ) -> Result<Self, Defects> {
        let first = self.settled_near();
        if first.as_ref().is_ok_and(&is_clear) {
            return first;
        }
        let simpler = COARSER_MM.iter().find_map(|&by_mm| {
            let coarser = self.simplified(by_mm).ok()?.settled_near().ok()?;
            is_clear(&coarser).then_some(coarser)
        });
        simpler.map_or(first, Ok)
    }

    /// Rounded, with corners moved apart where that does not close.
    fn settled_near(&self) -> Result<Self, Defects> {
        let round = |p: &Point| p.map(single);
        let mut places: Vec<Point> = self.vertices().iter().map(round).collect();
        let mut outcome = self.settled(&places);
        for attempt in 1..=3 {
            if outcome.is_ok() {
                break;
            }
            self.part_coincident(&mut places, NUDGE_MM * f64::from(attempt));
            outcome = self.settled(&places);
        }
        outcome
    }

    fn settled(&self, places: &[Point]) -> Result<Self, Defects> {
        let soup: Vec<TriangleCorners> = self
            .triangles()
            .iter()
            .map(|t| t.map(|i| places[i as usize]))
            .collect();
        let (vertices, indexed) = weld::weld_exactly(&soup);
        let indexed = without_needles(&vertices, indexed);
        let inspected = weld::inspect(&vertices, &indexed);
        let settled = Self::trusted(vertices, indexed).without_unused();
        let Err(defects) = inspected else {
            return Ok(settled);
        };
        // What was thinner than the lattice may be left as a speck that has turned over.
        let mut shells = settled.shells();
        let all = shells.len();
        shells.retain(|shell| {
            let sheet_mm3 = SHEET_MM * shell.area_mm2() / 2.0;
            shell.volume_mm3().abs() > sheet_mm3.max(SPECK_MM3)
        });
        if shells.is_empty() || shells.len() == all {
            return Err(defects);
        }
        let without = Self::gathered(&shells);
        weld::inspect(without.vertices(), without.triangles())?;
        Ok(without)
    }

    /// Moves vertices that share a place with another, not joined to it by an
    /// edge, a little into the material at their own side.
    fn part_coincident(&self, places: &mut [Point], by_mm: f64) {
        let mut inward: Vec<Vector> = vec![Vector::zeros(); places.len()];
        for (k, t) in self.triangles().iter().enumerate() {
            for &i in t {
                inward[i as usize] -= self.normal(k);
            }
        }
        let mut first: HashMap<[u64; 3], usize> = HashMap::new();
        for i in 0..places.len() {
            let key = [places[i].x, places[i].y, places[i].z].map(|x| (x + 0.0).to_bits());
            if first.insert(key, i).is_some() {
                let step = inward[i].try_normalize(0.0).unwrap_or_else(Vector::x) * by_mm;
                places[i] = (places[i] + step).map(single);
            }
        }
    }

    pub(crate) fn without_unused(self) -> Self {
        let mut to = vec![u32::MAX; self.vertices().len()];
        let mut vertices = Vec::with_capacity(to.len());
        let triangles = self
            .triangles()
            .iter()
            .map(|t| {
                t.map(|i| {
                    let slot = &mut to[i as usize];
                    if *slot == u32::MAX {
                        *slot = vertices.len() as u32;
                        vertices.push(self.vertices()[i as usize]);
                    }
                    *slot
                })
            })
            .collect();
        Self::trusted(vertices, triangles)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two corners of a bench's piece lay 4e-14 mm apart in its file, with a flap of no
    /// thickness between them.
    #[test]
    fn near_zero_coordinates_are_no_finer_than_elsewhere() {
        assert_eq!(single(4.211_592e-14).to_bits(), 0.0f64.to_bits());
        assert_eq!(single(-1e-9).to_bits(), 0.0f64.to_bits());
        assert_eq!(single(140.43), f64::from(140.43_f32));
        assert!((single(0.123_456_789) - 0.123_456_789).abs() < 1e-6);
    }

    #[test]
    fn a_needle_on_an_edge_is_swapped_away() {
        // A vertex on the long edge of a top triangle, known to its neighbour
        // only: a needle closes the gap.
        let block = Solid::cuboid(Point::origin(), Point::new(2.0, 2.0, 2.0));
        let mut soup: Vec<TriangleCorners> = block.triangle_corners().collect();
        let top = soup
            .iter()
            .position(|t| t.iter().all(|p| p.z == 2.0))
            .unwrap();
        let t = soup[top];
        let k = (0..3)
            .max_by(|&i, &j| {
                let length = |k: usize| (t[k] - t[(k + 1) % 3]).norm();
                length(i).total_cmp(&length(j))
            })
            .unwrap();
        let (a, b) = (t[k], t[(k + 1) % 3]);
        let middle = nalgebra::center(&a, &b);
        let beside = soup
            .iter()
            .position(|t| (0..3).any(|e| t[e] == b && t[(e + 1) % 3] == a))
            .unwrap();
        let far = *soup[beside].iter().find(|&&p| p != a && p != b).unwrap();
        soup[beside] = [b, middle, far];
        soup.push([middle, a, far]);
        soup.push([b, a, middle]);
        let strict = Solid::from_triangles(soup.clone()).unwrap_err();
        assert_eq!(strict.found.len(), 1);
        assert!(strict.has(crate::mesh::defects::DefectKind::ZeroArea));
        let mended = Solid::mended(soup).unwrap().solid;
        assert!((mended.volume_mm3() - 8.0).abs() < 1e-12);
    }

    #[test]
    fn rounding_keeps_a_turned_block_closed() {
        let block = Solid::cuboid(Point::origin(), Point::new(200.0, 18.0, 133.3));
        let turn = crate::Isometry::rotation(Vector::new(0.3, 0.2, 0.7));
        let rounded = block.moved(&turn).rounded_to_single().unwrap();
        assert!((rounded.volume_mm3() / block.volume_mm3() - 1.0).abs() < 1e-6);
    }

    /// A sheet 1e-7 mm thick beside a block: it folds when it is rounded, and is gone then.
    #[test]
    fn a_speck_that_turns_over_when_it_is_rounded_is_left_out() {
        let block = Solid::cuboid(Point::origin(), Point::new(20.0, 20.0, 20.0));
        let corner = Point::new(30.0, 10.0, 10.0);
        let tip = |x: f64, y: f64, z: f64| corner + Vector::new(x, y, z);
        let corners = [
            corner,
            tip(0.01, 0.0, 0.0),
            tip(0.0, 0.01, 0.0),
            tip(0.0, 0.0, -0.01),
        ];
        // Inside out, as folded sheets are.
        let speck = vec![[0, 2, 1], [0, 3, 2], [0, 1, 3], [1, 2, 3]];
        let speck = Solid::trusted(corners.to_vec(), speck);
        assert!(speck.volume_mm3() < 0.0);
        let rounded = Solid::gathered([&block, &speck])
            .rounded_to_single()
            .unwrap();
        assert_eq!(rounded.triangles().len(), 12);
        assert_eq!(rounded.volume_mm3(), block.volume_mm3());
    }
}
