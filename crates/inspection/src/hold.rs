//! What holds pieces together where they meet: nothing, friction, or shape.

use design::{Assembly, ContactEntry, LIMB_MM, LIMB_MM2, PieceId, SeamEntry};
use joinery::{Hold, JointKind};
use solid::{DisjointSets, Point};

use crate::code::Code;
use crate::finding::Finding;

/// What to know of the seams: contacts that nothing holds, and such as only
/// friction holds.
pub(crate) fn seams(assembly: &Assembly) -> Vec<Finding> {
    let seams = assembly.seams().iter();
    let contacts = seams.flat_map(|s| s.contacts.iter().map(move |c| (s, c)));
    contacts
        .filter_map(|(seam, contact)| held(seam, contact, &|piece| by_shape(assembly, piece)))
        .collect()
}

/// Pieces that no joint and no key links to the rest of the body that they are cut from. What
/// was wished plain links as joints do.
pub(crate) fn joined_to_nothing(assembly: &Assembly) -> Vec<Finding> {
    let count = assembly.pieces().len();
    let (mut joined, mut bodies) = (DisjointSets::of(count), DisjointSets::of(count));
    let contacts = || assembly.seams().iter().flat_map(|s| &s.contacts);
    for contact in contacts() {
        let [a, b] = contact.pieces.each_ref().map(|id| assembly.place(id));
        bodies.unite(a, b);
        if contact.joint != JointKind::Plain || contact.plain_wished {
            joined.unite(a, b);
        }
        for key in assembly.places(&contact.keys) {
            joined.unite(a, key);
            bodies.unite(a, key);
        }
    }
    let of: Vec<usize> = (0..count).map(|k| joined.find(k)).collect();
    let volume = |part: usize| -> f64 {
        let own = (0..count).filter(|&k| of[k] == part);
        own.map(|k| assembly.pieces()[k].in_place.volume_mm3())
            .sum()
    };
    let body_of: Vec<usize> = (0..count).map(|k| bodies.find(k)).collect();
    let mut parts: Vec<usize> = of.clone();
    parts.sort_unstable();
    parts.dedup();
    // Of parts as large as each other the first is the rest.
    let larger = |part: usize, other: usize| {
        let order = volume(other).total_cmp(&volume(part));
        body_of[part] == body_of[other] && order.then(part.cmp(&other)).is_gt()
    };
    let loose: Vec<usize> = parts
        .iter()
        .copied()
        .filter(|&part| parts.iter().any(|&other| larger(part, other)))
        .collect();
    let each = loose.into_iter().map(|part| {
        let own = || (0..count).filter(|&k| of[k] == part);
        let ids: Vec<&PieceId> = own().map(|k| &assembly.pieces()[k].id).collect();
        let leads_out = |c: &ContactEntry| {
            let [a, b] = c.pieces.each_ref().map(|id| of[assembly.place(id)]);
            a != b && [a, b].contains(&part)
        };
        let seams = assembly.seams().iter();
        let seams = seams.filter(|seam| seam.contacts.iter().any(leads_out));
        let seams: Vec<&str> = seams.map(|s| s.id.as_str()).collect();
        told(&ids, &seams)
    });
    each.collect()
}

fn told(ids: &[&PieceId], seams: &[&str]) -> Finding {
    let names: Vec<&str> = ids.iter().map(|id| id.as_str()).collect();
    let (are, them, they) = match names.len() {
        1 => ("is", "it", "it is"),
        _ => ("are", "them", "they are"),
    };
    let message = format!(
        "{} {are} joined to nothing else: at {} no joint found room, and whoever lifts the \
         furniture leaves {them} behind; move that seam in plan.toml, give it another slide or \
         joint, or say joint = \"plain\" for it if {they} to lie loose",
        names.join(", "),
        seams.join(", "),
    );
    Finding::new(Code::JoinedToNothing, message).piece(ids[0])
}

/// Whether the shape of some joint holds a piece to another one.
fn by_shape(assembly: &Assembly, piece: &PieceId) -> bool {
    let mut contacts = assembly.seams().iter().flat_map(|s| &s.contacts);
    contacts.any(|c| c.pieces.contains(piece) && c.joint.abilities().hold == Hold::Shape)
}

