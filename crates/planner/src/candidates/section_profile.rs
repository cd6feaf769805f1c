//! What a cut square to an axis would meet at one place.

use geo::{Area, BoundingRect, Euclidean, Length, Polygon, Simplify};
use joinery::{JointKind, JointRules, TailSize};
use rayon::prelude::*;
use solid::{Frame, Outline, SectionIndex, Solid, Vector, shared, shrink, unshared};

use crate::candidates::ripped::Backed;
use crate::candidates::same_section::same;
use crate::candidates::sliding_window::in_common;

/// How far behind a cut material is looked for.
const DEEP_MM: f64 = 24.0;

/// Where between the plane and the reach of a joint sections are taken too, in
/// parts of the reach.
const BETWEEN: [f64; 2] = [-0.35, 0.35];

/// Corners of a section that lie this near to the line between their neighbours
/// are none: where it crosses the edge between two triangles of one flat face.
const STRAIGHT_MM: f64 = 1e-6;

/// What a cut square to an axis would meet at one place.
#[derive(Clone, Debug)]
pub(crate) struct Cut {
    /// Its place along the axis.
    pub(crate) at_mm: f64,
    /// The section there.
    pub(crate) section: Outline,
    /// The part of it that has material as far as a joint reaches, on both
    /// sides: where it is missing the cut runs along a wall or grazes a
    /// feature.
    pub(crate) sound: Outline,
    /// The part of the section that has material far behind it on both sides:
    /// the rest runs along a board, or close to where something ends.
    pub(crate) deep: Outline,
    /// The islands of the sound part that are wide enough for a joint.
    pub(crate) roomy: Outline,
    /// Where material begins or ends within the reach of a joint: a face that
    /// the cut grazes, or one that would close the way of a slide.
    pub(crate) grazed: Outline,
    /// Where one side of the cut would end in a feather edge.
    pub(crate) feather: Vec<Segment>,
    /// What of the section goes on far behind the cut, where some of it does not.
    pub(crate) backed: Option<Backed>,
    /// Whether it lies flush with the face of a panel.
    pub(crate) flush: bool,
}

/// From one point in a cut's plane to another.
pub(crate) type Segment = [[f64; 2]; 2];

/// Where a cut meets the surface at less than this, what is left is no wall but
/// too thin to print; inspection counts walls up to the same angle.
const FEATHER_DEG: f64 = 20.0;
/// With a feather edge of this length a cut is worth half as much.
const FEATHER_MM: f64 = 40.0;

impl Cut {
    /// From 0 (nothing to hold on to) to 1 (sound and roomy all over).
    pub(crate) fn quality(&self) -> f64 {
        let all = self.section.unsigned_area();
        if all < 1e-6 {
            // Through thin air: as good as a cut can be.
            return 1.0;
        }
        let sound = (self.sound.unsigned_area() - self.grazed.unsigned_area()).max(0.0);
        let roomy = self.roomy.unsigned_area();
        let feather: f64 = self.feather.iter().map(length_mm).sum();
        sound / all / (1.0 + feather / FEATHER_MM)
            * 0.5
            * (1.0
                + if sound > 0.0 {
                    (roomy / sound).min(1.0)
                } else {
                    0.0
                })
    }
}

/// How long a segment is.
pub(crate) fn length_mm([a, b]: &Segment) -> f64 {
    (b[0] - a[0]).hypot(b[1] - a[1])
}

