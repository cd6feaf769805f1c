//! Keys that no hand reaches to push them in.

use std::f64::consts::PI;

use design::{Assembly, SeamId, StepEntry};
use rayon::prelude::*;
use solid::{Bounds, Frame, Point, RayCaster, Vector};

use crate::code::Code;
use crate::finding::Finding;

/// A finger is so long and so thick, and what follows it so much thicker: half of it, in mm
/// (rounded from the usual breadths of a hand, common practice, no published source).
const FINGER_MM: f64 = 80.0;
const FINGER_HALF_MM: f64 = 5.0;
const HAND_HALF_MM: f64 = 35.0;
/// An arm reaches in so far.
const ARM_MM: f64 = 600.0;
/// A finger pushes along so many ways, that lean from the key's own by less than 45°; the arm
/// behind it comes from one of so many all round.
const FINGERS: usize = 9;
const LEANS_COS: f64 = 0.707;
const ARMS: usize = 120;
/// A finger and a hand are looked at by so many lines about their middle.
const ABOUT: usize = 8;

/// The keys that are pushed in from where no hand reaches, one finding a seam.
pub(crate) fn out_of_reach(assembly: &Assembly) -> Vec<Finding> {
    let keys: Vec<&StepEntry> = assembly.steps().iter().filter(|s| is_key(s)).collect();
    if keys.is_empty() {
        return Vec::new();
    }
    let pieces = assembly.pieces().par_iter();
    let standing: Vec<Option<(Bounds, RayCaster)>> = pieces
        .map(|p| Some((p.in_place.bounds()?, RayCaster::new(&p.in_place)?)))
        .collect();
    let caught: Vec<(&StepEntry, Point)> = keys
        .into_par_iter()
        .filter_map(|step| Some((step, hidden_end(assembly, &standing, step)?)))
        .collect();
    let mut seams: Vec<(&SeamId, Vec<(&StepEntry, Point)>)> = Vec::new();
    for (step, at) in caught {
        let Some(id) = step.seam() else { continue };
        match seams.iter_mut().find(|(known, _)| *known == id) {
            Some((_, steps)) => steps.push((step, at)),
            None => seams.push((id, vec![(step, at)])),
        }
    }
    seams
        .iter()
        .map(|(seam, steps)| told(seam, steps))
        .collect()
}

fn is_key(step: &StepEntry) -> bool {
    matches!(&step.moving[..], [key] if key.is_key())
}

fn told(seam: &SeamId, steps: &[(&StepEntry, Point)]) -> Finding {
    let ids: Vec<&str> = steps.iter().map(|(s, _)| s.moving[0].as_str()).collect();
    let (are, them) = match ids.len() {
        1 => ("is", "it"),
        _ => ("are", "them"),
    };
    let message = format!(
        "{} {are} pushed into {seam} from where no hand reaches behind {them}: from inside, once \
         all about it is closed; push {them} with a stick through an opening if there is one, or \
         give {seam} another slide or joint in plan.toml",
        ids.join(", ")
    );
    let (first, at) = &steps[0];
    Finding::new(Code::OutOfReach, message)
        .piece(&first.moving[0])
        .seam(seam)
        .at(at)
}

/// The middle of a key's end behind which no hand finds room when the key begins its way.
fn hidden_end(
    assembly: &Assembly,
    standing: &[Option<(Bounds, RayCaster)>],
    step: &StepEntry,
) -> Option<Point> {
    let way = Vector::from(step.direction);
    let key = &assembly.pieces()[assembly.place(&step.moving[0])].in_place;
    let middle = key.bounds()?.centre();
    let (low, _) = key.reach_along(&way)?;
    let end = middle - way * (middle.coords.dot(&way) - low + step.travel_mm);
    let onto = assembly.places(&step.onto);
    let walls: Vec<&(Bounds, RayCaster)> = onto.iter().flat_map(|&k| &standing[k]).collect();
    let all = walls.iter().map(|w| w.0).reduce(|a, b| a.joined(&b))?;
    let arms = cap(&way, -1.0, ARMS);
    let reached = cap(&-way, LEANS_COS, FINGERS).iter().any(|to| {
        let finger = Frame::facing(end, *to);
        let out_mm = leaves_mm(&all, &end, to);
        if !is_free(&walls, &finger, FINGER_MM.min(out_mm), FINGER_HALF_MM) {
            return false;
        }
        let knuckle = finger.place(0.0, 0.0, FINGER_MM);
        let comes = |from: &Vector| {
            let far_mm = leaves_mm(&all, &knuckle, from);
            let arm = Frame::facing(knuckle, *from);
            far_mm <= ARM_MM && is_free(&walls, &arm, far_mm, HAND_HALF_MM)
        };
        out_mm <= FINGER_MM || comes(to) || arms.iter().any(comes)
    });
    (!reached).then_some(end)
}

