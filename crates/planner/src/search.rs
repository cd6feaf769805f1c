//! The best guillotine plan over a lattice of candidate cuts, by dynamic
//! programming on boxes (the scheme of Gilmore & Gomory 1966, *The theory and
//! computation of knapsack functions*, for guillotine cutting, in three
//! dimensions).

use std::collections::HashMap;

use crate::constraints::Constraints;
use crate::lattice::{FAN, Lattice, Reach, fan};
use crate::prefix_sum::PrefixSum;
use crate::reach_fit::{STEADY, lies};
use crate::{Printer, Weights};

/// A range of little boxes: from `low` up to, not including, `high`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(crate) struct BoxRange {
    pub(crate) low: [u8; 3],
    pub(crate) high: [u8; 3],
}

/// How a range is best divided.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Division {
    /// Nothing in it, or it fits as it is.
    Leave,
    /// At this candidate of this axis.
    Cut { axis: usize, cut: usize },
}

/// What a piece that fits no printer costs: more than any plan.
const MISFIT: f64 = 1000.0;

#[derive(Clone, Copy, Debug)]
struct Best {
    cost: f64,
    pieces: u32,
    cut: Option<(u8, u8)>,
}

pub(crate) struct Search<'a> {
    lattice: &'a Lattice,
    printers: &'a [Printer],
    /// How far joints reach over the cuts above a piece, and below it.
    reach_mm: (f64, f64),
    weights: Weights,
    constraints: &'a Constraints,
    /// Candidates of each axis at which there must be a cut.
    forced: [Vec<u8>; 3],
    /// For each axis: faces on which a box to be spared lies.
    spared: [PrefixSum; 3],
    fan: [nalgebra::Vector3<f64>; FAN],
    largest_section: f64,
    /// Where the model begins and ends along each axis.
    ends: [(f64, f64); 3],
    known: HashMap<BoxRange, Best>,
    /// Bodies a box.
    filled: PrefixSum,
    /// For each axis: area of the section, its sound and its roomy part, in
    /// the face behind each box.
    areas: [[PrefixSum; 3]; 3],
    /// Scratch for joining bodies, one entry an id.
    parent: Vec<u32>,
}

impl<'a> Search<'a> {
    pub(crate) fn new(
        lattice: &'a Lattice,
        printers: &'a [Printer],
        reach_mm: (f64, f64),
        weights: Weights,
        constraints: &'a Constraints,
    ) -> Self {
        let largest_section = lattice
            .cuts
            .iter()
            .flatten()
            .map(|c| geo::Area::unsigned_area(&c.section))
            .fold(1.0, f64::max);
        Self {
            lattice,
            printers,
            reach_mm,
            weights,
            constraints,
            forced: [0, 1, 2].map(|axis| {
                let cuts = lattice.cuts[axis].iter().enumerate();
                cuts.filter(|(_, c)| constraints.forced[axis].contains(&c.at_mm))
                    .map(|(k, _)| k as u8)
                    .collect()
            }),
            spared: [0, 1, 2].map(|axis| {
                PrefixSum::over(lattice.counts(), |at| {
                    let (b, c) = ((axis + 1) % 3, (axis + 2) % 3);
                    if at[axis] >= lattice.cuts[axis].len() {
                        return 0.0;
                    }
                    let face = lattice.face_index(axis, at[axis], at[b], at[c]);
                    f64::from(u8::from(lattice.spared[axis][face]))
                })
            }),
            fan: fan(),
            largest_section,
            ends: [0, 1, 2].map(|k| {
                let all = lattice.atoms.iter().flatten();
                all.fold((f64::INFINITY, f64::NEG_INFINITY), |e, a| {
                    (e.0.min(a.reach.low[k]), e.1.max(a.reach.high[k]))
                })
            }),
            known: HashMap::new(),
            filled: PrefixSum::over(lattice.counts(), |at| {
                lattice.atoms[lattice.box_index(at)].len() as f64
            }),
            areas: [0, 1, 2].map(|axis| {
                [0, 1, 2].map(|k| {
                    PrefixSum::over(lattice.counts(), |at| {
                        let (b, c) = ((axis + 1) % 3, (axis + 2) % 3);
                        if at[axis] >= lattice.cuts[axis].len() {
                            return 0.0;
                        }
                        lattice.areas[axis][lattice.face_index(axis, at[axis], at[b], at[c])][k]
                    })
                })
            }),
            parent: vec![0; lattice.atoms.iter().map(Vec::len).sum()],
        }
    }

    pub(crate) fn whole(&self) -> BoxRange {
        BoxRange {
            low: [0; 3],
            high: self.lattice.counts().map(|n| n as u8),
        }
    }

