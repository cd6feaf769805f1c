//! How much room a body that came home has to move.

use design::{Assembly, Closes, PieceInPlace, Play, Side, StepEntry};
use solid::Facets;

use crate::code::Code;
use crate::finding::Finding;
use crate::look::TOUCH_MM;

/// Further than this nothing is looked for.
const MOST_MM: f64 = 20.0;
/// What is to move between two others has so much room in all at the least, 0.2 mm a side:
/// common practice for printed parts, no published source.
const LEAST_MM: f64 = 0.4;

/// How far the pieces of a body, as one, can be moved to each side on which any others of the
/// furniture stop them, up to 20 mm.
///
/// ```
/// use design::{PieceId, PieceInPlace, PrinterId};
/// use solid::{Isometry, Point, Solid};
///
/// let piece = |k, x: f64| {
///     let block = Solid::cuboid(Point::new(x, 0.0, 0.0), Point::new(x + 10.0, 10.0, 10.0));
///     let (in_place, as_printed) = (block.clone(), block);
///     PieceInPlace { id: PieceId::cut(k, 2), in_place, as_printed, placed: Isometry::identity(), printer: PrinterId::at(0) }
/// };
/// let [one, other] = [piece(1, 0.0), piece(2, 10.5)];
/// let play = inspection::play(&[one, other], &[0]);
/// assert_eq!(play.len(), 1);
/// assert_eq!(play[0].to.to_string(), "+x");
/// assert!((play[0].free_mm - 0.5).abs() < 1e-3);
/// ```
pub fn play(pieces: &[PieceInPlace], body: &[usize]) -> Vec<Play> {
    let each = pieces.iter().enumerate();
    let (moving, standing): (Vec<_>, Vec<_>) = each.partition(|(k, _)| body.contains(k));
    let [moving, standing] = [moving, standing].map(|pieces| -> Vec<Facets> {
        let solids = pieces.into_iter().map(|(_, p)| Facets::of(&p.in_place));
        solids.collect()
    });
    let free_mm = |to: Side| {
        let pairs = moving
            .iter()
            .flat_map(|a| standing.iter().map(move |b| (a, b)));
        let met = pairs.filter_map(|(a, b)| a.free_mm(b, &to.direction(), MOST_MM, TOUCH_MM));
        met.reduce(f64::min)
    };
    let all = Side::ALL.into_iter();
    all.filter_map(|to| {
        let free_mm = (free_mm(to)? * 1e3).round() / 1e3;
        Some(Play { to, free_mm })
    })
    .collect()
}

/// Bodies that came home between two others with hardly any room to move.
pub(crate) fn tight(assembly: &Assembly) -> Vec<Finding> {
    let homes = assembly.steps().iter();
    let homes = homes.filter(|step| matches!(step.closes, Closes::Body(_)));
    homes.flat_map(|step| tight_at(assembly, step)).collect()
}

fn tight_at(assembly: &Assembly, step: &StepEntry) -> Vec<Finding> {
    let play = play(assembly.pieces(), &assembly.places(&step.moving));
    let to = |side: Side| play.iter().find(|p| p.to == side).map(|p| p.free_mm);
    let mut out = Vec::new();
    for pair in Side::ALL.chunks(2) {
        let [Some(one), Some(other)] = [to(pair[0]), to(pair[1])] else {
            continue;
        };
        if one + other >= LEAST_MM {
            continue;
        }
        let message = format!(
            "what step {} brings home has {:.2} mm of room between {} and {} in all, and prints \
             come out some tenths off: it will jam; leave {LEAST_MM} mm or more in the model, or \
             let the bodies overlap if they are meant to be one",
            step.step,
            one + other,
            pair[0],
            pair[1],
        );
        let finding = Finding::new(Code::LittlePlay, message).measured(one + other, LEAST_MM);
        out.push(match step.moving.first() {
            Some(piece) => finding.piece(piece),
            None => finding,
        });
    }
    out
}

#[cfg(test)]
mod tests {
    use design::{PieceId, PrinterId};
    use solid::{Point, Solid};

    use super::*;

    /// A tray in a case, with so much room at its left and right.
    fn in_case(gap_mm: f64) -> Assembly {
        let block = |a: [f64; 3], b: [f64; 3]| Solid::cuboid(Point::from(a), Point::from(b));
        let case = block([0.0; 3], [100.0, 80.0, 40.0])
            .difference(&block([10.0, -1.0, 10.0], [90.0, 70.0, 50.0]))
            .unwrap();
        let tray = block([10.0 + gap_mm, 0.0, 10.0], [90.0 - gap_mm, 69.0, 35.0]);
        let piece = |k, solid: &Solid| PieceInPlace {
            id: PieceId::cut(k, 2),
            in_place: solid.clone(),
            as_printed: solid.clone(),
            placed: solid::Isometry::identity(),
            printer: PrinterId::at(0),
        };
        let step = StepEntry {
            step: 1,
            moving: vec![PieceId::cut(1, 2)],
            onto: vec![PieceId::cut(2, 2)],
            closes: Closes::Body("B1".parse().unwrap()),
            direction: [0.0, 1.0, 0.0],
            travel_mm: 90.0,
            rests: None,
            play: Vec::new(),
        };
        let printers = vec!["220x220x250".parse().unwrap()];
        let pieces = vec![piece(1, &tray), piece(2, &case)];
        Assembly::new(pieces, vec![], vec![step], printers).unwrap()
    }

    #[test]
    fn the_room_of_a_tray_is_measured_to_each_side_that_stops_it() {
        let assembly = in_case(0.75);
        let play = play(assembly.pieces(), &[0]);
        let words: Vec<String> = play
            .iter()
            .map(|p| format!("{} {}", p.to, p.free_mm))
            .collect();
        assert_eq!(words, ["-x 0.75", "+x 0.75", "+y 1", "-z 0"]);
    }

    #[test]
    fn what_has_hardly_any_room_is_told() {
        let codes =
            |gap_mm: f64| -> Vec<Code> { tight(&in_case(gap_mm)).iter().map(|f| f.code).collect() };
        assert_eq!(codes(0.15), [Code::LittlePlay]);
        assert_eq!(codes(0.25), []);
    }
}
