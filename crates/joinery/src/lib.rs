//! Joints: what they look like, how large they may be, where they find room.
//!
//! A joint sits on a seam. The seam has a [`Frame`](solid::Frame): `n` points
//! from the half that carries the tail into the half that carries the socket,
//! `v` is the way the tail's half moves to go home (the slide), and `u` runs
//! across. A [`Joint`] is the pair of solids that make the two halves: the
//! tail, which goes over to one side, and the socket, which the other loses.
//!
//! ```
//! use joinery::{JointRules, Lane, dovetail};
//! use solid::{Frame, Point, Vector};
//!
//! let seam = Frame::with_axes(Point::origin(), Vector::x(), Vector::y());
//! let lane = Lane { across_mm: 0.0, from_mm: -9.0, to_mm: 9.0, blind: false };
//! let tail = dovetail::Tail::sized(&lane, 10.5, &JointRules::default()).unwrap();
//! let joint = tail.joint(&seam).unwrap();
//! assert!(joint.socket.volume_mm3() > joint.tail.volume_mm3());
//! ```
#![deny(missing_docs)]

pub mod dovetail;
mod joint;
mod kind;
mod lanes;
mod layout;
mod profile;
mod rules;
mod sizing;
pub mod tenon;

pub use joint::{Joint, JointError};
pub use kind::{JointKind, UnknownJoint};
pub use lanes::{Lane, stretches};
pub use layout::{Laid, LaidTenons, NoRoom, SeamFace, lay_sliding, lay_tenons};
pub use rules::{BrokenRule, JointRules};
pub use sizing::{TailSize, tail_sizes};