/// Whether some disc of this radius lies in an island.
///
/// Where all lies within `r` of the rim it is covered by strips `r` wide along
/// the rim and sectors at the corners that point inward: its area is no more
/// than `r` times the length of the rim and `π r²` for each hole but the first
/// (Sz.-Nagy 1959, *Über Parallelmengen nichtkonvexer ebener Bereiche*, from
/// memory). What has more needs no closer look; nor has what is narrower.
fn holds_disc(island: &Polygon, radius_mm: f64) -> bool {
    let Some(around) = island.bounding_rect() else {
        return false;
    };
    if around.width().min(around.height()) <= 2.0 * radius_mm {
        return false;
    }
    let rims = std::iter::once(island.exterior()).chain(island.interiors());
    let rim_mm: f64 = rims.map(|r| Euclidean.length(r)).sum();
    let holes = island.interiors().len() as f64 - 1.0;
    let near_rim = radius_mm * rim_mm + std::f64::consts::PI * radius_mm.powi(2) * holes.max(0.0);
    island.unsigned_area() > near_rim
        || shrink(&Outline::new(vec![island.clone()]), radius_mm).unsigned_area() > 0.0
}

/// Takes the sections for cuts at given places.
pub(crate) struct Profiler<'a> {
    sections: SectionIndex<'a>,
    axis: usize,
    reach_mm: f64,
    half_strip_mm: f64,
}

impl<'a> Profiler<'a> {
    pub(crate) fn new(model: &'a Solid, axis: usize, rules: &JointRules, reach_mm: f64) -> Self {
        Self {
            sections: SectionIndex::along(model, Vector::ith(axis, 1.0)),
            axis,
            reach_mm: reach_mm + rules.crest_relief_mm + rules.min_wall_mm,
            half_strip_mm: TailSize::of_width(
                JointKind::Dovetail,
                rules.least_tail_width_mm,
                rules,
            )
            .strip_mm()
                / 2.0,
        }
    }

