//! Where one face of a slab is covered by what is attached to it: whether the
//! material there is the slab's or the other's.

use geo::{Area, BooleanOps, CoordsIter, Euclidean, Length};
use solid::{Frame, Outline, grow, rectangle};

use crate::members::flat_faces::FlatFaces;
use crate::members::tidy::tidy;

/// A place is a slab's when the slab goes on along this share of its rim at
/// least.
const RIM: f64 = 0.3;
/// Of two parts of a place one is the slab's and the other not where they
/// differ by as much, and the slab goes on along as little of the other.
const PARTED: [f64; 2] = [0.25, 0.12];
/// Of a place what goes on past a line along more than this share of it is one.
const BROAD: f64 = 0.5;
/// A place is not parted when the slab goes on along this share of its rim.
const ALL_ROUND: f64 = 0.8;
/// The border that two regions share is measured by a strip along it as wide as this, in mm.
const STRIP_MM: f64 = 0.1;
/// Parts smaller than this are nothing, in mm².
const NOTHING_MM2: f64 = 1.0;
/// Further than any furniture reaches, in mm.
const FAR_MM: f64 = 1e5;
/// Places are parted no more often than this.
const DEPTH: usize = 4;

/// A line in a plane: its direction's normal, and its distance.
type Line = ([f64; 2], f64);

/// What of the places of which one face is covered belongs to a slab that is
/// free elsewhere. Places are parted along the planes of the model's other
/// faces: where a board stands flush on legs, what covers it is the end of one
/// and the side of the others in one piece.
pub(crate) fn own(places: Outline, free: &Outline, plane: &Frame, faces: &[FlatFaces]) -> Outline {
    let mut lines: Vec<Line> = Vec::new();
    for face in faces {
        if face.normal.dot(&plane.n).abs() < 1e-6 {
            let n = [face.normal.dot(&plane.u), face.normal.dot(&plane.v)];
            lines.push((n, face.at_mm - face.normal.dot(&plane.origin.coords)));
        }
    }
    let mut out = Outline::new(Vec::new());
    for place in places.0 {
        let place = Outline::new(vec![place]);
        if place.unsigned_area() > NOTHING_MM2 {
            for part in parted(place, free, &lines, 0) {
                if goes_on(&part, free) > RIM {
                    out = out.union(&part);
                }
            }
        }
    }
    out
}

/// A region with those gaps filled around which it goes on.
pub(crate) fn enclosed(region: Outline, all: &Outline) -> Outline {
    let mut out = region.clone();
    for gap in all.difference(&region).0 {
        let gap = Outline::new(vec![gap]);
        if gap.unsigned_area() > 0.0 && goes_on(&gap, &region) > ALL_ROUND {
            out = out.union(&gap);
        }
    }
    out
}

fn parted(place: Outline, free: &Outline, lines: &[Line], depth: usize) -> Vec<Outline> {
    let mut best: Option<(f64, [Outline; 2])> = None;
    let open = depth < DEPTH && goes_on(&place, free) < ALL_ROUND;
    for (n, at) in lines.iter().filter(|_| open) {
        let parts = [1.0, -1.0].map(|side| tidy(&place.intersection(&half(*n, *at, side))));
        if parts.iter().any(|p| p.unsigned_area() < NOTHING_MM2) {
            continue;
        }
        let [a, b] = parts.each_ref().map(|p| goes_on(p, free));
        let apart = (a - b).abs();
        // What goes on past the line as broad as it is is one with it.
        let [slab, other] = if a > b {
            [&parts[0], &parts[1]]
        } else {
            [&parts[1], &parts[0]]
        };
        let broad = extent(slab, [-n[1], n[0]]);
        if touching(slab, other) > BROAD * broad {
            continue;
        }
        if apart > PARTED[0] && a.min(b) < PARTED[1] && best.as_ref().is_none_or(|x| apart > x.0) {
            best = Some((apart, parts));
        }
    }
    match best {
        None => vec![place],
        Some((_, parts)) => {
            let parts = parts.into_iter().flat_map(|p| p.0);
            parts
                .flat_map(|p| parted(Outline::new(vec![p]), free, lines, depth + 1))
                .collect()
        }
    }
}

/// How far a region reaches along a direction.
fn extent(region: &Outline, along: [f64; 2]) -> f64 {
    let at = region
        .coords_iter()
        .map(|c| c.x * along[0] + c.y * along[1]);
    let (low, high) = at.fold((f64::INFINITY, f64::NEG_INFINITY), |r, x| {
        (r.0.min(x), r.1.max(x))
    });
    high - low
}

/// What lies on one side of a line.
fn half(n: [f64; 2], at: f64, side: f64) -> Outline {
    use geo::{AffineOps, AffineTransform};
    let far = if side > 0.0 {
        [at, at + FAR_MM]
    } else {
        [at - FAR_MM, at]
    };
    let turn = AffineTransform::new(n[0], -n[1], 0.0, n[1], n[0], 0.0);
    rectangle([far[0], -FAR_MM], [far[1], FAR_MM]).affine_transform(&turn)
}

/// The share of a place's rim along which a region goes on.
fn goes_on(place: &Outline, region: &Outline) -> f64 {
    touching(place, region) / rim(place)
}

/// How long the border is that two regions share.
fn touching(place: &Outline, region: &Outline) -> f64 {
    // Hairs between the two, left by rounding, are no gap.
    grow(place, STRIP_MM).intersection(region).unsigned_area() / STRIP_MM
}

fn rim(region: &Outline) -> f64 {
    let rings = region
        .iter()
        .flat_map(|p| std::iter::once(p.exterior()).chain(p.interiors()));
    rings.map(|ring| Euclidean.length(ring)).sum()
}

#[cfg(test)]
mod tests {
    use solid::{Point, Vector};

    use super::*;

    #[test]
    fn the_end_of_a_shelf_is_the_sides_and_the_legs_under_it_are_not() {
        // A side of 282 × 364 over two legs; the shelf ends along its lower edge.
        let free = rectangle([0.0, 156.0], [282.0, 520.0]);
        let legs = [0.0, 246.0].map(|x| rectangle([x, 0.0], [x + 36.0, 140.0]));
        let shelf = rectangle([0.0, 140.0], [282.0, 156.0]);
        let places = shelf.union(&legs[0]).union(&legs[1]);
        let plane = Frame::with_axes(Point::origin(), Vector::z(), Vector::x());
        let level = |normal: Vector, at_mm: f64| FlatFaces {
            normal,
            at_mm,
            area_mm2: 1e3,
            bounds: solid::Bounds::between(Point::origin(), Point::origin()),
        };
        let faces = [level(-Vector::y(), -140.0), level(Vector::x(), 36.0)];
        let own = own(places, &free, &plane, &faces);
        assert!((own.unsigned_area() - 282.0 * 16.0).abs() < 1e-3);
    }
}
