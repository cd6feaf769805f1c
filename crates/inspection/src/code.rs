//! What can be found: every code, and how much it matters.

use serde::{Deserialize, Serialize};

/// How much a finding matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Severity {
    /// The split did wrong, or it will not print or go together.
    Error,
    /// The maker should know.
    Warning,
    /// Worth a word.
    Note,
}

impl Severity {
    /// In a word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Error => "error",
            Self::Warning => "warning",
            Self::Note => "note",
        }
    }
}

/// What kind a finding is: one hyphenated word in files.
///
/// ```
/// use inspection::{Code, Severity};
///
/// assert_eq!(Code::ThinWall.word(), "thin-wall");
/// assert_eq!(Code::ThinWall.severity(), Severity::Error);
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Code {
    /// A piece falls apart, or holds nothing.
    SeveralBodies,
    /// The surface of a piece's file touches or crosses itself.
    TouchesItself,
    /// A piece stands out of its bed.
    DoesNotFit,
    /// A piece does not stand while it is printed, whatever holds it.
    FirstLayer,
    /// A wall beside a joint or seam is under the limit.
    ThinWall,
    /// Two pieces share volume in place.
    Overlap,
    /// A step touches something on its way.
    Collision,
    /// A jointed contact comes apart when pulled.
    NotHeld,
    /// No joint and no key leads from a piece to the rest of its body.
    JoinedToNothing,
    /// Something was cut off that is in no piece.
    LoosePart,
    /// No straight way leads a body to its place among the others.
    NoWayHome,
    /// Two pieces could not be compared.
    NotJudged,
    /// A piece's file is not what the split wrote.
    ChangedFile,
    /// A piece stands only with a brim and with its supports.
    NeedsBrim,
    /// A piece needs support that was to need none.
    NeedsSupport,
    /// Support touches faces that were to be clean of it.
    MarkedFace,
    /// A piece lies another way up than was asked.
    LiesOtherwise,
    /// A wish names a point that is in no piece.
    NoSuchPiece,
    /// A piece takes more plastic than a spool has.
    OverASpool,
    /// A piece prints longer than was wished.
    PrintsTooLong,
    /// A wall of the model is under the limit.
    ThinWallInModel,
    /// Two pieces meet and nothing holds them there.
    PlainContact,
    /// A limb of what two pieces share has no joint, though it is thick enough for one.
    BareLimb,
    /// Most of a joined contact lies far from its joints.
    Gapes,
    /// What joins two pieces bears less than a hand pulls.
    FrailJoint,
    /// No hand reaches behind a key to push it in.
    OutOfReach,
    /// Friction alone holds a part of a body to the rest.
    LiftsOff,
    /// A slide so long and slender that a print's usual error stops it short of home.
    LongSlide,
    /// Weight on the furniture pushes a seam apart.
    FreedByLoad,
    /// Layers lie across what weight on the furniture bends.
    AcrossItsLoad,
    /// What was to be in one piece is in several.
    NotWhole,
    /// The plan has a wish that only a search can fulfil, and it was carried out as it is.
    NotSought,
    /// A seam closes along another way than the plan prescribes.
    OtherSlide,
    /// The plan is of a re-split, and pieces that were printed for it are made anew.
    PrintedAnew,
    /// The plan was made for another model.
    PlanOfAnotherModel,
    /// A seam of the plan has no material on one of its sides.
    IdleSeam,
    /// The plan was cut further, where a piece of it fitted no printer.
    PlanExtended,
    /// A tongue locates two pieces and does not hold them.
    NotLocked,
    /// The model is small, and its numbers were taken for millimetres.
    SmallModel,
    /// The model is larger than furniture is: its numbers may stand for another unit.
    LargeModel,
    /// Layers lie across an upright that a knock bends.
    AcrossAKnock,
    /// A tenon holds by friction alone.
    FrictionOnly,
    /// Pieces lie with the profile of a joint across the layers: told by earlier
    /// versions; now it stands beside each piece.
    JointsAcrossLayers,
    /// A piece has no hidden face with room for its id.
    NoLabel,
    /// A piece bears no mark of a seam that it meets at.
    NoMark,
    /// Chips that hung on nothing were dropped.
    Chips,
    /// The plan has weights of an earlier version, which are not used any more.
    FormerWeights,
    /// Something was done to the model before the split.
    Mended,
    /// Overlapping parts of the model were joined.
    Rebuilt,
    /// Mending the model's surface closed holes, or changed what it encloses.
    VolumeMended,
    /// A body that came home has hardly any room to move between two others.
    LittlePlay,
    /// Two bodies of the model nearly touch.
    NearGap,
    /// A body of the model has nothing under it.
    InTheAir,
    /// No plane parts two members of the model without cutting a third.
    NoMembers,
    /// Stray bodies of the model were left out.
    Debris,
    /// The model has bodies that touch nothing of each other.
    BodiesApart,
    /// Two pieces lie against each other along an edge too thin for a joint, and each is
    /// held by others.
    ThinEdge,
}

