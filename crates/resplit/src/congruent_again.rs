//! Congruent pieces of which some keep their files.

use solid::Isometry;
use workshop::{Build, Congruent};

/// Pieces of one shape of which some keep their files: the file of one that
/// `serves` does for the others too, and that one is named for each; otherwise
/// the others are a separate group.
pub(crate) fn congruent_again(
    build: &mut Build,
    kept: impl Fn(usize) -> bool,
    serves: impl Fn(usize) -> bool,
) -> Vec<Option<Congruent>> {
    let firsts: Vec<Congruent> = (0..build.pieces.len())
        .map(|k| {
            let itself = Congruent {
                of: k,
                motion: Isometry::identity(),
            };
            build.pieces[k].congruent.unwrap_or(itself)
        })
        .collect();
    let mut served = vec![None; build.pieces.len()];
    for first in 0..build.pieces.len() {
        let (keeping, open): (Vec<usize>, Vec<usize>) = (0..build.pieces.len())
            .filter(|&k| firsts[k].of == first)
            .partition(|&k| kept(k));
        if keeping.is_empty() {
            continue;
        }
        let serving = keeping.into_iter().find(|&k| serves(k));
        let Some(lead) = serving.or(open.first().copied()) else {
            continue;
        };
        for k in open {
            let from_lead = (k != lead).then(|| Congruent {
                of: lead,
                motion: firsts[k].motion * firsts[lead].motion.inverse(),
            });
            if serving.is_some() {
                build.pieces[k].congruent = None;
                served[k] = from_lead;
            } else {
                build.pieces[k].congruent = from_lead;
            }
        }
    }
    served
}
