//! A piece of a build.

use design::{CellId, Label, PieceId, PrinterId};
use printing::{DoesNotFit, Placement};
use solid::{Isometry, Solid};

use crate::assembly::congruent::Congruent;

/// One piece.
#[derive(Clone, Debug)]
pub struct Piece {
    /// `P01`, `P02`, …; of a key `K01`, …
    pub id: PieceId,
    /// The cell that it comes from; of a key none.
    pub cell: Option<CellId>,
    /// In place, in the model's coordinates.
    pub solid: Solid,
    /// The printer it is meant for.
    pub printer: PrinterId,
    /// The first piece of the same shape, if that is another: its file serves
    /// for this one too.
    pub congruent: Option<Congruent>,
    /// How it lies on that printer's bed, or why it does not.
    pub placement: Result<Placement, DoesNotFit>,
    /// What is engraved in it.
    pub labels: Vec<Label>,
}

impl Piece {
    /// The motion that lays it on its bed; where it fits on none, it is only
    /// shifted to rest on z = 0 with its least x and y at zero.
    pub fn onto_bed(&self) -> Isometry {
        match (&self.placement, self.solid.bounds()) {
            (Ok(placed), _) => placed.onto_bed,
            (Err(_), Some(bounds)) => {
                Isometry::translation(-bounds.min.x, -bounds.min.y, -bounds.min.z)
            }
            (Err(_), None) => Isometry::identity(),
        }
    }
}
