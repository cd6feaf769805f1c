//! Joints: what they look like, how large they may be, where they find room.
//!
//! A joint sits on a seam. The seam has a [`Frame`](solid::Frame): `n` points
//! from the half that carries the tail into the half that carries the socket,
//! `v` is the way the tail's half moves to go home (the slide), and `u` runs
//! across. A [`Joint`] is the pair of solids that make the two halves: the
//! tail, which goes over to one side, and the socket, which the other loses.
//!
//! ```
//! use joinery::{JointKind, JointRules, Lane, Sliding, TailSize};
//! use solid::{Frame, Point, Vector};
//!
//! let seam = Frame::with_axes(Point::origin(), Vector::x(), Vector::y());
//! let lane = Lane { across_mm: 0.0, from_mm: -9.0, to_mm: 9.0, blind: false };
//! let (kind, rules) = (JointKind::Dovetail, JointRules::default());
//! let size = TailSize::of_width(kind, 10.5, &rules);
//! let joint = Sliding::tail(kind, &lane, &size, &rules).unwrap().joint(&seam).unwrap();
//! let main = &joint.transfers[0];
//! assert!(main.socket.volume_mm3() > main.tail.volume_mm3());
//! ```
#![deny(missing_docs)]

pub mod coupon;
mod kind;
mod layout;
mod rules;
mod shape;
mod sizing;
mod strength;

pub use kind::abilities::{Abilities, Closing, Form, Hold};
pub use kind::joint_kind::{JointKind, UnknownJoint};
pub use layout::axial::{LaidTenons, lay_tenons};
pub use layout::scan::stretches;
pub use layout::seam_face::{Laid, NoRoom, SeamFace};
pub use layout::slide::lay_sliding;
pub use rules::JointRules;
pub use shape::joint::{Half, Joint, JointError, Transfer};
pub use shape::joint_shape::JointShape;
pub use shape::lane::Lane;
pub use shape::sliding::Sliding;
pub use shape::tail::{Crest, Tail};
pub use shape::tenon;
pub use sizing::{TailSize, tail_sizes};
pub use strength::capacity;
