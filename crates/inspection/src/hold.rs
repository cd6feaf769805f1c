//! What holds pieces together where they meet: nothing, friction, or shape.

use design::{Assembly, ContactEntry, SeamEntry};
use joinery::Hold;
use solid::Point;

use crate::code::Code;
use crate::finding::Finding;

/// What to know of the seams: contacts that nothing holds, and such as only
/// friction holds.
pub(crate) fn seams(assembly: &Assembly) -> Vec<Finding> {
    let seams = assembly.seams().iter();
    let contacts = seams.flat_map(|s| s.contacts.iter().map(move |c| (s, c)));
    contacts
        .filter_map(|(seam, contact)| held(seam, contact))
        .collect()
}

fn held(seam: &SeamEntry, contact: &ContactEntry) -> Option<Finding> {
    let [a, b] = &contact.pieces;
    let finding = match contact.joint.abilities().hold {
        Hold::Shape => return None,
        Hold::Nothing => Finding::new(
            Code::PlainContact,
            format!(
                "{a} and {b} only meet at {} and nothing holds them there: {}",
                seam.id, contact.reason
            ),
        )
        .at(&Point::from(seam.origin_mm)),
        Hold::Friction => Finding::new(
            Code::FrictionOnly,
            format!(
                "{a} and {b} are held at {} by the friction of a tapered tenon only: they come \
                 apart the way they went together",
                seam.id
            ),
        ),
        Hold::Location => Finding::new(
            Code::NotLocked,
            format!(
                "{a} and {b} are located at {} by tongue and groove, which does not hold them \
                 together",
                seam.id
            ),
        ),
    };
    Some(finding.piece(a).seam(&seam.id))
}

#[cfg(test)]
mod tests {
    use design::{PieceId, SeamId};
    use joinery::JointKind;

    use super::*;

    #[test]
    fn only_a_joint_whose_shape_holds_is_passed_over_in_silence() {
        let seam = SeamEntry {
            id: SeamId::numbered(1),
            origin_mm: [0.0; 3],
            normal: [1.0, 0.0, 0.0],
            within_mm: None,
            slide: [0.0, 0.0, 1.0],
            travel_mm: 10.0,
            reason: String::new(),
            contacts: Vec::new(),
        };
        let code = |joint: JointKind| {
            let contact = ContactEntry {
                pieces: [PieceId::cut(1, 2), PieceId::cut(2, 2)],
                area_mm2: 100.0,
                joint,
                count: 1,
                keys: Vec::new(),
                width_mm: 10.0,
                taper_deg: 1.0,
                seat_slack_mm: None,
                seat_error_mm: None,
                estimate: None,
                reason: "why".into(),
            };
            held(&seam, &contact).map(|f| f.code)
        };
        assert_eq!(code(JointKind::Plain), Some(Code::PlainContact));
        assert_eq!(code(JointKind::Tenon), Some(Code::FrictionOnly));
        assert_eq!(code(JointKind::Tongue), Some(Code::NotLocked));
        assert_eq!(code(JointKind::Butterfly), None);
    }
}
