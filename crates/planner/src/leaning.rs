//! Seams across what leans: a leg that leans is cut square to its own axis, not
//! to the furniture's. The seam is then as small as it can be, its joint has the
//! same material on all sides, and what stands on it on the bed stands upright.
//!
//! A plane square to one leg would go through the others anywhere, so such a
//! seam cuts within a box about the leg's end only.

use geo::{Area, Centroid, InteriorPoint, Polygon};
use solid::{Bounds, Frame, KernelError, Outline, Solid};

use crate::leaf::{leaf_with_joints, leaves};
use crate::leg::{axis_of, body_at, steady_area};
use crate::scarf::within;
use crate::{PlannedSeam, Printer, Region, Wishes, place};

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
/// into a box to be spared.
///
/// # Errors
///
/// When the kernel refuses the model.
pub(crate) fn across_what_leans(
    model: &Solid,
    seams: Vec<PlannedSeam>,
    printers: &[Printer],
    reach_mm: (f64, f64),
    (wishes, spared): (&Wishes, &[Bounds]),
) -> Result<Vec<PlannedSeam>, KernelError> {
    let ids: Vec<String> = seams.iter().map(|s| s.id.clone()).collect();
    let mut now = seams;
    for id in &ids {
        let Some(k) = now.iter().position(|s| &s.id == id) else {
            continue;
        };
        let wished = wishes.seam_at.iter().any(|w| {
            now[k].normal[w.axis.index()] > 0.999 && (w.at_mm - now[k].at_mm).abs() < 1e-6
        });
        if wished || !something_leans(model, &now, k) {
            continue;
        }
        for ends_above in [false, true] {
            let (ends, rest) = sides(id, ends_above);
            if now.iter().any(|s| s.cuts == ends) {
                continue;
            }
            let Some(across) = all_across(model, &now, k, ends_above)? else {
                continue;
            };
            let turned = replaced(&now, k, &across, &rest);
            if across.iter().any(|a| spared.iter().any(|b| a.meets(b))) {
                continue;
            }
            if all_fit(model, &turned, id, printers, reach_mm)? {
                now = turned;
                break;
            }
        }
    }
    Ok(numbered(&now))
}

/// The regions of a seam: where the ends lie, and the rest.
fn sides(id: &str, ends_above: bool) -> (Region, Region) {
    (Region::side(id, ends_above), Region::side(id, !ends_above))
}

