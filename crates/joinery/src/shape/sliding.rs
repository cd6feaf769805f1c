//! Joints that go home along the slide: tails, braced tails, tongues, rows of fingers, keys.

use serde::de::Error;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use solid::Frame;

use printing::{Material, Span};

use crate::kind::abilities::Form;
use crate::kind::joint_kind::JointKind;
use printing::{BrokenRule, within};

use crate::rules::JointRules;
use crate::rules::LONGEST_FINGER;
use crate::shape::joint::{Half, Joint, JointError};
use crate::shape::lane::Lane;
use crate::shape::tail::{Crest, OVERRUN_MM, Tail};
use crate::sizing::TailSize;
use crate::sizing::taper;
use crate::strength::capacity::{Estimate, Filling, estimate};

/// A joint that goes home along the slide, laid out on a seam.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(remote = "Self")]
pub struct Sliding {
    /// What it is.
    pub kind: JointKind,
    /// The main tail; of a row of fingers, the first.
    pub main: Tail,
    /// Width at its widest: of a row of fingers, of one finger.
    pub width_mm: f64,
    /// The thinner of the walls beside it.
    pub wall_mm: f64,
    /// The strip that it takes, walls included, along `u`.
    pub strip_mm: (f64, f64),
    others: Vec<(Half, Tail)>,
}

impl Serialize for Sliding {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        Self::serialize(self, to)
    }
}

/// Numbers from outside keep the rules of those made inside.
impl<'de> Deserialize<'de> for Sliding {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let read = Self::deserialize(from)?;
        read.checked().map_err(D::Error::custom)?;
        Ok(read)
    }
}

impl Sliding {
    /// Checks every number: what a record read from a file has to keep. The tails
    /// are checked as they are read.
    ///
    /// # Errors
    ///
    /// The first that breaks a rule, and the rule.
    pub fn checked(&self) -> Result<(), BrokenRule> {
        within("sliding.width_mm", self.width_mm, 0.5, 1000.0)?;
        within("sliding.wall_mm", self.wall_mm, 0.0, 1e5)?;
        within("sliding.strip_mm", self.strip_mm.0, -1e5, 1e5)?;
        within("sliding.strip_mm", self.strip_mm.1, self.strip_mm.0, 1e5)
    }

    /// A tail in a lane, with braces where the kind has them.
    ///
    /// # Errors
    ///
    /// When the run is too short.
    pub fn tail(
        kind: JointKind,
        lane: &Lane,
        size: &TailSize,
        rules: &JointRules,
    ) -> Result<Self, JointError> {
        let main = Tail::sized(kind, lane, size, rules)?;
        let half = size.strip_mm() / 2.0;
        let others = match kind.abilities().form {
            Form::BracedTail => braces(lane, size, rules),
            Form::Tail | Form::Tongue | Form::Fingers | Form::Key | Form::Block | Form::Flat => {
                Vec::new()
            }
        };
        Ok(Self {
            kind,
            main,
            width_mm: size.width_mm,
            wall_mm: size.wall_mm,
            strip_mm: (lane.across_mm - half, lane.across_mm + half),
            others,
        })
    }

    /// A joint of full size in a lane: what coupons and drawings show of a kind.
    /// Of a row of fingers the fewest, three.
    ///
    /// # Errors
    ///
    /// When the run is too short, or the kind lies in no lane.
    pub fn full_size(kind: JointKind, lane: &Lane, rules: &JointRules) -> Result<Self, JointError> {
        match kind.abilities().form {
            Form::Fingers => {
                let width_mm = 3.0 * rules.finger_width_mm + 1e-6;
                Self::fingers(lane, width_mm, rules.wall_beside_fingers_mm(), rules)
            }
            Form::Tail | Form::BracedTail | Form::Tongue | Form::Key => {
                let size = TailSize::of_width(kind, rules.tail_width_mm, rules);
                Self::tail(kind, lane, &size, rules)
            }
            Form::Block | Form::Flat => Err(JointError::NoLane(kind)),
        }
    }

