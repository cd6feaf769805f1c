use solid::{ShapeError, Solid};

/// The two solids that make one joint, in the model's coordinates.
#[derive(Clone, Debug)]
pub struct Joint {
    /// What goes over to the tail's half, where the neighbour has material;
    /// its root lies inside the tail's own half.
    pub tail: Solid,
    /// What the socket's half loses: the tail grown by the clearance, with
    /// relief at the crest.
    pub socket: Solid,
}

/// A joint could not be made.
#[derive(Clone, Debug, thiserror::Error, PartialEq)]
pub enum JointError {
    /// Its solids do not come out closed.
    #[error("the joint's shape: {0}")]
    Shape(#[from] ShapeError),
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
