//! A model's members.

use solid::{Frame, KernelError, Solid, Vector};

use crate::members::flat_faces::{FlatFaces, flat_faces};
use crate::members::meeting::{Meeting, MeetingKind, meetings};
use crate::members::member::{Member, MemberKind};
use crate::members::owned::{Owned, Owner, owned};
use crate::members::slab::{Slab, slabs, smallest_rectangle};
use crate::members::stick::stick;
use crate::members::turned::turned;

/// Above this many triangles members are looked for in a simplified model.
const SIMPLER_ABOVE: usize = 100_000;
/// How far its surface may lie from the model's, in mm.
const TOLERANCE_MM: f64 = 0.1;
/// What is left of the model without its boards and is smaller than this share
/// of it is left over from roundings.
const LEFT_OVER: f64 = 1e-3;
/// Contacts thinner than this need no joint, in mm; a strip is so many times as long as wide.
const THIN_MM: f64 = 8.5;
const STRIP: f64 = 2.0;
/// Where more than this share of a model belongs to no member, it is not made of them.
const NONE_OF_IT: f64 = 0.6;
/// How far above the lowest point a leg's foot may end, in mm.
const FLOOR_MM: f64 = 2.0;

/// The boards, legs, posts and rails of a model, and where they meet.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Members {
    /// Boards and sticks between flat faces first, from the largest face down,
    /// then what is turned or tapered.
    pub members: Vec<Member>,
    /// Where they meet.
    pub meetings: Vec<Meeting>,
    /// What share of the model's volume belongs to no member.
    pub rest: f64,
}

impl Members {
    /// Finds them in the solid alone. A board is what lies between two parallel
    /// flat faces at least two and a half times as wide as they are apart,
    /// rounded towards its edges or not; places where others are attached to
    /// one of its faces are its own, and what passes through both faces is
    /// not, unless that is a board with smaller faces. Where two overlap, as
    /// at a corner, one has it, such that the contacts on a seam lie the same way and as many
    /// members as can be are alike. What is left is a leg,
    /// a post or a rail where it is long, straight, and tapers evenly if at
    /// all. `up` says which way the furniture stands.
    ///
    /// # Errors
    ///
    /// When the kernel refuses the model.
    ///
    /// ```
    /// use planner::{MemberKind, Members};
    /// use solid::{Point, Solid, Vector};
    ///
    /// let block = |a: [f64; 3], b: [f64; 3]| Solid::cuboid(Point::from(a), Point::from(b));
    /// let parts = [
    ///     block([0.0, 0.0, 0.0], [18.0, 240.0, 500.0]),
    ///     block([0.0, 0.0, 250.0], [400.0, 240.0, 268.0]),
    /// ];
    /// let model = Solid::union_of(&parts).unwrap();
    /// let found = Members::of(&model, &Vector::z()).unwrap();
    /// let sizes: Vec<_> = found.members.iter().map(|m| m.size()).collect();
    /// assert_eq!(sizes, ["500 × 240 × 18", "382 × 240 × 18"]);
    /// assert_eq!(found.members[1].kind, MemberKind::Board);
    /// assert_eq!(found.meetings.len(), 1);
    /// ```
    pub fn of(model: &Solid, up: &Vector) -> Result<Self, KernelError> {
        let simpler;
        let model = if model.triangles().len() > SIMPLER_ABOVE {
            simpler = model.simplified(TOLERANCE_MM)?;
            &simpler
        } else {
            model
        };
        let faces = flat_faces(model);
        let boards = best_owned(&slabs(model, &faces), &faces)?;
        let bodies = Solid::union_of(boards.iter().map(|b| &b.1))?;
        let left = model.difference(&bodies)?;
        let mut members: Vec<Member> = boards.into_iter().map(|b| b.0).collect();
        let volume = model.volume_mm3();
        let mut rest = 0.0;
        for body in left.bodies() {
            let share = body.volume_mm3() / volume;
            if share < LEFT_OVER {
                continue;
            }
            if let Some(member) = stick(&body) {
                members.push(member);
                continue;
            }
            let round = turned(&body);
            let found: f64 = round.iter().map(Member::volume_mm3).sum();
            rest += (share - found / volume).max(0.0);
            members.extend(round);
        }
        let floor = model.reach_along(up).map_or(0.0, |reach| reach.0);
        for member in &mut members {
            if member.kind != MemberKind::Board {
                member.kind = stands(member, up, floor);
            }
        }
        let meetings = meetings(&members, &faces);
        Ok(Self {
            members,
            meetings,
            rest,
        })
    }