    /// Pieces of the best plan for a range, and how many of them do not fit.
    pub(crate) fn pieces(&mut self, range: BoxRange) -> (u32, bool) {
        let best = self.solve(range);
        (best.pieces, best.cost < MISFIT)
    }

    /// How a range is best divided.
    pub(crate) fn division(&mut self, range: BoxRange) -> Division {
        match self.tightened(range).map(|tight| self.solve(tight).cut) {
            Some(Some((axis, cut))) => Division::Cut {
                axis: axis as usize,
                cut: cut as usize,
            },
            _ => Division::Leave,
        }
    }

    fn boxes(range: BoxRange) -> impl Iterator<Item = [usize; 3]> {
        let BoxRange { low, high } = range;
        (low[0]..high[0]).flat_map(move |i| {
            (low[1]..high[1])
                .flat_map(move |j| (low[2]..high[2]).map(move |k| [i, j, k].map(usize::from)))
        })
    }

    /// The least range with the same content, or `None` without content.
    fn tightened(&self, range: BoxRange) -> Option<BoxRange> {
        if self.filled.sum(range) == 0.0 {
            return None;
        }
        let mut tight = range;
        for axis in 0..3 {
            let slab = |at: u8| {
                let mut slab = tight;
                slab.low[axis] = at;
                slab.high[axis] = at + 1;
                self.filled.sum(slab) == 0.0
            };
            let mut ends = (tight.low[axis], tight.high[axis]);
            while slab(ends.0) {
                ends.0 += 1;
            }
            while slab(ends.1 - 1) {
                ends.1 -= 1;
            }
            (tight.low[axis], tight.high[axis]) = ends;
        }
        Some(tight)
    }

    fn solve(&mut self, range: BoxRange) -> Best {
        let Some(range) = self.tightened(range) else {
            return Best {
                cost: 0.0,
                pieces: 0,
                cut: None,
            };
        };
        if let Some(&best) = self.known.get(&range) {
            return best;
        }
        // A cut that must be divides whatever lies on both its sides.
        let forced = (0..3).find_map(|axis| {
            let inside = |k: &&u8| range.low[axis] <= **k && **k + 1 < range.high[axis];
            self.forced[axis]
                .iter()
                .find(inside)
                .map(|&k| (axis as u8, k))
        });
        if let Some(cut) = forced {
            return self.divided_at(range, cut);
        }
        let Some(components) = self.components(range) else {
            return self.divided(
                range,
                Best {
                    cost: f64::INFINITY,
                    pieces: 0,
                    cut: None,
                },
            );
        };
        let whole = components
            .iter()
            .map(|c| self.piece_cost(c, range))
            .sum::<f64>();
        let best = Best {
            cost: whole,
            pieces: components.len() as u32,
            cut: None,
        };
        if whole >= MISFIT {
            return self.divided(range, best);
        }
        self.known.insert(range, best);
        best
    }

    /// A range divided where there must be a cut.
    fn divided_at(&mut self, range: BoxRange, (axis, cut): (u8, u8)) -> Best {
        let (mut below, mut above) = (range, range);
        below.high[axis as usize] = cut + 1;
        above.low[axis as usize] = cut + 1;
        let (low, high) = (self.solve(below), self.solve(above));
        let best = Best {
            cost: self.seam_cost(range, axis as usize, cut as usize) + low.cost + high.cost,
            pieces: low.pieces + high.pieces,
            cut: Some((axis, cut)),
        };
        self.known.insert(range, best);
        best
    }

    /// The best cut of a range, or what was given where none is better.
    fn divided(&mut self, range: BoxRange, given: Best) -> Best {
        let mut best = given;
        {
            for axis in 0..3 {
                for cut in range.low[axis]..range.high[axis] - 1 {
                    let seam = self.seam_cost(range, axis, cut as usize);
                    // Each side has at least one piece.
                    if seam + 2.0 >= best.cost {
                        continue;
                    }
                    let (mut below, mut above) = (range, range);
                    below.high[axis] = cut + 1;
                    above.low[axis] = cut + 1;
                    let low = self.solve(below);
                    if seam + low.cost + 1.0 >= best.cost {
                        continue;
                    }
                    let high = self.solve(above);
                    let cost = seam + low.cost + high.cost;
                    if cost < best.cost - 1e-9 {
                        let pieces = low.pieces + high.pieces;
                        best = Best {
                            cost,
                            pieces,
                            cut: Some((axis as u8, cut)),
                        };
                    }
                }
            }
        }
        self.known.insert(range, best);
        best
    }

