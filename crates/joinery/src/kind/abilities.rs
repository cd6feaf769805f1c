//! What each joint can do: the one place that tells joints apart.
//!
//! Everything else asks [`JointKind::abilities`] or matches on one of the
//! enums here without a wildcard, so the compiler leads whoever adds a joint to
//! each place that has to know of it.

use crate::kind::joint_kind::JointKind;

/// How the two halves of a joint come together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Closing {
    /// In the plane of the seam.
    Slide,
    /// Along the seam's normal.
    Push,
    /// The halves meet along the normal, then a key goes in along the seam.
    Key,
    /// They only touch.
    Touch,
}

/// What keeps the halves together once they are home.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hold {
    /// Its shape: it cannot be pulled apart along the seam's normal.
    Shape,
    /// Friction alone.
    Friction,
    /// It keeps them from shifting sideways, and holds nothing.
    Location,
    /// Nothing.
    Nothing,
}

/// What a joint is drawn from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// A tail that is widest at its crest.
    Tail,
    /// The same, with small tails of the other half beside it.
    BracedTail,
    /// A ridge with upright flanks.
    Tongue,
    /// A row of fingers, filled in turn from either half.
    Fingers,
    /// A tail on both sides of the seam, a piece by itself.
    Key,
    /// A block with leaning faces.
    Block,
    /// Nothing.
    Flat,
}

/// What a joint can do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Abilities {
    /// The word for it in plans, reports and on the command line.
    pub id: &'static str,
    /// One of it, in a word.
    pub noun: &'static str,
    /// How its halves come together.
    pub closing: Closing,
    /// What keeps them together.
    pub hold: Hold,
    /// What it is drawn from.
    pub form: Form,
    /// The joint that takes its place where the walls beside it are thin and
    /// the program chooses.
    pub braced: Option<JointKind>,
}

impl JointKind {
    /// What it can do.
    ///
    /// ```
    /// use joinery::{Closing, Hold, JointKind};
    ///
    /// let tenon = JointKind::Tenon.abilities();
    /// assert_eq!((tenon.closing, tenon.hold), (Closing::Push, Hold::Friction));
    /// ```
    pub const fn abilities(self) -> Abilities {
        let (id, noun, closing, hold, form, braced) = match self {
            Self::Dovetail => (
                "dovetail",
                "tail",
                Closing::Slide,
                Hold::Shape,
                Form::Tail,
                Some(Self::BracedDovetail),
            ),
            Self::BracedDovetail => (
                "braced-dovetail",
                "braced tail",
                Closing::Slide,
                Hold::Shape,
                Form::BracedTail,
                None,
            ),
            Self::WedgeFingers => (
                "wedge-fingers",
                "row of fingers",
                Closing::Slide,
                Hold::Shape,
                Form::Fingers,
                None,
            ),
            Self::Tongue => (
                "tongue",
                "tongue",
                Closing::Slide,
                Hold::Location,
                Form::Tongue,
                None,
            ),
            Self::Butterfly => (
                "butterfly",
                "butterfly key",
                Closing::Key,
                Hold::Shape,
                Form::Key,
                None,
            ),
            Self::Tenon => (
                "tenon",
                "tenon",
                Closing::Push,
                Hold::Friction,
                Form::Block,
                None,
            ),
            Self::Plain => (
                "plain",
                "plain face",
                Closing::Touch,
                Hold::Nothing,
                Form::Flat,
                None,
            ),
        };
        Abilities {
            id,
            noun,
            closing,
            hold,
            form,
            braced,
        }
    }

    /// The word for it in plans, reports and on the command line.
    pub const fn id(self) -> &'static str {
        self.abilities().id
    }

    /// One of it, in a word.
    pub const fn noun(self) -> &'static str {
        self.abilities().noun
    }

    /// Whether its halves go home in the plane of the seam rather than along
    /// its normal.
    pub fn slides(self) -> bool {
        self.abilities().closing == Closing::Slide
    }

    /// Whether it is a piece by itself that goes in once the halves have met.
    pub fn is_key(self) -> bool {
        self.abilities().closing == Closing::Key
    }

    /// Whether its shape stops the halves from being pulled apart along the
    /// seam's normal.
    pub fn locks(self) -> bool {
        self.abilities().hold == Hold::Shape
    }

    /// Whether it is a joint at all.
    pub fn joins(self) -> bool {
        self.abilities().closing != Closing::Touch
    }
}

impl Form {
    /// Whether parts of the other half come in from the far end of the lane.
    pub const fn comes_both_ways(self) -> bool {
        match self {
            Self::BracedTail | Self::Fingers => true,
            Self::Tail | Self::Tongue | Self::Key | Self::Block | Self::Flat => false,
        }
    }

    /// Whether it needs material as deep on both sides of the seam.
    pub const fn is_deep_on_both_sides(self) -> bool {
        match self {
            Self::Fingers | Self::Key => true,
            Self::Tail | Self::BracedTail | Self::Tongue | Self::Block | Self::Flat => false,
        }
    }

    /// Whether it lies in a lane along the seam.
    pub const fn has_lane(self) -> bool {
        match self {
            Self::Tail | Self::BracedTail | Self::Tongue | Self::Fingers | Self::Key => true,
            Self::Block | Self::Flat => false,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_locks_is_shaped_and_what_slides_lies_in_a_lane() {
        for kind in JointKind::ALL {
            let can = kind.abilities();
            assert_eq!(kind.locks(), can.hold == Hold::Shape, "{kind}");
            if kind.slides() || kind.is_key() {
                assert!(can.form.has_lane(), "{kind}");
            }
            assert_eq!(kind.joins(), can.hold != Hold::Nothing, "{kind}");
        }
    }

    #[test]
    fn no_two_joints_share_a_word() {
        for (k, one) in JointKind::ALL.iter().enumerate() {
            for other in &JointKind::ALL[k + 1..] {
                assert_ne!(one.id(), other.id());
                assert_ne!(one.noun(), other.noun());
            }
        }
    }

    #[test]
    fn what_braces_another_closes_as_it_does() {
        for kind in JointKind::ALL {
            if let Some(braced) = kind.abilities().braced {
                assert_eq!(braced.abilities().closing, kind.abilities().closing);
                assert_eq!(braced.abilities().braced, None);
            }
        }
    }
}
