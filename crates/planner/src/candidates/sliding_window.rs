//! What all items of a window that slides along a row have in common, with three
//! combinations an item however wide the window is (van Herk 1992, *A fast
//! algorithm for local minimum and maximum filters on rectangular and octagonal
//! kernels*; Gil & Werman 1993, *Computing 2-D min, median, and max filters*).

use rayon::prelude::*;

/// For each item, what it and `radius` items on either side have in common;
/// `None` where the row ends before that. Neighbours that are the `same` are
/// combined once; `meet` must not care for order or repetition.
pub(crate) fn in_common<T: Clone + Send + Sync>(
    row: &[T],
    radius: usize,
    same: impl Fn(&T, &T) -> bool + Sync,
    meet: impl Fn(&T, &T) -> T + Sync,
) -> Vec<Option<T>> {
    let width = 2 * radius + 1;
    // Of each block of a window's width: what the first so many items have in
    // common, and what the last have.
    let running = |block: &mut dyn Iterator<Item = &T>| {
        let mut out: Vec<T> = Vec::with_capacity(width);
        let mut before: Option<&T> = None;
        for item in block {
            out.push(match (before, out.last()) {
                (Some(b), Some(all)) if same(item, b) => all.clone(),
                (_, Some(all)) => meet(all, item),
                _ => item.clone(),
            });
            before = Some(item);
        }
        out
    };
    let blocks: Vec<(Vec<T>, Vec<T>)> = row
        .par_chunks(width)
        .map(|block| {
            let mut last = running(&mut block.iter().rev());
            last.reverse();
            (running(&mut block.iter()), last)
        })
        .collect();
    (0..row.len())
        .into_par_iter()
        .map(|k| {
            let from = k.checked_sub(radius)?;
            let to = k + radius;
            if to >= row.len() {
                return None;
            }
            let last = &blocks[from / width].1[from % width];
            let first = &blocks[to / width].0[to % width];
            Some(if from.is_multiple_of(width) {
                last.clone()
            } else {
                meet(last, first)
            })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        #[test]
        fn windows_have_what_each_of_their_items_has(
            row in prop::collection::vec(0u8..=255, 0..40),
            radius in 0usize..6,
        ) {
            let found = in_common(&row, radius, |a, b| a == b, |a, b| a & b);
            for (k, all) in found.into_iter().enumerate() {
                let window = k.checked_sub(radius).and_then(|from| row.get(from..=k + radius));
                let one_by_one = window.map(|w| w.iter().fold(255, |all, x| all & x));
                prop_assert_eq!(all, one_by_one);
            }
        }
    }
}
