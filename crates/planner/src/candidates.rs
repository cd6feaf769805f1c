use joinery::JointRules;
use solid::{Bounds, Solid};

use crate::Printer;
use crate::constraints::Constraints;
use crate::section_profile::{Cut, Profiler};

/// Spacing of the sections that the search for good places looks at.
const SWEEP_MM: f64 = 3.0;
/// Candidates nearer to each other than this are one.
const APART_MM: f64 = 4.0;
/// Those to which a piece just fits are one when they are nearer than this.
const STEPS_APART_MM: f64 = 0.6;
/// Places to which a piece just fits are worth a look down to this quality;
/// what leans is never very sound.
const LEAST_QUALITY: f64 = 0.5;
/// The most candidates an axis may have, and the most where the model is so
/// many beds long that it needs more.
const MOST: usize = 40;
/// See there. Ranges of boxes are counted in bytes.
const MOST_OF_ALL: usize = 200;
/// How far a place may be moved to a better one nearby.
const NEARBY_MM: f64 = 24.0;
/// How far beside a seam another stands that shall not meet it.
const STAGGER_MM: f64 = 24.0;
/// How far outside a face a cut flush with it lies, so that no skin is left on
/// the face.
const FLUSH_MM: f64 = 0.1;
/// How far beyond the end of a piece that is there already a cut passes it.
const BESIDE_PRINTED_MM: f64 = 0.5;
/// A face of a panel has at least this area.
const LEAST_PANEL_MM2: f64 = 5_000.0;
/// Thickness of a bar that lies across the bed from corner to corner, unless
/// the model is thinner.
const BAR_MM: f64 = 36.0;

/// Finds places along one axis where a cut is worth considering.
pub(crate) struct Candidates<'a> {
    profiler: Profiler<'a>,
    sweep: Vec<Cut>,
    axis: usize,
    low: f64,
    high: f64,
    /// Longest side of a piece on any printer.
    longest_mm: f64,
    /// Lengths of pieces that just fit a printer with their joints: along the
    /// bed, upright, from corner to corner; the shortest first.
    steps_mm: Vec<f64>,
    /// How far joints reach over the cut above a piece, and below it.
    reach_mm: (f64, f64),
    /// Whether the sections are the same from both ends.
    mirrored: bool,
    /// Cuts flush with faces of panels.
    flush: Vec<Cut>,
    /// The most candidates.
    most: usize,
    constraints: &'a Constraints,
}

