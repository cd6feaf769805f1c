//! Ids of pieces: those of earlier pieces that are the same or mostly so, and
//! free ones for the others.

use std::collections::BTreeSet;

use design::{PieceId, ResplitEntry};
use workshop::Build;

use crate::earlier::Earlier;
use crate::same_piece::mostly_shared;

/// Gives pieces that are earlier ones their ids, those that are mostly what an
/// earlier one was the id of that, and all others ids that were free; what
/// became of the earlier pieces.
pub(crate) fn take_ids(
    build: &mut Build,
    earlier: &Earlier,
    same: &[Option<usize>],
) -> ResplitEntry {
    let old = &earlier.pieces;
    let mut entry = ResplitEntry::default();
    let mut taken: BTreeSet<PieceId> = old.iter().map(|p| p.entry.id.clone()).collect();

    let mut changed: Vec<Option<usize>> = vec![None; build.pieces.len()];
    for (k, piece) in build
        .pieces
        .iter()
        .enumerate()
        .filter(|(k, _)| same[*k].is_none())
    {
        changed[k] = (0..old.len()).find(|&e| {
            !same.contains(&Some(e))
                && !changed.contains(&Some(e))
                && mostly_shared(&piece.solid, &old[e].in_place)
        });
    }
    for k in 0..build.pieces.len() {
        let key = build.pieces[k].id.is_key();
        build.pieces[k].id = match (same[k], changed[k]) {
            (Some(e), _) => {
                let id = &old[e].entry.id;
                if earlier.is_printed(e) {
                    entry.printed.push(id.clone());
                } else {
                    entry.kept.push(id.clone());
                }
                id.clone()
            }
            (None, Some(e)) => {
                entry.changed.push(old[e].entry.id.clone());
                old[e].entry.id.clone()
            }
            (None, None) => {
                let id = PieceId::free(key, |id| taken.contains(id));
                taken.insert(id.clone());
                entry.new.push(id.clone());
                id
            }
        };
    }
    entry.gone = (0..old.len())
        .filter(|e| !same.contains(&Some(*e)) && !changed.contains(&Some(*e)))
        .map(|e| old[e].entry.id.clone())
        .collect();
    entry
}
