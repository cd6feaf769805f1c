//! An earlier split, as it was read back.

use std::collections::BTreeSet;

use design::{PieceEntry, PieceId, Plan, PrinterId, SeamRecord};
use solid::Solid;

/// An earlier split.
#[derive(Clone, Debug)]
pub struct Earlier {
    /// Its plan.
    pub plan: Plan,
    /// The joints of its seams.
    pub records: Vec<SeamRecord>,
    /// Its pieces.
    pub pieces: Vec<EarlierPiece>,
    /// Those that are printed already, by id.
    pub printed: BTreeSet<PieceId>,
}

/// A piece of an earlier split.
#[derive(Clone, Debug)]
pub struct EarlierPiece {
    /// What was recorded of it.
    pub entry: PieceEntry,
    /// In the model's coordinates.
    pub in_place: Solid,
    /// As it lies in its file.
    pub as_printed: Solid,
    /// The bytes of its file.
    pub bytes: Vec<u8>,
    /// The printer that it is for.
    pub printer: PrinterId,
}

impl Earlier {
    /// Whether a piece is printed already.
    pub(crate) fn is_printed(&self, piece: usize) -> bool {
        self.printed.contains(&self.pieces[piece].entry.id)
    }
}
