//! Seams across what leans: a leg that leans is cut square to its axis, not
//! to the furniture's. The seam is then as small as it can be, its joint has the
//! same material on all sides, and what stands on it on the bed stands upright.
//!
//! A plane square to one leg would go through the others anywhere, so such a
//! seam cuts within a box about the leg's end only.

use geo::{Area, Centroid, InteriorPoint, Polygon};
use solid::{Bounds, Frame, KernelError, Outline, Solid};

use crate::strategy::leaf::leaf_with_joints;
use crate::strategy::leg::{axis_of, body_at, steady_area};
use crate::strategy::scarf::within;
use design::{Draft, PlanSeam, PlannedSeam, Region, SeamSide, Wishes};
use printing::{Printer, place};

/// What leans less is cut as it stands.
const LEAST_LEAN_DEG: f64 = 3.0;
/// What lies flatter is cut lengthwise by the square seam: no leg.
const MOST_LEAN_DEG: f64 = 85.0;
/// Sections this far beside the square seam show whether anything leans.
const LOOK_MM: f64 = 4.0;
/// How far along the leg the seam may be moved, and in which steps.
const STEPS_MM: [f64; 9] = [0.0, 15.0, -15.0, 30.0, -30.0, 45.0, -45.0, 60.0, -60.0];
/// Air that the box leaves about the leg's end.
const AIR_MM: f64 = 4.0;

/// A seam across a leg.
struct Across {
    plane: Frame,
    within: Bounds,
    lean_deg: f64,
    area_mm2: [f64; 2],
}

impl Across {
    /// Whether it goes through a box, as far as it cuts.
    fn meets(&self, b: &Bounds) -> bool {
        let heights = b.corners().map(|p| self.plane.height(&p));
        self.within.overlaps(b, 0.0)
            && heights.iter().any(|h| *h > 0.0)
            && heights.iter().any(|h| *h < 0.0)
    }
}

/// Turns every seam that parts leaning ends (feet of legs) from the rest into
/// seams across each of them, where all ends allow it and all pieces still fit
/// a printer. Seams that are wished where they are stay, and none is turned
/// into a keep-out.
///
/// # Errors
///
/// When the kernel refuses the model.
pub(crate) fn across_what_leans(
    model: &Solid,
    tree: Draft,
    printers: &[Printer],
    reach_mm: (f64, f64),
    (wishes, keep_out): (&Wishes, &[Bounds]),
) -> Result<Draft, KernelError> {
    let mut now = tree;
    let mut next = 0;
    while next < now.len() {
        let seam = PlanSeam::at(next);
        next += 1;
        let plane = now.seam(seam);
        let wished = wishes
            .seam_at
            .iter()
            .any(|w| plane.normal[w.axis.index()] > 0.999 && (w.at_mm - plane.at_mm).abs() < 1e-6);
        if wished || !something_leans(model, &now, seam) {
            continue;
        }
        for ends in SeamSide::BOTH {
            if now.cut_by(Region::Side(seam, ends)).is_some() {
                continue;
            }
            let Some(across) = all_across(model, &now, seam, ends)? else {
                continue;
            };
            if across.iter().any(|a| keep_out.iter().any(|b| a.meets(b))) {
                continue;
            }
            let turned = replaced(&now, seam, &across, ends.other());
            if all_fit(model, &turned, seam, printers, reach_mm)? {
                now = turned;
                // The seams across its ends stand in its place.
                next += across.len() - 1;
                break;
            }
        }
    }
    Ok(now)
}

/// Whether every island of a seam's section moves aside from one height to the
/// next.
fn something_leans(model: &Solid, tree: &Draft, seam: PlanSeam) -> bool {
    let frame = tree.seam(seam).frame();
    let at = |h: f64| {
        let section = model.section(&frame.raised(h));
        within(&section, &frame, tree, tree.cuts(seam))
    };
    let (low, high) = (at(-LOOK_MM), at(LOOK_MM));
    let least = 2.0 * LOOK_MM * LEAST_LEAN_DEG.to_radians().tan();
    let centres =
        |o: &Outline| -> Vec<geo::Point> { o.iter().filter_map(Centroid::centroid).collect() };
    let (low, high) = (centres(&low), centres(&high));
    !low.is_empty()
        && low.len() == high.len()
        && low.iter().all(|a| {
            let nearest = high
                .iter()
                .map(|b| (a.x() - b.x()).hypot(a.y() - b.y()))
                .fold(f64::INFINITY, f64::min);
            nearest > least
        })
}

