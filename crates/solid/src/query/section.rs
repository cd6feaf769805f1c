//! Plane sections of a solid.

use std::collections::HashMap;

use geo::{Area, Contains, Coord, LineString, Polygon};

use crate::frame::Frame;
use crate::mesh::solid_type::Solid;
use crate::polygon::outline::Outline;

impl Solid {
    /// The section of the solid by a frame's plane, as polygons with holes in
    /// the frame's `(u, v)`.
    ///
    /// A vertex that lies in the plane counts as above it, so the section of
    /// a face that lies in the plane is that of the material just above. Each
    /// crossed edge gives one point and each crossed triangle one segment
    /// between two of them, so the chains always close.
    ///
    /// ```
    /// use geo::Area;
    /// use solid::{Frame, Point, Solid, Vector};
    ///
    /// let plank = Solid::cuboid(Point::origin(), Point::new(300.0, 90.0, 18.0));
    /// let s = plank.section(&Frame::facing(Point::new(150.0, 0.0, 0.0), Vector::x()));
    /// assert!((s.unsigned_area() - 90.0 * 18.0).abs() < 1e-9);
    /// ```
    pub fn section(&self, frame: &Frame) -> Outline {
        let heights: Vec<f64> = self.vertices().iter().map(|p| frame.height(p)).collect();
        let height = |i: u32| heights[i as usize];
        assembled(chains(self, frame, height, self.triangles().iter()))
    }
}

/// Closed chains of section points, material on the left.
pub(crate) fn chains<'a>(
    solid: &Solid,
    frame: &Frame,
    height: impl Fn(u32) -> f64,
    triangles: impl Iterator<Item = &'a [u32; 3]>,
) -> Vec<Vec<Coord>> {
    let above = |i: u32| height(i) >= 0.0;
    let crossing = |i: u32, j: u32| -> Coord {
        // Always from the lower index, so that both triangles at an edge
        // compute the very same point.
        let (a, b) = (i.min(j), i.max(j));
        let t = height(a) / (height(a) - height(b));
        let (a, b) = (a as usize, b as usize);
        let p = solid.vertices()[a] + (solid.vertices()[b] - solid.vertices()[a]) * t;
        let c = frame.coordinates(&p);
        Coord { x: c.x, y: c.y }
    };
    // From the edge where the segment starts to the edge where it ends.
    let mut next: HashMap<(u32, u32), (u32, u32)> = HashMap::new();
    let mut order: Vec<(u32, u32)> = Vec::new();
    for t in triangles {
        let up = t.map(above);
        if up.iter().all(|&x| x == up[0]) {
            continue;
        }
        let key = |k: usize| {
            let (a, b) = (t[k], t[(k + 1) % 3]);
            (a.min(b), a.max(b))
        };
        let (mut from, mut to) = (None, None);
        for k in 0..3 {
            match (up[k], up[(k + 1) % 3]) {
                (true, false) => from = Some(key(k)),
                (false, true) => to = Some(key(k)),
                _ => {}
            }
        }
        if let (Some(from), Some(to)) = (from, to) {
            next.insert(from, to);
            order.push(from);
        }
    }
    let mut loops = Vec::new();
    for start in order {
        let mut chain = Vec::new();
        let mut at = start;
        while let Some(to) = next.remove(&at) {
            chain.push(crossing(at.0, at.1));
            at = to;
        }
        chain.dedup_by(|a, b| (a.x - b.x).abs() < 1e-9 && (a.y - b.y).abs() < 1e-9);
        if chain.len() >= 3 {
            loops.push(chain);
        }
    }
    loops
}

/// Sorts closed chains into polygons with holes.
pub(crate) fn assembled(loops: Vec<Vec<Coord>>) -> Outline {
    let rings: Vec<Polygon<f64>> = loops
        .into_iter()
        .map(|chain| Polygon::new(LineString::new(chain), Vec::new()))
        .filter(|ring| ring.unsigned_area() > 1e-9)
        .collect();
    let (outer, holes): (Vec<_>, Vec<_>) = rings.into_iter().partition(|r| r.signed_area() > 0.0);
    let mut owned: Vec<Vec<LineString<f64>>> = vec![Vec::new(); outer.len()];
    for hole in holes {
        let Some(&probe) = hole.exterior().0.first() else {
            continue;
        };
        let home = (0..outer.len())
            .filter(|&i| {
                outer[i].unsigned_area() > hole.unsigned_area()
                    && outer[i].contains(&geo::Point::from(probe))
            })
            .min_by(|&a, &b| {
                outer[a]
                    .unsigned_area()
                    .total_cmp(&outer[b].unsigned_area())
            });
        if let Some(i) = home {
            owned[i].push(hole.exterior().clone());
        }
    }
    let polygons = outer
        .into_iter()
        .zip(owned)
        .map(|(o, h)| Polygon::new(o.exterior().clone(), h))
        .collect();
    Outline::new(polygons)
}

#[cfg(test)]
mod tests {
    use geo::BoundingRect;

    use super::*;
    use crate::{Point, Vector};

    #[test]
    fn a_tube_has_a_ring_for_a_section() {
        let outer = Solid::cylinder(Point::origin(), Vector::z() * 50.0, 20.0, 96).unwrap();
        let inner =
            Solid::cylinder(Point::new(0.0, 0.0, -1.0), Vector::z() * 52.0, 15.0, 96).unwrap();
        let tube = outer.difference(&inner).unwrap();
        let section = tube.section(&Frame::facing(Point::new(0.0, 0.0, 25.0), Vector::z()));
        assert_eq!(section.0.len(), 1);
        assert_eq!(section.0[0].interiors().len(), 1);
        // Regular 96-gon: area = n/2 r² sin(2π/n).
        let polygon = |r: f64| 48.0 * r * r * (std::f64::consts::TAU / 96.0).sin();
        assert!((section.unsigned_area() - (polygon(20.0) - polygon(15.0))).abs() < 1e-6);
    }

    #[test]
    fn a_plane_in_a_face_gives_the_material_above() {
        let block = Solid::cuboid(Point::origin(), Point::new(2.0, 3.0, 4.0));
        let low = block.section(&Frame::facing(Point::origin(), Vector::z()));
        assert_eq!(
            low.unsigned_area(),
            0.0,
            "below the face there is nothing to cross"
        );
        let high = block.section(&Frame::facing(Point::new(0.0, 0.0, 4.0), Vector::z()));
        let rect = high.bounding_rect().unwrap();
        assert!((rect.width() * rect.height() - 6.0).abs() < 1e-12);
    }
}
