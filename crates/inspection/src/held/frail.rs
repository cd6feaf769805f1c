//! Joints that bear less than a hand pulls.

use design::{Assembly, ContactEntry, PieceId, SeamEntry};

use crate::code::Code;
use crate::finding::Finding;

/// What gives under the weight of a bag is no joint of furniture, in kilonewtons (our choice,
/// without a source).
const FRAIL_KN: f64 = 0.05;

/// Pairs of pieces that some joints join at a seam which together bear next to nothing, even at
/// the most that they may bear.
pub(crate) fn frail(assembly: &Assembly) -> Vec<Finding> {
    let seams = assembly.seams().iter();
    seams.flat_map(frail_pairs).collect()
}

fn frail_pairs(seam: &SeamEntry) -> Vec<Finding> {
    let mut pairs: Vec<&[PieceId; 2]> = Vec::new();
    for contact in &seam.contacts {
        if contact.estimate.is_some() && !pairs.contains(&&contact.pieces) {
            pairs.push(&contact.pieces);
        }
    }
    let each = pairs.into_iter().filter_map(|pair| {
        let own = seam.contacts.iter().filter(|c| c.pieces == *pair);
        let joined: Vec<&ContactEntry> = own.filter(|c| c.count > 0).collect();
        let pulls = joined
            .iter()
            .map(|c| c.estimate.as_ref().map(|e| e.pull_kn));
        // What has no estimate, as a tenon, is told by what holds it.
        let pulls: Vec<[f64; 2]> = pulls.collect::<Option<_>>()?;
        let [low, high] = [0, 1].map(|k| pulls.iter().map(|kn| kn[k]).sum::<f64>());
        (high < FRAIL_KN).then(|| told(seam, pair, [low, high]))
    });
    each.collect()
}

fn told(seam: &SeamEntry, [a, b]: &[PieceId; 2], kn: [f64; 2]) -> Finding {
    let [low, high] = kn.map(|kn| 1000.0 * kn);
    let message = format!(
        "what joins {a} and {b} at {} may give at {low:.1} to {high:.1} N, less than a hand pulls \
         (an estimate, no load rating): move the seam to where there is more material, or give it \
         another slide or joint in plan.toml",
        seam.id
    );
    let finding = Finding::new(Code::FrailJoint, message);
    finding.piece(a).seam(&seam.id).measured(kn[1], FRAIL_KN)
}

#[cfg(test)]
mod tests {
    use design::{EstimateEntry, SeamId};
    use joinery::JointKind;

    use super::*;

    fn told_of(pulls_kn: &[f64]) -> usize {
        let contact = |kn: &f64| ContactEntry {
            count: 1,
            estimate: Some(EstimateEntry {
                pull_kn: [0.5 * kn, *kn],
                weakest: "the neck".to_owned(),
                seat_ratio: 0.4,
                free_ratio: 0.2,
                self_locking: true,
                assumes: String::new(),
            }),
            ..ContactEntry::between(
                [PieceId::cut(1, 2), PieceId::cut(2, 2)],
                JointKind::Dovetail,
            )
        };
        let seam = SeamEntry {
            contacts: pulls_kn.iter().map(contact).collect(),
            ..SeamEntry::sliding(SeamId::numbered(1), [1.0, 0.0, 0.0], [0.0, 0.0, 1.0], 10.0)
        };
        frail_pairs(&seam).len()
    }

    #[test]
    fn what_a_hand_pulls_apart_is_told_once_for_all_limbs_of_two_pieces() {
        assert_eq!(told_of(&[0.0035]), 1);
        assert_eq!(told_of(&[0.0035, 0.004]), 1);
        assert_eq!(told_of(&[0.0035, 0.4]), 0);
        assert_eq!(told_of(&[]), 0);
    }
}
