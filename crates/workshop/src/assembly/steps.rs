//! The assembly, read off the tree: leaves first.

use std::cell::OnceCell;

use design::{Closes, SeamSide};
use solid::{Facets, Solid, Vector};

use crate::assembly::ways::TOUCH_MM;
use crate::carve::keys::Key;
use crate::layout::seam::Seam;

/// One straight move of the assembly.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// The pieces that move, as one.
    pub moving: Vec<usize>,
    /// The pieces that stand.
    pub onto: Vec<usize>,
    /// The seam that it closes, or the body that it brings home.
    pub closes: Closes,
    /// The way they move.
    pub direction: Vector,
    /// How far.
    pub travel_mm: f64,
}

/// Free way before a key.
const AFTER_KEY_MM: f64 = 2.0;

/// What is put together: the pieces of the cells first, then the keys.
pub(crate) struct Parts<'a> {
    /// Each piece with its joints.
    pub(crate) solids: &'a [Solid],
    pub(crate) volumes: &'a [f64],
    pub(crate) keys: &'a [Key],
}

/// Reads the assembly order off the tree: seams nearest the leaves first. At
/// each seam the sub-assemblies that touch there are put together one at a
/// time, each onto the largest by the seam's slide; then its keys
/// are dropped in. Where several could come next, the first goes whose way is free and
/// that closes no other's. Keys stand after all other pieces. `parted` tells of a seam,
/// by its place among these, and two pieces whether it goes right through between
/// them: then they can not meet as it closes, whatever their boxes do.
pub(crate) fn steps(
    seams: &[Seam],
    parts: &Parts,
    parted: impl Fn(usize, usize, usize) -> bool,
) -> Vec<Step> {
    let mut out = Vec::new();
    let mut groups = Groups {
        of: (0..parts.solids.len()).collect(),
        facets: parts.solids.iter().map(|_| OnceCell::new()).collect(),
        parts,
    };
    // Seams stand before those that hang from them.
    for (index, seam) in seams.iter().enumerate().rev() {
        let between = |a, b| parted(index, a, b);
        while let Some(step) = groups.next_onto_largest(seam, &between) {
            out.push(step);
        }
        groups.drop_keys(index, seam, &mut out);
    }
    out
}

/// Which pieces are one sub-assembly so far.
struct Groups<'a> {
    /// For each piece the group that it is in.
    of: Vec<usize>,
    /// Each piece made ready to be moved past others, once that is asked for.
    facets: Vec<OnceCell<Facets<'a>>>,
    parts: &'a Parts<'a>,
}

/// A group that may go home next: from below the seam, or from above it.
type Candidate = (usize, SeamSide);

