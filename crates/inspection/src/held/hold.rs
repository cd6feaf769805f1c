//! What holds pieces together where they meet: nothing, friction, or shape.

use design::{Assembly, ContactEntry, HELD_MM, LIMB_MM, LIMB_MM2, PieceId, SeamEntry};
use joinery::{Hold, JointKind};
use solid::Point;

use crate::code::Code;
use crate::finding::Finding;
use crate::held::parts::{Part, parts};

/// What to know of the seams: contacts that nothing holds, and such as only
/// friction holds.
pub(crate) fn seams(assembly: &Assembly) -> Vec<Finding> {
    let seams = assembly.seams().iter();
    let contacts = seams.flat_map(|s| s.contacts.iter().map(move |c| (s, c)));
    let held = contacts
        .filter_map(|(seam, contact)| held(seam, contact, &|piece| by_shape(assembly, piece)));
    let by_friction = assembly.seams().iter().filter_map(by_friction);
    held.chain(by_friction).collect()
}

/// What friction alone holds at a seam, all in one note.
fn by_friction(seam: &SeamEntry) -> Option<Finding> {
    let held = |c: &&ContactEntry| c.joint.abilities().hold == Hold::Friction;
    let held: Vec<&ContactEntry> = seam.contacts.iter().filter(held).collect();
    let mut pairs: Vec<String> = Vec::new();
    for [a, b] in held.iter().map(|c| &c.pieces) {
        let pair = format!("{a} and {b}");
        if !pairs.contains(&pair) {
            pairs.push(pair);
        }
    }
    let message = format!(
        "{} {} held at {} by the friction of tapered tenons only: they come apart the way they \
         went together",
        pairs.join(", "),
        if pairs.len() == 1 { "are" } else { "are each" },
        seam.id
    );
    let first = &held.first()?.pieces[0];
    let finding = Finding::new(Code::FrictionOnly, message);
    Some(finding.piece(first).seam(&seam.id))
}

/// What is joined in one corner only: nothing draws the rest of the contact together. A web
/// beside a thick limb of the same pieces may; where all that they share is thin, as of a tube,
/// it is the wall that counts.
fn gapes(seam: &SeamEntry, contact: &ContactEntry) -> Option<Finding> {
    let ContactEntry {
        pieces: [a, b],
        area_mm2,
        near_joints_mm2,
        ..
    } = contact;
    let near = (*near_joints_mm2)?;
    let thick = |c: &&ContactEntry| c.thick_mm >= LIMB_MM && c.pieces == contact.pieces;
    let beside = seam.contacts.iter().find(thick);
    let is_limb = contact.thick_mm >= LIMB_MM || beside.is_none();
    (is_limb && design::gapes(*area_mm2, near)).then(|| {
        let message = format!(
            "{a} and {b} are joined at {} along a part of their contact only: {:.0} of \
             {area_mm2:.0} mm² of it lie more than {HELD_MM} mm from any joint and may gape; move the \
             seam in plan.toml, or give it another slide",
            seam.id,
            area_mm2 - near,
        );
        let finding = Finding::new(Code::Gapes, message);
        finding.at(&Point::from(contact.at_mm.unwrap_or(seam.origin_mm)))
    })
}

/// Pieces that no joint and no key links to the rest of the body that they are cut from. What
/// was wished plain links as joints do.
pub(crate) fn joined_to_nothing(assembly: &Assembly) -> Vec<Finding> {
    let links = |c: &ContactEntry| c.joint != JointKind::Plain || c.plain_wished;
    let loose = parts(assembly, links);
    loose.iter().map(told).collect()
}

fn told(part: &Part) -> Finding {
    let (are, them, they) = match part.pieces.len() {
        1 => ("is", "it", "it is"),
        _ => ("are", "them", "they are"),
    };
    let message = format!(
        "{} {are} joined to nothing else: at {} no joint found room, and whoever lifts the \
         furniture leaves {them} behind; move that seam in plan.toml, give it another slide or \
         joint, or say joint = \"plain\" for it if {they} to lie loose",
        part.names(),
        part.seams(),
    );
    Finding::new(Code::JoinedToNothing, message).piece(part.pieces[0])
}

