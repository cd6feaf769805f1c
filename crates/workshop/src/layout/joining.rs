//! What became of a contact: the joint that it got and why, or why it got none.
//! Reasons are kept as they are; words are made where they are told.

use design::{JointChoice, Plan};
use joinery::capacity::{Estimate, Filling};
use joinery::{JointKind, JointShape, NoRoom, Sliding};
use printing::{Material, Span};
use solid::Vector;

use crate::partition::contacts::Contact;

/// A contact and what became of it.
#[derive(Clone, Debug)]
pub struct SeamContact {
    /// Where two pieces meet.
    pub contact: Contact,
    /// How they are joined there.
    pub joining: Joining,
}

/// How two pieces are joined where they meet.
#[derive(Clone, Debug)]
pub enum Joining {
    /// By a joint.
    Joined(Joined),
    /// Not at all.
    Plain(Plain),
}

/// A contact that got joints.
#[derive(Clone, Debug)]
pub struct Joined {
    /// The joints as figures.
    pub figures: Figures,
    /// The keys that hold it, by piece.
    pub keys: Vec<usize>,
    /// What the layers of its pieces, as they are printed, leave of the
    /// strength along them, at the least and at the most: already in the estimate.
    pub layer_share: Span,
    /// Why it got this joint and no better one.
    pub why: WhyJoint,
    /// Whether the bed has no room for tails on its pieces, so that only keys can
    /// hold it.
    pub no_bed_room: bool,
}

/// A contact that got none.
#[derive(Clone, Debug, PartialEq)]
pub struct Plain {
    /// Why.
    pub why: NoJoint,
    /// Whether the bed has no room for tails on its pieces.
    pub no_bed_room: bool,
}

/// The joints of one contact, taken together.
#[derive(Clone, Debug, PartialEq)]
pub struct Figures {
    /// Which joint.
    pub kind: JointKind,
    /// How many of them.
    pub count: usize,
    /// Width of the joint at its widest.
    pub width_mm: f64,
    /// The thinnest wall beside any of them; 0 where that is not measured.
    pub wall_mm: f64,
    /// Lean of its flanks along the way home, in radians.
    pub taper: f64,
    /// How far past or short of flush a play of the clearance lets it seat.
    pub seat_slack_mm: Option<f64>,
    /// What they may bear together, where they lock.
    pub estimate: Option<Estimate>,
}

/// Why a contact got its joint.
#[derive(Clone, Debug, PartialEq)]
pub enum WhyJoint {
    /// The slide of its seam joins most.
    Slide {
        /// The way the tails go.
        way: Vector,
        /// How far.
        travel_mm: f64,
        /// What the program chose about braces, where it chose.
        braces: Braces,
    },
    /// The halves meet along the normal.
    Meeting {
        /// The way the joint goes in.
        way_in: Option<Vector>,
        /// Why no slide joined it, where one was tried.
        no_slide: Option<Box<NoJoint>>,
        /// What was tried before, and why that found no room.
        tried: Vec<(JointKind, NoJoint)>,
    },
    /// The slide of its seam found no room on it, and keys did.
    Leftover {
        /// The way the keys go in.
        way_in: Option<Vector>,
        /// Why the slide found no room.
        no_slide: Box<NoJoint>,
    },
    /// It is as it was.
    Kept,
}

/// What the program chose about braces.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Braces {
    /// Nothing: the joint was asked for, or takes none.
    NotChosen,
    /// None are needed: the wall beside each tail is thick.
    Spared,
    /// The wall beside a tail is thin, but the piece or the bed has no room for a brace.
    NoRoom,
    /// The wall beside an unbraced tail would be thin.
    Taken,
}

