//! Where a model has two parallel faces with solid material between them.

use geo::{Area, BooleanOps, MinimumRotatedRect, Polygon};
use rayon::prelude::*;
use solid::{Frame, Outline, Point, SectionIndex, Solid, Vector, grow, shrink};

use crate::members::covered::{enclosed, own};
use crate::members::flat_faces::FlatFaces;
use crate::members::tidy::tidy;

/// How thin and how thick boards and sticks are, in mm.
const THICKNESS_MM: [f64; 2] = [2.0, 100.0];
/// How many times as wide as thick a board is at least.
pub(crate) const BOARD_WIDTH: f64 = 2.5;
/// How many times as long as wide a leg or a rail is at least.
pub(crate) const STICK_LENGTH: f64 = 2.5;
/// How wide a stick is at least, in thicknesses.
const STICK_WIDTH: f64 = 0.5;
/// Looks just outside and just inside of a face are this far off it, in mm.
const BESIDE_MM: f64 = 0.02;
/// Edges are rounded by no more than this, in mm.
const ROUNDING_MM: f64 = 6.0;
/// What a region must have of both faces free.
const BOTH_FREE: f64 = 0.3;
/// A slab is taken to go on past another one that is no thicker than this, in
/// mm.
const PASSED_MM: f64 = 60.0;
/// What is narrower than twice this many thicknesses is no part of a slab.
const NARROW: f64 = 0.2;
/// What is twice as wide as this may be what a rail leaves free beside it of a leg, in mm.
const NARROW_MM: f64 = 4.0;
/// A stick has material beyond less than this share of its rim.
const WITHIN: f64 = 0.35;
/// Directions whose cosine differs from one by no more than this are parallel.
const PARALLEL: f64 = 1e-7;
/// No more pairs of planes are looked at: each takes some milliseconds.
const MOST_PAIRS: usize = 200;
/// Regions smaller than this are nothing, in mm².
const NOTHING_MM2: f64 = 1.0;

/// A region between two parallel faces.
#[derive(Clone, Debug)]
pub(crate) struct Slab {
    /// In the lower face, the normal through the thickness.
    pub(crate) frame: Frame,
    pub(crate) thickness_mm: f64,
    pub(crate) region: Polygon,
}

impl Slab {
    /// Area of a face, in mm².
    pub(crate) fn face_mm2(&self) -> f64 {
        self.region.unsigned_area()
    }

    /// The slab as a body.
    pub(crate) fn body(&self) -> Result<Solid, solid::KernelError> {
        let region = Outline::new(vec![self.region.clone()]);
        Solid::extruded(&self.frame, &region, 0.0, self.thickness_mm)
    }
}

/// A rectangle about points in a plane, as small as can be: its middle, the
/// direction of its longer side, and its sides.
pub(crate) struct Rectangle {
    pub(crate) middle: [f64; 2],
    pub(crate) along: [f64; 2],
    pub(crate) sides_mm: [f64; 2],
}

/// The smallest rectangle about a shape; `None` of one without area.
pub(crate) fn smallest_rectangle(
    shape: &impl MinimumRotatedRect<f64, Scalar = f64>,
) -> Option<Rectangle> {
    let rect = shape.minimum_rotated_rect()?;
    let c = &rect.exterior().0;
    let side = |a: usize, b: usize| [c[b].x - c[a].x, c[b].y - c[a].y];
    let (one, two) = (side(0, 1), side(1, 2));
    let length = |s: [f64; 2]| s[0].hypot(s[1]);
    let (long, short) = if length(one) >= length(two) {
        (one, two)
    } else {
        (two, one)
    };
    (length(short) > 0.0).then(|| Rectangle {
        middle: [(c[0].x + c[2].x) / 2.0, (c[0].y + c[2].y) / 2.0],
        along: long.map(|x| x / length(long)),
        sides_mm: [length(long), length(short)],
    })
}

/// Whether a slab of these sides is a board or a stick.
pub(crate) fn is_member([length, width]: [f64; 2], thickness: f64) -> bool {
    width >= BOARD_WIDTH * thickness
        || width >= STICK_WIDTH * thickness && length >= STICK_LENGTH * width.max(thickness)
}

