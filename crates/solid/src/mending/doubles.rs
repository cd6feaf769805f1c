//! Triangles that are there more than once.

use std::collections::{HashMap, HashSet};

use crate::Point;
use crate::disjoint_sets::DisjointSets;
use crate::mending::loose::Loose;

/// Of alike triangles keeps one; of two that face each other, as where two boards were
/// exported face to face, none: nothing lies between them. A body all of whose faces are
/// there both ways keeps one of each. How many went, and where the first was.
pub(super) fn drop_doubles(loose: &mut Loose) -> Option<(usize, Point)> {
    let sorted = |t: &[u32; 3]| {
        let mut key = *t;
        key.sort_unstable();
        key
    };
    // Whether a triangle runs through its corners as they are sorted, or the other way.
    let runs_up = |t: &[u32; 3]| {
        let least = (0..3).min_by_key(|&k| t[k]).unwrap_or_default();
        t[(least + 1) % 3] < t[(least + 2) % 3]
    };
    let mut there: HashMap<[u32; 3], [bool; 2]> = HashMap::with_capacity(loose.triangles.len());
    for t in &loose.triangles {
        there.entry(sorted(t)).or_default()[usize::from(runs_up(t))] = true;
    }
    let bodies = drawn_twice(
        there
            .iter()
            .filter(|(_, w)| **w == [true, true])
            .map(|(k, _)| *k),
    );
    let before = loose.triangles.len();
    let mut kept: HashMap<[u32; 3], bool> = HashMap::with_capacity(there.len());
    let mut first = None;
    let triangles = std::mem::take(&mut loose.triangles);
    for t in triangles {
        let key = sorted(&t);
        let faced = there.get(&key) == Some(&[true, true]) && !bodies.contains(&key);
        if !faced && kept.insert(key, true).is_none() {
            loose.triangles.push(t);
        } else if first.is_none() {
            first = Some(loose.at(t[0]));
        }
    }
    first.map(|at| (before - loose.triangles.len(), at))
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
