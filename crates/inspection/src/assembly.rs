use joinery::JointKind;
use planner::Printer;
use solid::{Frame, Solid, Vector};

/// Pieces in place and what is claimed of how they go together.
#[derive(Clone, Debug)]
pub struct Assembly {
    /// The pieces.
    pub pieces: Vec<PieceInPlace>,
    /// The seams.
    pub seams: Vec<SeamClaim>,
    /// The steps, first step first.
    pub steps: Vec<StepClaim>,
    /// The printers.
    pub printers: Vec<Printer>,
}

/// One piece.
#[derive(Clone, Debug)]
pub struct PieceInPlace {
    /// Its id.
    pub id: String,
    /// In the model's coordinates.
    pub in_place: Solid,
    /// In its file's coordinates: as it lies on the bed.
    pub as_printed: Solid,
    /// Its printer, by index.
    pub printer: usize,
}

/// What is claimed of a seam.
#[derive(Clone, Debug)]
pub struct SeamClaim {
    /// Its id.
    pub id: String,
    /// Its plane.
    pub frame: Frame,
    /// Where pieces meet on it.
    pub contacts: Vec<ContactClaim>,
}

/// What is claimed of a contact.
#[derive(Clone, Debug)]
pub struct ContactClaim {
    /// The piece below the seam and the piece above it, by index.
    pub pieces: [usize; 2],
    /// The joint.
    pub joint: JointKind,
    /// The keys that hold it, by index.
    pub keys: Vec<usize>,
    /// The area that they share.
    pub area_mm2: f64,
    /// Why it got this joint.
    pub reason: String,
}

/// What is claimed of a step.
#[derive(Clone, Debug)]
pub struct StepClaim {
    /// The pieces that move, by index.
    pub moving: Vec<usize>,
    /// The pieces that stand, by index.
    pub onto: Vec<usize>,
    /// The seam that it closes, by index.
    pub seam: usize,
    /// The way they move.
    pub direction: Vector,
    /// How far.
    pub travel_mm: f64,
}
