//! What went otherwise than hoped while a plan was carried out.

use solid::Solid;

/// What went otherwise than hoped.
#[derive(Clone, Debug)]
pub enum Remark {
    /// A part of a piece hangs on nothing.
    FallsApart {
        /// The piece, by index.
        piece: usize,
        /// The loose part.
        part: Solid,
    },
    /// Scraps were dropped.
    Dropped {
        /// Their volume.
        volume_mm3: f64,
    },
    /// A piece has no face with room for its id.
    NoLabel {
        /// The piece, by index.
        piece: usize,
    },
    /// What was to be in one piece is in several.
    NotWhole {
        /// What the maker calls it.
        name: String,
        /// The pieces that it is in, by index.
        pieces: Vec<usize>,
    },
}