    /// The connected contents of a range, or `None` where one of them is too
    /// large for every printer and the range can still be cut.
    fn components(&mut self, range: BoxRange) -> Option<Vec<Reach>> {
        fn find(parent: &mut [u32], mut i: u32) -> u32 {
            while parent[i as usize] != i {
                parent[i as usize] = parent[parent[i as usize] as usize];
                i = parent[i as usize];
            }
            i
        }
        let lattice = self.lattice;
        let parent = &mut self.parent;
        let mut ids: Vec<(u32, &Reach)> = Vec::new();
        for at in Self::boxes(range) {
            let b = lattice.box_index(at);
            for (k, atom) in lattice.atoms[b].iter().enumerate() {
                let id = (lattice.first_id[b] + k) as u32;
                parent[id as usize] = id;
                ids.push((id, &atom.reach));
            }
        }
        for axis in 0..3 {
            let (b, c) = ((axis + 1) % 3, (axis + 2) % 3);
            for k in range.low[axis]..range.high[axis] - 1 {
                for j in range.low[b]..range.high[b] {
                    for l in range.low[c]..range.high[c] {
                        let face = lattice.face_index(axis, k as usize, j as usize, l as usize);
                        for &(x, y) in &lattice.links[axis][face] {
                            let (x, y) = (find(parent, x as u32), find(parent, y as u32));
                            parent[x.max(y) as usize] = x.min(y);
                        }
                    }
                }
            }
        }
        // Sizes along the axes first: most ranges are too large and need no
        // more than that.
        let mut sizes: Vec<(u32, [f64; 3], [f64; 3])> = Vec::new();
        for &(id, reach) in &ids {
            let root = find(parent, id);
            let k = sizes.iter().position(|s| s.0 == root).unwrap_or_else(|| {
                sizes.push((root, [f64::INFINITY; 3], [f64::NEG_INFINITY; 3]));
                sizes.len() - 1
            });
            for axis in 0..3 {
                sizes[k].1[axis] = sizes[k].1[axis].min(reach.low[axis]);
                sizes[k].2[axis] = sizes[k].2[axis].max(reach.high[axis]);
            }
        }
        let divisible = (0..3).any(|k| range.high[k] - range.low[k] > 1);
        let hopeless = |s: &(u32, [f64; 3], [f64; 3])| {
            let size = [0, 1, 2].map(|k| s.2[k] - s.1[k] - 1e-6);
            !self.printers.iter().any(|p| {
                let [w, d, h] = p.usable_mm();
                (0..3).any(|up| {
                    size[up] <= h && size[(up + 1) % 3].max(size[(up + 2) % 3]) <= w.hypot(d)
                })
            })
        };
        if divisible && sizes.iter().any(hopeless) {
            return None;
        }
        let mut out: Vec<(u32, Reach)> = Vec::new();
        for (id, reach) in ids {
            let root = find(parent, id);
            match out.iter_mut().find(|o| o.0 == root) {
                Some(held) => held.1.join(reach),
                None => out.push((root, *reach)),
            }
        }
        Some(out.into_iter().map(|o| o.1).collect())
    }

    /// A piece with what its joints add: tails reach over the cuts above it,
    /// braces and fingers over those below it too.
    fn with_tails(&self, piece: &Reach, range: BoxRange) -> Reach {
        let mut grown = *piece;
        for axis in 0..3 {
            let cuts = &self.lattice.cuts[axis];
            let above = cuts.get(range.high[axis] as usize - 1);
            if above.is_some_and(|c| piece.high[axis] >= c.at_mm - 1e-3) {
                self.grow(&mut grown, axis, self.reach_mm.0);
            }
            let below = (range.low[axis] as usize).checked_sub(1).map(|k| &cuts[k]);
            if below.is_some_and(|c| piece.low[axis] <= c.at_mm + 1e-3) {
                self.grow(&mut grown, axis, -self.reach_mm.1);
            }
        }
        grown
    }

    fn grow(&self, reach: &mut Reach, axis: usize, by_mm: f64) {
        for k in 0..FAN {
            let along = self.fan[k][axis] * by_mm;
            reach.high[k] += along.max(0.0);
            reach.low[k] += along.min(0.0);
        }
    }

    fn piece_cost(&self, piece: &Reach, range: BoxRange) -> f64 {
        let grown = self.with_tails(piece, range);
        let slenderness = self
            .printers
            .iter()
            .filter_map(|p| lies(&grown, p))
            .fold(f64::INFINITY, f64::min);
        if slenderness.is_infinite() {
            return MISFIT;
        }
        let wobble = self.weights.wobble * (slenderness - STEADY).clamp(0.0, 5.0);
        let size = [0, 1, 2].map(|k| piece.high[k] - piece.low[k]);
        let too_long = |most: f64| size.iter().any(|&s| s > most + 1e-6);
        if self.constraints.largest_mm.is_some_and(too_long) {
            return MISFIT;
        }
        let usable = self.printers[0].usable_mm();
        let unequal: f64 = (0..3).map(|k| (size[k] / usable[k]).powi(2)).sum();
        let mut sorted = size;
        sorted.sort_by(f64::total_cmp);
        let sliver = if sorted[1] < 25.0 || sorted[2] < self.constraints.smallest_mm {
            self.weights.sliver
        } else {
            0.0
        };
        1.0 + self.weights.unequal * unequal + sliver + wobble
    }

