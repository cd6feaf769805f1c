//! What of a bed is left beside the places where nothing may be printed.

/// Corners of a rectangle on a bed, from its front left corner.
pub type BedArea = [[f64; 2]; 2];

/// The largest rectangle of a bed that touches none of some others; empty where those
/// cover it.
///
/// Its sides lie on the bed's or on theirs: of every pair of such places along x the
/// tallest gap between what lies there counts.
pub(crate) fn largest_free(bed: BedArea, taken: &[BedArea]) -> BedArea {
    let places = |k: usize| {
        let inside = taken.iter().flat_map(|r| [r[0][k], r[1][k]]);
        let inside = inside.filter(|x| *x > bed[0][k] && *x < bed[1][k]);
        let mut all: Vec<f64> = inside.chain([bed[0][k], bed[1][k]]).collect();
        all.sort_by(f64::total_cmp);
        all.dedup();
        all
    };
    let area = |r: &BedArea| (r[1][0] - r[0][0]) * (r[1][1] - r[0][1]);
    let (xs, ys) = (places(0), places(1));
    let mut best = [bed[0], bed[0]];
    for (i, &left) in xs.iter().enumerate() {
        for &right in &xs[i + 1..] {
            let in_way = || taken.iter().filter(|r| r[0][0] < right && r[1][0] > left);
            let mut from = ys[0];
            for pair in ys.windows(2) {
                let is_taken = in_way().any(|r| r[0][1] < pair[1] && r[1][1] > pair[0]);
                if is_taken {
                    from = pair[1];
                    continue;
                }
                let free = [[left, from], [right, pair[1]]];
                if area(&free) > area(&best) {
                    best = free;
                }
            }
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn a_purge_line_at_the_front_leaves_the_rest() {
        let bed = [[2.0, 2.0], [218.0, 218.0]];
        let line = [[0.0, 0.0], [220.0, 12.0]];
        assert_eq!(largest_free(bed, &[line]), [[2.0, 12.0], [218.0, 218.0]]);
        assert_eq!(largest_free(bed, &[]), bed);
        let all = [[0.0, 0.0], [220.0, 220.0]];
        let none = largest_free(bed, &[all]);
        assert_eq!(none[0], none[1]);
    }

    proptest! {
        /// On a grid of whole millimetres every free rectangle can be tried.
        #[test]
        fn no_rectangle_of_a_grid_is_larger(
            taken in proptest::collection::vec((0u8..10, 0u8..10, 1u8..5, 1u8..5), 0..5),
        ) {
            let taken: Vec<BedArea> = taken
                .iter()
                .map(|&(x, y, w, h)| {
                    let [x, y, w, h] = [x, y, w, h].map(f64::from);
                    [[x, y], [x + w, y + h]]
                })
                .collect();
            let free = |r: &BedArea| {
                let apart = |t: &BedArea| (0..2).any(|k| t[1][k] <= r[0][k] || t[0][k] >= r[1][k]);
                taken.iter().all(apart)
            };
            let area = |r: &BedArea| (r[1][0] - r[0][0]) * (r[1][1] - r[0][1]);
            let found = largest_free([[0.0; 2], [10.0; 2]], &taken);
            prop_assert!(free(&found) || area(&found) == 0.0);
            for x in 0..10 {
                for y in 0..10 {
                    for w in 1..=10 - x {
                        for h in 1..=10 - y {
                            let [x, y, w, h] = [x, y, w, h].map(f64::from);
                            let tried = [[x, y], [x + w, y + h]];
                            prop_assert!(!free(&tried) || area(&tried) <= area(&found));
                        }
                    }
                }
            }
        }
    }
}
