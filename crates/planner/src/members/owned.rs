//! Where two members overlap, as at the corners of a carcass, the material is
//! one's alone.

use geo::{Area, BooleanOps};
use solid::{Frame, KernelError, Outline, Solid, Vector};

use crate::members::member::{Member, MemberKind};
use crate::members::slab::{BOARD_WIDTH, Rectangle, Slab, is_member, opened, smallest_rectangle};
use crate::members::tidy::tidy;

/// A stick fills this share of the box in which it lies, or it is several.
const FULL: f64 = 0.45;
/// A slab of which less than this share is left to it is no member.
const LEAST_SHARE: f64 = 0.4;

/// What is narrower than twice this, in mm, is no part of a member.
const HAIR_MM: f64 = 0.05;

/// A member, and the material that is its.
pub(crate) type Owned = (Member, Solid);

/// Which of two members has what they share.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Owner {
    /// The one with more volume.
    Larger,
    /// The one with the larger face.
    Broader,
    /// The longer one; of as long ones the thicker.
    Longer,
    /// The thicker one; of as thick ones the larger.
    Thicker,
}

impl Owner {
    pub(crate) const ALL: [Self; 4] = [Self::Larger, Self::Thicker, Self::Longer, Self::Broader];

    /// The less, the more a slab owns.
    fn rank(self, slab: &Slab) -> (i64, i64, i64) {
        // Sizes that differ by less than a hundredth are the same.
        let face = slab.face_mm2().round() as i64;
        let thickness = (slab.thickness_mm * 100.0).round() as i64;
        let volume = (slab.face_mm2() * slab.thickness_mm / 10.0).round() as i64;
        match self {
            Self::Larger => (-volume, -thickness, -face),
            Self::Longer => {
                let sides = smallest_rectangle(&slab.region).map_or(0.0, |r| r.sides_mm[0]);
                (-(sides * 10.0).round() as i64, -thickness, -volume)
            }
            Self::Broader => (-face, -thickness, -volume),
            Self::Thicker => (-thickness, -volume, -face),
        }
    }
}

/// The members that slabs are, each with its body.
pub(crate) fn owned(slabs: &[Slab], owner: Owner) -> Result<Vec<Owned>, KernelError> {
    let mut slabs: Vec<&Slab> = slabs.iter().collect();
    slabs.sort_by_key(|s| {
        let at = s.frame.origin.coords + s.frame.n * (s.thickness_mm / 2.0);
        let place = [at.x, at.y, at.z].map(|x| (x * 100.0).round() as i64);
        (owner.rank(s), place)
    });
    let mut out: Vec<Owned> = Vec::new();
    for slab in slabs {
        let whole = slab.face_mm2();
        let half_way = slab.frame.raised(slab.thickness_mm / 2.0);
        let mut left = Outline::new(vec![slab.region.clone()]);
        for (_, other) in &out {
            left = tidy(&left.difference(&tidy(&other.section(&half_way))));
        }
        // Along the other's faces hairs may be left.
        let left = opened(&left, HAIR_MM);
        if left.unsigned_area() < LEAST_SHARE * whole {
            continue;
        }
        for region in left.0 {
            let part = Slab {
                region,
                ..slab.clone()
            };
            if let Some(member) = member_of(&part) {
                out.push((member, part.body()?));
            }
        }
    }
    Ok(out)
}

/// What is left of a slab as a member; `None` where it is too short or narrow.
fn member_of(slab: &Slab) -> Option<Member> {
    let rectangle = smallest_rectangle(&slab.region)?;
    let thickness = slab.thickness_mm;
    if !is_member(rectangle.sides_mm, thickness) {
        return None;
    }
    let mut member = boxed(&slab.frame, &rectangle, thickness);
    let [length, width] = rectangle.sides_mm;
    let full = slab.face_mm2() > FULL * length * width;
    if member.kind != MemberKind::Board && !full {
        return None;
    }
    // A round top: its corners lie on the circle, the sides of its box need not.
    let [x, y] = rectangle.middle;
    let rim = slab.region.exterior().coords();
    let radius = rim.map(|c| (c.x - x).hypot(c.y - y)).fold(0.0, f64::max);
    if width > 0.98 * length && radius < 0.51 * length {
        member.size_mm = [2.0 * radius, 2.0 * radius, thickness];
        member.round = true;
    }
    Some(member)
}

fn boxed(frame: &Frame, rectangle: &Rectangle, thickness: f64) -> Member {
    let [length, width] = rectangle.sides_mm;
    let [x, y] = rectangle.middle;
    let origin = frame.place(x, y, thickness / 2.0);
    let along = frame.u * rectangle.along[0] + frame.v * rectangle.along[1];
    let across = frame.n;
    let kind = if width >= BOARD_WIDTH * thickness {
        MemberKind::Board
    } else {
        MemberKind::Rail
    };
    // A stick is as wide as its wider side.
    let (n, sizes) = if width >= thickness {
        (across, [length, width, thickness])
    } else {
        (along.cross(&across), [length, thickness, width])
    };
    Member {
        kind,
        frame: Frame::with_axes(origin, n, upwards(along)),
        size_mm: sizes,
        thin_end_mm: None,
        round: false,
        bent: false,
    }
}

/// A direction or its opposite, whichever runs along more of the axes.
pub(crate) fn upwards(v: Vector) -> Vector {
    let largest = v.map(f64::abs).imax();
    if v[largest] < 0.0 { -v } else { v }
}