impl Code {
    /// Every code, the gravest first.
    pub const ALL: [Self; 57] = [
        Self::SeveralBodies,
        Self::TouchesItself,
        Self::DoesNotFit,
        Self::FirstLayer,
        Self::ThinWall,
        Self::Overlap,
        Self::Collision,
        Self::NotHeld,
        Self::JoinedToNothing,
        Self::LoosePart,
        Self::NoWayHome,
        Self::NotJudged,
        Self::ChangedFile,
        Self::NeedsBrim,
        Self::NeedsSupport,
        Self::MarkedFace,
        Self::LiesOtherwise,
        Self::NoSuchPiece,
        Self::OverASpool,
        Self::PrintsTooLong,
        Self::ThinWallInModel,
        Self::PlainContact,
        Self::BareLimb,
        Self::Gapes,
        Self::FrailJoint,
        Self::OutOfReach,
        Self::LiftsOff,
        Self::LongSlide,
        Self::FreedByLoad,
        Self::AcrossItsLoad,
        Self::NotWhole,
        Self::NotSought,
        Self::OtherSlide,
        Self::PrintedAnew,
        Self::PlanOfAnotherModel,
        Self::IdleSeam,
        Self::PlanExtended,
        Self::NotLocked,
        Self::SmallModel,
        Self::LargeModel,
        Self::VolumeMended,
        Self::LittlePlay,
        Self::NearGap,
        Self::InTheAir,
        Self::NoMembers,
        Self::AcrossAKnock,
        Self::FrictionOnly,
        Self::JointsAcrossLayers,
        Self::NoLabel,
        Self::NoMark,
        Self::Chips,
        Self::FormerWeights,
        Self::Mended,
        Self::Rebuilt,
        Self::Debris,
        Self::BodiesApart,
        Self::ThinEdge,
    ];

