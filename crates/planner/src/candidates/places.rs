//! Places along one axis where a cut is worth considering.

use solid::{Bounds, Solid};

use crate::candidates::axis_sections::{APART_MM, AxisSections, MOST};
use crate::candidates::section_profile::{Cut, Profiler};
use crate::lattice::place::is_same_place;

/// Those to which a piece just fits are one when they are nearer than this.
const STEPS_APART_MM: f64 = 0.6;
/// Places to which a piece just fits are worth a look down to this quality;
/// what leans is never very sound.
const LEAST_QUALITY: f64 = 0.5;
/// The most candidates where the model is so many beds long that it needs more
/// than [`MOST`]. Ranges of boxes are counted in bytes.
pub(crate) const MOST_OF_ALL: usize = 200;
/// The most cuts along an axis of a lattice: its boxes are counted in bytes, and the walls of
/// a branch come on top.
pub(crate) const MOST_CUTS: usize = 250;
/// How far a place may be moved to a better one nearby.
const NEARBY_MM: f64 = 24.0;
/// How far beside a seam another stands that shall not meet it.
const STAGGER_MM: f64 = 24.0;
/// How far beyond the end of a piece that is there already a cut passes it.
const BESIDE_PRINTED_MM: f64 = 0.5;

/// Finds places along one axis where a cut is worth considering.
pub(crate) struct Candidates<'a> {
    all: &'a AxisSections<'a>,
    profiler: &'a Profiler<'a>,
    sweep: &'a [Cut],
    low: f64,
    high: f64,
    /// Where pieces at either end are measured from, by the length of one with
    /// joints at both ends.
    first: f64,
    last: f64,
    mirrored: bool,
    /// The most candidates.
    most: usize,
}

impl<'a> Candidates<'a> {
    /// Candidates for all of a model.
    pub(crate) fn whole(all: &'a AxisSections) -> Self {
        Self::between(all, &all.profiler, [all.low, all.high], [None; 2])
    }

    /// Candidates for a part, of which there is a profiler, whose content begins
    /// and ends at given places, and whose walls, where it has them, were cut
    /// already.
    pub(crate) fn between(
        all: &'a AxisSections,
        profiler: &'a Profiler,
        [low, high]: [f64; 2],
        walls: [Option<f64>; 2],
    ) -> Self {
        let needed = (high - low) / all.steps_mm.first().copied().unwrap_or(20.0);
        let from = all.sweep.partition_point(|c| c.at_mm <= low);
        let to = all.sweep.partition_point(|c| c.at_mm < high).max(from);
        Self {
            all,
            profiler,
            sweep: &all.sweep[from..to],
            low,
            high,
            // The piece at an end of the model has a joint on one side only.
            first: low + walls[0].map_or(all.reach_mm.1, |_| 0.0),
            last: high - walls[1].map_or(all.reach_mm.0, |_| 0.0),
            mirrored: all.mirrored && walls == [None; 2],
            most: MOST.max((2.0 * needed) as usize).min(MOST_OF_ALL),
        }
    }

