//! Seams tilted through the thickness of a board.
//!
//! A scarf's joint runs longer than one in a square seam, by one over the sine
//! of the angle between seam and face, and so it tapers less: more would make
//! one end too big and the other too small (common practice, no published
//! source).

use geo::{Area, BooleanOps, BoundingRect, Centroid, Coord, LineString, Polygon};
use solid::{Frame, KernelError, Outline, Solid, Vector};

use crate::strategy::leaf::leaf_with_joints;
use design::{Draft, PlanSeam, Region, RuleChanges, SeamSide};
use printing::{Printer, place};

/// Thicker material is left square: the seam would run too far.
const THICKEST_MM: f64 = 60.0;
/// What is less long than this many thicknesses is no board.
const LEAST_ASPECT: f64 = 1.5;
/// How far beside the seam the section must stay as it is, in thicknesses: it is
/// looked at in this many places on either side.
const STEADY: f64 = 1.0;
const STEADY_PLACES: u32 = 6;
/// By how much of its area it may differ.
const UNSTEADY: f64 = 0.02;
/// Lean of the flanks of what slides along a scarf.
const TAPER_DEG: f64 = 0.5;

/// How a seam would be tilted.
struct Tilt {
    /// The direction through the board.
    through: Vector,
    thickness_mm: f64,
    middle: solid::Point,
    /// Corners of the section's box.
    ends: [solid::Point; 4],
}

/// The thickest board that any of some seams parts, if any does.
pub(crate) fn thickest_mm(model: &Solid, tree: &Draft) -> Option<f64> {
    tilts(model, tree)
        .into_iter()
        .flatten()
        .map(|t| t.thickness_mm)
        .reduce(f64::max)
}

/// How each seam would be tilted. A seam that ends on an earlier one that
/// crosses it stays square: tilted, it would divide the contacts of that seam
/// in other places on its two sides.
fn tilts(model: &Solid, tree: &Draft) -> Vec<Option<Tilt>> {
    tree.seams()
        .map(|k| tilt(model, tree, k).filter(|t| !ends_on_another(t, k, tree)))
        .collect()
}

fn ends_on_another(tilt: &Tilt, seam: PlanSeam, tree: &Draft) -> bool {
    let normal = Vector::from(tree.seam(seam).normal);
    tree.way_up(tree.cuts(seam)).any(|(ancestor, _)| {
        let plane = tree.seam(ancestor).frame();
        let crosses = plane.n.dot(&normal).abs() < 0.999;
        crosses && tilt.ends.iter().any(|p| plane.height(p).abs() < 1.0)
    })
}

/// Tilts every seam that parts a board by an angle through its thickness, but
/// leaves those square whose pieces would then fit no printer: a piece with a
/// tilted end cannot stand on it.
///
/// # Errors
///
/// When the kernel refuses the model.
pub(crate) fn scarf(
    model: &Solid,
    tree: &mut Draft,
    lean_deg: f64,
    printers: &[Printer],
    reach_mm: (f64, f64),
) -> Result<(), KernelError> {
    let square = tree.clone();
    tilt_all(model, tree, lean_deg);
    let ends = |tree: &Draft| -> Result<Vec<PlanSeam>, KernelError> {
        let mut out = Vec::new();
        for path in tree.leaves() {
            let part = leaf_with_joints(model, tree, &path, reach_mm)?;
            let fits = |body: &Solid| printers.iter().any(|p| place(body, p).is_ok());
            if !part.bodies().iter().all(fits) {
                out.extend(path.iter().map(|r| r.0));
            }
        }
        Ok(out)
    };
    loop {
        let tilted: Vec<PlanSeam> = ends(tree)?
            .into_iter()
            .filter(|&k| tree.seam(k).normal != square.seam(k).normal)
            .collect();
        if tilted.is_empty() {
            return Ok(());
        }
        for k in tilted {
            tree.seam_mut(k).clone_from(square.seam(k));
        }
    }
}

fn tilt_all(model: &Solid, tree: &mut Draft, lean_deg: f64) {
    let square = tree.clone();
    for (k, tilt) in square.seams().zip(tilts(model, &square)) {
        let (seam, was) = (tree.seam_mut(k), square.seam(k));
        let Some(tilt) = tilt else { continue };
        let (sin, cos) = lean_deg.to_radians().sin_cos();
        let n = Vector::from(was.normal) * cos + tilt.through * sin;
        seam.normal = n.into();
        seam.at_mm = n.dot(&tilt.middle.coords);
        seam.joints = RuleChanges::one("slide_taper_deg", TAPER_DEG);
        seam.reason = format!(
            "{}; a scarf, tilted by {lean_deg}° through {:.1} mm, so that joints run {:.1} mm",
            was.reason,
            tilt.thickness_mm,
            tilt.thickness_mm / cos
        );
    }
}

