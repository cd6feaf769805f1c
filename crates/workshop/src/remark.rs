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
    /// What was asked of how pieces lie could not be had.
    Lying(LyingRemark),
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

/// What could not be had of how pieces lie.
#[derive(Clone, Debug)]
pub enum LyingRemark {
    /// A piece needs support that was to need none.
    NeedsSupport {
        /// The piece, by index.
        piece: usize,
        /// Space under what hangs over.
        space_mm3: f64,
        /// Contacts whose joints hang over, because layers cross their profile.
        joints_across: usize,
    },
    /// Support touches faces that were to be clean of it.
    MarkedFace {
        /// The piece, by index.
        piece: usize,
        /// How much of them.
        area_mm2: f64,
    },
    /// A wish of how a piece lies names a point that is in none.
    NoSuchPiece {
        /// The point.
        at_mm: [f64; 3],
    },
}
