//! The model in all the little boxes between candidate cuts.

use geo::{Area, InteriorPoint};
use rayon::prelude::*;
use solid::{Bounds, Frame, KernelError, Outline, RayCaster, Solid, area_within, shared};

use crate::candidates::section_profile::{Cut, Segment, length_mm};
use crate::constraint::constraints::Constraints;
use crate::constraint::fixed::Owners;
use crate::lattice::box_range::BoxRange;
use crate::lattice::boxes::boxes;
use crate::lattice::face_areas::FaceAreas;
use crate::lattice::kdop::{Kdop, Owner, directions};
use crate::lattice::part::Part;
use crate::lattice::shown::shown;

/// The model in all the little boxes between candidate cuts, and what each
/// cut meets in each little face: all that the search for a plan needs.
pub(crate) struct Lattice {
    /// Candidate cuts of each axis, in rising order.
    pub(crate) cuts: [Vec<Cut>; 3],
    /// The bodies of all boxes, in the order of the boxes' indices; a body's id
    /// is its place here.
    pub(crate) bodies: Vec<Body>,
    /// The id of the first body of each box, by the box's index, and at last the
    /// number of bodies.
    first_id: Vec<usize>,
    /// For each body, those in the boxes after its own to which it joins.
    joins: Vec<Vec<Join>>,
    /// For each axis and each face across it what a cut meets there.
    pub(crate) areas: [Vec<FaceAreas>; 3],
    /// For each axis and each face across it: whether a box to keep out of lies
    /// on it.
    pub(crate) kept_out: [Vec<bool>; 3],
}

/// Areas of one face, and the bodies that meet there.
type Face = (FaceAreas, Links);

/// Bodies that meet on a face, as ids in the box before and after the cut, and
/// the area over which they do.
type Links = Vec<(usize, usize, f64)>;

/// One body in one little box.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Body {
    pub(crate) at: [u8; 3],
    pub(crate) reach: Kdop,
}

/// Where a body goes on in the next box of an axis.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Join {
    pub(crate) axis: usize,
    /// The body there.
    pub(crate) to: usize,
    /// The area over which they join.
    pub(crate) area_mm2: f64,
}

impl Lattice {
    /// The lattice over given cuts; which of its faces are kept out of, and
    /// which of its bodies belong to pieces that are there already.
    pub(crate) fn over(
        model: &Solid,
        cuts: [Vec<Cut>; 3],
        constraints: &Constraints,
    ) -> Result<Self, KernelError> {
        let counts = [0, 1, 2].map(|k| cuts[k].len() + 1);
        let places = cuts.each_ref().map(|c| c.iter().map(|c| c.at_mm).collect());
        let solids = boxes(model, &places)?;
        let along = directions();
        let bodies: Vec<Vec<Solid>> = solids
            .into_par_iter()
            .map(|s| {
                s.bodies()
                    .into_iter()
                    .filter(|b| b.volume_mm3() > 1e-3)
                    .collect()
            })
            .collect();
        let owners = Owners::of(&constraints.fixed);
        let places = BoxRange::all(counts).boxes();
        let placed: Vec<([u8; 3], &Solid)> = places
            .zip(&bodies)
            .flat_map(|(at, own)| own.iter().map(move |s| (at, s)))
            .collect();
        let first_id = std::iter::once(0)
            .chain(bodies.iter().scan(0, |next, own| {
                *next += own.len();
                Some(*next)
            }))
            .collect();
        let body = |&(at, s): &([u8; 3], &Solid)| {
            let mut reach = Kdop::of(s, &along);
            reach.owner = owners.owner(s).map_or(Owner::Free, Owner::Fixed);
            Body { at, reach }
        };
        let mut lattice = Self {
            cuts,
            bodies: placed.par_iter().map(body).collect(),
            joins: vec![Vec::new(); placed.len()],
            first_id,
            areas: [Vec::new(), Vec::new(), Vec::new()],
            kept_out: [Vec::new(), Vec::new(), Vec::new()],
        };
        let bounds = model.bounds().unwrap_or(Bounds {
            min: nalgebra::Point3::origin(),
            max: nalgebra::Point3::origin(),
        });
        for axis in 0..3 {
            lattice.across(axis, &bodies, &bounds, constraints);
        }
        Ok(lattice)
    }