impl Groups<'_> {
    fn members(&self, group: usize) -> Vec<usize> {
        (0..self.of.len())
            .filter(|&i| self.of[i] == group)
            .collect()
    }

    fn volume_mm3(&self, group: usize) -> f64 {
        let members = (0..self.of.len()).filter(|&i| self.of[i] == group);
        members.map(|i| self.parts.volumes[i]).sum()
    }

    /// Moves one group onto the largest of those that a seam still parts.
    fn next_onto_largest(
        &mut self,
        seam: &Seam,
        parted: &impl Fn(usize, usize) -> bool,
    ) -> Option<Step> {
        let pairs = seam.contacts.iter().map(|c| c.contact.pieces);
        let links: Vec<[usize; 2]> = pairs
            .map(|pieces| pieces.map(|p| self.of[p]))
            .filter(|[a, b]| a != b)
            .collect();
        let base = self.largest(&links)?;
        let mut candidates: Vec<Candidate> = links
            .iter()
            .filter_map(|&[below, above]| {
                if above == base {
                    Some((below, SeamSide::Below))
                } else if below == base {
                    Some((above, SeamSide::Above))
                } else {
                    None
                }
            })
            .collect();
        // Of a group that may come from either side, from above first.
        candidates.sort_unstable_by_key(|&(group, side)| (group, side == SeamSide::Below));
        candidates.dedup();
        let standing = self.members(base);
        let (next, side) = self.chosen(seam, &candidates, &standing, parted)?;
        let (moving, home) = (self.members(next), seam.slide * side.out());
        let step = Step {
            moving,
            onto: standing,
            closes: Closes::Seam(seam.id.clone()),
            direction: home,
            travel_mm: seam.travel_mm,
        };
        for group in &mut self.of {
            if *group == next {
                *group = base;
            }
        }
        Some(step)
    }

    /// The group to build on: of those with an open contact, the largest.
    fn largest(&self, links: &[[usize; 2]]) -> Option<usize> {
        let mut open: Vec<usize> = links.iter().flatten().copied().collect();
        open.sort_unstable();
        open.dedup();
        let volume = |group: &usize| self.volume_mm3(*group);
        open.into_iter()
            .max_by(|a, b| volume(a).total_cmp(&volume(b)))
    }

    /// The first that has a free way and, once home, is in the way of none that
    /// is still to come; the first with a free way where there is none such; the
    /// first where none has.
    fn chosen(
        &self,
        seam: &Seam,
        candidates: &[Candidate],
        standing: &[usize],
        parted: &impl Fn(usize, usize) -> bool,
    ) -> Option<Candidate> {
        if let [only] = candidates {
            return Some(*only);
        }
        let free = |c: &&Candidate| self.passes(seam, **c, standing, parted);
        let considerate = |c: &&Candidate| {
            let own = self.members(c.0);
            let others = candidates.iter().filter(|d| d.0 != c.0);
            others.copied().all(|d| self.passes(seam, d, &own, parted))
        };
        let best = candidates.iter().find(|c| free(c) && considerate(c));
        best.or_else(|| candidates.iter().find(free))
            .or_else(|| candidates.first())
            .copied()
    }

    /// Whether a group goes home without going through any of some pieces.
    fn passes(
        &self,
        seam: &Seam,
        (group, side): Candidate,
        others: &[usize],
        parted: &impl Fn(usize, usize) -> bool,
    ) -> bool {
        let home = seam.slide * side.out();
        self.members(group).iter().all(|&i| {
            others.iter().all(|&j| {
                let goes_through = || {
                    let [own, other] = [i, j].map(|k| self.facets(k));
                    let met = own.passes_through(other, &home, seam.travel_mm, TOUCH_MM);
                    !met.is_empty()
                };
                parted(i, j) || !self.comes_near([i, j], &home, seam.travel_mm) || !goes_through()
            })
        })
    }

    /// Whether the box that a piece sweeps on its way home meets that of another.
    fn comes_near(&self, pieces: [usize; 2], home: &Vector, travel_mm: f64) -> bool {
        let [own, other] = pieces.map(|k| self.parts.solids[k].bounds());
        let met = own.zip(other).map(|(own, other)| {
            let mut start = own;
            start.min -= home * travel_mm;
            start.max -= home * travel_mm;
            own.joined(&start).overlaps(&other, 0.0)
        });
        met.unwrap_or(false)
    }

    fn facets(&self, piece: usize) -> &Facets<'_> {
        self.facets[piece].get_or_init(|| Facets::of(&self.parts.solids[piece]))
    }

    /// Drops in the keys of a seam: those that come the same way one after the other, so
    /// that nothing is turned over between them; of those that share a joint the one
    /// furthest in goes first.
    fn drop_keys(&mut self, index: usize, seam: &Seam, out: &mut Vec<Step>) {
        let keys = self.parts.keys;
        let mut own: Vec<(usize, &Key)> = keys
            .iter()
            .enumerate()
            .filter(|(_, key)| key.seam == index)
            .collect();
        let mut ways: Vec<Vector> = Vec::new();
        let is_same = |a: &Vector, b: &Vector| a.dot(b) > 0.99;
        for (_, key) in &own {
            if !ways.iter().any(|way| is_same(way, &key.way_in)) {
                ways.push(key.way_in);
            }
        }
        let way = |key: &Key| ways.iter().position(|way| is_same(way, &key.way_in));
        own.sort_by(|(_, a), (_, b)| {
            let end = |k: &Key| k.reach_mm().1;
            let first = || way(a).cmp(&way(b));
            let joint = || a.joint.cmp(&b.joint);
            first().then_with(joint).then(end(b).total_cmp(&end(a)))
        });
        for (k, key) in own {
            let piece = self.of.len() - keys.len() + k;
            let home = self.of[seam.contacts[key.contact].contact.pieces[0]];
            out.push(Step {
                moving: vec![piece],
                onto: self.members(home),
                closes: Closes::Seam(seam.id.clone()),
                direction: key.way_in,
                travel_mm: key.run_mm + AFTER_KEY_MM,
            });
            self.of[piece] = home;
        }
    }
}

