//! Booleans of flat regions, island by island: those that lie apart from each
//! other have nothing to do with each other, and a sweep over all of them at
//! once takes longer than one over each few.

use geo::{
    Area, BooleanOps, BoundingRect, CoordsIter, Euclidean, Length, LineString, Polygon, Rect,
    Simplify,
};

use crate::polygon::outline::Outline;

/// An island or a hole that is narrower on average is none, and a corner no further from the
/// line past it is none: between edges that all but coincide the sweep leaves thousands of
/// them, and takes minutes over them when they are handed to it again.
const WIDTH_MM: f64 = 1e-5;

/// What a sweep over two regions leaves, without such islands and holes, and without such
/// corners where there are more than both regions have.
fn plain(swept: Outline, regions: [&Outline; 2]) -> impl Iterator<Item = Polygon> {
    let has_width = |ring: &LineString| {
        let within = Polygon::new(ring.clone(), Vec::new());
        2.0 * within.unsigned_area() > WIDTH_MM * Euclidean.length(ring)
    };
    let most = regions[0].coords_count() + regions[1].coords_count();
    let is_shattered = swept.coords_count() > most;
    swept.into_iter().filter_map(move |island| {
        let (around, mut holes) = island.into_inner();
        holes.retain(has_width);
        let island = has_width(&around).then(|| Polygon::new(around, holes))?;
        Some(match is_shattered {
            true => island.simplify(WIDTH_MM),
            false => island,
        })
    })
}

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
            out.extend(plain(mine.intersection(&theirs), [&mine, &theirs]));
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
            out.extend(plain(mine.xor(&theirs), [&mine, &theirs]));
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

    #[test]
    fn what_sections_of_a_slanted_shelf_have_in_common_stays_plain() {
        // Sections of a shelf at 18° with its list, of which the corners at its lower edge
        // move along that edge from one to the next.
        let section = |[a, b, c, d, e]: [[f64; 2]; 5]| {
            let corners = vec![
                a,
                b,
                [19.376041412353516, 205.802001953125],
                [299.9377136230469, 296.9620056152344],
                [296.8475341796875, 306.4725646972656],
                c,
                [25.796438217163086, 218.40274047851563],
                [19.616098403930664, 237.42385864257813],
                d,
                e,
            ];
            Outline::new(vec![Polygon::new(LineString::from(corners), Vec::new())])
        };
        let list = [10.1055326461792, 234.3336944580078];
        let foot = [16.285871505737305, 215.31256103515625];
        let between =
            |[a, b]: [f64; 2], [c, d]: [f64; 2], t: f64| [a + (c - a) * t, b + (d - b) * t];
        let sections = (1..200).map(|k| {
            let t = f64::from(k) / 200.0;
            let near = between(list, foot, t);
            let far = between([25.77337408065796, 218.39524602890015], [16.0, 215.2197], t);
            section([near, foot, far, list, near])
        });
        let common = sections.reduce(|all, next| shared(&all, &next)).unwrap();
        let rings: usize = common.iter().map(|p| 1 + p.interiors().len()).sum();
        let corners: usize = common.iter().map(|p| p.exterior().0.len()).sum();
        assert!(
            rings < 6 && corners < 60,
            "{rings} rings of {corners} corners"
        );
    }
}
