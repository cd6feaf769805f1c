//! What the layout of joints starts from and ends with.

use solid::Outline;

use crate::shape::sliding::Sliding;

/// What the layout of joints needs to know of a seam, in its frame's `(u, v)`:
/// `v` is the way the tails move to go home.
#[derive(Clone, Debug)]
pub struct SeamFace {
    /// Where joints may lie, walls included: material on both sides, as deep
    /// as the joint reaches. One polygon is filled at a time.
    pub room: Outline,
    /// All material of the socket's half within the reach of the tails.
    pub receiving: Outline,
    /// All material of the tails' half within the reach of braces and fingers
    /// that come the other way.
    pub carrying: Outline,
    /// What joints of other seams fill of the socket's half and of the tails'
    /// half: no lane goes through there. Room alone does not say so, for it may
    /// begin later than the material where that ends at a slant.
    pub taken: [Outline; 2],
    /// Whether the end that a tail runs towards must not show: tails stop
    /// short of it.
    pub stop_short: bool,
    /// By how much faces that lean against the seam shift what stands on it,
    /// along the slide, within the depth of a joint.
    pub lean_mm: f64,
    /// A slide that other joints of the seam need already.
    pub least_travel_mm: f64,
}

impl SeamFace {
    /// The face of two halves that are one prism cut across: the same outline
    /// on both sides, as deep as any joint.
    pub fn across_prism(outline: &Outline) -> Self {
        Self {
            room: outline.clone(),
            receiving: outline.clone(),
            carrying: outline.clone(),
            taken: [Outline::new(Vec::new()), Outline::new(Vec::new())],
            stop_short: false,
            lean_mm: 0.0,
            least_travel_mm: 0.0,
        }
    }
}

/// Why no joint was laid out.
#[derive(Clone, Debug, thiserror::Error, PartialEq)]
pub enum NoRoom {
    /// No strip of the least width is covered far enough.
    #[error(
        "the contact has no strip {needed_mm:.1} mm wide and {run_mm:.1} mm long for the smallest \
         joint and the walls beside it"
    )]
    TooNarrow {
        /// Width of the strip that the smallest joint needs.
        needed_mm: f64,
        /// Length it needs.
        run_mm: f64,
    },
    /// There is room, but the end where the tail would come in is closed.
    #[error(
        "the face is wide enough, but closed where the tail would come in: {free_mm:.1} mm are free \
         there, and the slide needs {needed_mm:.1} mm (something stands in its way, or the wall \
         leans from it)"
    )]
    EntryClosed {
        /// Free way before the end.
        free_mm: f64,
        /// Way that the slide needs.
        needed_mm: f64,
    },
    /// There is room, but what comes from the other half finds its end closed.
    #[error("there is room, but material closes the far end, where the other half's part comes in")]
    FarEndClosed,
    /// It has parts that come in from the end that must not show.
    #[error("it comes in from both ends, so it cannot stop short of a face that must not show it")]
    CannotStop,
    /// Stopped short, nothing of use is left of it.
    #[error(
        "stopped short of the face that must not show it, {run_mm:.1} mm of run are left, and it \
         needs {needed_mm:.1} mm"
    )]
    TooShortToStop {
        /// Run that is left.
        run_mm: f64,
        /// Run that the smallest joint needs.
        needed_mm: f64,
    },
    /// Every lane goes through what joints of other seams fill.
    #[error("there is room, but the way in leads through a joint of another seam")]
    Taken,
    /// The outline steps beside every strip.
    #[error("there is room, but the outline steps beside it, and a slide would shave slivers off")]
    Stepped,
}

/// Sliding joints laid out on a seam, and how far the slide is.
#[derive(Clone, Debug, Default)]
pub struct Laid {
    /// The joints, each with the index of the room polygon it was laid in.
    pub joints: Vec<(usize, Sliding)>,
    /// How far back the moving half must start to be free of every tail.
    pub travel_mm: f64,
    /// Why a room polygon got none, by its index.
    pub refused: Vec<(usize, NoRoom)>,
}
