use joinery::tenon::Tenon;
use joinery::{Joint, JointError, Sliding};
use planner::Spared;
use serde::{Deserialize, Serialize};
use solid::{Frame, Solid, Vector};

use crate::Contact;

/// A seam carried out: its slide and what it got.
#[derive(Clone, Debug)]
pub struct Seam {
    /// `S1`, `S2`, …
    pub id: String,
    /// Index in the plan.
    pub index: usize,
    /// Its plane; `n` points to what lies above.
    pub frame: Frame,
    /// The way the half that lies below moves to go home.
    pub slide: Vector,
    /// How far it moves.
    pub travel_mm: f64,
    /// Whether tails go from below upward (rather than from above downward).
    pub tails_point_up: bool,
    /// Where pieces meet.
    pub contacts: Vec<Contact>,
    /// The joints, with the contacts that share them.
    pub(crate) joints: Vec<PlacedJoint>,
}

/// What a joint is, by its numbers.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum JointShape {
    /// One that lies in a lane.
    InLane(Sliding),
    /// One that is pushed in.
    Tenon(Tenon),
}

impl JointShape {
    /// Boxes about its solids on a frame, for seams to spare. What lies in a lane
    /// may be cut across, and each part holds; what is pushed in may not.
    pub(crate) fn spared(&self, joint: &Joint, frame: &Frame) -> Vec<Spared> {
        let run = match self {
            Self::InLane(_) => Some(frame.v),
            Self::Tenon(_) => None,
        };
        let solids = joint.transfers.iter().flat_map(|t| [&t.tail, &t.socket]);
        let boxes = solids.filter_map(Solid::bounds);
        boxes.map(|bounds| Spared { bounds, run }).collect()
    }

    /// Its solids on a frame.
    ///
    /// # Errors
    ///
    /// When they do not come out closed.
    pub fn joint(&self, frame: &Frame) -> Result<Joint, JointError> {
        match self {
            Self::InLane(sliding) => sliding.joint(frame),
            Self::Tenon(tenon) => tenon.joint(frame),
        }
    }
}

/// A joint on a seam.
#[derive(Clone, Debug)]
pub(crate) struct PlacedJoint {
    pub(crate) shape: JointShape,
    /// The frame that it was laid out in.
    pub(crate) frame: Frame,
    pub(crate) joint: Joint,
    /// Contacts that it lies on, by index.
    pub(crate) contacts: Vec<usize>,
    /// The way it goes in.
    pub(crate) way_in: Vector,
    /// How far.
    pub(crate) run_mm: f64,
    /// Its keys are cut across into parts no longer than this, so that they fit a
    /// bed.
    pub(crate) key_longest_mm: Option<f64>,
}

/// A direction in words: `+z`, or its numbers where it is along no axis.
pub(crate) fn direction_word(d: &Vector) -> String {
    for (axis, name) in ["x", "y", "z"].iter().enumerate() {
        if (d[axis].abs() - 1.0).abs() < 1e-6 {
            return format!("{}{name}", if d[axis] > 0.0 { '+' } else { '-' });
        }
    }
    format!("({:.3}, {:.3}, {:.3})", d.x, d.y, d.z)
}
