//! The triangles of two solids that may meet.

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

/// The pairs of some boxes that overlap, by their places, each pair once.
pub(crate) fn overlapping_within(boxes: &[Bounds], mut found: impl FnMut(usize, usize)) {
    let Some(axis) = sweep_axis(boxes.iter()) else {
        return;
    };
    let order = by_least(boxes, axis);
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

    #[test]
    fn boxes_that_touch_meet() {
        let at = |x: f64| Bounds::between(Point::new(x, 0.0, 0.0), Point::new(x + 1.0, 1.0, 1.0));
        assert!(touch(&at(0.0), &at(1.0)) && !touch(&at(0.0), &at(1.1)));
    }
}
