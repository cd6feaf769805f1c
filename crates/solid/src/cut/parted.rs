//! A solid parted at a plane.

use std::collections::HashMap;

use crate::Point;
use crate::cut::cap::filled;
use crate::frame::Frame;
use crate::mesh::solid_type::Solid;

/// A corner no further from a plane lies in it: as far as single precision, in which files
/// have their corners, may put those of a slanting face out of its plane within a metre.
pub(super) const IN_PLANE_MM: f64 = 3e-5;

/// On which side of a plane something lies.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Side {
    Below,
    In,
    Above,
}

impl Side {
    pub(super) fn of(height_mm: f64) -> Self {
        if height_mm > IN_PLANE_MM {
            Self::Above
        } else if height_mm < -IN_PLANE_MM {
            Self::Below
        } else {
            Self::In
        }
    }
}

/// What of a solid lies above a frame's plane, and what below: each triangle that
/// crosses it is parted once, its new corners belong to the edges that they are
/// on, and both halves get the same flat face. A face that lies in the plane goes
/// with the material behind it.
///
/// `None` where the flat face has no filling (see [`filled`]), as where the
/// surface touches itself in the plane.
pub(crate) fn parted(solid: &Solid, plane: &Frame) -> Option<[Solid; 2]> {
    let mut parting = Parting::new(solid, plane);
    for (k, t) in solid.triangles().iter().enumerate() {
        parting.add(k, *t);
    }
    parting.closed()
}

struct Parting<'a> {
    solid: &'a Solid,
    plane: &'a Frame,
    heights: Vec<f64>,
    /// Corners on crossed edges, numbered after those of the solid.
    crossings: Vec<Point>,
    on_edge: HashMap<[u32; 2], u32>,
    above: Vec<[u32; 3]>,
    below: Vec<[u32; 3]>,
}

impl<'a> Parting<'a> {
    fn new(solid: &'a Solid, plane: &'a Frame) -> Self {
        Self {
            solid,
            plane,
            heights: solid.vertices().iter().map(|p| plane.height(p)).collect(),
            crossings: Vec::new(),
            on_edge: HashMap::new(),
            above: Vec::new(),
            below: Vec::new(),
        }
    }

    fn side(&self, corner: u32) -> Side {
        match self.heights.get(corner as usize) {
            Some(h) => Side::of(*h),
            None => Side::In,
        }
    }

    fn place(&self, corner: u32) -> Point {
        let own = self.solid.vertices();
        match own.get(corner as usize) {
            Some(p) => *p,
            None => self.crossings[corner as usize - own.len()],
        }
    }

    fn add(&mut self, triangle: usize, corners: [u32; 3]) {
        let sides = corners.map(|c| self.side(c));
        let has = |side: Side| sides.contains(&side);
        match (has(Side::Below), has(Side::Above)) {
            (false, true) => self.above.push(corners),
            (true, false) => self.below.push(corners),
            (false, false) => {
                let faces_up = self.solid.normal(triangle).dot(&self.plane.n) > 0.0;
                let behind = match faces_up {
                    true => &mut self.below,
                    false => &mut self.above,
                };
                behind.push(corners);
            }
            (true, true) => self.split(corners, sides),
        }
    }

    /// Parts a triangle that has corners on both sides.
    fn split(&mut self, corners: [u32; 3], sides: [Side; 3]) {
        // From the corner that is alone on its side.
        let alone = (0..3).find(|&k| {
            let others = [sides[(k + 1) % 3], sides[(k + 2) % 3]];
            sides[k] != Side::In && !others.contains(&sides[k])
        });
        let first = match sides.iter().position(|s| *s == Side::In) {
            // One in the plane, one on either side.
            Some(flat) => (flat + 1) % 3,
            None => alone.unwrap_or(0),
        };
        let [a, b, c] = [0, 1, 2].map(|k| corners[(first + k) % 3]);
        let own = sides[first];
        let ab = self.crossing(a, b);
        if sides[(first + 2) % 3] == Side::In {
            self.push(own, [a, ab, c]);
            self.push(opposite(own), [ab, b, c]);
            return;
        }
        let ca = self.crossing(c, a);
        self.push(own, [a, ab, ca]);
        self.push(opposite(own), [ab, b, c]);
        self.push(opposite(own), [ab, c, ca]);
    }

