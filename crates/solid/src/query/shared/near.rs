//! The triangles of two solids that may meet.

use rayon::prelude::*;

use crate::Vector;
use crate::bounds::Bounds;

/// The pairs of some boxes of one kind and some of another that overlap, by their
/// places: a sweep along the axis on which they lie furthest apart for their size.
pub(crate) fn overlapping(ones: &[Bounds], others: &[Bounds], mut found: impl FnMut(usize, usize)) {
    let Some(axis) = sweep_axis(ones.iter().chain(others)) else {
        return;
    };
    let (first, second) = (by_least(ones, axis), by_least(others, axis));
    let (mut i, mut j) = (0, 0);
    while i < first.len() && j < second.len() {
        let (a, b) = (first[i] as usize, second[j] as usize);
        // The one that begins first meets those of the other kind that begin
        // before it ends.
        if ones[a].min[axis] <= others[b].min[axis] {
            for &b in &second[j..] {
                let b = b as usize;
                if others[b].min[axis] > ones[a].max[axis] {
                    break;
                }
                if touch(&ones[a], &others[b]) {
                    found(a, b);
                }
            }
            i += 1;
        } else {
            for &a in &first[i..] {
                let a = a as usize;
                if ones[a].min[axis] > others[b].max[axis] {
                    break;
                }
                if touch(&ones[a], &others[b]) {
                    found(a, b);
                }
            }
            j += 1;
        }
    }
}

/// The pairs of some boxes that overlap, by their places, each pair once: the boxes are parted
/// at a plane as long as that leaves few in it, and swept then.
pub(crate) fn overlapping_within(boxes: &[Bounds], mut found: impl FnMut(usize, usize)) {
    let mut parts: Vec<Vec<u32>> = vec![(0..boxes.len() as u32).collect()];
    while let Some(part) = parts.pop() {
        match parted(boxes, &part) {
            None => swept_within(boxes, &part, &mut found),
            Some(sides) => {
                over_the_plane(boxes, &sides, &mut found);
                parts.extend(sides.into_iter().filter(|p| p.len() > 1));
            }
        }
    }
}

/// The least of what a probe tells of the pairs of some boxes that overlap.
pub(crate) fn least_within<T: Ord + Send>(
    boxes: &[Bounds],
    probe: &(impl Fn(usize, usize) -> Option<T> + Sync),
) -> Option<T> {
    least_of_part(boxes, &(0..boxes.len() as u32).collect::<Vec<_>>(), probe)
}

fn least_of_part<T: Ord + Send>(
    boxes: &[Bounds],
    part: &[u32],
    probe: &(impl Fn(usize, usize) -> Option<T> + Sync),
) -> Option<T> {
    let mut best: Option<T> = None;
    let mut keep = |a: usize, b: usize| {
        let told = probe(a, b);
        best = best.take().into_iter().chain(told).min();
    };
    let Some(sides) = parted(boxes, part) else {
        swept_within(boxes, part, &mut keep);
        return best;
    };
    over_the_plane(boxes, &sides, &mut keep);
    let each = sides
        .par_iter()
        .filter_map(|side| least_of_part(boxes, side, probe));
    let others = each.min();
    best.into_iter().chain(others).min()
}

/// The pairs of boxes of which one lies across the plane at which they were parted.
fn over_the_plane(
    boxes: &[Bounds],
    [left, across, right]: &[Vec<u32>; 3],
    found: &mut impl FnMut(usize, usize),
) {
    let ends = across.iter().flat_map(|&k| {
        let b = &boxes[k as usize];
        [b.min, b.max]
    });
    let Some(about) = Bounds::of(ends) else {
        return;
    };
    let beside = left.iter().chain(right).copied();
    let beside: Vec<u32> = beside
        .filter(|&k| touch(&boxes[k as usize], &about))
        .collect();
    let those = |ids: &[u32]| -> Vec<Bounds> { ids.iter().map(|&k| boxes[k as usize]).collect() };
    overlapping(&those(across), &those(&beside), |i, j| {
        found(across[i] as usize, beside[j] as usize);
    });
}

/// So few boxes are swept.
const FEW: usize = 256;

/// Boxes that lie on either side of a plane, and across it; `None` where too many do, or
/// there are few.
fn parted(boxes: &[Bounds], part: &[u32]) -> Option<[Vec<u32>; 3]> {
    if part.len() <= FEW {
        return None;
    }
    let each = || part.iter().map(|&k| &boxes[k as usize]);
    let axis = sweep_axis(each())?;
    let mut middles: Vec<f64> = each().map(|b| b.centre()[axis]).collect();
    let half = middles.len() / 2;
    let (_, plane, _) = middles.select_nth_unstable_by(half, f64::total_cmp);
    let plane = *plane;
    let mut out = [Vec::new(), Vec::new(), Vec::new()];
    for &k in part {
        let b = &boxes[k as usize];
        let side = match (b.max[axis] < plane, b.min[axis] > plane) {
            (true, _) => 0,
            (_, true) => 2,
            _ => 1,
        };
        out[side].push(k);
    }
    (out[1].len() * 4 < part.len()).then_some(out)
}