fn tilt(model: &Solid, tree: &Draft, seam: PlanSeam) -> Option<Tilt> {
    let (frame, region) = (tree.seam(seam).frame(), tree.cuts(seam));
    let section = within(&model.section(&frame), &frame, tree, region);
    let all = section.bounding_rect()?;
    let across = |v: bool| if v { all.height() } else { all.width() };
    let along_v = across(true) < across(false);
    let thickness_mm = across(along_v);
    if thickness_mm > THICKEST_MM || section.unsigned_area() < 1.0 {
        return None;
    }
    let long = section.iter().all(|island| {
        island.bounding_rect().is_some_and(|r| {
            let (thin, long) = if along_v {
                (r.height(), r.width())
            } else {
                (r.width(), r.height())
            };
            long >= LEAST_ASPECT * thin
        })
    });
    let middle = all.centroid();
    // Where something stands on the board or crosses it, a tilted seam would run
    // into it.
    let places = (1..=STEADY_PLACES).map(|k| f64::from(k) / f64::from(STEADY_PLACES));
    let steady = places.flat_map(|at| [-at, at]).all(|at| {
        let beside = frame.raised(at * STEADY * thickness_mm);
        let there = within(&model.section(&beside), &frame, tree, region);
        section.xor(&there).unsigned_area() < UNSTEADY * section.unsigned_area()
    });
    (long && steady).then(|| Tilt {
        through: if along_v { frame.v } else { frame.u },
        thickness_mm,
        middle: frame.place(middle.x(), middle.y(), 0.0),
        ends: [
            [all.min().x, all.min().y],
            [all.max().x, all.min().y],
            [all.max().x, all.max().y],
            [all.min().x, all.max().y],
        ]
        .map(|[u, v]| frame.place(u, v, 0.0)),
    })
}

/// The part of a seam's section that lies in the region it cuts.
pub(crate) fn within(section: &Outline, frame: &Frame, tree: &Draft, region: Region) -> Outline {
    let way = tree.way_up(region);
    way.fold(section.clone(), |section, (ancestor, side)| {
        let plane = tree.seam(ancestor).frame();
        let inward = match side {
            SeamSide::Above => plane,
            SeamSide::Below => plane.flipped(),
        };
        on_inner_side(section, frame, &inward)
    })
}

/// The part of a section in one plane on the positive side of another.
fn on_inner_side(section: Outline, frame: &Frame, plane: &Frame) -> Outline {
    let normal = [frame.u.dot(&plane.n), frame.v.dot(&plane.n)];
    let steep = normal[0].hypot(normal[1]);
    if steep < 1e-9 {
        return section;
    }
    // The half-plane as a large square behind its edge.
    let height = plane.height(&frame.origin) / steep;
    let [a, b] = normal.map(|x| x / steep);
    let corner = |along: f64, out: f64| Coord {
        x: a * (out - height) - b * along,
        y: b * (out - height) + a * along,
    };
    const FAR_MM: f64 = 1e5;
    let half = Polygon::new(
        LineString::from(vec![
            corner(-FAR_MM, 0.0),
            corner(-FAR_MM, FAR_MM),
            corner(FAR_MM, FAR_MM),
            corner(FAR_MM, 0.0),
        ]),
        vec![],
    );
    section.intersection(&Outline::new(vec![half]))
}

#[cfg(test)]
mod tests {
    use design::PlannedSeam;
    use solid::Point;

    use super::*;

    fn one(at_mm: f64) -> Draft {
        let seam = PlannedSeam::at([1.0, 0.0, 0.0], at_mm);
        Draft::cut(None, seam, Draft::uncut(), Draft::uncut())
    }

    #[test]
    fn a_board_is_tilted_through_its_thickness_and_a_post_is_not() {
        let board = Solid::cuboid(Point::origin(), Point::new(600.0, 200.0, 18.0));
        let mut tree = one(300.0);
        tilt_all(&board, &mut tree, 45.0);
        let seam = tree.seam(PlanSeam::at(0));
        let n = Vector::from(seam.normal);
        assert!((n.z.abs() - n.x).abs() < 1e-12 && n.y == 0.0);
        assert!((n.dot(&Vector::new(300.0, 77.0, 9.0)) - seam.at_mm).abs() < 1e-9);
        assert_eq!(seam.joints, RuleChanges::one("slide_taper_deg", 0.5));

        let post = Solid::cuboid(Point::origin(), Point::new(600.0, 20.0, 18.0));
        let mut tree = one(300.0);
        tilt_all(&post, &mut tree, 45.0);
        assert_eq!(tree.seam(PlanSeam::at(0)).normal, [1.0, 0.0, 0.0]);
    }

    #[test]
    fn only_the_region_that_a_seam_cuts_counts() {
        // Two boards one over the other, parted first.
        let board =
            |z: f64| Solid::cuboid(Point::new(0.0, 0.0, z), Point::new(600.0, 200.0, z + 18.0));
        let both = Solid::gathered([&board(0.0), &board(300.0)]);
        let parting = PlannedSeam::at([0.0, 0.0, 1.0], 150.0);
        let tree = Draft::cut(None, parting, Draft::uncut(), one(300.0));
        let tilt = tilt(&both, &tree, PlanSeam::at(1)).unwrap();
        assert!((tilt.thickness_mm - 18.0).abs() < 1e-9);
        assert!((tilt.middle.z - 309.0).abs() < 1e-9);
    }
}