    /// The word for it in files and on the terminal.
    pub const fn word(self) -> &'static str {
        self.about().0
    }

    /// How much it matters.
    pub const fn severity(self) -> Severity {
        self.about().1
    }

    /// Whether only the split that made the pieces can tell: it is of the model as it was read,
    /// of the plan, or of what was left off, and no look at the pieces shows it.
    pub const fn is_of_the_split(self) -> bool {
        matches!(
            self,
            Self::BodiesApart
                | Self::Chips
                | Self::Debris
                | Self::FormerWeights
                | Self::IdleSeam
                | Self::InTheAir
                | Self::LargeModel
                | Self::LoosePart
                | Self::Mended
                | Self::NearGap
                | Self::NoLabel
                | Self::NoMark
                | Self::NoMembers
                | Self::NoWayHome
                | Self::NotSought
                | Self::NotWhole
                | Self::OtherSlide
                | Self::OverASpool
                | Self::PlanExtended
                | Self::PlanOfAnotherModel
                | Self::PrintedAnew
                | Self::PrintsTooLong
                | Self::Rebuilt
                | Self::SmallModel
                | Self::VolumeMended
        )
    }

    const fn about(self) -> (&'static str, Severity) {
        use Severity::{Error, Note, Warning};
        match self {
            Self::SeveralBodies => ("several-bodies", Error),
            Self::TouchesItself => ("touches-itself", Error),
            Self::DoesNotFit => ("does-not-fit", Error),
            Self::FirstLayer => ("first-layer", Error),
            Self::ChangedFile => ("changed-file", Warning),
            Self::NeedsBrim => ("needs-brim", Warning),
            Self::NeedsSupport => ("needs-support", Warning),
            Self::MarkedFace => ("marked-face", Warning),
            Self::LiesOtherwise => ("lies-otherwise", Warning),
            Self::NoSuchPiece => ("no-such-piece", Warning),
            Self::OverASpool => ("over-a-spool", Warning),
            Self::PrintsTooLong => ("prints-too-long", Warning),
            Self::ThinWall => ("thin-wall", Error),
            Self::Overlap => ("overlap", Error),
            Self::Collision => ("collision", Error),
            Self::NotHeld => ("not-held", Error),
            Self::JoinedToNothing => ("joined-to-nothing", Error),
            Self::LoosePart => ("loose-part", Error),
            Self::NoWayHome => ("no-way-home", Error),
            Self::NotJudged => ("not-judged", Error),
            Self::ThinWallInModel => ("thin-wall-in-model", Warning),
            Self::PlainContact => ("plain-contact", Warning),
            Self::BareLimb => ("bare-limb", Warning),
            Self::Gapes => ("gapes", Warning),
            Self::FrailJoint => ("frail-joint", Warning),
            Self::OutOfReach => ("out-of-reach", Warning),
            Self::LiftsOff => ("lifts-off", Warning),
            Self::LongSlide => ("long-slide", Warning),
            Self::FreedByLoad => ("freed-by-load", Warning),
            Self::AcrossItsLoad => ("across-its-load", Warning),
            Self::NotWhole => ("not-whole", Warning),
            Self::NotSought => ("not-sought", Warning),
            Self::OtherSlide => ("other-slide", Warning),
            Self::PrintedAnew => ("printed-anew", Warning),
            Self::PlanOfAnotherModel => ("plan-of-another-model", Warning),
            Self::IdleSeam => ("idle-seam", Warning),
            Self::PlanExtended => ("plan-extended", Warning),
            Self::NotLocked => ("not-locked", Warning),
            Self::SmallModel => ("small-model", Warning),
            Self::LargeModel => ("large-model", Warning),
            Self::AcrossAKnock => ("across-a-knock", Note),
            Self::FrictionOnly => ("friction-only", Note),
            Self::JointsAcrossLayers => ("joints-across-layers", Note),
            Self::NoLabel => ("no-label", Note),
            Self::NoMark => ("no-mark", Note),
            Self::Chips => ("chips", Note),
            Self::FormerWeights => ("former-weights", Note),
            Self::Mended => ("mended", Note),
            Self::Rebuilt => ("rebuilt", Note),
            Self::VolumeMended => ("volume-mended", Warning),
            Self::LittlePlay => ("little-play", Warning),
            Self::NearGap => ("near-gap", Warning),
            Self::InTheAir => ("in-the-air", Warning),
            Self::NoMembers => ("no-members", Warning),
            Self::Debris => ("debris", Note),
            Self::BodiesApart => ("bodies-apart", Note),
            Self::ThinEdge => ("thin-edge", Note),
        }
    }
}

impl std::fmt::Display for Code {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.word())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_are_listed_once_and_written_as_they_are_called() {
        for (k, code) in Code::ALL.iter().enumerate() {
            assert!(!Code::ALL[..k].contains(code));
            let written = serde_json::to_string(code).unwrap();
            assert_eq!(written, format!("\"{code}\""));
        }
        assert!(Code::ALL.is_sorted_by_key(|c| c.severity()));
    }
}