/// The pairs among some of the boxes, by a sweep.
fn swept_within(boxes: &[Bounds], part: &[u32], found: &mut impl FnMut(usize, usize)) {
    let Some(axis) = sweep_axis(part.iter().map(|&k| &boxes[k as usize])) else {
        return;
    };
    let least = |k: &u32| boxes[*k as usize].min[axis];
    let mut order = part.to_vec();
    order.sort_by(|a, b| least(a).total_cmp(&least(b)).then(a.cmp(b)));
    for (i, &a) in order.iter().enumerate() {
        let a = a as usize;
        for &b in &order[i + 1..] {
            let b = b as usize;
            if boxes[b].min[axis] > boxes[a].max[axis] {
                break;
            }
            if touch(&boxes[a], &boxes[b]) {
                found(a, b);
            }
        }
    }
}

/// The axis along which all of some boxes reach furthest beside the reach of each:
/// there the fewest of them lie beside one another.
fn sweep_axis<'a>(boxes: impl Iterator<Item = &'a Bounds>) -> Option<usize> {
    let mut each = Vector::zeros();
    let mut all: Option<Bounds> = None;
    for b in boxes {
        each += b.size_mm();
        all = Some(all.map_or(*b, |all| all.joined(b)));
    }
    let beside = all?
        .size_mm()
        .component_div(&each.add_scalar(f64::MIN_POSITIVE));
    Some(beside.imax())
}

/// The places of boxes in the order in which they begin along an axis.
fn by_least(boxes: &[Bounds], axis: usize) -> Vec<u32> {
    let mut order: Vec<u32> = (0..boxes.len() as u32).collect();
    order.sort_by(|a, b| {
        let least = |k: &u32| boxes[*k as usize].min[axis];
        least(a).total_cmp(&least(b)).then(a.cmp(b))
    });
    order
}

/// Whether two boxes share a point.
pub(super) fn touch(a: &Bounds, b: &Bounds) -> bool {
    (0..3).all(|k| a.min[k] <= b.max[k] && b.min[k] <= a.max[k])
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::Point;

    fn boxes() -> impl Strategy<Value = Vec<Bounds>> {
        let corner = || prop::array::uniform3(0.0..10.0f64);
        let one = (corner(), corner()).prop_map(|(a, b)| Bounds::between(a.into(), b.into()));
        prop::collection::vec(one, 0..12)
    }

    proptest! {
        #[test]
        fn every_pair_is_found_once(ones in boxes(), others in boxes()) {
            let mut swept = Vec::new();
            overlapping(&ones, &others, |a, b| swept.push((a, b)));
            swept.sort_unstable();
            let all = (0..ones.len()).flat_map(|a| (0..others.len()).map(move |b| (a, b)));
            let tried: Vec<_> = all.filter(|&(a, b)| touch(&ones[a], &others[b])).collect();
            prop_assert_eq!(swept, tried);
        }

        #[test]
        fn every_pair_within_is_found_once(boxes in boxes()) {
            let mut swept = Vec::new();
            overlapping_within(&boxes, |a, b| swept.push((a.min(b), a.max(b))));
            swept.sort_unstable();
            let all = (0..boxes.len()).flat_map(|a| (a + 1..boxes.len()).map(move |b| (a, b)));
            let tried: Vec<_> = all.filter(|&(a, b)| touch(&boxes[a], &boxes[b])).collect();
            prop_assert_eq!(swept, tried);
        }
    }

    /// Enough of them that they are parted, a few of them large.
    #[test]
    fn many_are_found_once_too() {
        let mut state = 7u64;
        let mut dice = || {
            // Knuth's constants for a linear congruential generator (1997).
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1);
            (state >> 40) as f64 / f64::from(1 << 24)
        };
        let boxes: Vec<Bounds> = (0..3000)
            .map(|k| {
                let low = Point::new(dice(), dice(), dice()) * 100.0;
                let size = if k % 100 == 0 { 60.0 } else { 3.0 };
                Bounds::between(low, low + Vector::new(dice(), dice(), dice()) * size)
            })
            .collect();
        let mut swept = Vec::new();
        overlapping_within(&boxes, |a, b| swept.push((a.min(b), a.max(b))));
        swept.sort_unstable();
        let all = (0..boxes.len()).flat_map(|a| (a + 1..boxes.len()).map(move |b| (a, b)));
        let tried: Vec<_> = all.filter(|&(a, b)| touch(&boxes[a], &boxes[b])).collect();
        assert!(tried.len() > 1000);
        assert_eq!(swept, tried);
    }

    #[test]
    fn boxes_that_touch_meet() {
        let at = |x: f64| Bounds::between(Point::new(x, 0.0, 0.0), Point::new(x + 1.0, 1.0, 1.0));
        assert!(touch(&at(0.0), &at(1.0)) && !touch(&at(0.0), &at(1.1)));
    }
}
