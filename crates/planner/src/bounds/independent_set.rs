//! A large set of things none of which is in the way of another.

/// Which of some things get in each other's way: an undirected graph.
pub(crate) struct Conflicts {
    rows: Vec<Vec<u64>>,
}

/// How often the search is shaken out of where it is stuck.
const SHAKES: usize = 3000;

impl Conflicts {
    /// Between `count` things, those of which `between` says so.
    pub(crate) fn among(count: usize, between: impl Fn(usize, usize) -> bool) -> Self {
        let mut rows = vec![vec![0_u64; count.div_ceil(64)]; count];
        for a in 0..count {
            for b in a + 1..count {
                if between(a, b) {
                    rows[a][b / 64] |= 1 << (b % 64);
                    rows[b][a / 64] |= 1 << (a % 64);
                }
            }
        }
        Self { rows }
    }

    fn of(&self, thing: usize) -> impl Iterator<Item = usize> {
        members(&self.rows[thing])
    }

    /// Many things no two of which are in conflict: an independent set, as large
    /// as a local search finds it. Starting from the things with the fewest
    /// conflicts, one thing after another is forced in, those that it displaces
    /// go, and what has then become free is added; what is smaller for it is
    /// taken back (after Andrade, Resende & Werneck 2012, *Fast local search for
    /// the maximum independent set problem*).
    pub(crate) fn independent(&self) -> Vec<usize> {
        let mut now = Chosen::none(self);
        now.fill(self);
        let mut best = now.clone();
        // A fixed sequence, so that the same question has the same answer
        // (multiplier and increment of Knuth's MMIX, from memory).
        let mut state = 1_u64;
        let mut draw = |below: usize| {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            (state >> 33) as usize % below
        };
        for _ in 0..SHAKES {
            // Displacing one is enough, now and then two.
            let most = if draw(5) == 0 { 2 } else { 1 };
            let outside: Vec<usize> = (0..self.rows.len())
                .filter(|&k| !now.is_in[k] && now.against[k] <= most)
                .collect();
            if outside.is_empty() {
                continue;
            }
            let before = now.clone();
            now.force_in(self, outside[draw(outside.len())]);
            now.fill(self);
            if now.count() > best.count() {
                best = now.clone();
            } else if now.count() < before.count() && draw(20) > 0 {
                now = before;
            }
        }
        (0..self.rows.len()).filter(|&k| best.is_in[k]).collect()
    }
}

fn members(words: &[u64]) -> impl Iterator<Item = usize> {
    words.iter().enumerate().flat_map(|(w, &word)| {
        let mut left = word;
        std::iter::from_fn(move || {
            (left != 0).then(|| {
                let bit = left.trailing_zeros() as usize;
                left &= left - 1;
                w * 64 + bit
            })
        })
    })
}

/// An independent set, and for each thing how many of it are in conflict with
/// that thing.
#[derive(Clone)]
struct Chosen {
    is_in: Vec<bool>,
    against: Vec<u32>,
    count: usize,
}

impl Chosen {
    fn none(all: &Conflicts) -> Self {
        Self {
            is_in: vec![false; all.rows.len()],
            against: vec![0; all.rows.len()],
            count: 0,
        }
    }

    fn count(&self) -> usize {
        self.count
    }

    fn add(&mut self, all: &Conflicts, thing: usize) {
        self.is_in[thing] = true;
        self.count += 1;
        for other in all.of(thing) {
            self.against[other] += 1;
        }
    }

    fn force_in(&mut self, all: &Conflicts, thing: usize) {
        for other in all.of(thing) {
            if self.is_in[other] {
                self.is_in[other] = false;
                self.count -= 1;
                for third in all.of(other) {
                    self.against[third] -= 1;
                }
            }
        }
        self.add(all, thing);
    }

    /// Adds what is free, that with the fewest free conflicts first.
    fn fill(&mut self, all: &Conflicts) {
        let n = all.rows.len();
        let mut free = vec![0_u64; n.div_ceil(64)];
        for k in (0..n).filter(|&k| !self.is_in[k] && self.against[k] == 0) {
            free[k / 64] |= 1 << (k % 64);
        }
        loop {
            let degree = |k: usize| -> u32 {
                all.rows[k]
                    .iter()
                    .zip(&free)
                    .map(|(a, b)| (a & b).count_ones())
                    .sum()
            };
            let Some(next) = members(&free).min_by_key(|&k| degree(k)) else {
                return;
            };
            self.add(all, next);
            free[next / 64] &= !(1 << (next % 64));
            for (word, conflicts) in free.iter_mut().zip(&all.rows[next]) {
                *word &= !conflicts;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The largest independent set by trying all.
    fn largest(edges: &[(usize, usize)], n: usize) -> usize {
        (0_u32..1 << n)
            .filter(|set| {
                edges
                    .iter()
                    .all(|&(a, b)| set >> a & 1 == 0 || set >> b & 1 == 0)
            })
            .map(|set| set.count_ones() as usize)
            .max()
            .unwrap()
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 64, ..ProptestConfig::default() })]

        #[test]
        fn nothing_chosen_conflicts_and_small_graphs_are_solved(
            n in 1..12_usize,
            pairs in prop::collection::vec((0..12_usize, 0..12_usize), 0..30),
        ) {
            let edges: Vec<(usize, usize)> = pairs
                .into_iter()
                .filter(|&(a, b)| a != b && a < n && b < n)
                .collect();
            let conflicts = Conflicts::among(n, |a, b| {
                edges.contains(&(a, b)) || edges.contains(&(b, a))
            });
            let chosen = conflicts.independent();
            for (a, b) in &edges {
                prop_assert!(!(chosen.contains(a) && chosen.contains(b)));
            }
            prop_assert_eq!(chosen.len(), largest(&edges, n));
        }
    }
}