    /// Whether most of the model belongs to none: it is a body of another kind.
    pub fn are_hardly_any(&self) -> bool {
        self.members.is_empty() || self.rest > NONE_OF_IT
    }

    /// How many meetings there are of each kind.
    pub fn met(&self) -> Vec<(usize, MeetingKind)> {
        let mut out: Vec<(usize, MeetingKind)> = Vec::new();
        for kind in self.meetings.iter().map(|m| m.kind) {
            match out.iter_mut().find(|(_, known)| *known == kind) {
                Some(known) => known.0 += 1,
                None => out.push((1, kind)),
            }
        }
        out.sort_by_key(|(_, kind)| *kind);
        out
    }

    /// Members that lie between flat faces, and where they meet.
    fn between_faces(members: Vec<Member>, faces: &[FlatFaces]) -> Self {
        let meetings = meetings(&members, faces);
        Self {
            members,
            meetings,
            rest: 0.0,
        }
    }

    /// Area of meetings that lie across most others in their plane, those thin ones left out
    /// that need no joint: a slide along the one is across the other.
    fn across_mm2(&self) -> f64 {
        let mut planes: Vec<(&Frame, [f64; 2])> = Vec::new();
        for meeting in &self.meetings {
            let plane = &meeting.plane;
            let Some(strip) = smallest_rectangle(&meeting.outline) else {
                continue;
            };
            let [length, width] = strip.sides_mm;
            if width < THIN_MM || length < STRIP * width {
                continue;
            }
            let known = planes.iter().position(|(p, _)| {
                p.n.dot(&plane.n).abs() > 1.0 - 1e-6 && p.height(&plane.origin).abs() < 0.05
            });
            let k = known.unwrap_or_else(|| {
                planes.push((plane, [0.0; 2]));
                planes.len() - 1
            });
            let along = plane.u * strip.along[0] + plane.v * strip.along[1];
            let across = along.dot(&planes[k].0.u).abs() < std::f64::consts::FRAC_1_SQRT_2;
            planes[k].1[usize::from(across)] += length * width;
        }
        planes.iter().map(|(_, [a, b])| a.min(*b)).sum()
    }

    /// How many there are of each kind and size, from the largest number of the
    /// first kind on; sizes that differ by less than 0.05 mm are the same.
    pub fn alike(&self) -> Vec<(usize, &Member)> {
        let mut out: Vec<(usize, &Member)> = Vec::new();
        for member in &self.members {
            let same = |other: &Member| {
                let sizes = member.size_mm.iter().zip(&other.size_mm);
                member.kind == other.kind
                    && member.round == other.round
                    && sizes.into_iter().all(|(a, b)| (a - b).abs() < 0.05)
            };
            match out.iter_mut().find(|(_, other)| same(other)) {
                Some(known) => known.0 += 1,
                None => out.push((1, member)),
            }
        }
        out.sort_by_key(|(_, m)| m.kind);
        out
    }
}

/// The boards that slabs are, corners given to those with which the most contacts on a seam
/// lie the same way, so that one slide serves them all; among such, with which the most are
/// alike.
fn best_owned(slabs: &[Slab], faces: &[FlatFaces]) -> Result<Vec<Owned>, KernelError> {
    let mut best: Option<((i64, usize), Vec<Owned>)> = None;
    for owner in Owner::ALL {
        let boards = owned(slabs, owner)?;
        let found = Members::between_faces(boards.iter().map(|b| b.0.clone()).collect(), faces);
        let worth = (found.across_mm2().round() as i64, found.alike().len());
        if best.as_ref().is_none_or(|b| worth < b.0) {
            best = Some((worth, boards));
        }
    }
    Ok(best.map_or_else(Vec::new, |b| b.1))
}

/// What a stick is by how it stands.
fn stands(member: &Member, up: &Vector, floor_mm: f64) -> MemberKind {
    let along = member.frame.u;
    if along.dot(up).abs() < std::f64::consts::FRAC_1_SQRT_2 {
        return MemberKind::Rail;
    }
    if member.reach_along(up).0 < floor_mm + FLOOR_MM {
        MemberKind::Leg
    } else {
        MemberKind::Post
    }
}