    /// Fills in the faces across an axis.
    fn across(
        &mut self,
        axis: usize,
        bodies: &[Vec<Solid>],
        bounds: &Bounds,
        constraints: &Constraints,
    ) {
        let counts = self.counts();
        let (b, c) = ((axis + 1) % 3, (axis + 2) % 3);
        let faces: Vec<[usize; 3]> = (0..self.cuts[axis].len())
            .flat_map(|k| (0..counts[b]).flat_map(move |j| (0..counts[c]).map(move |l| [k, j, l])))
            .collect();
        let shown: Vec<Vec<Segment>> = self.cuts[axis]
            .iter()
            .map(|cut| shown(&cut.section, axis, &constraints.hidden))
            .collect();
        let found: Vec<Face> = faces
            .par_iter()
            .map(|&face| self.face(bodies, bounds, axis, face, &shown[face[0]]))
            .collect();
        let (areas, links): (Vec<FaceAreas>, Vec<Links>) = found.into_iter().unzip();
        self.kept_out[axis] = faces
            .iter()
            .zip(areas.iter().zip(&links))
            .map(|(&[k, j, l], (area, links))| {
                let at = self.cuts[axis][k].at_mm;
                let (u, v) = (self.ends(bounds, b, j), self.ends(bounds, c, l));
                let owner = |id: usize| self.bodies[id].reach.owner;
                let whole = links
                    .iter()
                    .any(|&(x, y, _)| owner(x) == owner(y) && owner(x) != Owner::Free);
                whole || (area.all_mm2 > 0.0 && constraints.spares(axis, at, [u, v]))
            })
            .collect();
        for (from, to, area_mm2) in links.into_iter().flatten() {
            self.joins[from].push(Join { axis, to, area_mm2 });
        }
        self.areas[axis] = areas;
    }

    /// Boxes along each axis.
    pub(crate) fn counts(&self) -> [usize; 3] {
        [0, 1, 2].map(|k| self.cuts[k].len() + 1)
    }

    /// The part of space that a range of boxes takes.
    pub(crate) fn part(&self, range: BoxRange) -> Part {
        let place = |axis: usize, k: u8| self.cuts[axis].get(usize::from(k)).map(|c| c.at_mm);
        let mut part = Part::WHOLE;
        for axis in 0..3 {
            let first = range.low[axis].checked_sub(1).and_then(|k| place(axis, k));
            part.low[axis] = first.unwrap_or(part.low[axis]);
            part.high[axis] = place(axis, range.high[axis] - 1).unwrap_or(part.high[axis]);
        }
        part
    }

    /// The ids of a box's bodies.
    pub(crate) fn ids(&self, at: [u8; 3]) -> std::ops::Range<usize> {
        let index = self.box_index(at.map(usize::from));
        self.first_id[index]..self.first_id[index + 1]
    }

    /// Where a body goes on, along the axes in turn.
    pub(crate) fn joins(&self, id: usize) -> &[Join] {
        &self.joins[id]
    }

    fn box_index(&self, at: [usize; 3]) -> usize {
        let n = self.counts();
        (at[0] * n[1] + at[1]) * n[2] + at[2]
    }

    pub(crate) fn face_index(&self, axis: usize, cut: usize, j: usize, l: usize) -> usize {
        let n = self.counts();
        (cut * n[(axis + 1) % 3] + j) * n[(axis + 2) % 3] + l
    }

