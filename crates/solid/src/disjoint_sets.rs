//! Sets of numbers that are united step by step.

/// Sets of numbers that are united step by step (Tarjan 1975, *Efficiency of a
/// good but not linear set union algorithm*, with halved paths). The least
/// number stands for its set, so that what is told does not depend on the order.
///
/// ```
/// use solid::DisjointSets;
///
/// let mut sets = DisjointSets::default();
/// sets.extend_to(4);
/// assert_eq!(sets.unite(3, 1), Some((1, 3)));
/// assert_eq!(sets.unite(1, 3), None);
/// assert_eq!([0, 1, 2, 3].map(|k| sets.find(k)), [0, 1, 2, 1]);
/// ```
#[derive(Clone, Debug, Default)]
pub struct DisjointSets {
    parent: Vec<u32>,
}

impl DisjointSets {
    /// So many numbers, each a set by itself.
    pub fn of(count: usize) -> Self {
        let mut sets = Self::default();
        sets.extend_to(count);
        sets
    }

    /// Adds numbers up to a count, each as a set by itself.
    pub fn extend_to(&mut self, count: usize) {
        self.parent
            .extend((self.parent.len()..count).map(|k| k as u32));
    }

    /// The number that stands for a number's set.
    pub fn find(&mut self, member: usize) -> usize {
        let mut i = member;
        while self.parent[i] as usize != i {
            self.parent[i] = self.parent[self.parent[i] as usize];
            i = self.parent[i] as usize;
        }
        i
    }

    /// Unites the sets of two numbers; the numbers that stood for them, that which
    /// stands for both now first, where they were two.
    pub fn unite(&mut self, a: usize, b: usize) -> Option<(usize, usize)> {
        let (a, b) = (self.find(a), self.find(b));
        let (first, second) = (a.min(b), a.max(b));
        self.parent[second] = first as u32;
        (first != second).then_some((first, second))
    }
}
