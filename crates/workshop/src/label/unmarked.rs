//! Pieces that bear no mark of a seam that they meet at.

use crate::build::Build;
use crate::remark::Remark;

/// For each seam the pieces that bear no mark of it, those that share a file with
/// others apart: theirs would name the wrong mate. Of those that were left as they are
/// it is not known why.
pub(crate) fn unmarked(build: &Build, leave: &[bool]) -> Vec<Remark> {
    let shared = |k: usize| {
        let likes = build.pieces.iter().filter_map(|p| p.congruent);
        build.pieces[k].congruent.is_some() || likes.map(|c| c.of).any(|of| of == k)
    };
    let marked = |k: usize, seam: &str| {
        let labels = build.pieces[k].labels.iter();
        let mut words = labels.flat_map(|l| l.text.split([' ', '-']));
        words.any(|word| word == seam)
    };
    let mut out = Vec::new();
    for seam in &build.seams {
        let meeting = seam.contacts.iter().flat_map(|c| c.contact.pieces);
        let was_cut = meeting.filter(|&k| leave.get(k) != Some(&true));
        let mut without: Vec<usize> = was_cut.filter(|&k| !marked(k, seam.id.as_str())).collect();
        without.sort_unstable();
        without.dedup();
        let (alike, no_room): (Vec<usize>, Vec<usize>) =
            without.into_iter().partition(|&k| shared(k));
        if !(alike.is_empty() && no_room.is_empty()) {
            out.push(Remark::NoMark {
                seam: seam.id.clone(),
                no_room,
                alike,
            });
        }
    }
    out
}