impl<'a> Candidates<'a> {
    /// Looks at the sections along an axis; `None` where there is nothing to
    /// cut.
    pub(crate) fn along(
        axis: usize,
        (model, bounds): (&'a Solid, &Bounds),
        printers: &[Printer],
        rules: &JointRules,
        reach_mm: (f64, f64),
        constraints: &'a Constraints,
    ) -> Option<Self> {
        let (low, high) = (bounds.min[axis], bounds.max[axis]);
        if high - low <= 1.0 || constraints.closed[axis] {
            return None;
        }
        let wished = constraints.largest_mm.unwrap_or(f64::INFINITY);
        let longest_mm = printers
            .iter()
            .flat_map(Printer::usable_mm)
            .fold(0.0, f64::max)
            .min(wished);
        // Joints do not count against a wished size.
        let with_joints = |x: f64| (x - reach_mm.0 - reach_mm.1).min(wished);
        let aside = [(axis + 1) % 3, (axis + 2) % 3].map(|k| bounds.size_mm()[k]);
        let thickness = aside[0].min(aside[1]).min(BAR_MM);
        // A hair less than fits, as rounding may have it.
        let corner_to_corner = |w: f64, d: f64| w.hypot(d) - thickness - 0.01;
        let mut steps_mm: Vec<f64> = printers
            .iter()
            .flat_map(|p| {
                let [w, d, h] = p.usable_mm();
                [w.min(d), w.max(d), h, corner_to_corner(w, d)].map(with_joints)
            })
            .filter(|s| *s > 20.0)
            .collect();
        steps_mm.sort_by(f64::total_cmp);
        steps_mm.dedup_by(|a, b| (*a - *b).abs() < APART_MM);
        let needed = (high - low) / steps_mm.first().copied().unwrap_or(20.0);
        let most = MOST.max((2.0 * needed) as usize).min(MOST_OF_ALL);
        let profiler = Profiler::new(model, axis, rules, reach_mm.0);
        let sweep = profiler.sweep(low, high, SWEEP_MM);
        Some(Self {
            mirrored: mirrored(&profiler, low, high),
            flush: flush(model, &profiler, axis),
            profiler,
            sweep,
            axis,
            low,
            high,
            longest_mm,
            steps_mm,
            reach_mm,
            most,
            constraints,
        })
    }

    /// The places to begin with, the most important first: where there must be
    /// a cut, equal divisions into the fewest parts, steps of the bed from
    /// either end, equal divisions into one part more, the best place in each
    /// third of a bed; of a model with two like halves also their mirror
    /// images.
    pub(crate) fn coarse(&self) -> Vec<Cut> {
        let length = self.high - self.low;
        let divided =
            |parts: usize| (1..parts).map(move |k| self.low + length * k as f64 / parts as f64);
        let fewest = (length / self.longest_mm).ceil().max(2.0) as usize;
        let mut steps = Vec::new();
        if let Some(step) = self.steps_mm.first() {
            // The piece at an end has a joint on one side only.
            let (first, last) = (self.low + self.reach_mm.1, self.high - self.reach_mm.0);
            for k in 1..=(length / step) as usize + 1 {
                steps.push((2.0 * (first + step * k as f64)).floor() / 2.0);
                steps.push((2.0 * (last - step * k as f64)).ceil() / 2.0);
            }
        }
        let spared = |x: &f64| self.constraints.beside_boxes(self.axis, *x);
        let equal = divided(fewest).chain(divided(fewest + 1));
        let mut special: Vec<f64> = equal.flat_map(|x| spared(&x)).collect();
        steps = steps.iter().flat_map(spared).collect();
        for b in &self.constraints.keep_out {
            let ends = [b.min[self.axis], b.max[self.axis]];
            special.extend(ends.iter().flat_map(spared));
        }
        let mut kept = self.forced();
        self.add_steps(&mut kept, steps);
        self.add_all(&mut kept, special);
        self.add_ends(&mut kept);

        self.add_flush(&mut kept);
        let window = self.longest_mm / 3.0;
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
    pub(crate) fn finer(&self, before: &[Cut], chosen: &[bool]) -> Vec<Cut> {
        let mut kept: Vec<Cut> = self.forced();
        for cut in chosen_of(before, chosen) {
            if kept.iter().all(|k| k.at_mm != cut.at_mm) {
                kept.push(cut.clone());
            }
        }
        let first = self.low + self.reach_mm.1;
        let last = self.high - self.reach_mm.0;
        let from_ends = self.steps_mm.iter().flat_map(|s| [first + s, last - s]);
        self.add_steps(&mut kept, from_ends.collect());
        for by in std::iter::once(STAGGER_MM).chain(self.steps_mm.iter().copied()) {
            let beside = chosen_of(before, chosen)
                .flat_map(|c| [c.at_mm - by, c.at_mm + by])
                .flat_map(|x| self.constraints.beside_boxes(self.axis, x))
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
        let ends = self.constraints.printed.iter().filter_map(Solid::bounds);
        let beside: Vec<f64> = ends
            .flat_map(|b| {
                [
                    b.min[self.axis] - BESIDE_PRINTED_MM,
                    b.max[self.axis] + BESIDE_PRINTED_MM,
                ]
            })
            .filter(|&x| x > self.low && x < self.high)
            .collect();
        for cut in self.profiler.cuts(&beside) {
            self.add(kept, cut);
        }
    }

    fn add_flush(&self, kept: &mut Vec<Cut>) {
        for cut in &self.flush {
            if cut.at_mm > self.low + 20.0 && cut.at_mm < self.high - 20.0 && cut.quality() > 0.8 {
                self.add(kept, cut.clone());
            }
        }
    }

    fn forced(&self) -> Vec<Cut> {
        let earlier = &self.constraints.earlier[self.axis];
        let mut forced: Vec<f64> = self.constraints.forced[self.axis]
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

fn chosen_of<'a>(cuts: &'a [Cut], chosen: &'a [bool]) -> impl Iterator<Item = &'a Cut> {
    cuts.iter().zip(chosen).filter(|c| *c.1).map(|c| c.0)
}

/// Cuts flush with the faces that look along an axis, those with the largest
/// faces first.
fn flush(model: &Solid, profiler: &Profiler, axis: usize) -> Vec<Cut> {
    let mut faces: Vec<(f64, f64)> = Vec::new();
    for (t, corners) in model.triangle_corners().enumerate() {
        let along = model.normal(t)[axis];
        if along.abs() < 1.0 - 1e-9 {
            continue;
        }
        let at = corners[0][axis] + FLUSH_MM * along;
        let area = (corners[1] - corners[0])
            .cross(&(corners[2] - corners[0]))
            .norm()
            / 2.0;
        match faces.iter_mut().find(|f| (f.0 - at).abs() < 1e-6) {
            Some(face) => face.1 += area,
            None => faces.push((at, area)),
        }
    }
    faces.retain(|f| f.1 > LEAST_PANEL_MM2);
    faces.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.total_cmp(&b.0)));
    let places: Vec<f64> = faces.iter().map(|f| f.0).take(MOST).collect();
    profiler.flush_cuts(&places)
}

/// Whether sections at the same distance from both ends have the same area.
fn mirrored(profiler: &Profiler, low: f64, high: f64) -> bool {
    let share = [0.07, 0.16, 0.23, 0.31, 0.38, 0.46];
    let from = |s: f64| low + s * (high - low);
    let near: Vec<f64> = share.iter().map(|&s| from(s)).collect();
    let far: Vec<f64> = share.iter().map(|&s| from(1.0 - s)).collect();
    let areas = |places: &[f64]| -> Vec<f64> {
        let cuts = profiler.cuts(places);
        cuts.iter()
            .map(|c| geo::Area::unsigned_area(&c.section))
            .collect()
    };
    areas(&near)
        .iter()
        .zip(areas(&far))
        .all(|(a, b)| (a - b).abs() <= 0.01 * a.max(b))
}

fn best_of<'a>(cuts: impl Iterator<Item = &'a Cut>, worth: impl Fn(&Cut) -> f64) -> Option<Cut> {
    cuts.fold(None, |best: Option<&Cut>, c| match best {
        Some(b) if worth(b) >= worth(c) => Some(b),
        _ => Some(c),
    })
    .cloned()
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
    let needed = [0, 1, 2].map(|k| (bounds.size_mm()[k] / longest_mm).ceil().max(1.0));
    loop {
        let ranges: usize = ranked
            .iter()
            .map(|c| (c.len() + 1) * (c.len() + 2) / 2)
            .product();
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
