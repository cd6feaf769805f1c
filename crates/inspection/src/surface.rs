//! Whether the surface of each file is one that a slicer reads as meant.

use design::{Assembly, Recall, Tally};
use rayon::prelude::*;

use crate::code::Code;
use crate::finding::Finding;

/// Files whose surface touches or crosses itself: what lies inside them is then a
/// matter of opinion.
pub(crate) fn surfaces(assembly: &Assembly, recall: &Recall) -> Vec<Finding> {
    assembly
        .pieces()
        .par_iter()
        .filter_map(|piece| {
            let pair = recall.touches_itself(&piece.as_printed);
            Tally::LooksTaken.did(1);
            let pair = pair?;
            let message = format!(
                "the surface of {} touches or crosses itself; move the seam beside it a little",
                piece.id
            );
            let finding = Finding::new(Code::TouchesItself, message).piece(&piece.id);
            // The triangles in place are those of the file, moved.
            Some(match piece.in_place.middle_of(pair) {
                Some(at) => finding.at(&at),
                None => finding,
            })
        })
        .collect()
}
