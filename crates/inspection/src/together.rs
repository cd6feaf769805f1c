//! Whether pieces go together: apart in place, free on the way, held once home.
//!
//! Every question is one about the volume that two pieces share in some
//! position, measured from their triangles where they come near each other.

use design::{Assembly, Closes, ContactEntry, PieceId, Recall, SeamEntry, Tally};
use rayon::prelude::*;
use solid::{Bounds, Vector};

use crate::code::Code;
use crate::finding::Finding;
use crate::look::{Look, Ready, SharedVolume, Subject, TOUCH_MM3, touch_allowance, without_films};

/// More often than this two pieces are not held against each other on one way:
/// what goes through what so often does at some of these.
const MOST_LOOKS: usize = 256;
/// How far a held seam is pulled.
const PULL_MM: f64 = 1.0;
/// How far it is pulled to tell a loose joint from none: the flanks of tails at
/// the default angle catch by then at any clearance up to three quarters of a
/// millimetre.
const PULL_FURTHER_MM: f64 = 3.0;
/// A pulled joint must bite into at least this much.
const BITE_MM3: f64 = 0.1;

/// Everything that is found of pieces in place, on their way and when pulled.
pub(crate) fn together(assembly: &Assembly, recall: &Recall) -> Vec<Finding> {
    let boxes = Boxes::of(assembly);
    let pieces = Ready::of(assembly, recall);
    let looks: Vec<Look> = boxes
        .in_place()
        .into_iter()
        .chain(on_the_way(assembly, &boxes, &pieces))
        .chain(pulled(assembly))
        .collect();
    Tally::LooksTaken.expect(looks.len());
    let shared: Vec<SharedVolume> = looks
        .par_iter()
        .map(|look| {
            let shared = pieces.shared_volume(look);
            Tally::LooksTaken.did(1);
            shared
        })
        .collect();
    let judged = looks
        .iter()
        .zip(shared)
        .filter_map(|(look, s)| Some((judged(assembly, &pieces, look, s)?, look)));
    let kept: Vec<(Finding, &Look)> = judged.fold(Vec::new(), first_of_each);
    kept.into_iter()
        .map(|found| with_the_worst(assembly, &pieces, found))
        .collect()
}

/// Between the first touch of a failing move and home it is looked at so often.
const LOOKS_AT_THE_WORST: u32 = 24;

/// A collision with how much of the pieces is in one place at the worst: where they first
/// touch it is next to nothing.
fn with_the_worst(
    assembly: &Assembly,
    pieces: &Ready,
    (finding, look): (Finding, &Look),
) -> Finding {
    let (Subject::Step { step, back_mm }, Code::Collision) = (look.subject, finding.code) else {
        return finding;
    };
    let first = finding.value.unwrap_or(0.0);
    let further: Vec<f64> = (1..LOOKS_AT_THE_WORST)
        .into_par_iter()
        .filter_map(|k| {
            let share = f64::from(k) / f64::from(LOOKS_AT_THE_WORST);
            let further = Look {
                shift: look.shift * share,
                ..*look
            };
            let (volume, _) = pieces.shared_volume(&further).ok()?;
            Some(beyond_films(assembly, pieces, &further, volume))
        })
        .collect();
    let worst = further.into_iter().fold(first, f64::max);
    Finding {
        at_mm: finding.at_mm,
        ..collision(assembly, look.pieces, (step, back_mm), (first, worst))
    }
}

/// That a piece touches another on its way home, some way before it, and how much of both is
/// in one place where they first do and at the worst.
fn collision(
    assembly: &Assembly,
    pieces: [usize; 2],
    (step, back_mm): (usize, f64),
    (first_mm3, worst_mm3): (f64, f64),
) -> Finding {
    let [a, b] = pieces.map(|i| &assembly.pieces()[i].id);
    let closes = &assembly.steps()[step].closes;
    let remedy = match closes {
        Closes::Seam(seam) => {
            format!("set another slide for {seam} in plan.toml, or move the seam")
        }
        Closes::Body(body) => format!("set another way_in for {body} in plan.toml"),
    };
    let further = match worst_mm3 > first_mm3 {
        true => format!(", and further on up to {worst_mm3:.2} mm³"),
        false => String::new(),
    };
    let message = format!(
        "step {}: {a} touches {b} {back_mm:.1} mm before it is home ({first_mm3:.2} mm³{further}); \
         {remedy}",
        step + 1
    );
    Finding::new(Code::Collision, message)
        .piece(a)
        .seam(closes.id())
        .measured(worst_mm3, TOUCH_MM3)
}

/// The boxes of the pieces: where they do not meet, nothing does.
struct Boxes(Vec<Option<Bounds>>);

impl Boxes {
    fn of(assembly: &Assembly) -> Self {
        let pieces = assembly.pieces().iter();
        Self(pieces.map(|p| p.in_place.bounds()).collect())
    }