#[cfg(test)]
mod tests {
    use design::{PlanSeam, SeamId};
    use solid::{Frame, Outline, Point};

    use super::*;
    use crate::layout::joining::{Joining, NoJoint, SeamContact};
    use crate::partition::contacts::Contact;

    fn seam(id: usize, pairs: &[[usize; 2]]) -> Seam {
        let contacts = pairs.iter().map(|&pieces| SeamContact {
            contact: Contact {
                pieces,
                cells: pieces,
                outline: Outline::new(Vec::new()),
                area_mm2: 1.0,
                thick_mm: 9.0,
                slight: false,
            },
            joining: Joining::none(NoJoint::Wanted, false),
        });
        Seam {
            id: SeamId::numbered(id),
            planned: PlanSeam::at(id - 1),
            frame: Frame::facing(Point::origin(), Vector::x()),
            slide: Vector::z(),
            travel_mm: 20.0,
            tails_on: SeamSide::Below,
            contacts: contacts.collect(),
            joints: Vec::new(),
        }
    }

    fn block(x: f64) -> Solid {
        Solid::cuboid(Point::new(x, 0.0, 0.0), Point::new(x + 10.0, 10.0, 10.0))
    }

    #[test]
    fn leaves_go_together_first_and_the_larger_stands() {
        let solids = [block(0.0), block(10.0), block(20.0)];
        let parts = Parts {
            solids: &solids,
            volumes: &[1.0, 3.0, 2.0],
            keys: &[],
        };
        let seams = [seam(1, &[[0, 1]]), seam(2, &[[1, 2]])];
        let steps = steps(&seams, &parts, |_, _, _| true);
        assert_eq!(steps.len(), 2);
        assert_eq!((&steps[0].moving, &steps[0].onto), (&vec![2], &vec![1]));
        assert_eq!((&steps[1].moving, &steps[1].onto), (&vec![0], &vec![1, 2]));
        // What lies above the seam goes against the slide of what lies below.
        assert_eq!(steps[0].direction, -Vector::z());
        assert_eq!(steps[1].direction, Vector::z());
    }

    #[test]
    fn one_that_would_close_the_way_of_another_waits() {
        // The second block stands over the first, whose way home is up.
        let over = Solid::cuboid(Point::new(0.0, 0.0, -15.0), Point::new(10.0, 10.0, -5.0));
        let solids = [block(0.0), over, block(10.0)];
        let parts = Parts {
            solids: &solids,
            volumes: &[1.0, 1.0, 9.0],
            keys: &[],
        };
        let seams = [seam(1, &[[1, 2], [0, 2]])];
        let steps = steps(&seams, &parts, |_, _, _| false);
        let order: Vec<usize> = steps.iter().map(|s| s.moving[0]).collect();
        assert_eq!(order, [0, 1]);
    }

    #[test]
    fn what_is_in_the_way_is_told_by_shapes_and_not_by_their_boxes() {
        let cuboid = |x: f64, z: [f64; 2]| {
            Solid::cuboid(Point::new(x, 0.0, z[0]), Point::new(x + 10.0, 10.0, z[1]))
        };
        let order = |first: [Solid; 2], second: Solid| -> Vec<usize> {
            let base = Solid::cuboid(Point::new(-10.0, 0.0, 0.0), Point::new(0.0, 10.0, 10.0));
            let solids = [Solid::gathered(&first), second, base];
            let parts = Parts {
                solids: &solids,
                volumes: &[1.0, 1.0, 9.0],
                keys: &[],
            };
            let seams = [seam(1, &[[0, 2], [1, 2]])];
            let steps = steps(&seams, &parts, |_, _, _| false);
            steps.iter().map(|s| s.moving[0]).collect()
        };
        // An arm of the first lies under the second, within whose box that one comes home.
        let under = [cuboid(0.0, [0.0, 10.0]), cuboid(10.0, [-15.0, -5.0])];
        assert_eq!(order(under, cuboid(10.0, [0.0, 10.0])), [1, 0]);
        // One beside it is in nobody's way, though the box about both is.
        let beside = [cuboid(0.0, [0.0, 8.0]), cuboid(20.0, [-15.0, -5.0])];
        assert_eq!(order(beside, cuboid(10.0, [9.0, 18.0])), [0, 1]);
    }
}
