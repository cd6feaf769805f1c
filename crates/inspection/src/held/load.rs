//! What weight on the furniture does to its seams: it seats them, does not matter to
//! them, or frees them.

use design::{Assembly, Bearing, ContactEntry, SLIPS, SeamEntry, SeamId};
use solid::{Bounds, Point, Vector};

use crate::code::Code;
use crate::finding::Finding;
use crate::held::locked::Locks;

/// Seams that load frees: see [`design::freed`], but for those that others lock; and keys that
/// come in from below.
pub(crate) fn freed(assembly: &Assembly, up: &Vector) -> Vec<Finding> {
    let seams = assembly.seams();
    let nothing = Bounds::between(Point::origin(), Point::origin());
    let pieces = assembly.pieces().iter();
    let boxes: Vec<Bounds> = pieces
        .map(|p| p.in_place.bounds().unwrap_or(nothing))
        .collect();
    let bearing = |seam: &SeamEntry, contact: &ContactEntry| {
        let pieces = contact.pieces.each_ref().map(|id| assembly.place(id));
        let [one, other] = pieces.map(|p| boxes[p].centre());
        Bearing {
            pieces,
            joint: contact.joint,
            slide: seam.slide.into(),
            at: contact.at_mm.map_or(one + (other - one) / 2.0, Point::from),
        }
    };
    let (of, joints): (Vec<usize>, Vec<Bearing>) = (seams.iter().enumerate())
        .flat_map(|(k, seam)| seam.contacts.iter().map(move |c| (k, bearing(seam, c))))
        .unzip();
    let locks = Locks::of(assembly);
    let stays = |joint: &Bearing, piece: usize| {
        let [below, above] = joint.pieces;
        let from = if piece == below { above } else { below };
        let climbs = joint.slide.dot(up).signum();
        locks.is_locked(piece, from, &(joint.slide * -climbs))
    };
    let ids = |loose: Vec<Option<usize>>, seam: usize| -> Vec<String> {
        let own = of.iter().zip(&joints).zip(loose);
        let own = own.filter(|((of, _), _)| **of == seam);
        let own = own.filter_map(|((_, joint), piece)| Some((joint, piece?)));
        let own = own.filter(|(joint, piece)| !stays(joint, *piece));
        let own = own.map(|(_, piece)| piece);
        let mut ids: Vec<String> = own.map(|p| assembly.pieces()[p].id.to_string()).collect();
        ids.sort();
        ids.dedup();
        ids
    };
    let pushed = design::freed(&boxes, &joints, up);
    let tips = design::tipped(&boxes, &joints, up);
    let mut out = Vec::new();
    for (k, seam) in seams.iter().enumerate() {
        let (now, tipped) = (ids(pushed.clone(), k), ids(tips.clone(), k));
        if now.is_empty() && tipped.is_empty() {
            continue;
        }
        let turned = joints.iter().zip(&of).map(|(joint, of)| match *of == k {
            true => Bearing {
                slide: -joint.slide,
                ..*joint
            },
            false => *joint,
        });
        let turned: Vec<Bearing> = turned.collect();
        let then = ids(design::freed(&boxes, &turned, up), k);
        if !now.is_empty() {
            out.push(pushed_out(seam, &now, &then));
        } else if then.is_empty() && ids(design::tipped(&boxes, &turned, up), k).is_empty() {
            // Where two halves hang over towards each other, neither way is better.
            out.push(pushed_out(seam, &tipped, &then));
        }
    }
    for seam in assembly.seams() {
        let keys = || seam.contacts.iter().flat_map(|c| &c.keys);
        let from_below = assembly.steps().iter().filter(|step| {
            let climbs = Vector::from(step.direction).dot(up) > SLIPS;
            climbs && step.seam() == Some(&seam.id) && keys().any(|key| step.moving.contains(key))
        });
        let loose = from_below.flat_map(|step| step.moving.iter().map(ToString::to_string));
        out.extend(from_below_only(&seam.id, loose.collect()));
    }
    out
}

/// What weight pushes out of a seam now, and what if it were closed the other way.
fn pushed_out(seam: &SeamEntry, now: &[String], then: &[String]) -> Finding {
    let it = if now.len() == 1 { "it" } else { "them" };
    let remedy = match seam.tails_slide {
        Some(way) if then.is_empty() => {
            let [x, y, z] = way.map(|x| 0.0 - x);
            format!("turn the seam's slide in plan.toml to [{x}, {y}, {z}]")
        }
        None if then.is_empty() => "give the seam another slide in plan.toml".to_owned(),
        _ => format!(
            "closed the other way it would push out {}, so that this seam suits one of them only: \
             let two seams in plan.toml part them",
            then.join(", ")
        ),
    };
    let message = format!(
        "load frees {}: {} came home upwards and what is there does not stand on the floor, so \
         that weight pushes {it} out again and only the wedge of the joint keeps {it}; {remedy}, \
         or rest that side on something",
        seam.id,
        now.join(", ")
    );
    Finding::new(Code::FreedByLoad, message).seam(&seam.id)
}

fn from_below_only(seam: &SeamId, loose: Vec<String>) -> Option<Finding> {
    let (it, come) = match loose.len() {
        1 => ("it", "comes"),
        _ => ("them", "come"),
    };
    (!loose.is_empty()).then(|| {
        let message = format!(
            "{} of {seam} {come} in from below, where nothing but the wedge keeps {it} from \
             dropping out: push {it} home hard, with the furniture upside down, and look after a \
             week; another joint or slide for that seam, or a seam elsewhere, in plan.toml, may do \
             without",
            loose.join(", ")
        );
        Finding::new(Code::FreedByLoad, message).seam(seam)
    })
}

