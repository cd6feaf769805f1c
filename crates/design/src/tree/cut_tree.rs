//! The cut tree: an inner node is a seam, or a body that stands apart from the others; a
//! leaf is a cell, one future piece.
//!
//! Nodes stand in a list, each before those that cut one of its sides, so that
//! nothing here needs recursion however deep a tree is.

use crate::ids::{PlanSeam, SeamId};
use crate::tree::body_apart::{BodyApart, Parting};
use crate::tree::planned_seam::PlannedSeam;
use crate::tree::seam_side::SeamSide;

/// A part of the model that a seam may cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Region {
    /// All of it.
    Whole,
    /// One side of a seam.
    Side(PlanSeam, SeamSide),
}

/// A tree of seams, each with a name: [`SeamId`] in a plan, `Option<SeamId>`
/// while it is being made and only what was there before has one.
///
/// ```
/// use design::{CutTree, PlannedSeam, Region, SeamSide};
///
/// let x = |at_mm| PlannedSeam::at([1.0, 0.0, 0.0], at_mm);
/// let left = CutTree::cut(None, x(150.0), CutTree::uncut(), CutTree::uncut());
/// let tree = CutTree::cut(None, x(300.0), left, CutTree::uncut()).named(1);
/// assert_eq!(tree.cells(Region::Whole).len(), 3);
/// let second = tree.find(&"S2".parse().unwrap()).unwrap();
/// let way: Vec<&str> = tree
///     .way_up(Region::Side(second, SeamSide::Above))
///     .map(|(seam, _)| tree.id(seam).as_str())
///     .collect();
/// assert_eq!(way, ["S2", "S1"]);
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct CutTree<N = SeamId> {
    nodes: Vec<Node<N>>,
}

/// A leaf: the seams above it, the topmost first, and the side of each on which
/// it lies.
pub type Path = Vec<(PlanSeam, SeamSide)>;

#[derive(Clone, Debug, PartialEq)]
struct Node<N> {
    name: N,
    parting: Parting,
    cuts: Region,
    /// The seams that cut its sides, `[below, above]`.
    cut_by: [Option<PlanSeam>; 2],
}

impl<N> CutTree<N> {
    /// The tree without a seam: one cell.
    pub fn uncut() -> Self {
        Self { nodes: Vec::new() }
    }

    /// A seam through all, or a body apart from all others, and what is done with either
    /// side.
    pub fn cut(name: N, seam: impl Into<Parting>, below: Self, above: Self) -> Self {
        let mut out = Self::uncut();
        let root = out.add(name, seam, Region::Whole);
        out.append(below, Region::Side(root, SeamSide::Below));
        out.append(above, Region::Side(root, SeamSide::Above));
        out
    }

    /// Adds what parts a region that nothing parts yet.
    ///
    /// # Panics
    ///
    /// When the region is a side of no seam of this tree, or cut already.
    pub fn add(&mut self, name: N, parting: impl Into<Parting>, cuts: Region) -> PlanSeam {
        assert!(self.cut_by(cuts).is_none(), "the region is cut already");
        let added = PlanSeam::at(self.nodes.len());
        if let Region::Side(parent, side) = cuts {
            self.nodes[parent.place()].cut_by[side.place()] = Some(added);
        }
        self.nodes.push(Node {
            name,
            parting: parting.into(),
            cuts,
            cut_by: [None, None],
        });
        added
    }

    /// Adds all seams of another tree to a region that nothing cuts yet.
    ///
    /// # Panics
    ///
    /// As [`CutTree::add`].
    pub fn append(&mut self, other: Self, into: Region) {
        let first = self.nodes.len();
        for node in other.nodes {
            let cuts = match node.cuts {
                Region::Whole => into,
                Region::Side(seam, side) => Region::Side(PlanSeam::at(first + seam.place()), side),
            };
            self.add(node.name, node.parting, cuts);
        }
    }

    /// How many seams and bodies apart it has.
    pub fn len(&self) -> usize {
        self.nodes.len()
    }

    /// Whether nothing is parted.
    pub fn is_empty(&self) -> bool {
        self.nodes.is_empty()
    }

    /// All that parts something, each before what parts one of its sides.
    pub fn partings(
        &self,
    ) -> impl DoubleEndedIterator<Item = PlanSeam> + ExactSizeIterator + use<N> {
        (0..self.nodes.len()).map(PlanSeam::at)
    }

    /// Its seams, each before those that cut one of its sides.
    pub fn seams(&self) -> impl DoubleEndedIterator<Item = PlanSeam> {
        self.partings().filter(|k| self.body(*k).is_none())
    }