/// What the model has in a region.
fn content(model: &Solid, tree: &Draft, region: Region) -> Result<Solid, KernelError> {
    let mut way: Vec<(PlanSeam, SeamSide)> = tree.way_up(region).collect();
    way.reverse();
    way.into_iter()
        .try_fold(model.clone(), |part, (seam, side)| {
            tree.seam(seam).side_of(&part, side)
        })
}

/// Seams across all ends that a seam parts; `None` where one of them is no
/// leaning leg.
fn all_across(
    model: &Solid,
    tree: &Draft,
    seam: PlanSeam,
    ends: SeamSide,
) -> Result<Option<Vec<Across>>, KernelError> {
    let region = tree.cuts(seam);
    let content = content(model, tree, region)?;
    let frame = match ends {
        SeamSide::Above => tree.seam(seam).frame().flipped(),
        SeamSide::Below => tree.seam(seam).frame(),
    };
    let ends = content.trimmed(&frame.flipped())?.bodies();
    let mut out: Vec<Across> = Vec::new();
    for island in content.section(&frame) {
        if island.unsigned_area() < 1.0 {
            continue;
        }
        if meets_an_ancestor(&island, &frame, tree, region) {
            return Ok(None);
        }
        match across(&content, &ends, &frame, &island)? {
            Some(found) => out.push(found),
            None => return Ok(None),
        }
    }
    // Boxes apart, so that each seam leaves the other ends alone.
    let apart =
        (0..out.len()).all(|i| (0..i).all(|j| !out[i].within.overlaps(&out[j].within, 0.0)));
    // Every loose end has its seam.
    Ok((apart && !out.is_empty() && out.len() == ends.len()).then_some(out))
}

/// Whether an island ends on an earlier seam that crosses its plane.
fn meets_an_ancestor(island: &Polygon, frame: &Frame, tree: &Draft, region: Region) -> bool {
    tree.way_up(region).any(|(ancestor, _)| {
        let plane = tree.seam(ancestor).frame();
        let crosses = plane.n.dot(&frame.n).abs() < 0.999;
        let mut rim = island.exterior().0.iter();
        crosses && rim.any(|c| plane.height(&frame.place(c.x, c.y, 0.0)).abs() < 1.0)
    })
}

/// The seam across one end; the frame's normal points to the rest.
fn across(
    content: &Solid,
    ends: &[Solid],
    frame: &Frame,
    island: &Polygon,
) -> Result<Option<Across>, KernelError> {
    let (Some(inside), Some(middle)) = (island.interior_point(), island.centroid()) else {
        return Ok(None);
    };
    let under = frame.place(inside.x(), inside.y(), -0.5);
    let Some(axis) = body_at(ends, &under).and_then(|end| axis_of(end, &frame.n)) else {
        return Ok(None);
    };
    let lean_deg = axis.dot(&frame.n).clamp(-1.0, 1.0).acos().to_degrees();
    if !(LEAST_LEAN_DEG..=MOST_LEAN_DEG).contains(&lean_deg) {
        return Ok(None);
    }
    let square = island.unsigned_area();
    let centre = frame.place(middle.x(), middle.y(), 0.0);
    for along in STEPS_MM {
        let origin = centre + axis * along;
        let plane = Frame::facing(origin, axis);
        let Some(area) = steady_area(content, &plane) else {
            continue;
        };
        if area > square * 1.01 {
            continue;
        }
        let below = content.trimmed(&plane.flipped())?.bodies();
        let Some(end) = body_at(&below, &(origin - axis * 0.5)) else {
            continue;
        };
        let islands = end.section(&plane.raised(-0.5));
        let Some(bounds) = end.bounds().filter(|_| islands.0.len() == 1) else {
            continue;
        };
        let within = bounds.grown(AIR_MM);
        let cuboid = Solid::cuboid(within.min, within.max);
        let mut alone = true;
        for other in &below {
            let near = other.bounds().is_some_and(|b| b.overlaps(&within, 0.0));
            if near && !std::ptr::eq(other, end) {
                alone &= other.intersection(&cuboid)?.is_empty();
            }
        }
        if alone {
            return Ok(Some(Across {
                plane,
                within,
                lean_deg,
                area_mm2: [square, area],
            }));
        }
    }
    Ok(None)
}