    /// The places to begin with, the most important first: where there must be
    /// a cut, steps of the bed from either end, equal divisions into the fewest
    /// parts and into one more, cuts flush with panels, the best place in each
    /// third of a bed; of a model with two like halves also their mirror images.
    pub(crate) fn coarse(&self) -> Vec<Cut> {
        let length = self.high - self.low;
        let divided =
            |parts: usize| (1..parts).map(move |k| self.low + length * k as f64 / parts as f64);
        let fewest = (length / self.all.longest_mm).ceil().max(2.0) as usize;
        let mut steps = Vec::new();
        if let Some(step) = self.all.steps_mm.first() {
            for k in 1..=(length / step) as usize + 1 {
                steps.push((2.0 * (self.first + step * k as f64)).floor() / 2.0);
                steps.push((2.0 * (self.last - step * k as f64)).ceil() / 2.0);
            }
        }
        let spared = |x: &f64| self.all.constraints.beside_boxes(self.all.axis, *x);
        let equal = divided(fewest).chain(divided(fewest + 1));
        let mut special: Vec<f64> = equal.flat_map(|x| spared(&x)).collect();
        steps = steps.iter().flat_map(spared).collect();
        for b in &self.all.constraints.keep_out {
            let ends = [b.bounds.min[self.all.axis], b.bounds.max[self.all.axis]];
            special.extend(ends.iter().flat_map(spared));
        }
        let mut kept = self.forced();
        self.add_steps(&mut kept, steps);
        self.add_all(&mut kept, special);
        self.add_ends(&mut kept);
        self.add_flush(&mut kept);
        let window = self.all.longest_mm / 3.0;
        for k in 0..(length / window).ceil() as usize {
            let (from, to) = (
                self.low + window * k as f64,
                self.low + window * (k + 1) as f64,
            );
            let middle = (from + to) / 2.0;
            let best = best_of(
                self.sweep
                    .iter()
                    .filter(|c| c.at_mm >= from && c.at_mm < to),
                |c| c.quality() - 0.1 * (c.at_mm - middle).abs() / window,
            );
            if let Some(best) = best.filter(|c| c.quality() > 0.3) {
                let image = self.mirrored.then_some(self.low + self.high - best.at_mm);
                self.add(&mut kept, best);
                self.add_all(&mut kept, image.into_iter().collect());
            }
        }
        kept
    }

    /// The places to look at after a plan was found: those that it chose, what
    /// lies a little beside them (so that seams can be staggered), and what
    /// lies a piece's length from them; then those that were there before.
    pub(crate) fn finer(&self, before: &[Cut], chosen: &[Cut]) -> Vec<Cut> {
        let mut kept: Vec<Cut> = self.forced();
        for cut in chosen {
            if kept.iter().all(|k| !is_same_place(k.at_mm, cut.at_mm)) {
                kept.push(cut.clone());
            }
        }
        let keyed_mm = self.all.keyed_mm.iter().copied();
        let keyed_mm = keyed_mm
            .filter(|&x| x > self.low && x < self.high)
            .flat_map(|x| self.all.constraints.beside_boxes(self.all.axis, x));
        self.add_steps(&mut kept, keyed_mm.collect());
        let steps_mm = &self.all.steps_mm;
        let from_ends = steps_mm
            .iter()
            .flat_map(|s| [self.first + s, self.last - s]);
        self.add_steps(&mut kept, from_ends.collect());
        for by in std::iter::once(STAGGER_MM).chain(steps_mm.iter().copied()) {
            let beside = chosen
                .iter()
                .flat_map(|c| [c.at_mm - by, c.at_mm + by])
                .flat_map(|x| self.all.constraints.beside_boxes(self.all.axis, x))
                .collect();
            self.add_all(&mut kept, beside);
        }
        for cut in before {
            self.add(&mut kept, cut.clone());
        }
        self.add_flush(&mut kept);
        kept
    }

    /// Adds the places just beyond the ends of pieces that are there already.
    fn add_ends(&self, kept: &mut Vec<Cut>) {
        let ends = self.all.constraints.fixed.iter().filter_map(Solid::bounds);
        let beside: Vec<f64> = ends
            .flat_map(|b| {
                [
                    b.min[self.all.axis] - BESIDE_PRINTED_MM,
                    b.max[self.all.axis] + BESIDE_PRINTED_MM,
                ]
            })
            .filter(|&x| x > self.low && x < self.high)
            .collect();
        for cut in self.profiler.cuts(&beside) {
            self.add(kept, cut);
        }
    }

    fn add_flush(&self, kept: &mut Vec<Cut>) {
        for cut in &self.all.flush {
            if cut.at_mm > self.low + 20.0 && cut.at_mm < self.high - 20.0 && cut.quality() > 0.8 {
                self.add(kept, cut.clone());
            }
        }
    }