/// Why a contact got no joint.
#[derive(Clone, Debug, PartialEq)]
pub enum NoJoint {
    /// A plain seam was asked for.
    Wanted,
    /// The bed has no room for a tail on a piece.
    NoBedRoom,
    /// Every side that a tail could come in from is to be hidden.
    TailsHidden,
    /// Every side that a key could come in from is to be hidden.
    KeysHidden,
    /// The layout says why.
    NoRoom(NoRoom),
    /// The material behind the face is not as deep as a tail and a wall.
    ShallowForTails,
    /// The same of a tenon.
    ShallowForTenons,
    /// The same of a key, beside the face.
    ShallowForKeys,
    /// Its joints need the halves to meet along the normal, and the other
    /// contacts of its seam slide.
    OthersSlide(JointChoice),
    /// It is a web, and its pieces are joined beside it.
    BesideLimb,
    /// Most of it would lie far from what joins it.
    Gapes,
    /// Other joints or walls too thin behind the face take the room.
    Taken,
    /// Its seam is kept, and none of its joints lies there.
    KeptBare,
    /// No slide joined it, nor anything that is pushed or dropped in.
    Meeting {
        /// Why no slide joined it, where one was tried.
        no_slide: Option<Box<NoJoint>>,
        /// What was tried, and why that found no room.
        tried: Vec<(JointKind, NoJoint)>,
    },
    /// The slide of its seam found no room on it, nor did keys.
    NoKey {
        /// Why the slide found no room.
        no_slide: Box<NoJoint>,
        /// Why keys did not.
        no_key: Box<NoJoint>,
    },
}

/// What pieces are made of: a material, printed in a way.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Stock<'a> {
    pub(crate) material: &'a Material,
    pub(crate) filling: Filling,
}

impl<'a> Stock<'a> {
    /// That of a plan.
    pub(crate) fn of(plan: &'a Plan) -> Self {
        Self {
            material: &plan.settings().material,
            filling: plan.filling(),
        }
    }
}

impl SeamContact {
    /// The joint that it got.
    pub fn joint(&self) -> JointKind {
        match &self.joining {
            Joining::Joined(joined) => joined.figures.kind,
            Joining::Plain(_) => JointKind::Plain,
        }
    }

    /// Whether it got one.
    pub fn is_joined(&self) -> bool {
        matches!(self.joining, Joining::Joined(_))
    }

    /// Whether it got none because that was wished.
    pub fn plain_wished(&self) -> bool {
        matches!(&self.joining, Joining::Plain(plain) if plain.why == NoJoint::Wanted)
    }

    /// The keys that hold it, by piece.
    pub fn keys(&self) -> &[usize] {
        match &self.joining {
            Joining::Joined(joined) => &joined.keys,
            Joining::Plain(_) => &[],
        }
    }

    /// Its figures, where it is joined.
    pub fn figures(&self) -> Option<&Figures> {
        match &self.joining {
            Joining::Joined(joined) => Some(&joined.figures),
            Joining::Plain(_) => None,
        }
    }

    /// Whether the bed has no room for tails on its pieces.
    pub fn no_bed_room(&self) -> bool {
        match &self.joining {
            Joining::Joined(joined) => joined.no_bed_room,
            Joining::Plain(plain) => plain.no_bed_room,
        }
    }

    /// The pieces that meet there, and the keys between them.
    pub fn pieces(&self) -> impl Iterator<Item = usize> {
        self.contact.pieces.iter().chain(self.keys()).copied()
    }
}

impl Joining {
    /// By some joints, if there are any, for a reason; otherwise by none, for
    /// another.
    pub(crate) fn of(
        figures: Option<Figures>,
        no_bed_room: bool,
        why: impl FnOnce(&Figures) -> WhyJoint,
        why_not: impl FnOnce() -> NoJoint,
    ) -> Self {
        match figures {
            Some(figures) => Self::Joined(Joined {
                why: why(&figures),
                figures,
                keys: Vec::new(),
                layer_share: Span::from(1.0),
                no_bed_room,
            }),
            None => Self::Plain(Plain {
                why: why_not(),
                no_bed_room,
            }),
        }
    }