    /// Whether two boxes meet, the first shifted.
    fn meet(&self, a: usize, b: usize, shift: &Vector) -> bool {
        match (self.0[a], self.0[b]) {
            (Some(x), Some(y)) => Bounds {
                min: x.min + shift,
                max: x.max + shift,
            }
            .overlaps(&y, 0.0),
            _ => false,
        }
    }

    /// Looks at all pairs in place.
    fn in_place(&self) -> Vec<Look> {
        let mut looks = Vec::new();
        for a in 0..self.0.len() {
            for b in a + 1..self.0.len() {
                if self.meet(a, b, &Vector::zeros()) {
                    looks.push(Look {
                        pieces: [a, b],
                        shift: Vector::zeros(),
                        subject: Subject::InPlace,
                    });
                }
            }
        }
        looks
    }

    /// Whether two boxes meet anywhere on a move of the first that ends at home.
    fn meet_on_the_way(&self, a: usize, b: usize, start: &Vector) -> bool {
        match (self.0[a], self.0[b]) {
            (Some(x), Some(y)) => x
                .joined(&Bounds {
                    min: x.min + start,
                    max: x.max + start,
                })
                .overlaps(&y, 0.0),
            _ => false,
        }
    }
}

/// Looks at each step's travel: where it begins, and wherever on the way surfaces
/// go through each other, so that nothing slips through between two looks.
fn on_the_way(assembly: &Assembly, boxes: &Boxes, pieces: &Ready) -> Vec<Look> {
    let mut pairs: Vec<(usize, [usize; 2])> = Vec::new();
    for (k, step) in assembly.steps().iter().enumerate() {
        let start = -Vector::from(step.direction) * step.travel_mm;
        let [moving, onto] = [&step.moving, &step.onto].map(|ids| assembly.places(ids));
        let all = moving
            .iter()
            .flat_map(|&a| onto.iter().map(move |&b| [a, b]));
        let near = all.filter(|&[a, b]| boxes.meet_on_the_way(a, b, &start));
        pairs.extend(near.map(|pair| (k, pair)));
    }
    pairs
        .par_iter()
        .flat_map_iter(|&(k, pair)| {
            let step = &assembly.steps()[k];
            let way = Vector::from(step.direction);
            let mut back = pieces.pass_through(pair, &way, step.travel_mm);
            back.push(step.travel_mm);
            // The furthest first: where a move fails is told from its beginning.
            back.sort_by(|x, y| y.total_cmp(x));
            let every = back.len().div_ceil(MOST_LOOKS);
            back.into_iter().step_by(every).map(move |back_mm| Look {
                pieces: pair,
                shift: -way * back_mm,
                subject: Subject::Step { step: k, back_mm },
            })
        })
        .collect()
}

/// Looks at contacts that lock, their halves pulled apart.
fn pulled(assembly: &Assembly) -> Vec<Look> {
    let mut looks = Vec::new();
    for (k, seam) in assembly.seams().iter().enumerate() {
        for (of_pair, limbs) in locking(seam) {
            // A key is in the way of both halves, and they of nothing.
            let [below, above] = of_pair.each_ref().map(|id| assembly.place(id));
            let keys: Vec<&PieceId> = limbs.iter().flat_map(|c| &c.keys).collect();
            let mut pairs: Vec<[usize; 2]> = keys
                .iter()
                .map(|id| assembly.place(id))
                .flat_map(|key| [[below, key], [key, above]])
                .collect();
            if keys.is_empty() || limbs.iter().any(|c| !c.joint.is_key()) {
                pairs.push([below, above]);
            }
            looks.extend(pairs.into_iter().map(|pieces| Look {
                pieces,
                shift: -Vector::from(seam.normal) * PULL_MM,
                subject: Subject::Pull { seam: k },
            }));
        }
    }
    looks
}

/// The pairs of pieces of a seam that something locks, each with the limbs that it locks.
fn locking(seam: &SeamEntry) -> Vec<(&[PieceId; 2], Vec<&ContactEntry>)> {
    let mut out: Vec<(&[PieceId; 2], Vec<&ContactEntry>)> = Vec::new();
    for contact in seam.contacts.iter().filter(|c| c.joint.locks()) {
        match out
            .iter_mut()
            .find(|(pieces, _)| **pieces == contact.pieces)
        {
            Some((_, limbs)) => limbs.push(contact),
            None => out.push((&contact.pieces, vec![contact])),
        }
    }
    out
}

/// Whether what comes away when it is pulled is held after all, but loosely.
fn catches_further_out(pieces: &Ready, pull: &Look) -> bool {
    let further = Look {
        shift: pull.shift * (PULL_FURTHER_MM / PULL_MM),
        ..*pull
    };
    pieces
        .shared_volume(&further)
        .is_ok_and(|(volume, _)| volume >= BITE_MM3)
}

/// What two pieces share, but for the films where they lie against each other.
fn beyond_films(assembly: &Assembly, pieces: &Ready, look: &Look, volume_mm3: f64) -> f64 {
    let allowed = touch_allowance(assembly, look);
    volume_mm3.min(without_films(pieces, look, volume_mm3, allowed))
}