/// Parts that friction alone holds to the rest of their body: whoever lifts the furniture by
/// the one leaves the other behind.
pub(crate) fn lift_off(assembly: &Assembly) -> Vec<Finding> {
    let hold = |c: &ContactEntry| c.joint.abilities().hold;
    let by_shape = parts(assembly, |c| hold(c) == Hold::Shape);
    let by_friction = by_shape
        .iter()
        .filter(|part| part.meets.iter().any(|(_, c)| hold(c) == Hold::Friction));
    let told = by_friction.map(|part| {
        let (it, comes_off) = match part.pieces.len() {
            1 => ("it", "it comes off"),
            _ => ("them", "they come off"),
        };
        let message = format!(
            "nothing but the friction of tapered tenons at {} holds {} to the rest: whoever lifts \
             the furniture by {it}, or by the rest, may find that {comes_off}; lift both, or \
             give such a seam in plan.toml another place or a joint that slides in",
            part.seams_where(|c| hold(c) == Hold::Friction),
            part.names(),
        );
        Finding::new(Code::LiftsOff, message).piece(part.pieces[0])
    });
    told.collect()
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
        // That friction holds it is told once a seam.
        Hold::Shape | Hold::Friction => gapes(seam, contact)?,
        Hold::Nothing => held_by_nothing(seam, contact, by_shape)?,
        // Once for all limbs between the same pieces.
        _ if told_before(seam, contact) => return None,
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
            contacts,
            ..SeamEntry::sliding(SeamId::numbered(1), [1.0, 0.0, 0.0], [0.0, 0.0, 1.0], 10.0)
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
        let found = found.chain(by_friction(&seam));
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
            let found = [joined_to_nothing(&assembly), lift_off(&assembly)].concat();
            found
                .into_iter()
                .map(|f| (f.code, f.piece.unwrap()))
                .collect::<Vec<_>>()
        };
        let [nothing, friction] = [
            loose(JointKind::Plain, false),
            loose(JointKind::Tenon, false),
        ];
        assert_eq!(nothing, [(Code::JoinedToNothing, PieceId::cut(2, 3))]);
        assert_eq!(loose(JointKind::Plain, true), []);
        assert_eq!(friction, [(Code::LiftsOff, PieceId::cut(2, 3))]);
        assert_eq!(loose(JointKind::Dovetail, false), []);
        // Only the seam at which friction holds is named.
        let ids = [PieceId::cut(2, 3), PieceId::cut(3, 3)];
        let at = |id: &str, joint| SeamEntry {
            id: id.parse().unwrap(),
            ..seam(vec![ContactEntry::between(ids.clone(), joint)])
        };
        let seams = vec![at("S1", JointKind::Tenon), at("S2", JointKind::Plain)];
        let pieces = vec![piece(2, leg(180.0)), piece(3, top.clone())];
        let printers = vec!["220x220x250".parse().unwrap()];
        let assembly = Assembly::new(pieces, seams, Vec::new(), printers).unwrap();
        let told = &lift_off(&assembly)[0].message;
        assert!(told.contains("tenons at S1 holds"), "{told}");
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
    fn what_is_joined_in_one_corner_only_gapes() {
        let joined = |near_mm2, thick_mm| {
            let contact = ContactEntry {
                near_joints_mm2: Some(near_mm2),
                ..limb(JointKind::Dovetail, thick_mm, 3300.0)
            };
            codes(vec![contact])
        };
        assert_eq!(joined(920.0, 15.0), [Code::Gapes]);
        assert_eq!(joined(1800.0, 15.0), []);
        // The wall of a tube, and a web beside a limb.
        assert_eq!(joined(920.0, 6.0), [Code::Gapes]);
        let web = ContactEntry {
            near_joints_mm2: Some(920.0),
            ..limb(JointKind::Dovetail, 6.0, 3300.0)
        };
        let beside = limb(JointKind::Dovetail, 18.0, 3300.0);
        assert_eq!(codes(vec![web, beside]), []);
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
