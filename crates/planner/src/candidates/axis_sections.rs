//! What is the same for all parts of a model along one axis: sections, lengths of pieces.

use geo::Area;
use joinery::JointRules;
use solid::{Bounds, Solid};

use crate::candidates::section_profile::{Cut, Profiler};
use crate::constraint::constraints::Constraints;
use printing::Printer;

/// Candidates nearer to each other than this are one.
pub(crate) const APART_MM: f64 = 4.0;
/// The most candidates an axis may have, unless the model is many beds long.
pub(crate) const MOST: usize = 40;
/// Spacing of the sections that the search for good places looks at.
const SWEEP_MM: f64 = 3.0;
/// How far outside a face a cut flush with it lies, so that no skin is left on
/// the face.
const FLUSH_MM: f64 = 0.1;
/// A face of a panel has at least this area.
const LEAST_PANEL_MM2: f64 = 5_000.0;
/// Thickness of a bar that lies across the bed from corner to corner, unless
/// the model is thinner.
const BAR_MM: f64 = 36.0;

/// What is the same for all parts of a model along one axis: sections, and
/// sizes of pieces.
pub(crate) struct AxisSections<'a> {
    pub(crate) profiler: Profiler<'a>,
    pub(crate) sweep: Vec<Cut>,
    pub(crate) axis: usize,
    /// Longest side of a piece on any printer.
    pub(crate) longest_mm: f64,
    /// Lengths of pieces that just fit a printer with their joints: along the
    /// bed, upright, from corner to corner; the shortest first.
    pub(crate) steps_mm: Vec<f64>,
    /// Where a piece just fits that only keys hold, as long as fewer of those than
    /// of pieces with tails make up the length.
    pub(crate) keyed_mm: Vec<f64>,
    /// How far joints reach over the cut above a piece, and below it.
    pub(crate) reach_mm: (f64, f64),
    /// Whether the sections are the same from both ends.
    pub(crate) mirrored: bool,
    /// Cuts flush with faces of panels.
    pub(crate) flush: Vec<Cut>,
    /// Where the model begins and ends.
    pub(crate) low: f64,
    pub(crate) high: f64,
    pub(crate) constraints: &'a Constraints,
}

impl<'a> AxisSections<'a> {
    /// Looks at the sections along an axis; `None` where there is nothing to
    /// cut.
    pub(crate) fn along(
        axis: usize,
        (model, bounds): (&'a Solid, &Bounds),
        printers: &[Printer],
        rules: &JointRules,
        (reach_mm, keys): ((f64, f64), bool),
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
        let mut sides: Vec<f64> = printers.iter().flat_map(Printer::usable_mm).collect();
        sides.retain(|side| *side <= wished);
        sides.sort_by(f64::total_cmp);
        sides.dedup();
        let profiler = Profiler::new(model, axis, rules, reach_mm.0);
        let sweep = profiler.sweep(low, high, SWEEP_MM);
        Some(Self {
            mirrored: mirrored(&profiler, low, high),
            flush: flush(model, &profiler, axis),
            profiler,
            sweep,
            axis,
            longest_mm,
            steps_mm,
            keyed_mm: if keys {
                keyed(&sides, (low, high), reach_mm.0 + reach_mm.1)
            } else {
                Vec::new()
            },
            reach_mm,
            low,
            high,
            constraints,
        })
    }

    /// What a cut at a place meets.
    pub(crate) fn cut(&self, at_mm: f64) -> Vec<Cut> {
        self.profiler.cuts(&[at_mm])
    }

    /// What cuts at some places meet, in rising order; those flush with a panel
    /// are known as such.
    pub(crate) fn cuts(&self, places_mm: &[f64]) -> Vec<Cut> {
        let near = |a: f64, b: f64| (a - b).abs() < 1e-6;
        let flush = |at: f64| self.flush.iter().find(|c| near(c.at_mm, at));
        let (panels, others): (Vec<f64>, Vec<f64>) =
            places_mm.iter().partition(|at| flush(**at).is_some());
        let panels = panels.into_iter().filter_map(flush).cloned();
        let mut cuts: Vec<Cut> = panels.chain(self.profiler.cuts(&others)).collect();
        cuts.sort_by(|a, b| a.at_mm.total_cmp(&b.at_mm));
        cuts.dedup_by(|a, b| near(a.at_mm, b.at_mm));
        cuts
    }
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

/// Places that divide a length into pieces no longer than a side of a printer,
/// where fewer of them are enough than of pieces with tails: full lengths from
/// either end, and equal ones.
fn keyed(sides_mm: &[f64], (low, high): (f64, f64), reach_mm: f64) -> Vec<f64> {
    let length = high - low;
    let mut out = Vec::new();
    for side in sides_mm {
        let count = (length / side - 1e-9).ceil();
        // All but the last have a tail.
        if length + reach_mm * (count - 1.0) <= side * count {
            continue;
        }
        for k in 1..count as usize {
            let whole = side * k as f64;
            out.extend([low + length * k as f64 / count, low + whole, high - whole]);
        }
    }
    out
}

/// Whether sections at the same distance from both ends have the same area.
fn mirrored(profiler: &Profiler, low: f64, high: f64) -> bool {
    let share = [0.07, 0.16, 0.23, 0.31, 0.38, 0.46];
    let from = |s: f64| low + s * (high - low);
    let near: Vec<f64> = share.iter().map(|&s| from(s)).collect();
    let far: Vec<f64> = share.iter().map(|&s| from(1.0 - s)).collect();
    let areas = |places: &[f64]| -> Vec<f64> {
        let cuts = profiler.cuts(places);
        cuts.iter().map(|c| c.section.unsigned_area()).collect()
    };
    areas(&near)
        .iter()
        .zip(areas(&far))
        .all(|(a, b)| (a - b).abs() <= 0.01 * a.max(b))
}
