//! Parts of a piece that begin in the air while it is printed.

use solid::{DisjointSets, Point, Solid};

/// What begins no higher than this lies on the bed.
const ON_BED_MM: f64 = 0.3;
/// What meets the rest within less is a corner of an engraving, or a wave of the surface.
const LEAST_MM: f64 = 2.0;

/// Where a piece that lies as it is printed, its lowest point at z = 0, begins in the air: the
/// lowest points of what hangs down, with nothing of the piece beside it at that height. A
/// printer lays its first line there on support or on nothing. A point each, the lowest first.
///
/// They are the minima of height over the surface that look down and whose persistence, the
/// height that they rise by until they meet what began lower, is 2 mm or more (Edelsbrunner,
/// Letscher & Zomorodian 2002, Topological persistence and simplification).
///
/// ```
/// use printing::islands;
/// use solid::{DisjointSets, Point, Solid};
///
/// let block = |a: [f64; 3], b: [f64; 3]| Solid::cuboid(Point::from(a), Point::from(b));
/// let post = block([0.0; 3], [20.0, 20.0, 100.0]);
/// let arm = block([0.0, 0.0, 80.0], [90.0, 20.0, 100.0]);
/// let bracket = post.union(&arm).unwrap();
/// assert!(islands(&bracket).is_empty());
/// let peg = block([70.0, 5.0, 60.0], [80.0, 15.0, 90.0]);
/// assert_eq!(islands(&bracket.union(&peg).unwrap()).len(), 1);
/// ```
pub fn islands(as_printed: &Solid) -> Vec<Point> {
    let vertices = as_printed.vertices();
    let mut rising: Vec<usize> = (0..vertices.len()).collect();
    rising.sort_by(|&a, &b| vertices[a].z.total_cmp(&vertices[b].z).then(a.cmp(&b)));
    let mut place = vec![0; vertices.len()];
    for (k, &vertex) in rising.iter().enumerate() {
        place[vertex] = k;
    }
    // To the vertices before it each vertex is linked, by their places in that order.
    let mut linked: Vec<Vec<usize>> = vec![Vec::new(); vertices.len()];
    for t in as_printed.triangles() {
        for (a, b) in [(t[0], t[1]), (t[1], t[2]), (t[2], t[0])] {
            let [a, b] = [a, b].map(|k| place[k as usize]);
            linked[a.max(b)].push(a.min(b));
        }
    }
    let looks_down = looking_down(as_printed);
    let z = |k: usize| vertices[rising[k]].z;
    // The least number stands for its set: what began first.
    let mut grown = DisjointSets::of(vertices.len());
    let mut out = Vec::new();
    for (k, lower) in linked.iter().enumerate() {
        for &neighbour in lower {
            // What began later ends where it meets what began before.
            if let Some((_, ended)) = grown.unite(neighbour, k) {
                let begun = rising[ended];
                let persists = z(k) - z(ended) >= LEAST_MM;
                if persists && z(ended) > ON_BED_MM && looks_down[begun] {
                    out.push(vertices[begun]);
                }
            }
        }
    }
    out.sort_by(|a, b| {
        let order = a.z.total_cmp(&b.z);
        order.then(a.x.total_cmp(&b.x)).then(a.y.total_cmp(&b.y))
    });
    out
}

/// For each vertex whether the faces about it look down: the bottom of a pocket is as low as
/// what hangs, and looks up.
fn looking_down(solid: &Solid) -> Vec<bool> {
    let mut facing = vec![0.0; solid.vertices().len()];
    for (k, t) in solid.triangles().iter().enumerate() {
        let [a, b, c] = solid.corners(k);
        let doubled = (b - a).cross(&(c - a));
        for corner in t {
            facing[*corner as usize] += doubled.z;
        }
    }
    facing.into_iter().map(|z| z < 0.0).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn block(a: [f64; 3], b: [f64; 3]) -> Solid {
        Solid::cuboid(Point::from(a), Point::from(b))
    }

    #[test]
    fn legs_of_a_table_on_its_side_begin_in_the_air_and_pockets_do_not() {
        // A board that stands on its edge, with pegs that stick out level.
        let board = block([0.0, 0.0, 0.0], [200.0, 18.0, 150.0]);
        let pegs = [40.0, 110.0].map(|z| block([90.0, 10.0, z], [110.0, 80.0, z + 20.0]));
        let rack = Solid::union_of([&board, &pegs[0], &pegs[1]]).unwrap();
        assert!(islands(&rack).is_empty(), "they hang on the board");
        // A lip at the end of each peg hangs down by itself.
        let lips = [30.0, 100.0].map(|z| block([90.0, 70.0, z], [110.0, 80.0, z + 30.0]));
        let hooked = Solid::union_of([&rack, &lips[0], &lips[1]]).unwrap();
        let found = islands(&hooked);
        assert_eq!(found.iter().map(|p| p.z).collect::<Vec<_>>(), [30.0, 100.0]);
        // As high as the pegs, and nothing of them hangs.
        let groove = block([80.0, -1.0, 60.0], [120.0, 1.0, 64.0]);
        assert!(islands(&board.difference(&groove).unwrap()).is_empty());
        let pocket = block([50.0, 5.0, 60.0], [70.0, 12.0, 200.0]);
        assert!(islands(&board.difference(&pocket).unwrap()).is_empty());
    }
}
