//! Where members meet.

use std::fmt;

use geo::{Area, BooleanOps, ConvexHull, MultiPoint};
use solid::{Frame, Outline, Vector};

use crate::members::flat_faces::FlatFaces;
use crate::members::member::{Member, MemberKind};

/// Faces that are no further apart than this touch, in mm.
const TOUCH_MM: f64 = 0.1;
/// Boxes of what is round reach past its surface; those within this touch, in
/// widths.
const ROUND_TOUCH: f64 = 0.25;
/// The cosine of how far round and tapered legs may lean from what they meet.
const LEANING: f64 = 0.9;
/// A meeting lies in a flat face that is no further from it, in mm.
const SNAP_MM: f64 = 0.02;
/// Faces that share less than this do not meet, in mm².
const LEAST_MM2: f64 = 20.0;
/// A member that ends within this many thicknesses of another one's edge meets
/// it at a corner.
const AT_EDGE: f64 = 0.5;

/// Two members that meet.
#[derive(Clone, Debug, PartialEq)]
pub struct Meeting {
    /// The one whose face the other ends on, and the other, by their number.
    pub members: [usize; 2],
    /// How.
    pub kind: MeetingKind,
    /// In the face on which the other ends, out of the first; where that is
    /// round, in the side of its box.
    pub plane: Frame,
    /// Where the two touch, or where the other ends, in the plane.
    pub outline: Outline,
}

/// How two members meet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum MeetingKind {
    /// A board or a rail ends on a board's face.
    T,
    /// A board or a rail ends on a board's face, at its edge.
    Corner,
    /// Boards pass through each other: one ends at both faces of the other.
    Crossing,
    /// A leg or post ends under or on a board.
    LegAtBoard,
    /// A rail, or a board on edge, ends on a leg or post.
    RailIntoLeg,
    /// Boards lie face on face.
    FaceOnFace,
}

impl fmt::Display for MeetingKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::T => "an end on a face",
            Self::Corner => "a corner",
            Self::Crossing => "a crossing",
            Self::LegAtBoard => "a leg at a board",
            Self::RailIntoLeg => "a rail into a leg",
            Self::FaceOnFace => "face on face",
        })
    }
}

impl Meeting {
    /// How much of the two faces touches, in mm².
    pub fn area_mm2(&self) -> f64 {
        self.outline.unsigned_area()
    }
}

/// One of the six faces of a member's box.
#[derive(Clone, Copy)]
struct Side {
    /// Which axis it is square to: 0 of the ends, 1 of the edges, 2 of the
    /// faces.
    axis: usize,
    plane: Frame,
    half_mm: [f64; 2],
}

fn sides(member: &Member) -> Vec<Side> {
    let f = &member.frame;
    let axes = [f.u, f.v, f.n];
    let mut out = Vec::new();
    for axis in 0..3 {
        for sign in [-1.0, 1.0] {
            let n = axes[axis] * sign;
            let u = axes[(axis + 1) % 3];
            let half = member.size_mm.map(|s| s / 2.0);
            out.push(Side {
                axis,
                plane: Frame::with_axes(f.origin + n * half[axis], n, u),
                half_mm: [half[(axis + 1) % 3], half[(axis + 2) % 3]],
            });
        }
    }
    out
}

impl Side {
    /// Its rectangle in a plane.
    fn outline(&self, plane: &Frame) -> Outline {
        let [a, b] = self.half_mm;
        let corners = [[-a, -b], [a, -b], [a, b], [-a, b]];
        let at = |[u, v]: [f64; 2]| {
            let c = plane.coordinates(&self.plane.place(u, v, 0.0));
            geo::Point::new(c.x, c.y)
        };
        let points: MultiPoint = corners.into_iter().map(at).collect();
        Outline::new(vec![points.convex_hull()])
    }
}

/// All meetings of some members, in their order.
pub(crate) fn meetings(members: &[Member], faces: &[FlatFaces]) -> Vec<Meeting> {
    let mut out: Vec<Meeting> = Vec::new();
    let bounds: Vec<_> = members.iter().map(Member::bounds).collect();
    for one in 0..members.len() {
        for two in one + 1..members.len() {
            let reach = reach_mm(&members[one]).max(reach_mm(&members[two]));
            if bounds[one].overlaps(&bounds[two], -reach) {
                out.extend(meeting(members, one, two));
            }
        }
    }
    cross(members, &mut out);
    for meeting in &mut out {
        meeting.plane = on_face(meeting.plane, faces);
    }
    out
}

/// A plane moved to the model's flat face in it, to the last digit.
fn on_face(plane: Frame, faces: &[FlatFaces]) -> Frame {
    let off = |f: &FlatFaces| f.at_mm - f.normal.dot(&plane.origin.coords);
    let same = |f: &&FlatFaces| {
        let along = f.normal.dot(&plane.n);
        along.abs() > 1.0 - 1e-6 && off(f).abs() < SNAP_MM
    };
    let Some(face) = faces.iter().find(same) else {
        return plane;
    };
    let normal = face.normal * face.normal.dot(&plane.n).signum();
    Frame::with_axes(plane.origin + face.normal * off(face), normal, plane.u)
}