/// Whether every island of a seam's section moves aside from one height to the
/// next.
fn something_leans(model: &Solid, seams: &[PlannedSeam], k: usize) -> bool {
    let frame = seams[k].frame();
    let at = |h: f64| {
        let section = model.section(&frame.raised(h));
        within(&section, &frame, seams, &seams[k].cuts)
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

/// What a seam cuts, of the model.
fn content(model: &Solid, seams: &[PlannedSeam], region: &Region) -> Result<Solid, KernelError> {
    let mut way: Vec<(&PlannedSeam, bool)> = region.way_up(seams).collect();
    way.reverse();
    way.into_iter()
        .try_fold(model.clone(), |part, (seam, above)| {
            seam.side_of(&part, above)
        })
}

/// Seams across all ends that a seam parts; `None` where one of them is no
/// leaning leg.
fn all_across(
    model: &Solid,
    seams: &[PlannedSeam],
    k: usize,
    ends_above: bool,
) -> Result<Option<Vec<Across>>, KernelError> {
    let content = content(model, seams, &seams[k].cuts)?;
    let frame = if ends_above {
        seams[k].frame().flipped()
    } else {
        seams[k].frame()
    };
    let ends = content.trimmed(&frame.flipped())?.bodies();
    let mut out: Vec<Across> = Vec::new();
    for island in content.section(&frame) {
        if island.unsigned_area() < 1.0 {
            continue;
        }
        if meets_an_ancestor(&island, &frame, seams, &seams[k].cuts) {
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
fn meets_an_ancestor(
    island: &Polygon,
    frame: &Frame,
    seams: &[PlannedSeam],
    region: &Region,
) -> bool {
    region.way_up(seams).any(|(ancestor, _)| {
        let plane = ancestor.frame();
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

/// The seams with one of them replaced by seams across its ends.
fn replaced(seams: &[PlannedSeam], k: usize, across: &[Across], rest: &Region) -> Vec<PlannedSeam> {
    let was = &seams[k];
    let id = |i: usize| {
        if i == 0 {
            was.id.clone()
        } else {
            format!("{}-{i}", was.id)
        }
    };
    let new = across.iter().enumerate().map(|(i, end)| {
        let n = end.plane.n;
        let cuts = if i == 0 {
            was.cuts.clone()
        } else {
            Region::Above(id(i - 1))
        };
        let Bounds { min, max } = end.within;
        PlannedSeam {
            within_mm: Some([min.into(), max.into()]),
            reason: format!(
                "cuts what leans by {:.0}° square to its own axis: {:.0} mm² of section instead \
                 of {:.0} mm²",
                end.lean_deg, end.area_mm2[1], end.area_mm2[0]
            ),
            ..PlannedSeam::at(&id(i), cuts, n.into(), n.dot(&end.plane.origin.coords))
        }
    });
    let last = Region::Above(id(across.len() - 1));
    let others = seams[k + 1..].iter().map(|s| PlannedSeam {
        cuts: if s.cuts == *rest {
            last.clone()
        } else {
            s.cuts.clone()
        },
        ..s.clone()
    });
    seams[..k]
        .iter()
        .cloned()
        .chain(new)
        .chain(others)
        .collect()
}

/// Whether all pieces on either side of new seams fit a printer, counted longer
/// by what joints reach.
fn all_fit(
    model: &Solid,
    seams: &[PlannedSeam],
    id: &str,
    printers: &[Printer],
    reach_mm: (f64, f64),
) -> Result<bool, KernelError> {
    let Some(first) = seams.iter().position(|s| s.id == id) else {
        return Ok(false);
    };
    for path in leaves(seams) {
        if path.iter().all(|step| step.0 != first) {
            continue;
        }
        let part = leaf_with_joints(model, seams, &path, reach_mm)?;
        let fits = |body: &Solid| {
            body.volume_mm3() < 1.0 || printers.iter().any(|p| place(body, p).is_ok())
        };
        if !part.bodies().iter().all(fits) {
            return Ok(false);
        }
    }
    Ok(true)
}

/// The seams with ids in their order.
fn numbered(seams: &[PlannedSeam]) -> Vec<PlannedSeam> {
    let name = |id: &str| match seams.iter().position(|s| s.id == id) {
        Some(k) => format!("S{}", k + 1),
        None => id.to_owned(),
    };
    seams.iter().map(|s| s.renamed(name)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use solid::{Point, Vector};

    use crate::leg::bar;

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
        let seams = vec![PlannedSeam::at("S1", Region::Whole, [0.0, 0.0, 1.0], 200.0)];
        let printers = [Printer::rectangular("bed-1", 400.0, 400.0, 400.0)];
        let out = across_what_leans(
            &model,
            seams,
            &printers,
            (8.0, 0.0),
            (&Wishes::default(), &[]),
        )
        .unwrap();
        assert_eq!(out.len(), 2);
        assert_eq!(out[1].cuts, Region::Above("S1".into()));
        let mut rest = model.clone();
        for seam in &out {
            let n = Vector::from(seam.normal);
            assert!((n.z.acos().to_degrees() - 12.0).abs() < 0.01);
            let foot = seam.side_of(&rest, false).unwrap();
            // As long as the leg's axis is from its foot to the seam.
            assert!((foot.section(&seam.frame().raised(-1.0)).unsigned_area() - 900.0).abs() < 0.1);
            rest = seam.side_of(&rest, true).unwrap();
        }
        assert_eq!(rest.bodies().len(), 1);
    }
}
