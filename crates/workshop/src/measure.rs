//! What a build is measured by when it is held against another.

use design::BuildMeasures;
use printing::Standing;

use crate::build::Build;

/// The measures of a build, in which pieces that are `spared` need no bed.
pub fn measured(build: &Build, spared: impl Fn(usize) -> bool + Copy) -> BuildMeasures {
    let keys = build.pieces.iter().filter(|p| p.cell.is_none()).count();
    let contacts = || build.seams.iter().flat_map(|s| &s.contacts);
    let keyed = || contacts().filter(|c| c.no_bed_room() && !c.keys().is_empty());
    let planned: usize = keyed().map(|c| c.keys().len()).sum();
    let pieces = build.pieces.iter().enumerate();
    let to_print = pieces.clone().filter(|(k, _)| !spared(*k));
    let placed = to_print.filter_map(|(_, p)| p.placement.as_ref().ok());
    let stand = |how: Standing| placed.clone().filter(|p| p.standing == how).count();
    BuildMeasures {
        pieces: build.pieces.len() - keys,
        keys: keys - planned,
        keyed: keyed().count(),
        plain: contacts().filter(|c| !c.is_joined()).count(),
        misfits: pieces
            .filter(|(k, p)| p.placement.is_err() && !spared(*k))
            .count(),
        helped: stand(Standing::Helped),
        falling: stand(Standing::Falls),
        support_l: placed.clone().map(|p| p.support_mm3).sum::<f64>() / 1e6,
    }
}
