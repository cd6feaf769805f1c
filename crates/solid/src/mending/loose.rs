//! Triangles on numbered places, before they are a solid.

use std::collections::HashMap;

use crate::Point;
use crate::mesh::weld::edge_uses;

/// Triangles on numbered places.
pub(super) struct Loose {
    pub(super) vertices: Vec<Point>,
    pub(super) triangles: Vec<[u32; 3]>,
}

impl Loose {
    /// A vertex's place.
    pub(super) fn at(&self, vertex: u32) -> Point {
        self.vertices[vertex as usize]
    }

    /// The middle of an edge.
    pub(super) fn middle(&self, [a, b]: [u32; 2]) -> Point {
        nalgebra::center(&self.at(a), &self.at(b))
    }

    /// The edges that are run along more often one way than the other, as often as that, in
    /// the way that is missing.
    pub(super) fn open_edges(&self) -> Vec<[u32; 2]> {
        let mut out = Vec::new();
        for ([a, b], forward, backward) in edge_uses(&self.triangles) {
            let missing = if forward > backward { [b, a] } else { [a, b] };
            out.extend((0..forward.abs_diff(backward)).map(|_| missing));
        }
        out
    }

    /// The triangles at each edge, with whether they run from its lower vertex to its upper.
    pub(super) fn faces_at_edges(&self) -> HashMap<[u32; 2], Vec<(u32, bool)>> {
        let mut out: HashMap<[u32; 2], Vec<(u32, bool)>> =
            HashMap::with_capacity(self.triangles.len() * 3 / 2);
        for (k, t) in self.triangles.iter().enumerate() {
            for [a, b] in sides(t) {
                let edge = [a.min(b), a.max(b)];
                out.entry(edge).or_default().push((k as u32, a < b));
            }
        }
        out
    }
}

/// The sides of a triangle, in the way that it runs along them.
pub(super) fn sides(&[a, b, c]: &[u32; 3]) -> [[u32; 2]; 3] {
    [[a, b], [b, c], [c, a]]
}
