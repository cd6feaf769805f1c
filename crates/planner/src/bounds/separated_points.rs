//! Points of the model no two of which one printer can hold at once.

use solid::{Point, RayCaster, Solid, Vector};

use crate::bounds::independent_set::Conflicts;
use printing::{Bed, Printer};

/// How a piece may lie on a bed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Lying {
    /// On a side square to one of the model's axes, its other sides square to
    /// the bed.
    Square,
    /// Turned in any way in space.
    Anyhow,
}

/// Points must be further apart than a printer is large by this: what a joint's
/// clearance takes away at a seam belongs to no piece, and a point there to one
/// that is no further off than this.
const CLEARANCE_MM: f64 = 1.0;
/// Points at the ends of the model lie this deep in it.
const INSET_MM: f64 = 0.1;
/// The most places along an axis that lie a bed from each other, and that are
/// taken from the layers of a model's corners.
const PLACES: usize = 28;
/// The most candidates that are looked at.
const CANDIDATES: usize = 2400;

/// Of points of a model, some no two of which one printer can hold at once,
/// however a piece that holds both is shaped: no split into pieces that lie so
/// has fewer pieces than there are such points. (Covering needs at least as many sets as there
/// are points no two of which share one: the packing bound.)
///
/// Where the model stands in for another, `error_mm` is how far that one's
/// surface may be off.
pub(crate) fn points_apart(
    points: &[Point],
    printers: &[Printer],
    lying: Lying,
    error_mm: f64,
) -> Vec<Point> {
    let slack = CLEARANCE_MM + 2.0 * error_mm;
    let conflicts = Conflicts::among(points.len(), |a, b| {
        let between = points[b] - points[a];
        printers
            .iter()
            .any(|p| holds_both(&between, p, lying, slack))
    });
    conflicts
        .independent()
        .into_iter()
        .map(|k| points[k])
        .collect()
}

/// Whether a printer can hold two points, one as far from the other as is said,
/// if it were larger by `slack`.
fn holds_both(between: &Vector, printer: &Printer, lying: Lying, slack: f64) -> bool {
    if lying == Lying::Anyhow {
        return between.norm() <= corner_to_corner_mm(printer) + slack;
    }
    let usable = printer.usable_mm().map(|mm| mm + slack);
    let d = between.map(f64::abs);
    match printer.bed {
        // It fits in some order of the sides where it fits with both in rising
        // order.
        Bed::Rectangle { .. } => {
            let (mut d, mut usable) = ([d.x, d.y, d.z], usable);
            d.sort_by(f64::total_cmp);
            usable.sort_by(f64::total_cmp);
            d.iter().zip(usable).all(|(d, side)| *d <= side)
        }
        Bed::Round { .. } => (0..3)
            .any(|up| d[up] <= usable[2] && d[(up + 1) % 3].hypot(d[(up + 2) % 3]) <= usable[0]),
    }
}

/// How far two points of what a printer builds can lie from each other.
pub(crate) fn corner_to_corner_mm(printer: &Printer) -> f64 {
    let [w, d, h] = printer.usable_mm();
    match printer.bed {
        Bed::Rectangle { .. } => w.hypot(d).hypot(h),
        Bed::Round { .. } => w.hypot(h),
    }
}

