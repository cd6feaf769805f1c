use std::collections::BTreeSet;

use inspection::Assembly;
use paperwork::{PieceEntry, ResplitEntry};
use workshop::Build;

use crate::same_piece::mostly_shared;

/// Gives pieces that are earlier ones their ids, those that are mostly what an
/// earlier one was the id of that, and all others ids that were free; what
/// became of the earlier pieces.
pub(crate) fn take_ids(
    build: &mut Build,
    (old, assembly): (&[PieceEntry], &Assembly),
    same: &[Option<usize>],
    printed: &BTreeSet<String>,
) -> ResplitEntry {
    let mut entry = ResplitEntry::default();
    let mut taken: BTreeSet<String> = old.iter().map(|p| p.id.clone()).collect();

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
                && mostly_shared(&piece.solid, &assembly.pieces[e].in_place)
        });
    }
    for k in 0..build.pieces.len() {
        let key = build.pieces[k].id.starts_with('K');
        build.pieces[k].id = match (same[k], changed[k]) {
            (Some(e), _) => {
                let id = &old[e].id;
                if printed.contains(id) {
                    entry.printed.push(id.clone());
                } else {
                    entry.kept.push(id.clone());
                }
                id.clone()
            }
            (None, Some(e)) => {
                entry.changed.push(old[e].id.clone());
                old[e].id.clone()
            }
            (None, None) => {
                let id = free_id(&taken, if key { 'K' } else { 'P' });
                taken.insert(id.clone());
                entry.new.push(id.clone());
                id
            }
        };
    }
    entry.gone = (0..old.len())
        .filter(|e| !same.contains(&Some(*e)) && !changed.contains(&Some(*e)))
        .map(|e| old[e].id.clone())
        .collect();
    entry
}

fn free_id(taken: &BTreeSet<String>, letter: char) -> String {
    (1..)
        .map(|n| format!("{letter}{n:02}"))
        .find(|id| !taken.contains(id))
        .unwrap_or_default()
}
