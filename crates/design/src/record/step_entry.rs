//! Steps of an assembly as they are recorded.

use serde::{Deserialize, Serialize};

use crate::ids::{PieceId, SeamId};
use crate::side::Side;

/// One step of the assembly.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct StepEntry {
    /// From 1.
    pub step: usize,
    /// The pieces that move, as one.
    pub moving: Vec<PieceId>,
    /// The pieces that stand.
    pub onto: Vec<PieceId>,
    /// What it is for.
    #[serde(flatten)]
    pub closes: Closes,
    /// The way they move.
    pub direction: [f64; 3],
    /// How far.
    pub travel_mm: f64,
    /// How what stands rests meanwhile, where it can.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rests: Option<Rest>,
    /// How far a body that came home moves there, to each side on which something stops it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub play: Vec<Play>,
}

impl StepEntry {
    /// The seam that it closes; none where a body comes home.
    pub fn seam(&self) -> Option<&SeamId> {
        self.closes.seam()
    }
}

/// What a step is for.
///
/// ```
/// use design::Closes;
///
/// let closes = Closes::Body("B1".parse().unwrap());
/// assert_eq!(serde_json::to_string(&closes).unwrap(), r#"{"body":"B1"}"#);
/// assert_eq!((closes.seam(), closes.id().as_str()), (None, "B1"));
/// ```
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Closes {
    /// It closes a seam.
    Seam(SeamId),
    /// It brings a body that stands apart to its place.
    Body(SeamId),
}

impl Closes {
    /// The seam; none where a body comes home.
    pub fn seam(&self) -> Option<&SeamId> {
        match self {
            Self::Seam(id) => Some(id),
            Self::Body(_) => None,
        }
    }

    /// The id of the seam or the body.
    pub fn id(&self) -> &SeamId {
        match self {
            Self::Seam(id) | Self::Body(id) => id,
        }
    }
}

/// How far something can be moved to a side before it meets something else.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Play {
    /// To which side.
    pub to: Side,
    /// How far.
    pub free_mm: f64,
}

/// How something rests on a bench while a piece comes to it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Rest {
    /// The side of the furniture that lies down.
    pub on: Side,
    /// Whether what comes reaches lower, so that its place has to stand over the edge.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub over_edge: bool,
}