fn held(
    seam: &SeamEntry,
    contact: &ContactEntry,
    by_shape: &dyn Fn(&PieceId) -> bool,
) -> Option<Finding> {
    let [a, b] = &contact.pieces;
    let finding = match contact.joint.abilities().hold {
        Hold::Shape => return None,
        Hold::Nothing => held_by_nothing(seam, contact, by_shape)?,
        // Once for all limbs between the same pieces.
        _ if told_before(seam, contact) => return None,
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

/// Whether a limb before it on a seam, between the same pieces, is joined alike.
fn told_before(seam: &SeamEntry, contact: &ContactEntry) -> bool {
    let alike = |c: &&ContactEntry| c.pieces == contact.pieces && c.joint == contact.joint;
    let first = seam.contacts.iter().find(alike);
    first.is_some_and(|first| !std::ptr::eq(first, contact))
}

/// What to know of a limb without a joint: whether the same pieces are joined beside it,
/// and whether it is thick enough for a joint of its own. Webs beside limbs need none.
fn held_by_nothing(
    seam: &SeamEntry,
    contact: &ContactEntry,
    by_shape: &dyn Fn(&PieceId) -> bool,
) -> Option<Finding> {
    let [a, b] = &contact.pieces;
    let ContactEntry {
        area_mm2,
        thick_mm,
        reason,
        ..
    } = contact;
    let beside = || {
        let same = |c: &&ContactEntry| c.pieces == contact.pieces;
        seam.contacts.iter().filter(same)
    };
    let sturdy = |c: &ContactEntry| c.thick_mm >= LIMB_MM && c.area_mm2 >= LIMB_MM2;
    let at = contact.at_mm.unwrap_or(seam.origin_mm);
    let finding = if beside().any(|c| c.joint != JointKind::Plain) {
        let message = format!(
            "{a} and {b} are joined at {}, but nothing holds {area_mm2:.0} mm² of it, a limb \
             {thick_mm:.1} mm thick: {reason}; give the seam another slide or place in plan.toml",
            seam.id
        );
        sturdy(contact).then(|| Finding::new(Code::BareLimb, message))?
    } else if !sturdy(contact) && (beside().any(sturdy) || told_before(seam, contact)) {
        return None;
    } else if *thick_mm < LIMB_MM && contact.pieces.iter().all(by_shape) {
        let message = format!(
            "{a} and {b} lie against each other at {} along an edge {thick_mm:.1} mm thick, which \
             has no joint; each is held by other pieces",
            seam.id
        );
        Finding::new(Code::ThinEdge, message)
    } else {
        let message = format!(
            "{a} and {b} only meet at {} and nothing holds them there: {reason}",
            seam.id
        );
        Finding::new(Code::PlainContact, message)
    };
    Some(finding.at(&Point::from(at)))
}

#[cfg(test)]
mod tests {
    use design::{PieceInPlace, PrinterId, SeamId};
    use solid::{Isometry, Solid};

    use super::*;

    fn seam(contacts: Vec<ContactEntry>) -> SeamEntry {
        SeamEntry {
            id: SeamId::numbered(1),
            origin_mm: [0.0; 3],
            normal: [1.0, 0.0, 0.0],
            within_mm: None,
            slide: [0.0, 0.0, 1.0],
            tails_slide: None,
            travel_mm: 10.0,
            reason: String::new(),
            contacts,
        }
    }

    fn limb(joint: JointKind, thick_mm: f64, area_mm2: f64) -> ContactEntry {
        ContactEntry {
            area_mm2,
            thick_mm,
            ..ContactEntry::between([PieceId::cut(1, 2), PieceId::cut(2, 2)], joint)
        }
    }

    fn codes(limbs: Vec<ContactEntry>) -> Vec<Code> {
        let seam = seam(limbs);
        let found = seam
            .contacts
            .iter()
            .filter_map(|c| held(&seam, c, &|_| false));
        found.map(|f| f.code).collect()
    }

    /// A top on two legs: one joined, the other only under it.
    #[test]
    fn a_leg_that_nothing_joins_is_left_behind() {
        let block = |a: [f64; 3], b: [f64; 3]| Solid::cuboid(a.into(), b.into());
        let piece = |k: usize, solid: Solid| PieceInPlace {
            id: PieceId::cut(k, 3),
            in_place: solid.clone(),
            as_printed: solid,
            placed: Isometry::identity(),
            printer: PrinterId::at(0),
        };
        let leg = |x: f64| block([x, 0.0, 0.0], [x + 20.0, 20.0, 90.0]);
        let top = block([0.0, 0.0, 90.0], [200.0, 20.0, 110.0]);
        let loose = |joint: JointKind, plain_wished: bool| {
            let contact = |leg: usize, joint| ContactEntry {
                plain_wished,
                ..ContactEntry::between([PieceId::cut(leg, 3), PieceId::cut(3, 3)], joint)
            };
            let seam = seam(vec![contact(1, JointKind::Dovetail), contact(2, joint)]);
            let pieces = vec![
                piece(1, leg(0.0)),
                piece(2, leg(180.0)),
                piece(3, top.clone()),
            ];
            let printers = vec!["220x220x250".parse().unwrap()];
            let assembly = Assembly::new(pieces, vec![seam], Vec::new(), printers).unwrap();
            let found = joined_to_nothing(&assembly);
            found
                .into_iter()
                .map(|f| f.piece.unwrap())
                .collect::<Vec<_>>()
        };
        assert_eq!(loose(JointKind::Plain, false), [PieceId::cut(2, 3)]);
        assert_eq!(loose(JointKind::Plain, true), []);
        assert_eq!(loose(JointKind::Tenon, false), []);
        // Two halves of one size: one of them is told.
        let halves = [leg(0.0), leg(20.0)].into_iter().zip(1..);
        let halves: Vec<PieceInPlace> = halves.map(|(solid, k)| piece(k, solid)).collect();
        let ids = [PieceId::cut(1, 3), PieceId::cut(2, 3)];
        let seams = vec![seam(vec![ContactEntry::between(ids, JointKind::Plain)])];
        let printers = vec!["220x220x250".parse().unwrap()];
        let assembly = Assembly::new(halves, seams, Vec::new(), printers).unwrap();
        let found = joined_to_nothing(&assembly);
        assert_eq!(found.len(), 1);
        assert!(found[0].message.contains("at S1 "), "{}", found[0].message);
    }

    #[test]
    fn only_a_joint_whose_shape_holds_is_passed_over_in_silence() {
        let code = |joint| codes(vec![limb(joint, 9.0, 100.0)]);
        assert_eq!(code(JointKind::Plain), [Code::PlainContact]);
        assert_eq!(code(JointKind::Tenon), [Code::FrictionOnly]);
        assert_eq!(code(JointKind::Tongue), [Code::NotLocked]);
        assert_eq!(code(JointKind::Butterfly), []);
    }

    #[test]
    fn a_thin_edge_between_pieces_that_others_hold_is_no_warning() {
        let told = |thick_mm, others_hold: bool| {
            let seam = seam(vec![limb(JointKind::Plain, thick_mm, 4320.0)]);
            held(&seam, &seam.contacts[0], &|_| others_hold).map(|f| f.code)
        };
        assert_eq!(told(6.0, true), Some(Code::ThinEdge));
        assert_eq!(told(6.0, false), Some(Code::PlainContact));
        assert_eq!(told(18.0, true), Some(Code::PlainContact));
    }

    #[test]
    fn a_bare_limb_is_told_beside_joints_and_a_bare_web_is_not() {
        let joined = || limb(JointKind::Dovetail, 6.0, 3600.0);
        let beside =
            |thick_mm, area_mm2| codes(vec![joined(), limb(JointKind::Plain, thick_mm, area_mm2)]);
        assert_eq!(beside(18.0, 4320.0), [Code::BareLimb]);
        assert_eq!(beside(6.0, 4320.0), []);
        assert_eq!(beside(18.0, 150.0), []);
        // A web beside a limb that nothing holds is told with it.
        let bare = |thick_mm| limb(JointKind::Plain, thick_mm, 4320.0);
        assert_eq!(codes(vec![bare(18.0), bare(6.0)]), [Code::PlainContact]);
        assert_eq!(codes(vec![bare(6.0), bare(6.0)]), [Code::PlainContact]);
        let friction = || limb(JointKind::Tenon, 9.0, 4320.0);
        assert_eq!(codes(vec![friction(), friction()]), [Code::FrictionOnly]);
    }
}