/// So many directions, spread evenly by the golden angle, that lean from one by no more than an
/// angle of this cosine; that one first.
fn cap(about: &Vector, least_cos: f64, count: usize) -> Vec<Vector> {
    let frame = Frame::facing(Point::origin(), *about);
    let turn = PI * (3.0 - 5.0_f64.sqrt());
    let each = (0..count).map(|k| {
        let along = 1.0 - (1.0 - least_cos) * k as f64 / (count - 1) as f64;
        let aside = (1.0 - along * along).max(0.0).sqrt();
        let angle = turn * k as f64;
        frame.u * (aside * angle.cos()) + frame.v * (aside * angle.sin()) + frame.n * along
    });
    each.collect()
}

/// How far along a direction a box is left.
fn leaves_mm(all: &Bounds, from: &Point, to: &Vector) -> f64 {
    let along = |k: usize| match to[k] {
        d if d > 1e-9 => (all.max[k] - from[k]) / d,
        d if d < -1e-9 => (all.min[k] - from[k]) / d,
        _ => f64::INFINITY,
    };
    (0..3).map(along).fold(f64::INFINITY, f64::min).max(0.0)
}

/// Whether nothing stands within a round about an axis, so far along it.
fn is_free(walls: &[&(Bounds, RayCaster)], axis: &Frame, far_mm: f64, half_mm: f64) -> bool {
    let about = (0..ABOUT).map(|k| {
        let angle = 2.0 * PI * k as f64 / ABOUT as f64;
        [half_mm * angle.cos(), half_mm * angle.sin()]
    });
    std::iter::once([0.0; 2]).chain(about).all(|[u, v]| {
        let [start, end] = [0.0, far_mm].map(|n| axis.place(u, v, n));
        let line = Bounds::between(start, end);
        walls.iter().all(|(bounds, rays)| {
            !bounds.overlaps(&line, 0.0) || rays.first_entry(&start, &axis.n, far_mm).is_none()
        })
    })
}

#[cfg(test)]
mod tests {
    use design::{Closes, PieceId, PieceInPlace, PrinterId, SeamEntry};
    use solid::{Isometry, Solid};

    use super::*;

    fn block(a: [f64; 3], b: [f64; 3]) -> Solid {
        Solid::cuboid(a.into(), b.into())
    }

    /// A tube of 200 by 120, with its key in one wall, pushed outwards or inwards.
    fn found(height: f64, direction: [f64; 3]) -> usize {
        let outer = block([0.0, 0.0, 0.0], [200.0, 120.0, height]);
        let hollow = block([12.0, 12.0, 12.0], [188.0, 108.0, height - 12.0]);
        let key = block(
            [188.0, 50.0, height / 2.0],
            [200.0, 60.0, height / 2.0 + 10.0],
        );
        let tube = outer.difference(&hollow).unwrap().difference(&key).unwrap();
        let piece = |id: PieceId, solid: Solid| PieceInPlace {
            id,
            in_place: solid.clone(),
            as_printed: solid,
            placed: Isometry::identity(),
            printer: PrinterId::at(0),
        };
        let (body, pin) = (PieceId::cut(1, 2), PieceId::key(1));
        let step = StepEntry {
            step: 1,
            moving: vec![pin.clone()],
            onto: vec![body.clone()],
            closes: Closes::Seam(SeamId::numbered(1)),
            direction,
            travel_mm: 14.0,
            rests: None,
            play: Vec::new(),
        };
        let pieces = vec![piece(body, tube), piece(pin, key)];
        let printers = vec!["220x220x250".parse().unwrap()];
        let slide = [0.0, 0.0, 1.0];
        let seam = SeamEntry::sliding(SeamId::numbered(1), [0.0, 1.0, 0.0], slide, 10.0);
        let assembly = Assembly::new(pieces, vec![seam], vec![step], printers).unwrap();
        out_of_reach(&assembly).len()
    }

    #[test]
    fn no_hand_pushes_a_key_out_of_a_shut_box_and_any_pushes_it_in() {
        assert_eq!(found(400.0, [1.0, 0.0, 0.0]), 1);
        assert_eq!(found(400.0, [-1.0, 0.0, 0.0]), 0);
    }
}
