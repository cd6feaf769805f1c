//! What a build is measured by when it is held against another.

use design::BuildMeasures;

use crate::build::Build;

/// The measures of a build, in which pieces that are `spared` need no bed.
pub fn measured(build: &Build, spared: impl Fn(usize) -> bool) -> BuildMeasures {
    let keys = build.pieces.iter().filter(|p| p.cell.is_none()).count();
    let contacts = || build.seams.iter().flat_map(|s| &s.contacts);
    let keyed = || contacts().filter(|c| c.no_bed_room() && !c.keys().is_empty());
    let planned: usize = keyed().map(|c| c.keys().len()).sum();
    let pieces = build.pieces.iter().enumerate();
    BuildMeasures {
        pieces: build.pieces.len() - keys,
        keys: keys - planned,
        keyed: keyed().count(),
        plain: contacts().filter(|c| !c.is_joined()).count(),
        misfits: pieces
            .filter(|(k, p)| p.placement.is_err() && !spared(*k))
            .count(),
    }
}
