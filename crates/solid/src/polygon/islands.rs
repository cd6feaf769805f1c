//! Booleans of flat regions, island by island: those that lie apart from each
//! other have nothing to do with each other, and a sweep over all of them at
//! once takes longer than one over each few.

use geo::{BooleanOps, BoundingRect, Polygon, Rect};

use crate::polygon::outline::Outline;

/// What two regions have in common, in mm of the same frame.
///
/// ```
/// use geo::Area;
/// use solid::{rectangle, shared};
///
/// let both = shared(&rectangle([0.0, 0.0], [4.0, 4.0]), &rectangle([3.0, 0.0], [9.0, 2.0]));
/// assert!((both.unsigned_area() - 2.0).abs() < 1e-6);
/// ```
pub fn shared(one: &Outline, other: &Outline) -> Outline {
    let mut out = Vec::new();
    for [mine, theirs] in clusters(one, other) {
        if !mine.0.is_empty() && !theirs.0.is_empty() {
            out.extend(mine.intersection(&theirs));
        }
    }
    Outline::new(out)
}

/// What just one of two regions has, in mm of the same frame.
///
/// ```
/// use geo::Area;
/// use solid::{rectangle, unshared};
///
/// let alone = unshared(&rectangle([0.0, 0.0], [4.0, 4.0]), &rectangle([3.0, 0.0], [9.0, 2.0]));
/// assert!((alone.unsigned_area() - (14.0 + 10.0)).abs() < 1e-6);
/// ```
pub fn unshared(one: &Outline, other: &Outline) -> Outline {
    let mut out = Vec::new();
    for [mine, theirs] in clusters(one, other) {
        if mine.0.is_empty() || theirs.0.is_empty() {
            out.extend(mine.into_iter().chain(theirs));
        } else {
            out.extend(mine.xor(&theirs));
        }
    }
    Outline::new(out)
}

/// Islands of two regions, taken together where their boxes touch those of the
/// other region, in the order of the islands.
fn clusters(one: &Outline, other: &Outline) -> Vec<[Outline; 2]> {
    let boxed = |outline: &Outline| -> Vec<(Polygon, Rect)> {
        let with_box = |p: &Polygon| Some((p.clone(), p.bounding_rect()?));
        outline.iter().filter_map(with_box).collect()
    };
    let (mine, theirs) = (boxed(one), boxed(other));
    // Which cluster each island is in, by the least number of one of its islands.
    let mut cluster_of: Vec<usize> = (0..mine.len()).collect();
    let mut theirs_of: Vec<usize> = Vec::with_capacity(theirs.len());
    for (_, their_box) in &theirs {
        let mut met: Vec<usize> = (0..mine.len())
            .filter(|&k| touch(&mine[k].1, their_box))
            .map(|k| cluster_of[k])
            .collect();
        met.sort_unstable();
        let least = met.first().copied().unwrap_or(usize::MAX);
        for cluster in cluster_of.iter_mut().chain(&mut theirs_of) {
            if met.contains(cluster) {
                *cluster = least;
            }
        }
        theirs_of.push(least);
    }
    let mut out: Vec<[Outline; 2]> = Vec::new();
    let mut place_of: Vec<(usize, usize)> = Vec::new();
    let islands = (cluster_of.into_iter().zip(mine).map(|x| (0, x)))
        .chain(theirs_of.into_iter().zip(theirs).map(|x| (1, x)));
    for (side, (cluster, (island, _))) in islands {
        let known = place_of.iter().find(|(c, _)| *c == cluster);
        let place = known.map_or(out.len(), |(_, place)| *place);
        if place == out.len() {
            out.push([Outline::new(Vec::new()), Outline::new(Vec::new())]);
            place_of.push((cluster, place));
        }
        out[place][side].0.push(island);
    }
    out
}

fn touch(a: &Rect, b: &Rect) -> bool {
    (a.min().x <= b.max().x && b.min().x <= a.max().x)
        && (a.min().y <= b.max().y && b.min().y <= a.max().y)
}

#[cfg(test)]
mod tests {
    use geo::Area;
    use proptest::prelude::*;

    use super::*;
    use crate::polygon::outline::rectangle;

    /// Rectangles in a row of places, so that none meet.
    fn region() -> impl Strategy<Value = Outline> {
        proptest::collection::vec((0.0f64..9.0, 0.5f64..9.0, -5.0f64..5.0, 1.0f64..20.0), 0..6)
            .prop_map(|all| {
                let one = |(k, (at, wide, low, high)): (usize, (f64, f64, f64, f64))| {
                    let x = 20.0 * k as f64 + at;
                    rectangle([x, low], [x + wide, low + high]).0.remove(0)
                };
                Outline::new(all.into_iter().enumerate().map(one).collect())
            })
    }

    proptest! {
        #[test]
        fn island_by_island_is_as_all_at_once(a in region(), b in region(), by in -30.0f64..30.0) {
            use geo::Translate;
            let b = b.translate(by, 1.0);
            let close = |x: &Outline, y: &Outline| {
                (x.unsigned_area() - y.unsigned_area()).abs() < 1e-5
                    && x.xor(y).unsigned_area() < 1e-5
            };
            prop_assert!(close(&shared(&a, &b), &a.intersection(&b)));
            prop_assert!(close(&unshared(&a, &b), &a.xor(&b)));
        }
    }
}
