//! The solids of a joint: what goes over from one half to another.

use serde::{Deserialize, Serialize};
use solid::{Bounds, ShapeError, Solid};

use crate::kind::joint_kind::JointKind;

/// One of the two halves that a joint holds together, or the key between them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Half {
    /// The half that carries the main tail; a seam's `n` points out of it.
    Tails,
    /// The half that takes the main tail.
    Sockets,
    /// A separate piece that both halves make room for.
    Key,
}

/// Material that goes over from one half to the other, in the model's
/// coordinates.
#[derive(Clone, Debug)]
pub struct Transfer {
    /// Who gains: the others lose the socket.
    pub to: Half,
    /// What goes over, where the other half has material; its root lies inside
    /// the half that gains.
    pub tail: Solid,
    /// What the other half loses: the tail grown by the clearance, with
    /// relief.
    pub socket: Solid,
    /// The same carried past the seam, where the socket ends on it: the half that
    /// loses loses this before it gains its own tails, or films of no thickness
    /// are left where a seam that is tilted is rounded.
    pub mouth: Option<Solid>,
}

/// One joint: the main tail first, then what holds the walls beside it.
#[derive(Clone, Debug)]
pub struct Joint {
    /// What goes over, the main tail first; never empty.
    pub transfers: Vec<Transfer>,
}

impl Joint {
    /// A joint of a single tail.
    pub fn of_tail(tail: Solid, socket: Solid) -> Self {
        Self {
            transfers: vec![Transfer {
                to: Half::Tails,
                tail,
                socket,
                mouth: None,
            }],
        }
    }

    /// The box that all of it lies in.
    pub fn bounds(&self) -> Option<Bounds> {
        self.transfers
            .iter()
            .flat_map(|t| [t.tail.bounds(), t.socket.bounds()])
            .flatten()
            .reduce(|a, b| a.joined(&b))
    }
}

/// A joint could not be made.
#[derive(Clone, Debug, thiserror::Error, PartialEq)]
pub enum JointError {
    /// Its solids do not come out closed.
    #[error("the joint's shape: {0}")]
    Shape(#[from] ShapeError),
    /// It lies in no lane.
    #[error("a {0} joint lies in no lane")]
    NoLane(JointKind),
    /// A length that the joint needs is not there.
    #[error("{what} is {short_mm:.2} mm, and needs {needed_mm:.2} mm")]
    TooSmall {
        /// What was measured.
        what: &'static str,
        /// How long it is.
        short_mm: f64,
        /// How long it must be.
        needed_mm: f64,
    },
}