fn judged(
    assembly: &Assembly,
    pieces: &Ready,
    look: &Look,
    shared: SharedVolume,
) -> Option<Finding> {
    let [a, b] = look.pieces.map(|i| &assembly.pieces()[i].id);
    let (volume, at) = match shared {
        Ok(found) => found,
        Err(why) => {
            let message = format!("{a} and {b} could not be held against each other: {why}");
            return Some(Finding::new(Code::NotJudged, message).piece(a));
        }
    };
    let volume = match look.subject {
        Subject::Pull { .. } => volume,
        _ => beyond_films(assembly, pieces, look, volume),
    };
    let limit = TOUCH_MM3;
    let finding = match look.subject {
        Subject::InPlace if volume > limit => Finding::new(
            Code::Overlap,
            format!("{a} and {b} overlap by {volume:.2} mm³ in place; raise the clearance or move the seam between them"),
        )
        .piece(a)
        .measured(volume, limit),
        Subject::Step { step, back_mm } if volume > limit => {
            collision(assembly, look.pieces, (step, back_mm), (volume, volume))
        }
        Subject::Pull { seam } if volume < BITE_MM3 => {
            let seam = &assembly.seams()[seam].id;
            let why = if catches_further_out(pieces, look) {
                "its flanks catch only further out; make the clearance smaller, or the angle of \
                 the tails larger"
            } else {
                "the joint does not hold; choose another joint or move the seam"
            };
            Finding::new(
                Code::NotHeld,
                format!(
                    "{a} comes away from {b} when pulled {PULL_MM} mm along the normal of {seam}: \
                     {why}"
                ),
            )
            .piece(a)
            .seam(seam)
            .measured(volume, BITE_MM3)
        }
        _ => return None,
    };
    Some(match at {
        Some(p) => finding.at(&p),
        None => finding,
    })
}

/// Keeps one finding for each code and subject: the first.
fn first_of_each<'a>(
    mut kept: Vec<(Finding, &'a Look)>,
    next: (Finding, &'a Look),
) -> Vec<(Finding, &'a Look)> {
    let found = &next.0;
    let same = |(k, _): &(Finding, &Look)| {
        k.code == found.code
            && k.piece == found.piece
            && k.seam == found.seam
            && k.code != Code::Overlap
    };
    if !kept.iter().any(same) {
        kept.push(next);
    }
    kept
}

#[cfg(test)]
mod tests {
    use design::{PieceId, PieceInPlace, PrinterId, SeamEntry, SeamId, StepEntry};

    use solid::{Point, Solid};

    use super::*;

    /// A peg that slides 240 mm home past a rib half a millimetre thick, which
    /// stands into its way by a depth.
    fn sliding_past(rib_mm: f64, at_mm: f64) -> Vec<Finding> {
        let block = |a: [f64; 3], b: [f64; 3]| Solid::cuboid(Point::from(a), Point::from(b));
        let peg = block([0.0, 0.0, 0.0], [20.0, 10.0, 10.0]);
        let floor = block([-300.0, -10.0, -20.0], [60.0, 20.0, -0.05]);
        let rib = block([at_mm, 4.0, -10.0], [at_mm + 0.5, 4.4, rib_mm]);
        let base = floor.union(&rib).unwrap();
        let piece = |k: usize, solid: &Solid| PieceInPlace {
            id: PieceId::cut(k, 2),
            in_place: solid.clone(),
            as_printed: solid.clone(),
            placed: solid::Isometry::identity(),
            printer: PrinterId::at(0),
        };
        let seam = SeamEntry::sliding(SeamId::numbered(1), [0.0, 0.0, 1.0], [1.0, 0.0, 0.0], 240.0);
        let step = StepEntry {
            step: 1,
            moving: vec![PieceId::cut(1, 2)],
            onto: vec![PieceId::cut(2, 2)],
            closes: Closes::Seam(SeamId::numbered(1)),
            direction: [1.0, 0.0, 0.0],
            travel_mm: 240.0,
            rests: None,
            play: Vec::new(),
        };
        let printers = vec!["500x500x500".parse().unwrap()];
        let pieces = vec![piece(1, &peg), piece(2, &base)];
        let assembly = Assembly::new(pieces, vec![seam], vec![step], printers).unwrap();
        together(&assembly, &Recall::none())
    }

    #[test]
    fn a_thin_rib_in_the_way_is_found_wherever_it_stands() {
        // Twelve hundredths of a cubic millimetre, for 20 of 240 mm of the way.
        for at_mm in [-20.7, -61.3, -111.1, -190.9] {
            let found = sliding_past(0.6, at_mm);
            assert_eq!(found.len(), 1, "{at_mm}: {found:?}");
            assert_eq!(found[0].code, Code::Collision);
            // All of the rib, and not the first touch of it.
            let worst = found[0].value.unwrap();
            assert!((worst - 0.5 * 0.4 * 0.6).abs() < 1e-6, "{at_mm}: {worst}");
        }
        assert_eq!(sliding_past(-0.01, -61.3), []);
    }
}