/// All slabs of a model that are boards or sticks. One that two pairs of faces
/// show is there twice.
pub(crate) fn slabs(model: &Solid, faces: &[FlatFaces]) -> Vec<Slab> {
    let pairs = facing_pairs(faces);
    let mut out = Vec::new();
    let mut done = vec![false; pairs.len()];
    for k in 0..pairs.len() {
        if done[k] {
            continue;
        }
        // Sections are indexed by the very normal of their frames.
        let up = faces[pairs[k].high].normal.normalize();
        let index = SectionIndex::along(model, up);
        let looks = Looks {
            index: &index,
            up,
            faces,
        };
        let mut heights: Vec<[f64; 2]> = Vec::new();
        for j in k..pairs.len() {
            let along = faces[pairs[j].high].normal.dot(&up);
            if done[j] || along.abs() < 1.0 - PARALLEL {
                continue;
            }
            done[j] = true;
            let [low, high] = pairs[j].heights_mm(faces);
            heights.push(if along > 0.0 {
                [low, high]
            } else {
                [-high, -low]
            });
        }
        let found = heights
            .par_iter()
            .map(|&[low, high]| looks.between(low, high));
        out.extend(found.collect::<Vec<_>>().into_iter().flatten());
    }
    out
}

/// Two planes with flat faces that look away from each other.
struct Pair {
    high: usize,
    low: usize,
}

impl Pair {
    /// Heights along the normal of the one above.
    fn heights_mm(&self, faces: &[FlatFaces]) -> [f64; 2] {
        [-faces[self.low].at_mm, faces[self.high].at_mm]
    }
}

/// The pairs of planes that may be the faces of a board or stick; of very many those with the
/// most flat surface.
fn facing_pairs(faces: &[FlatFaces]) -> Vec<Pair> {
    let mut out = Vec::new();
    for high in 0..faces.len() {
        for low in high + 1..faces.len() {
            let (one, two) = (&faces[high], &faces[low]);
            let thickness = one.at_mm + two.at_mm;
            // What the least stick of this thickness has free of its lesser face.
            let least_mm2 = BOTH_FREE * STICK_WIDTH * STICK_LENGTH * thickness.powi(2);
            let possible = (THICKNESS_MM[0]..=THICKNESS_MM[1]).contains(&thickness)
                && two.area_mm2 > least_mm2
                && one.normal.dot(&two.normal) < PARALLEL - 1.0
                && one.bounds.overlaps(&two.bounds, -thickness - BESIDE_MM);
            if possible {
                out.push(Pair { high, low });
            }
        }
    }
    // Faces come from the largest to the smallest; the pair has what its lesser one has.
    out.sort_by_key(|pair| (pair.low, pair.high));
    out.truncate(MOST_PAIRS);
    out
}

/// Sections of a model along one direction.
struct Looks<'a> {
    index: &'a SectionIndex<'a>,
    up: Vector,
    faces: &'a [FlatFaces],
}

