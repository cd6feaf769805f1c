//! What weight on the furniture does to its seams: it seats them, does not matter to
//! them, or frees them.

use design::{Assembly, Bearing, ContactEntry, PieceInPlace, STEEP, SeamEntry, SeamId};
use solid::Vector;

use crate::code::Code;
use crate::finding::Finding;

/// Seams that load frees: see [`design::freed`]; and keys that come in from below.
pub(crate) fn freed(assembly: &Assembly, up: &Vector) -> Vec<Finding> {
    let seams = assembly.seams();
    let bearing = |seam: &SeamEntry, contact: &ContactEntry| Bearing {
        pieces: contact.pieces.each_ref().map(|id| assembly.place(id)),
        joint: contact.joint,
        slide: seam.slide.into(),
    };
    let (of, joints): (Vec<usize>, Vec<Bearing>) = (seams.iter().enumerate())
        .flat_map(|(k, seam)| seam.contacts.iter().map(move |c| (k, bearing(seam, c))))
        .unzip();
    let lowest: Vec<f64> = assembly.pieces().iter().map(|p| lowest(p, up)).collect();
    let loose = design::freed(&lowest, &joints, up);
    let mut out = Vec::new();
    for (k, seam) in seams.iter().enumerate() {
        let loose = of.iter().zip(&loose).filter(|(of, _)| **of == k);
        let loose =
            loose.filter_map(|(_, piece)| piece.map(|p| assembly.pieces()[p].id.to_string()));
        out.extend(pushed_out(seam, loose.collect()));
    }
    for seam in assembly.seams() {
        let keys = || seam.contacts.iter().flat_map(|c| &c.keys);
        let from_below = assembly.steps().iter().filter(|step| {
            let climbs = Vector::from(step.direction).dot(up) > STEEP;
            climbs && step.seam() == Some(&seam.id) && keys().any(|key| step.moving.contains(key))
        });
        let loose = from_below.flat_map(|step| step.moving.iter().map(ToString::to_string));
        out.extend(from_below_only(&seam.id, loose.collect()));
    }
    out
}

fn lowest(piece: &PieceInPlace, up: &Vector) -> f64 {
    let heights = piece.in_place.vertices().iter().map(|p| p.coords.dot(up));
    heights.fold(f64::INFINITY, f64::min)
}

fn pushed_out(seam: &SeamEntry, mut loose: Vec<String>) -> Option<Finding> {
    loose.sort();
    loose.dedup();
    let it = if loose.len() == 1 { "it" } else { "them" };
    let [x, y, z] = seam.slide.map(|x| 0.0 - x);
    (!loose.is_empty()).then(|| {
        let message = format!(
            "load frees {}: {} came home upwards and what is there does not stand on the floor, \
             so that weight pushes {it} out again and only the wedge of the joint keeps {it}; turn \
             the seam's slide in plan.toml to [{x}, {y}, {z}], or rest that side on something",
            seam.id,
            loose.join(", ")
        );
        Finding::new(Code::FreedByLoad, message).seam(&seam.id)
    })
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
             week; a seam elsewhere, in plan.toml, may leave room from above",
            loose.join(", ")
        );
        Finding::new(Code::FreedByLoad, message).seam(seam)
    })
}

#[cfg(test)]
mod tests {
    use design::{PieceId, PrinterId};
    use joinery::JointKind;
    use solid::{Point, Solid};

    use super::*;

    /// Boxes by their heights; each but the first is joined to the first by a slide along
    /// z, up or down, or level where it is 0.
    fn judged(heights: &[[f64; 2]], ways: &[f64]) -> Vec<Finding> {
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
        let seam = |k: usize| SeamEntry {
            id: SeamId::numbered(k),
            origin_mm: [0.0; 3],
            normal: [1.0, 0.0, 0.0],
            within_mm: None,
            slide: [0.0, 1.0 - ways[k - 1].abs(), ways[k - 1]],
            travel_mm: 10.0,
            reason: String::new(),
            contacts: vec![ContactEntry::between(
                [PieceId::cut(k + 1, count), PieceId::cut(1, count)],
                JointKind::Dovetail,
            )],
        };
        let printers = vec!["220x220x250".parse().unwrap()];
        let seams = (1..count).map(seam).collect();
        let assembly = Assembly::new(pieces.collect(), seams, Vec::new(), printers);
        freed(&assembly.unwrap(), &Vector::z())
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

    /// The middle of a seat rests on one end and is freed from the other.
    #[test]
    fn what_rests_on_one_end_is_freed_from_the_other() {
        let (middle, end) = ([360.0, 400.0], [0.0, 400.0]);
        let freed = judged(&[middle, end, end], &[1.0, -1.0]);
        assert_eq!(freed.len(), 1);
        assert_eq!(freed[0].seam, Some(SeamId::numbered(2)));
    }
}