    /// By none.
    pub(crate) fn none(why: NoJoint, no_bed_room: bool) -> Self {
        Self::Plain(Plain { why, no_bed_room })
    }
}

impl Figures {
    /// Takes one more joint into account, of which so much lies in the contact.
    pub(crate) fn gain(
        all: &mut Option<Self>,
        (shape, bears_mm): (&JointShape, f64),
        stock: &Stock,
    ) {
        let one = match shape {
            JointShape::InLane(joint) => Self::in_lane(joint, bears_mm, stock),
            JointShape::Tenon(tenon) => Self {
                kind: shape.kind(),
                count: 1,
                width_mm: tenon.foot_mm[0].min(tenon.foot_mm[1]),
                wall_mm: 0.0,
                taper: tenon.taper,
                seat_slack_mm: None,
                estimate: None,
            },
        };
        *all = Some(match all.take() {
            None => one,
            Some(before) => before.with(one),
        });
    }

    fn in_lane(joint: &Sliding, bears_mm: f64, stock: &Stock) -> Self {
        Self {
            kind: joint.kind,
            count: joint.count(),
            width_mm: joint.width_mm,
            wall_mm: joint.wall_mm,
            taper: joint.main.taper,
            seat_slack_mm: joint.main.seat_slack_mm(),
            estimate: joint.estimate(bears_mm, stock.material, &stock.filling),
        }
    }

    /// Joints that share a load: their pulls add up, as far as all are drawn
    /// alike.
    fn with(self, other: Self) -> Self {
        Self {
            count: self.count + other.count,
            width_mm: self.width_mm.max(other.width_mm),
            wall_mm: self.wall_mm.min(other.wall_mm),
            estimate: match (self.estimate, other.estimate) {
                (Some(a), Some(b)) => Some(a.with(b)),
                (a, b) => a.or(b),
            },
            ..other
        }
    }
}

#[cfg(test)]
mod tests {
    use joinery::{JointRules, Lane};

    use super::*;

    fn tail() -> JointShape {
        let lane = Lane {
            across_mm: 0.0,
            from_mm: -9.0,
            to_mm: 9.0,
            blind: false,
        };
        let rules = JointRules::default();
        JointShape::InLane(Sliding::full_size(JointKind::Dovetail, &lane, &rules).unwrap())
    }

    #[test]
    fn joints_of_a_contact_share_the_load() {
        let material = Material::default();
        let stock = Stock {
            material: &material,
            filling: Filling::SOLID,
        };
        let mut all = None;
        Figures::gain(&mut all, (&tail(), 18.0), &stock);
        let one = all.clone().unwrap();
        Figures::gain(&mut all, (&tail(), 18.0), &stock);
        let two = all.unwrap();
        assert_eq!((one.count, two.count), (1, 2));
        let pull = |f: &Figures| f.estimate.unwrap().pull_n;
        assert_eq!(pull(&two), pull(&one) * Span::from(2.0));
        assert_eq!(two.width_mm, one.width_mm);
        // A long tail bears in a contact as far as it lies in it.
        let mut crossed = None;
        Figures::gain(&mut crossed, (&tail(), 6.0), &stock);
        let third = pull(&crossed.unwrap());
        assert!((third.high - pull(&one).high / 3.0).abs() < 1e-9);
    }

    #[test]
    fn a_contact_is_joined_exactly_where_it_has_joints() {
        let mut figures = None;
        let material = Material::default();
        let stock = Stock {
            material: &material,
            filling: Filling::SOLID,
        };
        Figures::gain(&mut figures, (&tail(), 18.0), &stock);
        let why = |_: &Figures| WhyJoint::Kept;
        let joined = Joining::of(figures, false, why, || NoJoint::Wanted);
        assert!(matches!(joined, Joining::Joined(_)));
        let plain = Joining::of(None, true, why, || NoJoint::Wanted);
        assert!(matches!(
            plain,
            Joining::Plain(Plain {
                no_bed_room: true,
                ..
            })
        ));
    }
}