#[cfg(test)]
mod tests {
    use design::{PieceId, PieceInPlace, PrinterId};
    use joinery::JointKind;
    use solid::Solid;

    use super::*;

    /// Boxes by their heights; each but the first is joined to the first by a slide along
    /// z, up or down, or level where it is 0.
    fn judged(heights: &[[f64; 2]], ways: &[f64]) -> Vec<Finding> {
        freed(&assembly(heights, ways), &Vector::z())
    }

    fn assembly(heights: &[[f64; 2]], ways: &[f64]) -> Assembly {
        let count = heights.len();
        let pieces = heights.iter().enumerate().map(|(k, [low, high])| {
            let x = 50.0 * k as f64;
            let block = Solid::cuboid(Point::new(x, 0.0, *low), Point::new(x + 50.0, 9.0, *high));
            PieceInPlace {
                id: PieceId::cut(k + 1, count),
                in_place: block.clone(),
                as_printed: block,
                placed: solid::Isometry::identity(),
                printer: PrinterId::at(0),
            }
        });
        let seam = |k: usize| {
            let slide = [0.0, 1.0 - ways[k - 1].abs(), ways[k - 1]];
            SeamEntry {
                tails_slide: Some(slide),
                contacts: vec![ContactEntry::between(
                    [PieceId::cut(k + 1, count), PieceId::cut(1, count)],
                    JointKind::Dovetail,
                )],
                ..SeamEntry::sliding(SeamId::numbered(k), [1.0, 0.0, 0.0], slide, 10.0)
            }
        };
        let printers = vec!["220x220x250".parse().unwrap()];
        let seams = (1..count).map(seam).collect();
        Assembly::new(pieces.collect(), seams, Vec::new(), printers).unwrap()
    }

    #[test]
    fn a_seat_pushed_up_into_its_end_is_freed_and_one_let_down_is_seated() {
        let end = [0.0, 400.0];
        let seat = [360.0, 400.0];
        let freed = judged(&[end, seat], &[1.0]);
        assert_eq!(freed.len(), 1);
        assert!(
            freed[0].message.contains("[0, 0, -1]"),
            "{}",
            freed[0].message
        );
        assert!(judged(&[end, seat], &[-1.0]).is_empty());
    }

    #[test]
    fn what_stands_by_itself_is_not_freed() {
        assert!(judged(&[[0.0, 400.0], [0.0, 400.0]], &[1.0]).is_empty());
        // A top on a leg that came up from below it, or down from above.
        let (top, leg) = ([380.0, 400.0], [0.0, 390.0]);
        assert!(judged(&[top, leg], &[1.0]).is_empty());
        assert_eq!(judged(&[top, leg], &[-1.0]).len(), 1);
        // A leg with a level slide holds it by its shape.
        assert!(judged(&[top, leg, leg], &[0.0, -1.0]).is_empty());
    }

    /// Two seats at one seam with a post that stands, one let down and one pushed up: closed the
    /// other way it would free the other.
    #[test]
    fn of_a_seam_that_no_slide_suits_that_is_said() {
        let (post, seat) = ([0.0, 400.0], [360.0, 400.0]);
        let mut assembly = assembly(&[post, seat, seat], &[1.0, 1.0]);
        let [mut first, second]: [SeamEntry; 2] = assembly.seams().to_vec().try_into().unwrap();
        let contact = second.contacts[0].clone();
        let turned = [contact.pieces[1].clone(), contact.pieces[0].clone()];
        first.contacts.push(ContactEntry {
            pieces: turned,
            ..contact
        });
        let printers = vec!["220x220x250".parse().unwrap()];
        let pieces = assembly.pieces().to_vec();
        assembly = Assembly::new(pieces, vec![first], Vec::new(), printers).unwrap();
        let found = freed(&assembly, &Vector::z());
        assert_eq!(found.len(), 1);
        let told = &found[0].message;
        assert!(told.contains("it would push out P003"), "{told}");
        assert!(!told.contains("turn the seam's slide"), "{told}");
    }

    /// The advice is of the half with the tails, as a plan has it.
    #[test]
    fn where_tails_come_from_above_the_advice_is_of_their_half() {
        let mut seams = assembly(&[[0.0, 400.0], [360.0, 400.0]], &[1.0])
            .seams()
            .to_vec();
        seams[0].tails_slide = Some([0.0, 0.0, -1.0]);
        let pieces = assembly(&[[0.0, 400.0], [360.0, 400.0]], &[1.0])
            .pieces()
            .to_vec();
        let printers = vec!["220x220x250".parse().unwrap()];
        let assembly = Assembly::new(pieces, seams, Vec::new(), printers).unwrap();
        let told = &freed(&assembly, &Vector::z())[0].message;
        assert!(told.contains("[0, 0, 1]"), "{told}");
    }

    /// The middle of a seat rests on one end and is freed from the other.
    #[test]
    fn what_rests_on_one_end_is_freed_from_the_other() {
        let (middle, end) = ([360.0, 400.0], [0.0, 400.0]);
        let freed = judged(&[middle, end, end], &[1.0, -1.0]);
        assert_eq!(freed.len(), 1);
        assert_eq!(freed[0].seam, Some(SeamId::numbered(2)));
    }
}