/// The tree with a seam replaced by seams across its ends, one above the other;
/// what cut the rest cuts what is left above the last.
fn replaced(tree: &Draft, seam: PlanSeam, across: &[Across], rest: SeamSide) -> Draft {
    let rest = tree.branch(Region::Side(seam, rest));
    let chain = across.iter().rev().fold(rest, |above, end| {
        let n = end.plane.n;
        let Bounds { min, max } = end.within;
        let seam = PlannedSeam {
            within_mm: Some([min.into(), max.into()]),
            reason: format!(
                "cuts what leans by {:.0}° square to its axis: {:.0} mm² of section instead of \
                 {:.0} mm²",
                end.lean_deg, end.area_mm2[1], end.area_mm2[0]
            ),
            ..PlannedSeam::at(n.into(), n.dot(&end.plane.origin.coords))
        };
        Draft::cut(None, seam, Draft::uncut(), above)
    });
    tree.grafted(tree.cuts(seam), chain)
}

/// Whether all pieces on either side of a seam and of those that follow from it
/// fit a printer, counted longer by what joints reach.
fn all_fit(
    model: &Solid,
    tree: &Draft,
    seam: PlanSeam,
    printers: &[Printer],
    reach_mm: (f64, f64),
) -> Result<bool, KernelError> {
    for path in tree.leaves() {
        if path.iter().all(|step| step.0 != seam) {
            continue;
        }
        let part = leaf_with_joints(model, tree, &path, reach_mm)?;
        let fits = |body: &Solid| {
            body.volume_mm3() < 1.0 || printers.iter().any(|p| place(body, p).is_ok())
        };
        if !part.bodies().iter().all(fits) {
            return Ok(false);
        }
    }
    Ok(true)
}

#[cfg(test)]
mod tests {
    use super::*;
    use solid::{Point, Vector};

    use crate::strategy::leg::bar;

    #[test]
    fn two_legs_that_lean_apart_are_each_cut_square_to_themselves() {
        let legs = [
            bar(Point::new(0.0, 0.0, 0.0), 12.0, 420.0),
            bar(Point::new(400.0, 0.0, 0.0), -12.0, 420.0),
        ];
        let top = Solid::cuboid(
            Point::new(40.0, -40.0, 390.0),
            Point::new(360.0, 40.0, 420.0),
        );
        let model = Solid::union_of(&[legs[0].clone(), legs[1].clone(), top]).unwrap();
        let seam = PlannedSeam::at([0.0, 0.0, 1.0], 200.0);
        let tree = Draft::cut(None, seam, Draft::uncut(), Draft::uncut());
        let printers = [Printer::rectangular("bed-1", 400.0, 400.0, 400.0)];
        let out = across_what_leans(
            &model,
            tree,
            &printers,
            (8.0, 0.0),
            (&Wishes::default(), &[]),
        )
        .unwrap();
        assert_eq!(out.len(), 2);
        let second = Region::Side(PlanSeam::at(0), SeamSide::Above);
        assert_eq!(out.cuts(PlanSeam::at(1)), second);
        let mut rest = model.clone();
        for seam in out.seams().map(|k| out.seam(k)) {
            let n = Vector::from(seam.normal);
            assert!((n.z.acos().to_degrees() - 12.0).abs() < 0.01);
            let foot = seam.side_of(&rest, SeamSide::Below).unwrap();
            // As long as the leg's axis is from its foot to the seam.
            assert!((foot.section(&seam.frame().raised(-1.0)).unsigned_area() - 900.0).abs() < 0.1);
            rest = seam.side_of(&rest, SeamSide::Above).unwrap();
        }
        assert_eq!(rest.bodies().len(), 1);
    }
}