    fn push(&mut self, side: Side, triangle: [u32; 3]) {
        match side {
            Side::Above => self.above.push(triangle),
            _ => self.below.push(triangle),
        }
    }

    /// The corner at which an edge goes through the plane.
    fn crossing(&mut self, a: u32, b: u32) -> u32 {
        let edge = [a.min(b), a.max(b)];
        if let Some(known) = self.on_edge.get(&edge) {
            return *known;
        }
        // From the same end for both triangles.
        let [from, to] = edge.map(|c| self.place(c));
        let [h, k] = edge.map(|c| self.heights[c as usize]);
        let mut at = from + (to - from) * (h / (h - k));
        for axis in 0..3 {
            // A plane square to an axis is met to the last bit.
            if self.plane.n[axis].abs() == 1.0 {
                at[axis] = self.plane.origin[axis];
            }
        }
        let id = (self.solid.vertices().len() + self.crossings.len()) as u32;
        self.crossings.push(at);
        self.on_edge.insert(edge, id);
        id
    }

    /// Both halves, closed by the same flat face.
    fn closed(mut self) -> Option<[Solid; 2]> {
        let rim = rim(&self.below, |c| self.side(c) == Side::In);
        let turned: Vec<[u32; 2]> = rim.iter().map(|&[a, b]| [b, a]).collect();
        let cap = filled(&turned, self.plane, |c| self.place(c))?;
        let [mut above, mut below] = [&mut self.above, &mut self.below].map(std::mem::take);
        above.extend(cap.iter().map(|&[a, b, c]| [a, c, b]));
        below.extend(cap);
        Some([above, below].map(|half| self.compact(half)))
    }

    /// A solid of some of the triangles, with the corners that they have.
    fn compact(&self, mut triangles: Vec<[u32; 3]>) -> Solid {
        let mut to = vec![u32::MAX; self.solid.vertices().len() + self.crossings.len()];
        let mut vertices = Vec::new();
        for corner in triangles.iter_mut().flatten() {
            let slot = &mut to[*corner as usize];
            if *slot == u32::MAX {
                *slot = vertices.len() as u32;
                vertices.push(self.place(*corner));
            }
            *corner = *slot;
        }
        Solid::trusted(vertices, triangles)
    }
}

fn opposite(side: Side) -> Side {
    match side {
        Side::Below => Side::Above,
        Side::In => Side::In,
        Side::Above => Side::Below,
    }
}