    /// The bodies that stand apart from others, the last to come home first.
    pub fn bodies(&self) -> impl DoubleEndedIterator<Item = (PlanSeam, &BodyApart)> {
        self.partings().filter_map(|k| Some((k, self.body(k)?)))
    }

    /// What parts a region.
    pub fn parting(&self, parting: PlanSeam) -> &Parting {
        &self.nodes[parting.place()].parting
    }

    /// The body apart that parts a region; of a seam none.
    pub fn body(&self, parting: PlanSeam) -> Option<&BodyApart> {
        match self.parting(parting) {
            Parting::Body(body) => Some(body),
            Parting::Seam(_) => None,
        }
    }

    /// The plane of a seam and what is said of its joints.
    ///
    /// # Panics
    ///
    /// When it is no seam but a body apart.
    pub fn seam(&self, seam: PlanSeam) -> &PlannedSeam {
        match self.parting(seam) {
            Parting::Seam(seam) => seam,
            Parting::Body(_) => panic!("a body apart has no plane"),
        }
    }

    /// The same, to change it.
    ///
    /// # Panics
    ///
    /// As [`CutTree::seam`].
    pub fn seam_mut(&mut self, seam: PlanSeam) -> &mut PlannedSeam {
        match &mut self.nodes[seam.place()].parting {
            Parting::Seam(seam) => seam,
            Parting::Body(_) => panic!("a body apart has no plane"),
        }
    }

    /// What a seam cuts.
    pub fn cuts(&self, seam: PlanSeam) -> Region {
        self.nodes[seam.place()].cuts
    }

    /// The name of a seam.
    pub fn name(&self, seam: PlanSeam) -> &N {
        &self.nodes[seam.place()].name
    }

    /// The seam that cuts a region; `None` of a cell.
    pub fn cut_by(&self, region: Region) -> Option<PlanSeam> {
        match region {
            Region::Whole => (!self.nodes.is_empty()).then(|| PlanSeam::at(0)),
            Region::Side(seam, side) => self.nodes[seam.place()].cut_by[side.place()],
        }
    }

    /// The seams that bound a region, the last that was made first, each with
    /// the side on which the region lies.
    pub fn way_up(&self, region: Region) -> impl Iterator<Item = (PlanSeam, SeamSide)> {
        let step = |region| match region {
            Region::Whole => None,
            Region::Side(seam, side) => Some((seam, side)),
        };
        std::iter::successors(step(region), move |(seam, _)| step(self.cuts(*seam)))
    }

    /// For each leaf the way to it, in the order of the tree: what lies below a
    /// seam before what lies above.
    pub fn leaves(&self) -> Vec<Path> {
        let mut out = Vec::new();
        let mut open: Vec<(Region, Path)> = vec![(Region::Whole, Vec::new())];
        while let Some((region, path)) = open.pop() {
            let Some(seam) = self.cut_by(region) else {
                out.push(path);
                continue;
            };
            for side in [SeamSide::Above, SeamSide::Below] {
                let mut down = path.clone();
                down.push((seam, side));
                open.push((Region::Side(seam, side), down));
            }
        }
        out
    }

    /// The tree of what cuts a region, by itself.
    #[must_use]
    pub fn branch(&self, region: Region) -> Self
    where
        N: Clone,
    {
        self.copied(region, None)
    }

    /// The same tree with another one in the place of what cuts a region.
    #[must_use]
    pub fn grafted(&self, region: Region, branch: Self) -> Self
    where
        N: Clone,
    {
        self.copied(Region::Whole, Some((region, branch)))
    }

    /// What cuts a region, by itself, and with another tree in the place of what
    /// cuts a region within that.
    fn copied(&self, all: Region, mut graft: Option<(Region, Self)>) -> Self
    where
        N: Clone,
    {
        let mut out = Self::uncut();
        let mut open = vec![(all, Region::Whole)];
        while let Some((from, to)) = open.pop() {
            if let Some((_, branch)) = graft.take_if(|(at, _)| *at == from) {
                out.append(branch, to);
                continue;
            }
            let Some(seam) = self.cut_by(from) else {
                continue;
            };
            let node = &self.nodes[seam.place()];
            let copy = out.add(node.name.clone(), node.parting.clone(), to);
            // What lies below comes first, so it is put on top.
            for side in [SeamSide::Above, SeamSide::Below] {
                open.push((Region::Side(seam, side), Region::Side(copy, side)));
            }
        }
        out
    }

    /// The same tree with names for bodies apart that have none.
    #[must_use]
    pub(crate) fn bodies_named(mut self, name: impl Fn(&BodyApart) -> Option<String>) -> Self {
        for node in &mut self.nodes {
            if let Parting::Body(body) = &mut node.parting
                && body.name.is_none()
            {
                body.name = name(body);
            }
        }
        self
    }

