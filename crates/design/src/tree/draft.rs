//! A cut tree while it is being made.

use solid::Isometry;

use crate::ids::SeamId;
use crate::tree::cut_tree::CutTree;

/// A tree some of whose seams have no names yet.
pub type Draft = CutTree<Option<SeamId>>;

impl Draft {
    /// The same seams where a motion takes them; of bodies apart it has none.
    ///
    /// # Panics
    ///
    /// When it has some.
    #[must_use]
    pub fn moved(&self, motion: &Isometry) -> Self {
        let mut out = self.clone();
        for k in out.partings() {
            *out.seam_mut(k) = self.seam(k).moved(motion);
        }
        out
    }

    /// Gives seams that have no name yet the ids from a number on, in the order
    /// of the tree.
    #[must_use]
    pub fn named(self, first: usize) -> CutTree {
        let mut numbers = first..;
        self.renamed(|name| match name {
            Some(id) => id,
            None => SeamId::numbered(numbers.next().unwrap_or(first)),
        })
    }
}