/// Points in the model from which a choice is made: on a grid of places along
/// each axis that lie a bed from each other and from the ends, and where lines
/// through it enter and leave the model.
pub(crate) fn candidates(model: &Solid, printers: &[Printer], error_mm: f64) -> Vec<Point> {
    let (Some(bounds), Some(caster)) = (model.bounds(), RayCaster::new(model)) else {
        return Vec::new();
    };
    let mut steps: Vec<f64> = printers.iter().flat_map(Printer::usable_mm).collect();
    steps.sort_by(f64::total_cmp);
    steps.dedup_by(|a, b| (*a - *b).abs() < 0.5);
    let slack = CLEARANCE_MM + 2.0 * error_mm + 0.01;
    let places = [0, 1, 2].map(|axis| {
        let (low, high) = (bounds.min[axis] + INSET_MM, bounds.max[axis] - INSET_MM);
        let mut out = vec![low, high];
        for step in steps.iter().map(|s| s + slack) {
            let count = ((high - low) / step).floor() as usize;
            for k in 1..=count.min(PLACES) {
                out.push(low + k as f64 * step);
                out.push(high - k as f64 * step);
                out.push(low + (high - low) * k as f64 / (count as f64).max(1.0));
                out.push(low + (high - low) * k as f64 / (count as f64 + 1.0));
            }
        }
        let mut layers: Vec<f64> = model.vertices().iter().map(|p| p[axis]).collect();
        layers.sort_by(f64::total_cmp);
        layers.dedup_by(|a, b| (*a - *b).abs() < 1.0);
        if layers.len() <= PLACES {
            out.extend(layers.windows(2).map(|w| (w[0] + w[1]) / 2.0));
        } else {
            out.extend((1..12).map(|k| low + (high - low) * f64::from(k) / 12.0));
        }
        out.sort_by(f64::total_cmp);
        out.dedup_by(|a, b| (*a - *b).abs() < 0.01);
        out
    });
    let mut points = Vec::new();
    for axis in 0..3 {
        let (u, v) = ((axis + 1) % 3, (axis + 2) % 3);
        for &at_u in &places[u] {
            for &at_v in &places[v] {
                let mut from = Point::origin();
                from[axis] = bounds.min[axis] - 1.0;
                (from[u], from[v]) = (at_u, at_v);
                let reach = bounds.size_mm()[axis] + 2.0;
                let crossings = caster.crossings(&from, &Vector::ith(axis, 1.0), reach);
                for pair in crossings.windows(2) {
                    let [(enters, false), (leaves, true)] = pair else {
                        continue;
                    };
                    let (low, high) = (
                        from[axis] + enters + INSET_MM / 2.0,
                        from[axis] + leaves - INSET_MM / 2.0,
                    );
                    let on_grid = places[axis].iter().filter(|&&at| low <= at && at <= high);
                    for at in on_grid.copied().chain([low, high, (low + high) / 2.0]) {
                        let mut p = from;
                        p[axis] = at;
                        points.push(p);
                    }
                }
            }
        }
    }
    points.sort_by(|a, b| {
        a.x.total_cmp(&b.x)
            .then(a.y.total_cmp(&b.y))
            .then(a.z.total_cmp(&b.z))
    });
    points.dedup_by(|a, b| (*a - *b).norm() < 0.5);
    let every = points.len().div_ceil(CANDIDATES).max(1);
    points
        .into_iter()
        .step_by(every)
        .filter(|p| caster.contains(p))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn apart(model: &Solid, printers: &[Printer], lying: Lying, error_mm: f64) -> Vec<Point> {
        let candidates = candidates(model, printers, error_mm);
        points_apart(&candidates, printers, lying, error_mm)
    }

    fn cube_printer(side_mm: f64) -> Printer {
        Printer {
            margin_mm: 0.0,
            ..Printer::rectangular("cube", side_mm, side_mm, side_mm)
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

        /// A block has a point for every full bed along each side, and one more:
        /// where none of its sides is within a millimetre or so of whole beds,
        /// that is as many as cells of that size that cover it.
        #[test]
        fn a_block_has_as_many_as_it_takes_beds_to_cover_it(
            sides in prop::array::uniform3(20.0..520.0_f64),
            bed in 150.0..260.0_f64,
        ) {
            let beds = sides.map(|s| s / bed);
            prop_assume!(beds.iter().all(|b| b.fract() > 0.02));
            let block = Solid::cuboid(Point::origin(), Point::from(sides));
            let points = apart(&block, &[cube_printer(bed)], Lying::Square, 0.0);
            let cells: f64 = beds.iter().map(|b| b.ceil()).product();
            prop_assert_eq!(points.len(), cells as usize);
            for (k, p) in points.iter().enumerate() {
                prop_assert!((0..3).all(|a| 0.0 < p[a] && p[a] < sides[a]));
                for q in &points[..k] {
                    prop_assert!((p - q).amax() > bed);
                }
            }
            let anyhow = apart(&block, &[cube_printer(bed)], Lying::Anyhow, 0.0);
            for (k, p) in anyhow.iter().enumerate() {
                for q in &anyhow[..k] {
                    prop_assert!((p - q).norm() > bed * 3.0_f64.sqrt());
                }
            }
        }
    }

    #[test]
    fn of_two_printers_either_may_hold_both() {
        let bar = Solid::cuboid(Point::origin(), Point::new(30.0, 40.0, 500.0));
        let small = Printer::rectangular("bed-1", 180.0, 180.0, 180.0);
        let round: Printer = "round300x300".parse().unwrap();
        let count = |printers: &[Printer]| apart(&bar, printers, Lying::Square, 0.0).len();
        assert_eq!(count(std::slice::from_ref(&small)), 3);
        assert_eq!(count(&[small, round]), 2);
    }

    #[test]
    fn a_stand_in_claims_less() {
        let bar = Solid::cuboid(Point::origin(), Point::new(30.0, 40.0, 182.0));
        let printer = [cube_printer(180.0)];
        assert_eq!(apart(&bar, &printer, Lying::Square, 0.0).len(), 2);
        assert_eq!(apart(&bar, &printer, Lying::Square, 0.5).len(), 1);
    }
}