    /// The same tree with other names.
    pub fn renamed<M>(self, mut name: impl FnMut(N) -> M) -> CutTree<M> {
        let nodes = self.nodes.into_iter().map(|node| Node {
            name: name(node.name),
            parting: node.parting,
            cuts: node.cuts,
            cut_by: node.cut_by,
        });
        CutTree {
            nodes: nodes.collect(),
        }
    }
}

impl CutTree {
    /// The id of a seam or a body apart.
    pub fn id(&self, seam: PlanSeam) -> &SeamId {
        self.name(seam)
    }

    /// The seam, or the body apart, with an id.
    pub fn find(&self, id: &SeamId) -> Option<PlanSeam> {
        self.partings().find(|s| self.id(*s) == id)
    }

    /// The number of the first id `S1`, `S2`, … beyond all that are taken.
    pub fn next_number(&self) -> usize {
        let numbers = self.partings().filter_map(|s| self.id(s).number());
        numbers.max().unwrap_or(0) + 1
    }

    /// The same tree, its seams free to be named anew.
    pub fn draft(self) -> CutTree<Option<SeamId>> {
        self.renamed(Some)
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::tree::draft::Draft;

    fn seam(at_mm: f64) -> PlannedSeam {
        PlannedSeam::at([1.0, 0.0, 0.0], at_mm)
    }

    /// A tree from words: each number picks an open region to cut.
    fn grown(picks: &[usize]) -> Draft {
        let mut tree = Draft::uncut();
        let mut open = vec![Region::Whole];
        for (k, pick) in picks.iter().enumerate() {
            let region = open.swap_remove(pick % open.len());
            let added = tree.add(None, seam(k as f64), region);
            open.extend(SeamSide::BOTH.map(|side| Region::Side(added, side)));
        }
        tree
    }

    proptest! {
        #[test]
        fn leaves_and_spans_agree(picks in proptest::collection::vec(0usize..100, 0..40)) {
            let tree = grown(&picks);
            let leaves = tree.leaves();
            prop_assert_eq!(leaves.len(), picks.len() + 1);
            let spans = tree.spans();
            prop_assert_eq!(spans.of(Region::Whole), 0..leaves.len());
            for (k, path) in leaves.iter().enumerate() {
                for &(seam, side) in path {
                    prop_assert!(spans.of(Region::Side(seam, side)).contains(&k));
                }
                let up: Path = match path.last() {
                    Some(&(seam, side)) => tree.way_up(Region::Side(seam, side)).collect(),
                    None => Vec::new(),
                };
                prop_assert_eq!(&up.into_iter().rev().collect::<Path>(), path);
            }
        }

        #[test]
        fn what_is_cut_out_and_grafted_in_again_is_the_same_tree(
            picks in proptest::collection::vec(0usize..100, 1..30),
            at in 0usize..30,
        ) {
            let tree = grown(&picks).grafted(Region::Side(PlanSeam::at(99), SeamSide::Below), Draft::uncut());
            let seam = PlanSeam::at(at % tree.len());
            for side in SeamSide::BOTH {
                let region = Region::Side(seam, side);
                let again = tree.grafted(region, tree.branch(region));
                prop_assert_eq!(again.leaves(), tree.leaves());
                let bare = tree.grafted(region, Draft::uncut());
                prop_assert_eq!(bare.len() + tree.branch(region).len(), tree.len());
            }
        }
    }

    #[test]
    fn names_are_given_in_the_order_of_the_tree_and_kept_where_there_are_any() {
        let kept = CutTree::cut(
            Some("left".parse().unwrap()),
            seam(1.0),
            Draft::uncut(),
            Draft::uncut(),
        );
        let right = CutTree::cut(None, seam(3.0), Draft::uncut(), Draft::uncut());
        let tree = CutTree::cut(None, seam(2.0), kept, right).named(7);
        let ids: Vec<&str> = tree.partings().map(|s| tree.id(s).as_str()).collect();
        assert_eq!(ids, ["S7", "left", "S8"]);
        assert_eq!(tree.next_number(), 9);
    }

    #[test]
    fn a_chain_of_many_thousand_seams_is_no_trouble() {
        let mut tree = Draft::uncut();
        let mut region = Region::Whole;
        for k in 0..20_000 {
            let added = tree.add(None, seam(f64::from(k)), region);
            region = Region::Side(added, SeamSide::Above);
        }
        let tree = tree.named(1);
        assert_eq!(tree.cells(Region::Whole).len(), 20_001);
        assert_eq!(tree.way_up(region).count(), 20_000);
    }
}
