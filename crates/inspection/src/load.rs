//! What weight on the furniture does to its seams: it seats them, does not matter to
//! them, or frees them.

use design::{Assembly, PieceInPlace, SeamId};
use joinery::JointKind;
use solid::{DisjointSets, Vector};

use crate::code::Code;
use crate::finding::Finding;

/// A way home that climbs or falls by more than this, as the sine of its slope, is one
/// along which weight pushes; on others joints hold what hangs on them by their shape.
/// 30°.
const STEEP: f64 = 0.5;
/// What reaches down to the floor but for this stands on it.
const ON_FLOOR_MM: f64 = 0.5;

/// Seams that load frees: of the two sides of a joint that slides steeply, the one that
/// does not stand on the floor comes home upwards. A side is all that joints with level
/// slides hold together, for those bear weight by their shape.
pub(crate) fn freed(assembly: &Assembly, up: &Vector) -> Vec<Finding> {
    let stands = standing(assembly, up);
    let mut out = Vec::new();
    for seam in assembly.seams() {
        let climbs = Vector::from(seam.slide).dot(up);
        if climbs.abs() <= STEEP {
            continue;
        }
        let slides = |kind: JointKind| kind != JointKind::Plain && !kind.is_key();
        let contacts = seam.contacts.iter().filter(|c| slides(c.joint));
        // The half below moves along the slide, the half above comes to it against it.
        let loose = contacts.filter_map(|c| {
            let [below, above] = c.pieces.each_ref();
            let on_floor = |id| stands[assembly.place(id)];
            match (on_floor(below), on_floor(above)) {
                (false, true) if climbs > 0.0 => Some(below.to_string()),
                (true, false) if climbs < 0.0 => Some(above.to_string()),
                _ => None,
            }
        });
        let [x, y, z] = seam.slide.map(|x| 0.0 - x);
        let remedy = format!("turn the seam's slide in plan.toml to [{x}, {y}, {z}]");
        out.extend(finding(&seam.id, loose.collect(), &remedy));
    }
    for seam in assembly.seams() {
        let keys = || seam.contacts.iter().flat_map(|c| &c.keys);
        let from_below = assembly.steps().iter().filter(|step| {
            let climbs = Vector::from(step.direction).dot(up) > STEEP;
            climbs && step.seam == seam.id && keys().any(|key| step.moving.contains(key))
        });
        let loose = from_below.flat_map(|step| step.moving.iter().map(ToString::to_string));
        let remedy = "hide another side than the top, so that they can come in from above";
        out.extend(finding(&seam.id, loose.collect(), remedy));
    }
    out
}

fn finding(seam: &SeamId, mut loose: Vec<String>, remedy: &str) -> Option<Finding> {
    loose.sort();
    loose.dedup();
    let it = if loose.len() == 1 { "it" } else { "them" };
    (!loose.is_empty()).then(|| {
        let message = format!(
            "load frees {seam}: {} came home upwards and what is there does not stand on the floor, \
             so that weight pushes {it} out again and only the wedge of the joint keeps {it}; \
             {remedy}, or rest that side on something",
            loose.join(", ")
        );
        Finding::new(Code::FreedByLoad, message).seam(seam)
    })
}

/// For each piece, by its place, whether what level joints hold together with it stands
/// on the floor.
fn standing(assembly: &Assembly, up: &Vector) -> Vec<bool> {
    let lowest = |piece: &PieceInPlace| {
        let heights = piece.in_place.vertices().iter().map(|p| p.coords.dot(up));
        heights.fold(f64::INFINITY, f64::min)
    };
    let lowest: Vec<f64> = assembly.pieces().iter().map(lowest).collect();
    let floor = lowest.iter().copied().fold(f64::INFINITY, f64::min);
    let mut sides = DisjointSets::of(lowest.len());
    let level = assembly.seams().iter();
    let level = level.filter(|s| Vector::from(s.slide).dot(up).abs() <= STEEP);
    for contact in level.flat_map(|s| &s.contacts) {
        if contact.joint != JointKind::Plain {
            let [a, b] = contact.pieces.each_ref().map(|id| assembly.place(id));
            sides.unite(a, b);
        }
    }
    let of: Vec<usize> = (0..lowest.len()).map(|k| sides.find(k)).collect();
    let stands = |side: usize| {
        let mut members = of.iter().zip(&lowest).filter(|(s, _)| **s == side);
        members.any(|(_, at)| at - floor < ON_FLOOR_MM)
    };
    of.iter().map(|&side| stands(side)).collect()
}

#[cfg(test)]
mod tests {
    use design::{ContactEntry, PieceId, PrinterId, SeamEntry};
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
            contacts: vec![ContactEntry {
                pieces: [PieceId::cut(k + 1, count), PieceId::cut(1, count)],
                area_mm2: 100.0,
                joint: JointKind::Dovetail,
                count: 1,
                keys: Vec::new(),
                width_mm: 10.0,
                taper_deg: 1.0,
                seat_slack_mm: None,
                seat_error_mm: None,
                estimate: None,
                reason: String::new(),
            }],
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