impl Looks<'_> {
    /// A plane square to the direction; its axes run along the largest face that is square
    /// to it.
    fn frame(&self, at_mm: f64) -> Frame {
        let origin = Point::from(self.up * at_mm);
        let square = self
            .faces
            .iter()
            .find(|f| f.normal.dot(&self.up).abs() < 1e-5);
        match square {
            Some(face) => Frame::with_axes(origin, self.up, face.normal),
            None => Frame::facing(origin, self.up),
        }
    }

    fn at(&self, at_mm: f64) -> Outline {
        tidy(&self.index.section(&self.frame(at_mm)))
    }

    /// The boards and sticks between two heights.
    fn between(&self, low_mm: f64, high_mm: f64) -> Vec<Slab> {
        let thickness_mm = high_mm - low_mm;
        let middle = self.at((low_mm + high_mm) / 2.0);
        let full = middle
            .intersection(&self.at(low_mm + BESIDE_MM))
            .intersection(&self.at(high_mm - BESIDE_MM));
        if full.unsigned_area() < NOTHING_MM2 {
            return Vec::new();
        }
        let full = tidy(&with_roundings(&full, &middle, thickness_mm));
        let (under, over) = (self.at(low_mm - BESIDE_MM), self.at(high_mm + BESIDE_MM));
        let covered = under.union(&over);
        let passed = under.intersection(&over);
        let free = tidy(&full.difference(&covered));
        let one_covered = tidy(&full.intersection(&covered).difference(&passed));
        let one_covered = tidy(&opened(&one_covered, BESIDE_MM));
        let narrow_mm = (NARROW * thickness_mm).min(NARROW_MM);
        // What is no part of the slab but is as thick sticks out as strips along its rim.
        let free = tidy(&opened(&free, narrow_mm));
        let frame = self.frame(low_mm);
        let own = own(one_covered, &free, &frame, self.faces);
        let region = tidy(&enclosed(free.union(&own), &full.difference(&passed)));
        let region = tidy(&opened(&region, narrow_mm));
        let region = self.past_others(region, &full, [low_mm, high_mm]);
        let beside = middle.difference(&passed);
        let free_of = |p: &Polygon| {
            free.intersection(&Outline::new(vec![p.clone()]))
                .unsigned_area()
        };
        let whole = |p: &Polygon| {
            let sides = smallest_rectangle(p)?.sides_mm;
            let free = free_of(p) > BOTH_FREE * p.unsigned_area();
            // The flat of a curved board is no stick.
            let stands_out = sides[1] >= BOARD_WIDTH * thickness_mm || inside(p, &beside) < WITHIN;
            (free && is_member(sides, thickness_mm) && stands_out).then_some(())
        };
        let found = region.0.into_iter().filter(|p| whole(p).is_some());
        found
            .map(|region| Slab {
                frame,
                thickness_mm,
                region,
            })
            .collect()
    }

    /// A region with the gaps closed that other boards leave in it where they
    /// pass through: those go on beyond both faces.
    fn past_others(&self, region: Outline, full: &Outline, [low_mm, high_mm]: [f64; 2]) -> Outline {
        if region.0.len() < 2 {
            return region;
        }
        let closed = shrink(&grow(&region, PASSED_MM / 2.0), PASSED_MM / 2.0);
        let gaps = tidy(&tidy(&closed).intersection(full).difference(&region));
        let mut out = region;
        for gap in gaps.0 {
            let Some(rectangle) = smallest_rectangle(&gap) else {
                continue;
            };
            let [length, width] = rectangle.sides_mm;
            let gap = Outline::new(vec![gap]);
            let far = 1.5 * width;
            let beyond = |at_mm: f64| {
                gap.intersection(&self.at(at_mm)).unsigned_area() > 0.9 * gap.unsigned_area()
            };
            if width <= PASSED_MM && length > width && beyond(low_mm - far) && beyond(high_mm + far)
            {
                out = out.union(&gap);
            }
        }
        out
    }
}

/// What is solid through and through, with the rims where the faces are
/// rounded towards the edges.
fn with_roundings(full: &Outline, middle: &Outline, thickness_mm: f64) -> Outline {
    let reach = ROUNDING_MM.min(thickness_mm / 2.0) + BESIDE_MM;
    let near = grow(full, reach);
    let mut out = full.clone();
    for rim in middle.difference(full).0 {
        let rim = Outline::new(vec![rim]);
        if rim.difference(&near).unsigned_area() < NOTHING_MM2 {
            out = out.union(&rim);
        }
    }
    out
}

/// A region without what is narrower than twice `by_mm`; what is left keeps its rim to the
/// last digit.
pub(crate) fn opened(region: &Outline, by_mm: f64) -> Outline {
    grow(&shrink(region, by_mm), by_mm + 1e-4).intersection(region)
}

/// The share of a region's rim beyond which a section goes on.
fn inside(region: &Polygon, section: &Outline) -> f64 {
    let region = Outline::new(vec![region.clone()]);
    let beyond = grow(&region, BESIDE_MM).difference(&region);
    beyond.intersection(section).unsigned_area() / beyond.unsigned_area()
}