    /// A row of wedge fingers over a strip: an odd number of slots as wide as
    /// a finger's base, filled in turn from either half, so that the second
    /// half is the first mirrored and turned. Each finger leans with the
    /// slide, those of one half against those of the other: where one is
    /// narrow its neighbour is wide.
    ///
    /// # Errors
    ///
    /// When the strip has no room for three, or the run is too short.
    pub fn fingers(
        lane: &Lane,
        width_mm: f64,
        wall_mm: f64,
        rules: &JointRules,
    ) -> Result<Self, JointError> {
        let run = lane.run_mm();
        let least_run = 2.5;
        if run < least_run {
            return Err(JointError::TooSmall {
                what: "the run of a finger",
                short_mm: run,
                needed_mm: least_run,
            });
        }
        let slots = (width_mm / rules.finger_width_mm).floor() as usize;
        let slots = if slots.is_multiple_of(2) {
            slots.saturating_sub(1)
        } else {
            slots
        };
        if slots < 3 {
            return Err(JointError::TooSmall {
                what: "the width for three fingers",
                short_mm: width_mm,
                needed_mm: 3.0 * rules.finger_width_mm,
            });
        }
        let base = (width_mm / slots as f64).min(LONGEST_FINGER * rules.finger_width_mm);
        let lean = taper(base / 2.0, run, rules.finger_taper_deg.to_radians(), rules);
        // Where a finger is widest its flanks must still lie below the arc that
        // ends it, or there are none: tan(45° - α/2) ≥ half-width over depth.
        let widest = base / 2.0 + (run / 2.0 + OVERRUN_MM) * lean.tan() + 2.0 * rules.clearance_mm;
        let steepest = std::f64::consts::FRAC_PI_2 - 2.0 * (widest / base).atan();
        let half_angle = rules.half_angle().min(0.95 * steepest).max(0.0);
        let half_row = base * slots as f64 / 2.0;
        let finger = |k: usize| {
            let across_mm = lane.across_mm - half_row + base * (k as f64 + 0.5);
            let to = if k.is_multiple_of(2) {
                Half::Tails
            } else {
                Half::Sockets
            };
            let lane = match to {
                Half::Tails => Lane { across_mm, ..*lane },
                Half::Sockets | Half::Key => turned(&Lane { across_mm, ..*lane }),
            };
            let tail = Tail {
                lane,
                depth_mm: base,
                // As wide as its slot in the middle of the run.
                half_neck_mm: base / 2.0 + run / 2.0 * lean.tan(),
                taper: lean,
                half_angle,
                crest: Crest::Round,
                rules: rules.clone(),
            };
            (to, tail)
        };
        Ok(Self {
            kind: JointKind::WedgeFingers,
            main: finger(0).1,
            width_mm: base,
            // Between the fingers of one half stands a finger of the other.
            wall_mm: base,
            strip_mm: (
                lane.across_mm - half_row - wall_mm,
                lane.across_mm + half_row + wall_mm,
            ),
            others: (1..slots).map(finger).collect(),
        })
    }

    /// The solids of the joint on a seam.
    ///
    /// # Errors
    ///
    /// When a neck vanishes before the end of the run.
    pub fn joint(&self, seam: &Frame) -> Result<Joint, JointError> {
        let mut transfers = self.main.joint(seam)?.transfers;
        for (to, tail) in &self.others {
            // Seen from the other half the frame is the flipped one.
            let frame = match to {
                Half::Tails | Half::Key => *seam,
                Half::Sockets => seam.flipped(),
            };
            transfers.push(tail.transfer(&frame, *to)?);
        }
        Ok(Joint { transfers })
    }

    /// What it may bear, where its shape locks, with so much of its run in material: a row
    /// of fingers as many times one finger.
    pub fn estimate(
        &self,
        bears_mm: f64,
        material: &Material,
        filling: &Filling,
    ) -> Option<Estimate> {
        if !self.kind.locks() {
            return None;
        }
        let bears = (bears_mm, self.wall_mm);
        let one = estimate(self.kind, &self.main, bears, material, filling);
        // Only the fingers of the half that has fewer count: its necks are all
        // that the other half can hang on.
        let bearing = match self.is_row() {
            true => self.count() / 2,
            false => 1,
        };
        Some(Estimate {
            pull_n: one.pull_n * Span::from(bearing as f64),
            ..one
        })
    }

    /// How many tails or fingers it has, braces not counted.
    pub fn count(&self) -> usize {
        match self.is_row() {
            true => 1 + self.others.len(),
            false => 1,
        }
    }

    fn is_row(&self) -> bool {
        self.kind.abilities().form == Form::Fingers
    }
}

/// A lane as the other half sees it: `v` runs the other way.
fn turned(lane: &Lane) -> Lane {
    Lane {
        across_mm: lane.across_mm,
        from_mm: -lane.to_mm,
        to_mm: -lane.from_mm,
        blind: false,
    }
}

/// The braces of a tail: small tails of the walls beside it that reach into
/// the tail's own half and taper the other way. The wedge of the main tail
/// pushes the walls outward; the braces hold them in, and both tighten at the
/// same place.
fn braces(lane: &Lane, size: &TailSize, rules: &JointRules) -> Vec<(Half, Tail)> {
    let half_width = rules.brace_width_mm / 2.0;
    let half_neck = half_width - rules.brace_depth_mm * rules.half_angle().tan();
    // A stopped tail's brace still comes in from the seam's other end, which
    // is open on the braces' side only where the lane is through.
    if lane.blind {
        return Vec::new();
    }
    let run = lane.run_mm();
    [-1.0, 1.0]
        .into_iter()
        .map(|side| {
            let across_mm = lane.across_mm + side * size.brace_centre_mm(rules);
            let tail = Tail {
                lane: turned(&Lane { across_mm, ..*lane }),
                depth_mm: rules.brace_depth_mm,
                half_neck_mm: half_neck,
                taper: taper(half_neck, run, rules.slide_taper_deg.to_radians(), rules),
                half_angle: rules.half_angle(),
                crest: Crest::Flat,
                rules: rules.clone(),
            };
            (Half::Sockets, tail)
        })
        .collect()
}