    /// The same for a part of the model.
    pub(crate) fn within<'b>(&self, part: &'b Solid) -> Profiler<'b> {
        Profiler {
            sections: SectionIndex::along(part, Vector::ith(self.axis, 1.0)),
            axis: self.axis,
            reach_mm: self.reach_mm,
            half_strip_mm: self.half_strip_mm,
        }
    }

    fn section(&self, at_mm: f64) -> Outline {
        let section = self.sections.section(&Frame::across_axis(self.axis, at_mm));
        section.simplify(STRAIGHT_MM)
    }

    pub(crate) fn cuts(&self, places: &[f64]) -> Vec<Cut> {
        places
            .par_iter()
            .map(|&at| {
                let r = self.reach_mm;
                let [low, here, high] = [at - r, at, at + r].map(|x| self.section(x));
                let between = BETWEEN.map(|part| self.section(at + part * r));
                let far = [at - DEEP_MM, at + DEEP_MM].map(|x| self.section(x));
                // A gap may be narrower than the reach.
                let near = [&low, &high].into_iter().chain(&between);
                let sound = near
                    .filter(|x| !same(x, &here))
                    .fold(here.clone(), |all, x| shared(&all, x));
                self.cut(at, [&low, &here, &high], sound, [&far[0], &far[1]])
            })
            .collect()
    }

    /// Cuts flush with faces that look along the axis: a panel stays whole,
    /// and what ends on it is housed in its face. What lies beside such a cut
    /// is not in its way, because it begins where the cut is.
    pub(crate) fn flush_cuts(&self, places: &[f64]) -> Vec<Cut> {
        let mut cuts = self.cuts(places);
        for cut in &mut cuts {
            cut.grazed = Outline::new(Vec::new());
            cut.flush = true;
        }
        cuts
    }

    /// A cut from sections a reach below, here, and a reach above, what they and
    /// those between them have in common, and sections far away.
    fn cut(
        &self,
        at_mm: f64,
        [low, here, high]: [&Outline; 3],
        sound: Outline,
        [far_low, far_high]: [&Outline; 2],
    ) -> Cut {
        // An island that vanishes when shrunk by half a strip has no room.
        let roomy = sound
            .iter()
            .filter(|island| holds_disc(island, 0.98 * self.half_strip_mm))
            .cloned()
            .collect();
        let within = |held: Outline, by: &Outline| {
            if same(by, here) {
                held
            } else {
                shared(&held, by)
            }
        };
        Cut {
            at_mm,
            section: here.clone(),
            deep: within(within(sound.clone(), far_low), far_high),
            sound,
            roomy: Outline::new(roomy),
            grazed: if same(low, high) {
                Outline::new(Vec::new())
            } else {
                unshared(low, high)
            },
            feather: (self.sections).feather_edges(
                &Frame::across_axis(self.axis, at_mm),
                FEATHER_DEG.to_radians(),
            ),
            backed: Backed::of(here, [far_low, far_high]),
            flush: false,
        }
    }

    /// Evenly spaced cuts over a range, sections shared between neighbours.
    pub(crate) fn sweep(&self, low_mm: f64, high_mm: f64, step_mm: f64) -> Vec<Cut> {
        let reach = (self.reach_mm / step_mm).ceil() as usize;
        let far = (DEEP_MM / step_mm).round() as usize;
        let count = ((high_mm - low_mm) / step_mm).floor().max(0.0) as usize;
        let places: Vec<f64> = (1..count).map(|k| low_mm + step_mm * k as f64).collect();
        let sections: Vec<Outline> = places.par_iter().map(|&at| self.section(at)).collect();
        let in_both = |a: &Outline, b: &Outline| {
            if same(a, b) { a.clone() } else { shared(a, b) }
        };
        let sound = in_common(&sections, reach, same, in_both);
        let nothing = Outline::new(Vec::new());
        sound
            .into_par_iter()
            .enumerate()
            .map(|(k, sound)| {
                let under = |by: usize| k.checked_sub(by).map_or(&nothing, |i| &sections[i]);
                let over = |by: usize| sections.get(k + by).unwrap_or(&nothing);
                self.cut(
                    places[k],
                    [under(reach), &sections[k], over(reach)],
                    sound.unwrap_or_else(|| nothing.clone()),
                    [under(far), over(far)],
                )
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use geo::{BooleanOps, Contains, Distance, LineString};
    use proptest::prelude::*;

    use super::*;

    /// A star about the origin, which may be far from convex, with a square hole.
    fn holed_star(radii: &[f64], hole: f64) -> Outline {
        let n = radii.len() as f64;
        let corner = |(k, r): (usize, &f64)| {
            let angle = std::f64::consts::TAU * k as f64 / n;
            (r * angle.cos(), r * angle.sin())
        };
        let rim: Vec<(f64, f64)> = radii.iter().enumerate().map(corner).collect();
        let star = Outline::new(vec![Polygon::new(rim.into(), Vec::new())]);
        star.difference(&solid::rectangle([0.0; 2], [hole; 2]))
    }

    proptest! {
        #[test]
        fn a_disc_is_found_where_there_is_one(
            radii in proptest::collection::vec(4.0f64..30.0, 5..16),
            hole in 0.0f64..20.0,
            radius in 2.0f64..12.0,
        ) {
            for island in &holed_star(&radii, hole) {
                let alone = Outline::new(vec![island.clone()]);
                // The largest disc about any point of a grid.
                let rims: Vec<&LineString> =
                    std::iter::once(island.exterior()).chain(island.interiors()).collect();
                let places = (-60..=60).flat_map(|x| (-60..=60).map(move |y| (x, y)));
                let largest = places
                    .map(|(x, y)| geo::Point::new(f64::from(x) / 2.0, f64::from(y) / 2.0))
                    .filter(|p| island.contains(p))
                    .map(|p| {
                        let to = |r: &&LineString| Euclidean.distance(&p, *r);
                        rims.iter().map(to).fold(f64::INFINITY, f64::min)
                    })
                    .fold(0.0, f64::max);
                // No point is further from the grid than half a diagonal.
                if holds_disc(island, radius) {
                    prop_assert!(largest > radius - 0.36, "{largest} {radius}");
                } else {
                    prop_assert!(shrink(&alone, radius).unsigned_area() == 0.0);
                }
            }
        }
    }
}