    fn forced(&self) -> Vec<Cut> {
        let earlier = &self.all.constraints.earlier[self.all.axis];
        let mut forced: Vec<f64> = self.all.constraints.forced[self.all.axis]
            .iter()
            .chain(earlier)
            .copied()
            .filter(|&x| x > self.low && x < self.high)
            .collect();
        forced.sort_by(f64::total_cmp);
        forced.dedup();
        self.profiler.cuts(&forced)
    }

    /// Adds places to which a piece just fits: a little further it would not.
    fn add_steps(&self, kept: &mut Vec<Cut>, mut places: Vec<f64>) {
        places.retain(|&x| x > self.low + 5.0 && x < self.high - 5.0);
        let cuts = self.profiler.cuts(&places);
        for cut in cuts.into_iter().filter(|c| c.quality() > LEAST_QUALITY) {
            self.add_apart(kept, cut, STEPS_APART_MM);
        }
        self.add_all(kept, places);
    }

    /// Adds a cut unless one that is as important lies close, or there are
    /// enough.
    fn add(&self, kept: &mut Vec<Cut>, cut: Cut) {
        self.add_apart(kept, cut, APART_MM);
    }

    fn add_apart(&self, kept: &mut Vec<Cut>, cut: Cut, apart_mm: f64) {
        let clear = |k: &Cut| (k.at_mm - cut.at_mm).abs() >= apart_mm;
        if kept.len() < self.most && kept.iter().all(clear) {
            kept.push(cut);
        }
    }

    /// Adds places, each moved to a better one nearby where it is poor.
    fn add_all(&self, kept: &mut Vec<Cut>, mut places: Vec<f64>) {
        places.retain(|&x| x > self.low + 5.0 && x < self.high - 5.0);
        for cut in self.profiler.cuts(&places) {
            if cut.quality() > 0.85 {
                self.add(kept, cut);
                continue;
            }
            let nearby = self
                .sweep
                .iter()
                .filter(|c| (c.at_mm - cut.at_mm).abs() < NEARBY_MM);
            if let Some(near) =
                best_of(nearby, |c| c.quality() - 0.01 * (c.at_mm - cut.at_mm).abs())
            {
                self.add(kept, near);
            }
        }
    }
}

fn best_of<'a>(cuts: impl Iterator<Item = &'a Cut>, worth: impl Fn(&Cut) -> f64) -> Option<Cut> {
    cuts.fold(None, |best: Option<&Cut>, c| match best {
        Some(b) if worth(b) >= worth(c) => Some(b),
        _ => Some(c),
    })
    .cloned()
}

/// How many ranges of boxes a lattice of these cuts has.
pub(crate) fn ranges(cuts: &[Vec<Cut>; 3]) -> usize {
    let along = cuts.iter().map(|c| (c.len() + 1) * (c.len() + 2) / 2);
    along.product()
}

/// Leaves out the least important candidates, of the axis that has most for
/// its length, until there are no more ranges of boxes than `most`; then puts
/// them in rising order.
pub(crate) fn thinned(
    mut ranked: [Vec<Cut>; 3],
    bounds: &Bounds,
    longest_mm: f64,
    most: usize,
) -> [Vec<Cut>; 3] {
    for cuts in &mut ranked {
        cuts.truncate(MOST_CUTS);
    }
    let needed = [0, 1, 2].map(|k| (bounds.size_mm()[k] / longest_mm).ceil().max(1.0));
    loop {
        let ranges = ranges(&ranked);
        let spare = |k: usize| ranked[k].len() as f64 / needed[k];
        let Some(axis) = (0..3)
            .filter(|&k| !ranked[k].is_empty())
            .max_by(|&a, &b| spare(a).total_cmp(&spare(b)))
        else {
            break;
        };
        if ranges <= most {
            break;
        }
        ranked[axis].pop();
    }
    for cuts in &mut ranked {
        cuts.sort_by(|a, b| a.at_mm.total_cmp(&b.at_mm));
    }
    ranked
}
