//! Triangles that are there more than once.

use std::collections::{HashMap, HashSet};

use crate::Point;
use crate::disjoint_sets::DisjointSets;
use crate::mending::loose::{Loose, sides};

/// Of alike triangles keeps one, where the surface is the more closed for it; of two that face
/// each other, as where two boards were exported face to face, none: nothing lies between
/// them. A body all of whose faces are there both ways keeps one of each. How many went, and
/// where the first was.
pub(super) fn drop_doubles(loose: &mut Loose) -> Option<(usize, Point)> {
    let before = loose.triangles.len();
    let mut first = drop_alike(loose);
    let mut there: HashMap<[u32; 3], [bool; 2]> = HashMap::with_capacity(loose.triangles.len());
    for t in &loose.triangles {
        let (key, up) = keyed(t);
        there.entry(key).or_default()[usize::from(up)] = true;
    }
    let faced = |key: &[u32; 3]| there.get(key) == Some(&[true, true]);
    let bodies = drawn_twice(there.keys().copied().filter(|key| faced(key)));
    let mut kept: HashSet<[u32; 3]> = HashSet::new();
    let triangles = std::mem::take(&mut loose.triangles);
    for t in triangles {
        let (key, _) = keyed(&t);
        if !faced(&key) || bodies.contains(&key) && kept.insert(key) {
            loose.triangles.push(t);
        } else if first.is_none() {
            first = Some(loose.at(t[0]));
        }
    }
    first.map(|at| (before - loose.triangles.len(), at))
}

/// A triangle by its corners, whichever comes first, and whether it runs through them as they
/// are sorted.
fn keyed(t: &[u32; 3]) -> ([u32; 3], bool) {
    let mut key = *t;
    key.sort_unstable();
    let least = (0..3).min_by_key(|&k| t[k]).unwrap_or_default();
    (key, t[(least + 1) % 3] < t[(least + 2) % 3])
}

/// Drops triangles that are there again the same way round as long as edges are run along
/// more evenly for it; where they already are, two bodies have the face, one of them inside
/// out. Where the first was.
fn drop_alike(loose: &mut Loose) -> Option<Point> {
    let mut times: HashMap<([u32; 3], bool), u32> = HashMap::new();
    for t in &loose.triangles {
        *times.entry(keyed(t)).or_default() += 1;
    }
    times.retain(|_, n| *n > 1);
    if times.is_empty() {
        return None;
    }
    let mut net: HashMap<[u32; 2], i64> = HashMap::new();
    for [a, b] in loose.triangles.iter().flat_map(sides) {
        *net.entry([a.min(b), a.max(b)]).or_default() += if a < b { 1 } else { -1 };
    }
    let mut first = None;
    loop {
        let count = loose.triangles.len();
        let triangles = std::mem::take(&mut loose.triangles);
        for t in triangles {
            let left = times.get_mut(&keyed(&t)).filter(|n| **n > 1);
            let less: i64 = sides(&t)
                .iter()
                .map(|[a, b]| {
                    let now = net
                        .get(&[*a.min(b), *a.max(b)])
                        .copied()
                        .unwrap_or_default();
                    now.abs() - (now - if a < b { 1 } else { -1 }).abs()
                })
                .sum();
            match left {
                Some(n) if less > 0 => {
                    *n -= 1;
                    for [a, b] in sides(&t) {
                        let by = if a < b { 1 } else { -1 };
                        *net.entry([a.min(b), a.max(b)]).or_default() -= by;
                    }
                    first = first.or(Some(loose.at(t[0])));
                }
                _ => loose.triangles.push(t),
            }
        }
        if loose.triangles.len() == count {
            return first;
        }
    }
}

/// Of faces that are there both ways those that close a body by themselves: an exporter wrote
/// both their sides.
fn drawn_twice(faced: impl Iterator<Item = [u32; 3]>) -> HashSet<[u32; 3]> {
    let mut faces: Vec<[u32; 3]> = faced.collect();
    faces.sort_unstable();
    let mut at_edges: HashMap<[u32; 2], Vec<usize>> = HashMap::new();
    for (k, &[a, b, c]) in faces.iter().enumerate() {
        for edge in [[a, b], [b, c], [a, c]] {
            at_edges.entry(edge).or_default().push(k);
        }
    }
    let mut sets = DisjointSets::of(faces.len());
    for together in at_edges.values() {
        together.windows(2).for_each(|w| {
            sets.unite(w[0], w[1]);
        });
    }
    let open: HashSet<usize> = at_edges
        .values()
        .filter(|together| together.len() != 2)
        .map(|together| sets.find(together[0]))
        .collect();
    let closed = (0..faces.len()).filter(|&k| !open.contains(&sets.find(k)));
    closed.map(|k| faces[k]).collect()
}
