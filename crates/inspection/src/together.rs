//! Whether pieces go together: apart in place, free on the way, held once home.
//!
//! Every question is one about the volume that two pieces share in some
//! position, answered by the boolean kernel.

use rayon::prelude::*;
use solid::{Bounds, Vector};

use crate::{Assembly, Finding, Severity};

/// Points of each step's travel at which it is looked at, the home position
/// apart.
const LOOKS: usize = 8;
/// How far a held seam is pulled.
const PULL_MM: f64 = 1.0;
/// How far it is pulled to tell a loose joint from none: the flanks of tails at
/// the default angle catch by then at any clearance up to three quarters of a
/// millimetre.
const PULL_FURTHER_MM: f64 = 3.0;
/// Shared volume that is rounding: faces that lie on each other, each rounded
/// to single precision, over the area where they may.
const TOUCH_MM: f64 = 2e-4;
/// And a little for edges.
const TOUCH_MM3: f64 = 0.02;
/// A pulled joint must bite into at least this much.
const BITE_MM3: f64 = 0.1;

/// One look: two pieces, the first shifted.
struct Look {
    pieces: [usize; 2],
    shift: Vector,
    subject: Subject,
}

#[derive(Clone, Copy)]
enum Subject {
    InPlace,
    Step { step: usize, back_mm: f64 },
    Pull { seam: usize },
}

pub(crate) fn together(assembly: &Assembly) -> Vec<Finding> {
    let bounds: Vec<Option<Bounds>> = assembly
        .pieces
        .iter()
        .map(|p| p.in_place.bounds())
        .collect();
    let meets = |a: usize, b: usize, shift: &Vector| match (bounds[a], bounds[b]) {
        (Some(x), Some(y)) => Bounds {
            min: x.min + shift,
            max: x.max + shift,
        }
        .overlaps(&y, 0.0),
        _ => false,
    };
    let mut looks: Vec<Look> = Vec::new();
    for a in 0..assembly.pieces.len() {
        for b in a + 1..assembly.pieces.len() {
            if meets(a, b, &Vector::zeros()) {
                looks.push(Look {
                    pieces: [a, b],
                    shift: Vector::zeros(),
                    subject: Subject::InPlace,
                });
            }
        }
    }
    for (k, step) in assembly.steps.iter().enumerate() {
        for i in 1..=LOOKS {
            let back_mm = step.travel_mm * i as f64 / LOOKS as f64;
            let shift = -step.direction * back_mm;
            for &a in &step.moving {
                for &b in &step.onto {
                    if meets(a, b, &shift) {
                        let subject = Subject::Step { step: k, back_mm };
                        looks.push(Look {
                            pieces: [a, b],
                            shift,
                            subject,
                        });
                    }
                }
            }
        }
    }
    for (k, seam) in assembly.seams.iter().enumerate() {
        for contact in seam.contacts.iter().filter(|c| c.joint.locks()) {
            // A key is in the way of both halves, and they of nothing.
            let [below, above] = contact.pieces;
            let pairs = match contact.keys[..] {
                [] => vec![[below, above]],
                _ => contact
                    .keys
                    .iter()
                    .flat_map(|&key| [[below, key], [key, above]])
                    .collect(),
            };
            looks.extend(pairs.into_iter().map(|pieces| Look {
                pieces,
                shift: -seam.frame.n * PULL_MM,
                subject: Subject::Pull { seam: k },
            }));
        }
    }
    let shared: Vec<Result<(f64, Option<solid::Point>), String>> = looks
        .par_iter()
        .map(|look| shared_volume(assembly, look))
        .collect();
    looks
        .iter()
        .zip(shared)
        .filter_map(|(look, s)| judged(assembly, look, s))
        .collect::<Vec<_>>()
        .into_iter()
        .fold(Vec::new(), worst_of_each)
}

fn shared_volume(assembly: &Assembly, look: &Look) -> Result<(f64, Option<solid::Point>), String> {
    let [a, b] = look.pieces.map(|i| &assembly.pieces[i].in_place);
    let shared = (a.shared_when_shifted(&look.shift, b)).map_err(|e| e.to_string())?;
    let at = shared.bounds().map(|b| b.centre());
    Ok((shared.volume_mm3(), at))
}

/// Whether what comes away when it is pulled is held after all, but loosely.
fn catches_further_out(assembly: &Assembly, pull: &Look) -> bool {
    let further = Look {
        shift: pull.shift * (PULL_FURTHER_MM / PULL_MM),
        ..*pull
    };
    shared_volume(assembly, &further).is_ok_and(|(volume, _)| volume >= BITE_MM3)
}

/// How much two pieces may seem to share where they only touch: by the area
/// of the largest face of the box that both lie in.
fn touch_allowance(assembly: &Assembly, look: &Look) -> f64 {
    let [a, b] = look.pieces.map(|i| assembly.pieces[i].in_place.bounds());
    let (Some(a), Some(b)) = (a, b) else {
        return TOUCH_MM3;
    };
    let low = (a.min + look.shift).sup(&b.min);
    let high = (a.max + look.shift).inf(&b.max);
    let s = (high - low).map(|x| x.max(0.0));
    TOUCH_MM3 + TOUCH_MM * (s.x * s.y).max(s.y * s.z).max(s.z * s.x)
}

fn judged(
    assembly: &Assembly,
    look: &Look,
    shared: Result<(f64, Option<solid::Point>), String>,
) -> Option<Finding> {
    let [a, b] = look.pieces.map(|i| assembly.pieces[i].id.as_str());
    let (volume, at) = match shared {
        Ok(found) => found,
        Err(why) => {
            let message = format!("{a} and {b} could not be held against each other: {why}");
            return Some(Finding::new(Severity::Error, "not-judged", message).piece(a));
        }
    };
    let limit = touch_allowance(assembly, look);
    let finding = match look.subject {
        Subject::InPlace if volume > limit => Finding::new(
            Severity::Error,
            "overlap",
            format!("{a} and {b} overlap by {volume:.2} mm³ in place; raise the clearance or move the seam between them"),
        )
        .piece(a)
        .measured(volume, limit),
        Subject::Step { step, back_mm } if volume > limit => {
            let seam = &assembly.seams[assembly.steps[step].seam].id;
            Finding::new(
                Severity::Error,
                "collision",
                format!(
                    "step {}: {a} touches {b} {back_mm:.1} mm before it is home ({volume:.2} mm³); \
                     set another slide for {seam} in plan.toml, or move the seam",
                    step + 1
                ),
            )
            .piece(a)
            .seam(seam)
            .measured(volume, limit)
        }
        Subject::Pull { seam } if volume < BITE_MM3 => {
            let seam = &assembly.seams[seam].id;
            let why = if catches_further_out(assembly, look) {
                "its flanks catch only further out; make the clearance smaller, or the angle of \
                 the tails larger"
            } else {
                "the joint does not hold; choose another joint or move the seam"
            };
            Finding::new(
                Severity::Error,
                "not-held",
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
fn worst_of_each(mut kept: Vec<Finding>, next: Finding) -> Vec<Finding> {
    let same = |k: &Finding| {
        k.code == next.code && k.piece == next.piece && k.seam == next.seam && k.code != "overlap"
    };
    if !kept.iter().any(same) {
        kept.push(next);
    }
    kept
}