    /// Lower and upper end of a box range along an axis.
    fn ends(&self, bounds: &Bounds, axis: usize, k: usize) -> (f64, f64) {
        let low = if k == 0 {
            bounds.min[axis] - 1.0
        } else {
            self.cuts[axis][k - 1].at_mm
        };
        let high = self.cuts[axis]
            .get(k)
            .map_or(bounds.max[axis] + 1.0, |c| c.at_mm);
        (low, high)
    }

    fn face(
        &self,
        bodies: &[Vec<Solid>],
        bounds: &Bounds,
        axis: usize,
        [k, j, l]: [usize; 3],
        shown: &[Segment],
    ) -> Face {
        let (b, c) = ((axis + 1) % 3, (axis + 2) % 3);
        let mut at = [0; 3];
        (at[axis], at[b], at[c]) = (k, j, l);
        let before = self.box_index(at);
        at[axis] = k + 1;
        let after = self.box_index(at);
        if bodies[before].is_empty() || bodies[after].is_empty() {
            return (FaceAreas::default(), Vec::new());
        }
        let (u, v) = (self.ends(bounds, b, j), self.ends(bounds, c, l));
        let cell = [[u.0, v.0], [u.1, v.1]];
        let cut = &self.cuts[axis][k];
        let area = |outline: &Outline| area_within(outline, cell[0], cell[1]);
        let all = area(&cut.section);
        if all <= 0.0 {
            return (FaceAreas::default(), Vec::new());
        }
        let length = |segments: &[Segment]| {
            let within = segments.iter().filter_map(|s| clipped(s, cell));
            within.map(|s| length_mm(&s)).sum()
        };
        let areas = FaceAreas {
            all_mm2: all,
            sound_mm2: (area(&cut.sound) - area(&cut.grazed)).max(0.0),
            roomy_mm2: area(&cut.roomy),
            deep_mm2: area(&cut.deep),
            feather_mm: length(&cut.feather),
            shown_mm: length(shown),
            ripped_mm2: (cut.backed.as_ref()).map_or(0.0, |b| b.ripped_mm2(all, area)),
        };
        let mut links = Vec::new();
        let first = [self.first_id[before], self.first_id[after]];
        if bodies[before].len() == 1 && bodies[after].len() == 1 {
            if all > 0.05 {
                links.push((first[0], first[1], all));
            }
        } else {
            let frame = Frame::across_axis(axis, cut.at_mm);
            let casters = [&bodies[before], &bodies[after]]
                .map(|side| side.iter().map(RayCaster::new).collect::<Vec<_>>());
            for island in &shared(&cut.section, &solid::rectangle(cell[0], cell[1])) {
                let area_mm2 = island.unsigned_area();
                let Some(p) = island.interior_point().filter(|_| area_mm2 > 0.05) else {
                    continue;
                };
                let find = |side: usize, h: f64| {
                    let at = frame.place(p.x(), p.y(), h);
                    casters[side]
                        .iter()
                        .position(|c| c.as_ref().is_some_and(|c| c.contains(&at)))
                };
                if let (Some(x), Some(y)) = (find(0, -0.01), find(1, 0.01)) {
                    links.push((first[0] + x, first[1] + y, area_mm2));
                }
            }
        }
        (areas, links)
    }
}

/// The part of a segment in a rectangle (Liang & Barsky 1984, *A new concept and
/// method for line clipping*).
fn clipped([a, b]: &Segment, [low, high]: [[f64; 2]; 2]) -> Option<Segment> {
    let (mut from, mut to) = (0.0f64, 1.0f64);
    for k in 0..2 {
        let along = b[k] - a[k];
        if along == 0.0 {
            if a[k] < low[k] || a[k] >= high[k] {
                return None;
            }
            continue;
        }
        let ends = [low[k], high[k]].map(|at| (at - a[k]) / along);
        from = from.max(ends[0].min(ends[1]));
        to = to.min(ends[0].max(ends[1]));
    }
    let at = |t: f64| [0, 1].map(|k| a[k] + (b[k] - a[k]) * t);
    (from < to).then(|| [at(from), at(to)])
}
