//! Triangles that are there more than once.

use std::collections::HashMap;

use crate::Point;
use crate::mending::loose::Loose;

/// Of alike triangles keeps one; of two that face each other, as where two boards were
/// exported face to face, none: nothing lies between them. How many went, and where the
/// first was.
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
    let before = loose.triangles.len();
    let mut kept: HashMap<[u32; 3], bool> = HashMap::with_capacity(there.len());
    let mut first = None;
    let triangles = std::mem::take(&mut loose.triangles);
    for t in triangles {
        let key = sorted(&t);
        let faced = there.get(&key) == Some(&[true, true]);
        if !faced && kept.insert(key, true).is_none() {
            loose.triangles.push(t);
        } else if first.is_none() {
            first = Some(loose.at(t[0]));
        }
    }
    first.map(|at| (before - loose.triangles.len(), at))
}