/// The edges of some triangles that lie in the plane and have nothing against
/// them, in order.
pub(super) fn rim(triangles: &[[u32; 3]], in_plane: impl Fn(u32) -> bool) -> Vec<[u32; 2]> {
    let mut edges: Vec<([u32; 2], bool)> = Vec::new();
    for t in triangles {
        let flat = t.map(&in_plane);
        for k in 0..3 {
            let (a, b) = (t[k], t[(k + 1) % 3]);
            if flat[k] && flat[(k + 1) % 3] && a != b {
                edges.push(([a.min(b), a.max(b)], a < b));
            }
        }
    }
    edges.sort_unstable();
    let mut out = Vec::new();
    for run in edges.chunk_by(|x, y| x.0 == y.0) {
        let [low, high] = run[0].0;
        let up = run.iter().filter(|e| e.1).count();
        let down = run.len() - up;
        out.extend(std::iter::repeat_n([low, high], up.saturating_sub(down)));
        out.extend(std::iter::repeat_n([high, low], down.saturating_sub(up)));
    }
    out
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::{Isometry, Vector};

    /// A block less two others, on a grid: faces that fall together are common. None
    /// touches itself: turned, it would by a rounding.
    fn notched() -> impl Strategy<Value = Solid> {
        let corner = || prop::array::uniform3(0i32..6);
        let size = || prop::array::uniform3(1i32..5);
        let any = (
            corner(),
            size(),
            corner(),
            size(),
            0.0..3.0f64,
            any::<bool>(),
        );
        any.prop_filter_map("it touches itself", |(a, s, b, t, turn, tilted)| {
            let block = |at: [i32; 3], size: [i32; 3]| {
                let low = Point::from(at.map(f64::from));
                Solid::cuboid(low, low + Vector::from(size.map(f64::from)))
            };
            let whole = Solid::cuboid(Point::new(0.0, 0.0, 0.0), Point::new(6.0, 6.0, 6.0));
            let solid = whole.difference(&block(a, s)).unwrap();
            let solid = solid.difference(&block(b, t)).unwrap();
            if solid.is_empty() || solid.touches_itself().is_some() {
                return None;
            }
            Some(match tilted {
                true => solid.moved(&Isometry::rotation(Vector::new(turn, 1.0, 0.3 * turn))),
                false => solid,
            })
        })
    }

    /// A plane: anywhere, or through three corners of the solid.
    fn plane(solid: &Solid, picks: [usize; 3], free: [f64; 3], at: f64) -> Frame {
        let n = solid.vertices().len().max(1);
        let corners = picks.map(|k| solid.vertices()[k % n]);
        let normal = (corners[1] - corners[0]).cross(&(corners[2] - corners[0]));
        match normal.norm() > 1e-6 {
            true => Frame::facing(corners[0], normal),
            false => Frame::facing(
                Point::new(at, at, at),
                Vector::from(free) + Vector::new(1e-3, 0.0, 0.0),
            ),
        }
    }

    fn agrees(solid: &Solid, plane: &Frame) -> Result<bool, TestCaseError> {
        let Some(halves) = parted(solid, plane) else {
            return Ok(false);
        };
        let (above, below) = solid.kernel().unwrap().split(plane).unwrap();
        let theirs = [above, below].map(|k| Solid::from_kernel(k).volume_mm3());
        for (own, theirs) in halves.iter().zip(theirs) {
            let off = (own.volume_mm3() - theirs).abs();
            prop_assert!(off < 1e-6, "{} beside {theirs}", own.volume_mm3());
            let (corners, triangles) = (own.vertices().to_vec(), own.triangles().to_vec());
            let uses = crate::mesh::weld::edge_uses(&triangles);
            prop_assert!(uses.iter().all(|(_, up, down)| up == down));
            prop_assert!(corners.iter().all(|p| p.iter().all(|x| x.is_finite())));
        }
        Ok(true)
    }

    /// Boards that cross at 45° came out with sheets 2e-6 mm thick: in single precision the
    /// corners of a slanting face do not lie in one plane.
    #[test]
    fn a_plane_in_a_slanting_face_leaves_no_sheet() {
        let board = Solid::cuboid(Point::new(0.0, 0.0, -6.0), Point::new(180.0, 260.0, 6.0));
        let turned = board.moved(&Isometry::rotation(
            Vector::y() * std::f64::consts::FRAC_PI_4,
        ));
        let rounded = turned.rounded_to_single().unwrap();
        let face = Frame::facing(Point::origin(), Vector::new(1.0, 0.0, 1.0)).raised(6.0);
        for off_mm in [-1e-5, 0.0, 1e-5] {
            let halves = parted(&rounded, &face.raised(off_mm)).unwrap();
            let volumes = halves.map(|half| half.volume_mm3());
            assert!(volumes.contains(&0.0), "{off_mm}: {volumes:?}");
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(400))]

        /// Through corners, edges and faces, the halves are closed and have the
        /// volumes that the kernel's have.
        #[test]
        fn halves_are_closed_and_those_of_the_kernel(
            solid in notched(), picks in prop::array::uniform3(0usize..64),
            free in prop::array::uniform3(-1.0..1.0f64), at in 0.0..6.0f64,
        ) {
            agrees(&solid, &plane(&solid, picks, free, at))?;
        }

        #[test]
        fn planes_square_to_axes_always_have_a_cap(
            solid in notched(), axis in 0usize..3, at in 0i32..7,
        ) {
            let at = f64::from(at) + if solid.vertices()[0].x.fract() == 0.0 { 0.0 } else { 0.3 };
            prop_assert!(agrees(&solid, &Frame::across_axis(axis, at))?);
        }
    }
}
