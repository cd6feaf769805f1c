//! What a joint is, by its numbers: enough to make its solids again.

use serde::{Deserialize, Serialize};
use solid::Frame;

use crate::kind::joint_kind::JointKind;
use crate::shape::joint::{Joint, JointError};
use crate::shape::sliding::Sliding;
use crate::shape::tenon::Tenon;

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

    /// Which joint it is.
    pub fn kind(&self) -> JointKind {
        match self {
            Self::InLane(sliding) => sliding.kind,
            Self::Tenon(_) => JointKind::Tenon,
        }
    }
}
