//! What the model is made of, and which pieces are which part of it.

use design::PieceId;
use geo::{Contains, InteriorPoint};
use planner::{Meeting, Member, MemberKind, Members};
use serde::{Deserialize, Serialize};
use solid::{Frame, Point, Solid, Vector};
use workshop::{Build, Seam};

/// The members that were found in the model, and how many of their meetings are seams.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct MadeOf {
    /// Boards, legs, posts and rails.
    pub members: Vec<MemberEntry>,
    /// At how many places two of them meet.
    pub meetings: usize,
    /// At how many of these they are parted.
    pub parted: usize,
    /// What share of the model belongs to none of them, in hundredths.
    #[serde(default)]
    pub rest_percent: u32,
}

/// A board, leg, post or rail of the model.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct MemberEntry {
    /// `M1`, …
    pub id: String,
    /// What it is.
    pub kind: MemberKind,
    /// Length, width and thickness of its box.
    pub size_mm: [f64; 3],
    /// Of what tapers, its width at the thinner end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub thin_end_mm: Option<f64>,
    /// Whether its section is round; of a board, its face.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub round: bool,
    /// Whether it is a board whose faces are not flat.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub bent: bool,
    /// The middle of its box.
    pub middle_mm: [f64; 3],
    /// The way its length runs.
    pub along: [f64; 3],
    /// The way through its thickness.
    pub through: [f64; 3],
    /// The pieces that hold some of it, that which holds most first.
    pub pieces: Vec<ShareEntry>,
}

/// A piece that holds some of a member.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ShareEntry {
    /// The piece.
    pub piece: PieceId,
    /// How much of the member it holds, in hundredths of it.
    pub percent: u32,
}

impl MadeOf {
    /// Of what was found in a model, and what was made of it; `None` where it is not made of
    /// members.
    pub(crate) fn of(found: &Members, build: &Build) -> Option<Self> {
        if found.are_hardly_any() {
            return None;
        }
        let solids: Vec<&Solid> = build.pieces.iter().map(|p| &p.solid).collect();
        let held = found.held_by(&solids);
        let members = found.members.iter().zip(held).enumerate();
        let members = members.map(|(k, (member, held))| {
            let pieces = held.into_iter().map(|(piece, share)| ShareEntry {
                piece: build.pieces[piece].id.clone(),
                percent: (100.0 * share).round() as u32,
            });
            MemberEntry::of(k, member, pieces.collect())
        });
        let is_parted = |m: &&Meeting| build.seams.iter().any(|seam| parts(seam, m));
        Some(Self {
            members: members.collect(),
            meetings: found.meetings.len(),
            parted: found.meetings.iter().filter(is_parted).count(),
            rest_percent: (100.0 * found.rest).round() as u32,
        })
    }

    /// The members of which any of some pieces holds some, in their order.
    pub fn of_pieces(&self, pieces: &[&PieceId]) -> Vec<&str> {
        let holds = |m: &&MemberEntry| m.pieces.iter().any(|s| pieces.contains(&&s.piece));
        let held = self.members.iter().filter(holds);
        held.map(|m| m.id.as_str()).collect()
    }
}

/// Seams no further from a meeting's plane run in it, in mm; the cosine of the angle between
/// planes that are one.
const IN_PLANE_MM: f64 = 0.1;
const SAME_PLANE: f64 = 1.0 - 1e-6;

/// Whether a seam parts what meets there.
fn parts(seam: &Seam, meeting: &Meeting) -> bool {
    let plane = &meeting.plane;
    let same = seam.frame.n.dot(&plane.n).abs() > SAME_PLANE
        && seam.frame.height(&plane.origin).abs() < IN_PLANE_MM;
    let Some(within) = meeting.outline.interior_point().filter(|_| same) else {
        return false;
    };
    let at = (seam.frame).coordinates(&plane.place(within.x(), within.y(), 0.0));
    let at = geo::Point::new(at.x, at.y);
    let mut contacts = seam.contacts.iter();
    contacts.any(|c| c.contact.outline.contains(&at))
}

impl MemberEntry {
    fn of(k: usize, member: &Member, pieces: Vec<ShareEntry>) -> Self {
        Self {
            id: format!("M{}", k + 1),
            kind: member.kind,
            size_mm: member.size_mm.map(hundredths),
            thin_end_mm: member.thin_end_mm.map(hundredths),
            round: member.round,
            bent: member.bent,
            middle_mm: member.frame.origin.into(),
            along: member.frame.u.into(),
            through: member.frame.n.into(),
            pieces,
        }
    }

    /// The member itself.
    pub fn member(&self) -> Member {
        let [through, along] = [self.through, self.along].map(Vector::from);
        Member {
            kind: self.kind,
            frame: Frame::with_axes(Point::from(self.middle_mm), through, along),
            size_mm: self.size_mm,
            thin_end_mm: self.thin_end_mm,
            round: self.round,
            bent: self.bent,
        }
    }

    /// What it is and how large, in words, by which side of the furniture is up: `level board
    /// 900 × 300 × 18`.
    pub fn words(&self, up: &Vector) -> String {
        let size = self.member().size();
        let stands = Vector::from(self.through).dot(up).abs();
        match self.kind {
            MemberKind::Board if self.bent => format!("bent board {size}"),
            MemberKind::Board if stands > LEVEL => format!("level board {size}"),
            MemberKind::Board if stands < UPRIGHT => format!("upright board {size}"),
            MemberKind::Board => format!("leaning board {size}"),
            kind => format!("{kind} {size}"),
        }
    }
}

/// How much of a board's thickness runs upwards where it lies, and where it stands.
const LEVEL: f64 = 0.98;
const UPRIGHT: f64 = 0.02;

/// A size to a hundredth, as a maker measures it.
fn hundredths(x: f64) -> f64 {
    (100.0 * x).round() / 100.0
}
