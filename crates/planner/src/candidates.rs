use joinery::JointRules;
use solid::Solid;

use crate::Printer;
use crate::constraints::Constraints;
use crate::section_profile::{Cut, Profiler};

/// Spacing of the sections that the search for good places looks at.
const SWEEP_MM: f64 = 3.0;
/// Candidates nearer to each other than this are one.
const APART_MM: f64 = 4.0;
/// The most candidates an axis may have.
const MOST: usize = 24;
/// The most ranges of boxes that the search may have to look at.
const MOST_RANGES: usize = 200_000;

/// Places along each axis where a cut is worth considering, in rising order.
pub(crate) fn all_candidates(
    model: &Solid,
    printers: &[Printer],
    rules: &JointRules,
    reach_mm: (f64, f64),
    constraints: &Constraints,
) -> [Vec<Cut>; 3] {
    let mut ranked =
        [0, 1, 2].map(|axis| candidates(model, axis, printers, rules, reach_mm, constraints));
    let longest = printers
        .iter()
        .flat_map(Printer::usable_mm)
        .fold(1.0, f64::max);
    let needed = model.bounds().map_or([1.0; 3], |b| {
        [0, 1, 2].map(|k| (b.size_mm()[k] / longest).ceil().max(1.0))
    });
    // The least important of the axis that has most for its length goes.
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
        if ranges <= MOST_RANGES {
            break;
        }
        ranked[axis].pop();
    }
    for cuts in &mut ranked {
        cuts.sort_by(|a, b| a.at_mm.total_cmp(&b.at_mm));
    }
    ranked
}

/// Candidates of one axis, the most important first.
fn candidates(
    model: &Solid,
    axis: usize,
    printers: &[Printer],
    rules: &JointRules,
    reach_mm: (f64, f64),
    constraints: &Constraints,
) -> Vec<Cut> {
    let Some(bounds) = model.bounds() else {
        return Vec::new();
    };
    let (low, high) = (bounds.min[axis], bounds.max[axis]);
    let length = high - low;
    let longest = printers
        .iter()
        .flat_map(Printer::usable_mm)
        .fold(0.0, f64::max)
        .min(constraints.largest_mm.unwrap_or(f64::INFINITY));
    let shortest = printers
        .iter()
        .flat_map(Printer::usable_mm)
        .fold(f64::INFINITY, f64::min);
    if length <= 1.0 || constraints.closed[axis] {
        return Vec::new();
    }
    let profiler = Profiler::new(model, axis, rules, reach_mm.0);

    let sweep = profiler.sweep(low, high, SWEEP_MM);

    // In order of importance: equal divisions into the fewest parts, steps of
    // the bed from either end, equal divisions into one part more.
    let divided = |parts: usize| (1..parts).map(move |k| low + length * k as f64 / parts as f64);
    let fewest = (length / longest).ceil().max(2.0) as usize;
    let mut special: Vec<f64> = divided(fewest).collect();
    // Joints do not count against a wished size.
    let step =
        (shortest - reach_mm.0 - reach_mm.1).min(constraints.largest_mm.unwrap_or(f64::INFINITY));
    if step > 20.0 {
        for k in 1..=(length / step) as usize {
            special.push((low + step * k as f64).floor());
            special.push((high - step * k as f64).ceil());
        }
    }
    special.extend(divided(fewest + 1));
    let spared = |x: &f64| constraints.beside_boxes(axis, *x);
    special = special.iter().flat_map(spared).collect();
    for b in &constraints.keep_out {
        special.extend([b.min[axis], b.max[axis]].iter().flat_map(spared));
    }
    special.retain(|&x| x > low + 5.0 && x < high - 5.0);
    let mut kept: Vec<Cut> = Vec::new();
    let forced = &constraints.forced[axis];
    for cut in profiler.cuts(&within(forced, low, high)) {
        kept.push(cut);
    }
    for cut in profiler.cuts(&special) {
        if cut.quality() > 0.85 {
            add(&mut kept, cut);
        } else if let Some(near) = best_of(
            sweep.iter().filter(|c| (c.at_mm - cut.at_mm).abs() < 24.0),
            |c| c.quality() - 0.01 * (c.at_mm - cut.at_mm).abs(),
        ) {
            add(&mut kept, near);
        }
    }

    // Then the best place in each window of a third of the bed.
    let window = longest / 3.0;
    for k in 0..(length / window).ceil() as usize {
        let (from, to) = (low + window * k as f64, low + window * (k + 1) as f64);
        let middle = (from + to) / 2.0;
        let best = best_of(
            sweep.iter().filter(|c| c.at_mm >= from && c.at_mm < to),
            |c| c.quality() - 0.1 * (c.at_mm - middle).abs() / window,
        );
        if let Some(best) = best.filter(|c| c.quality() > 0.3) {
            add(&mut kept, best);
        }
    }
    kept
}

fn within(places: &[f64], low: f64, high: f64) -> Vec<f64> {
    places
        .iter()
        .copied()
        .filter(|&x| x > low && x < high)
        .collect()
}

/// Adds a cut unless one that is as important lies close, or there are enough.
fn add(kept: &mut Vec<Cut>, cut: Cut) {
    if kept.len() < MOST && kept.iter().all(|k| (k.at_mm - cut.at_mm).abs() >= APART_MM) {
        kept.push(cut);
    }
}

fn best_of<'a>(cuts: impl Iterator<Item = &'a Cut>, worth: impl Fn(&Cut) -> f64) -> Option<Cut> {
    cuts.fold(None, |best: Option<&Cut>, c| match best {
        Some(b) if worth(b) >= worth(c) => Some(b),
        _ => Some(c),
    })
    .cloned()
}
