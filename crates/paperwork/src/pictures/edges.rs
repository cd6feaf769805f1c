//! The edges of a solid and the faces that they part, for drawing.

use solid::Solid;

/// An edge and the faces on its two sides.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Edge {
    /// Its vertices, the lower first.
    pub(crate) ends: [u32; 2],
    /// The triangles that meet there.
    pub(crate) faces: [u32; 2],
}

/// All edges of a solid, each once, in the order of their vertices. An edge where
/// four triangles or more meet is there once for each two.
pub(crate) fn edges(solid: &Solid) -> Vec<Edge> {
    // Sides of triangles gathered at their lower vertex: a count, then places.
    let sides = || {
        let each = solid.triangles().iter().enumerate();
        each.flat_map(|(k, t)| {
            [[t[0], t[1]], [t[1], t[2]], [t[2], t[0]]]
                .map(|[a, b]| (a.min(b) as usize, a.max(b), k as u32))
        })
    };
    let mut next = vec![0u32; solid.vertices().len() + 1];
    for (low, _, _) in sides() {
        next[low + 1] += 1;
    }
    for v in 1..next.len() {
        next[v] += next[v - 1];
    }
    let starts = next.clone();
    let mut at = vec![(0u32, 0u32); 3 * solid.triangles().len()];
    for (low, high, face) in sides() {
        at[next[low] as usize] = (high, face);
        next[low] += 1;
    }
    let mut out = Vec::with_capacity(at.len() / 2);
    for (low, span) in starts.windows(2).enumerate() {
        let here = &mut at[span[0] as usize..span[1] as usize];
        here.sort_unstable();
        for same in here.chunk_by(|a, b| a.0 == b.0) {
            out.extend(same.chunks_exact(2).map(|pair| Edge {
                ends: [low as u32, same[0].0],
                faces: [pair[0].1, pair[1].1],
            }));
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use solid::Point;

    use super::*;

    #[test]
    fn every_edge_of_a_block_is_there_once() {
        let block = Solid::cuboid(Point::origin(), Point::new(1.0, 2.0, 3.0));
        let edges = edges(&block);
        // Twelve of the block, and a diagonal of each face.
        assert_eq!(edges.len(), 18);
        assert!(edges.is_sorted_by_key(|e| e.ends));
        let sharp = |e: &&Edge| {
            let [m, n] = e.faces.map(|k| block.normal(k as usize));
            m.dot(&n) < 0.5
        };
        assert_eq!(edges.iter().filter(sharp).count(), 12);
    }
}