    fn seam_cost(&self, range: BoxRange, axis: usize, cut: usize) -> f64 {
        // The faces of a cut stand in the place of the boxes before it.
        let mut faces = range;
        faces.low[axis] = cut as u8;
        faces.high[axis] = cut as u8 + 1;
        let [all, sound, roomy] = [0, 1, 2].map(|k| self.areas[axis][k].sum(faces));
        if all < 0.05 {
            return 0.0;
        }
        if self.spared[axis].sum(faces) > 0.0 {
            return MISFIT;
        }
        let hidden = &self.constraints.hidden;
        let shown = (0..3).any(|k| k != axis && hidden[k]);
        // 1 in the middle of the model, 0 at its ends.
        let (low, high) = self.ends[axis];
        let middle =
            1.0 - (2.0 * (self.lattice.cuts[axis][cut].at_mm - low) / (high - low) - 1.0).abs();
        let roomless = if sound > 0.0 {
            (1.0 - roomy / sound).max(0.0)
        } else {
            1.0
        };
        self.weights.seam
            + self.weights.unsound * (1.0 - sound / all)
            + self.weights.roomless * roomless
            + self.weights.area * all / self.largest_section
            + if shown { self.weights.shown } else { 0.0 }
            + self.weights.mid_span * middle
    }
}

#[cfg(test)]
mod tests {
    use joinery::JointRules;
    use proptest::prelude::*;
    use solid::{Point, Solid};

    use super::*;
    use crate::section_profile::Profiler;

    /// The least cost by trying every tree of cuts, with nothing left out and
    /// nothing remembered.
    fn by_trying_all(search: &mut Search, range: BoxRange) -> f64 {
        let Some(range) = search.tightened(range) else {
            return 0.0;
        };
        if let Some(components) = search.components(range) {
            let whole: f64 = components.iter().map(|c| search.piece_cost(c, range)).sum();
            if whole < MISFIT {
                return whole;
            }
        }
        let mut best = f64::INFINITY;
        for axis in 0..3 {
            for cut in range.low[axis]..range.high[axis] - 1 {
                let (mut below, mut above) = (range, range);
                below.high[axis] = cut + 1;
                above.low[axis] = cut + 1;
                let cost = search.seam_cost(range, axis, cut as usize)
                    + by_trying_all(search, below)
                    + by_trying_all(search, above);
                best = best.min(cost);
            }
        }
        best
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

        #[test]
        fn no_tree_of_cuts_is_cheaper(
            size in (120.0f64..500.0, 120.0f64..400.0, 10.0f64..200.0),
            post in (0.0f64..0.8, 0.0f64..0.8, 20.0f64..300.0),
            places in proptest::collection::vec(0.1f64..0.9, 6),
        ) {
            let plate = Solid::cuboid(Point::origin(), Point::new(size.0, size.1, size.2));
            let (x, y) = (post.0 * size.0, post.1 * size.1);
            let post = Solid::cuboid(
                Point::new(x, y, size.2 - 1.0),
                Point::new(x + 30.0, y + 30.0, size.2 + post.2),
            );
            let model = plate.union(&post).unwrap();
            let bounds = model.bounds().unwrap();
            let rules = JointRules::default();
            let cuts = [0, 1, 2].map(|axis| {
                let (low, high) = (bounds.min[axis], bounds.max[axis]);
                let mut at: Vec<f64> =
                    places[2 * axis..2 * axis + 2].iter().map(|p| low + p * (high - low)).collect();
                at.sort_by(f64::total_cmp);
                at.dedup_by(|a, b| (*a - *b).abs() < 1.0);
                Profiler::new(&model, axis, &rules, 8.0).cuts(&at)
            });
            let lattice = Lattice::over(&model, cuts, &[]).unwrap();
            let printers = [Printer::rectangular("bed-1", 220.0, 220.0, 250.0)];
            let constraints = Constraints::default();
            let mut search = Search::new(
                &lattice, &printers, (8.0, 0.0), Weights::default(), &constraints,
            );
            let whole = search.whole();
            let best = search.solve(whole).cost;
            let tried = by_trying_all(&mut search, whole);
            // Misfits cost more than any plan: there the trees need not agree.
            if tried < MISFIT {
                prop_assert!(best <= tried + 1e-9, "{} against {}", best, tried);
                prop_assert!(best >= tried - 1e-9, "{} against {}", best, tried);
            } else {
                prop_assert!(best >= MISFIT);
            }
        }
    }
}
