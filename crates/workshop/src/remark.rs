//! What went otherwise than hoped while a plan was carried out.

use design::SeamId;
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
    /// Pieces that meet at a seam bear no mark of it.
    NoMark {
        /// The seam.
        seam: SeamId,
        /// Those whose faces there have no room for one, by index.
        no_room: Vec<usize>,
        /// Those that share a file with others of their shape, by index.
        alike: Vec<usize>,
    },
    /// What was to be in one piece is in several.
    NotWhole {
        /// What the maker calls it.
        name: String,
        /// The pieces that it is in, by index.
        pieces: Vec<usize>,
    },
    /// No straight way leads a body to its place, at no time of the assembly.
    NoWayHome {
        /// The body.
        body: SeamId,
        /// Its pieces, by index.
        pieces: Vec<usize>,
        /// Seams that would have to be closed another way so that there were one.
        caught_by: Vec<SeamId>,
    },
}