/// How far the surface of what is round, or tapers, may lie within its box.
fn reach_mm(member: &Member) -> f64 {
    if member.round || member.thin_end_mm.is_some() {
        ROUND_TOUCH * member.size_mm[1]
    } else {
        TOUCH_MM
    }
}

fn meeting(members: &[Member], one: usize, two: usize) -> Option<Meeting> {
    let mut best: Option<(f64, Meeting)> = None;
    for (on, ending) in [(one, two), (two, one)] {
        let reach = reach_mm(&members[on]).max(reach_mm(&members[ending]));
        for face in sides(&turned_to(&members[on], &members[ending])) {
            // Nothing ends on the end of a rail or on a board's edge while it
            // may be said the other way round.
            for end in sides(&members[ending]) {
                let square = if reach > TOUCH_MM { LEANING } else { 0.996 };
                if end.axis > face.axis || face.plane.n.dot(&end.plane.n) > -square {
                    continue;
                }
                let height = face.plane.height(&end.plane.origin);
                if height < -reach - TOUCH_MM || height > TOUCH_MM {
                    continue;
                }
                let plane = face.plane;
                let outline = face.outline(&plane).intersection(&end.outline(&plane));
                let area = outline.unsigned_area();
                // As good either way, the broader face is the one that holds.
                let worth = area * (1.0 + face.axis as f64);
                if area > LEAST_MM2 && best.as_ref().is_none_or(|b| worth > b.0) {
                    let kind = kind(&members[on], &members[ending], (&face, &end), &outline);
                    best = Some((
                        worth,
                        Meeting {
                            members: [on, ending],
                            kind,
                            plane,
                            outline,
                        },
                    ));
                }
            }
        }
    }
    best.map(|b| b.1)
}

/// A member whose box, where it is round, is turned about its axis to face another one.
fn turned_to(member: &Member, other: &Member) -> Member {
    let f = &member.frame;
    let axis = if member.kind == MemberKind::Board {
        f.n
    } else {
        f.u
    };
    let towards = other.frame.u - axis * axis.dot(&other.frame.u);
    if !member.round || towards.norm() < 0.1 || member.kind == MemberKind::Board {
        return member.clone();
    }
    Member {
        frame: Frame::with_axes(f.origin, towards, f.u),
        ..member.clone()
    }
}

fn kind(
    on: &Member,
    ending: &Member,
    (face, end): (&Side, &Side),
    outline: &Outline,
) -> MeetingKind {
    let board = |m: &Member| m.kind == MemberKind::Board;
    let upright = |m: &Member| matches!(m.kind, MemberKind::Leg | MemberKind::Post);
    if board(on) && face.axis == 2 && end.axis == 2 && board(ending) {
        MeetingKind::FaceOnFace
    } else if board(on) && upright(ending) || upright(on) && board(ending) && end.axis == 2 {
        MeetingKind::LegAtBoard
    } else if board(on) && face.axis == 2 && !at_edge(on, &face.plane, ending, outline) {
        MeetingKind::T
    } else if board(on) {
        MeetingKind::Corner
    } else {
        MeetingKind::RailIntoLeg
    }
}

/// Whether what ends on a face does so along the face's edge.
fn at_edge(on: &Member, face: &Frame, ending: &Member, outline: &Outline) -> bool {
    let thickness = ending.size_mm[2];
    // The direction across the strip in which the two touch.
    let across = ending.frame.n;
    let across = across - face.n * across.dot(&face.n);
    if across.norm() < 0.5 {
        return false;
    }
    let across = across.normalize();
    let reach = |axis: &Vector, size: f64| size / 2.0 * axis.dot(&across).abs();
    let half = reach(&on.frame.u, on.size_mm[0]) + reach(&on.frame.v, on.size_mm[1]);
    let middle = on.frame.origin.coords.dot(&across);
    let corners = outline.iter().flat_map(|p| p.exterior().0.clone());
    corners
        .map(|c| (face.place(c.x, c.y, 0.0).coords.dot(&across) - middle).abs())
        .any(|off| off > half - AT_EDGE * thickness)
}

/// Says of two boards that end on either face of a third, in one line, that
/// they cross it.
fn cross(members: &[Member], meetings: &mut [Meeting]) {
    let mut crossing = vec![false; meetings.len()];
    for i in 0..meetings.len() {
        for j in i + 1..meetings.len() {
            let (a, b) = (&meetings[i], &meetings[j]);
            if a.kind != MeetingKind::T || b.kind != MeetingKind::T || a.members[0] != b.members[0]
            {
                continue;
            }
            let (one, two) = (&members[a.members[1]], &members[b.members[1]]);
            let opposite = a.plane.n.dot(&b.plane.n) < -0.996;
            let level = one.frame.n.dot(&two.frame.n).abs() > 0.996
                && (one.frame.origin - two.frame.origin)
                    .dot(&one.frame.n)
                    .abs()
                    < TOUCH_MM
                && (one.size_mm[2] - two.size_mm[2]).abs() < TOUCH_MM;
            if opposite && level {
                crossing[i] = true;
                crossing[j] = true;
            }
        }
    }
    for (meeting, crosses) in meetings.iter_mut().zip(crossing) {
        if crosses {
            meeting.kind = MeetingKind::Crossing;
        }
    }
}
