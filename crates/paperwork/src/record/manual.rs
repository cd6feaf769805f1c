//! The assembly in words, as at a workbench, forwards and backwards.

use design::{Closes, ContactEntry, PieceId, Play, Rest, SeamEntry, StepEntry};
use joinery::JointKind;

use crate::record::entries::Report;
use crate::record::undoing::Undoing;
use crate::record::way::{Named, Way};
use crate::words::listed;

/// One step in words.
#[derive(Clone, Debug, PartialEq)]
pub struct Instruction {
    /// From 1.
    pub step: usize,
    /// What to do.
    pub text: String,
    /// What to heed, a sentence each.
    pub heed: Vec<String>,
}

/// So many joints go home at once only if all are started before any is pushed.
const MANY: usize = 4;
/// On a way home longer than most joints are, some meet before others.
const LONG_MM: f64 = 80.0;
/// So many go home evenly only if more than two hands push: common practice, no published
/// source.
const FOR_TWO: usize = 12;
/// Plastic that one person does not hold in place and push besides.
const HEAVY_G: f64 = 4000.0;
/// So many pieces are named one by one.
const NAMED: usize = 4;

/// The assembly in words. What a step makes of several pieces is called by the step:
/// `part 3` is what step 3 made.
///
/// ```no_run
/// let report = paperwork::read_report("side-table-pieces".as_ref())?;
/// for step in paperwork::instructions(&report) {
///     println!("{}. {}", step.step, step.text);
/// }
/// # Ok::<(), paperwork::ReadBackError>(())
/// ```
pub fn instructions(report: &Report) -> Vec<Instruction> {
    let parts = Parts(report);
    let each = report.steps.iter();
    each.map(|step| instruction(report, &parts, step)).collect()
}

fn instruction(report: &Report, parts: &Parts, step: &StepEntry) -> Instruction {
    let contacts = closed_by(report, step);
    let key = step.moving.iter().all(PieceId::is_key);
    let far = format!("{:.0} mm", step.travel_mm);
    let way = Way::of(report, step);
    let text = if key {
        let between = contacts
            .iter()
            .find(|c| step.moving.iter().any(|k| c.keys.contains(k)));
        let between = between.map_or_else(String::new, |c| {
            format!(", between {} and {}", c.pieces[0], c.pieces[1])
        });
        format!(
            "Push key {} {far} {} into seam {}, {}{between}.",
            listed(&step.moving, ", "),
            way.word,
            step.closes.id(),
            way.from
        )
    } else {
        let [moving, onto] = [&step.moving, &step.onto].map(|ids| parts.named(ids, step.step));
        let (verb, word) = (way.verb, way.word);
        match (&step.closes, meeting(report, step, &contacts)) {
            (Closes::Body(id), _) => {
                let named = report.bodies.iter().find(|b| b.id == *id);
                let name = named.and_then(|b| b.name.as_ref());
                let moving = name.map_or(moving.clone(), |name| format!("{name}, {moving},"));
                match stands_alone(step) {
                    true => format!("Stand {moving} where it belongs beside {onto}."),
                    false => format!("{verb} {moving} {far} {word} into its place in {onto}."),
                }
            }
            (Closes::Seam(seam), None) => format!(
                "{verb} {moving} {far} {word} {} {onto}; that closes seam {seam}.",
                way.onto
            ),
            (Closes::Seam(seam), Some(how)) => {
                format!("Bring {moving} {word} {how} {onto}; that closes seam {seam}.")
            }
        }
    };
    let heed = heeded(report, parts, step, &contacts);
    let sides = [laid(report, parts, step), turned(report, parts, step)];
    let sentences: Vec<String> = sides.into_iter().flatten().chain([text]).collect();
    let text = sentences.join(" ");
    Instruction {
        step: step.step,
        text,
        heed,
    }
}

/// Whether a step brings a body that nothing of the rest stops on any side.
fn stands_alone(step: &StepEntry) -> bool {
    step.seam().is_none() && step.play.is_empty()
}

/// What to heed at a step, a sentence each.
fn heeded(
    report: &Report,
    parts: &Parts,
    step: &StepEntry,
    contacts: &[&ContactEntry],
) -> Vec<String> {
    let key = step.moving.iter().all(PieceId::is_key);
    let mut heed = Vec::new();
    heed.extend(room(report, step));
    let slides = |c: &&&ContactEntry| c.joint != JointKind::Plain && !c.joint.is_key();
    let joints: usize = contacts.iter().filter(slides).map(|c| c.count).sum();
    if !key && joints >= MANY {
        heed.push(match step.travel_mm > LONG_MM {
            // Some of them may meet only on the last stretch.
            true => format!(
                "See that all {joints} joints are in line before you push, and again where the next \
                 of them meet."
            ),
            false => {
                format!("Start all {joints} joints by hand before you push any of them home.")
            }
        });
    }
    let is_plain = |c: &&ContactEntry| c.joint == JointKind::Plain && c.keys.is_empty();
    if !key && !contacts.is_empty() && contacts.iter().all(is_plain) {
        heed.push("Nothing joins these two here: hold them until others hold both.".to_owned());
    }
    let mass = |ids: &[PieceId]| -> f64 {
        let own = report.pieces.iter().filter(|p| ids.contains(&p.id));
        own.map(|p| p.plastic_g).sum()
    };
    let moved = mass(&step.moving);
    if moved > HEAVY_G {
        heed.push(format!(
            "Two people: what moves weighs some {:.0} kg.",
            moved / 1000.0
        ));
        if !key && joints >= FOR_TWO {
            heed.push("Push on both ends at once, so that it does not jam.".to_owned());
        }
    } else if !key && joints >= FOR_TWO {
        heed.push("Two people: push on both ends at once, so that it does not jam.".to_owned());
    }
    let [moving, onto] = [&step.moving, &step.onto].map(|ids| parts.named(ids, step.step));
    // Earlier versions did not say it.
    let is_known = report.steps.iter().any(|s| s.rests.is_some());
    match step.rests {
        None if is_known => heed.push(format!("Hold {onto}: it stands on none of its sides.")),
        Some(Rest {
            over_edge: true, ..
        }) => heed.push(format!(
            "Have the place of {moving} over the edge of the bench: it reaches lower."
        )),
        _ => {}
    }
    let is_last = report
        .steps
        .last()
        .is_some_and(|last| last.step == step.step);
    let lies = |rest: Rest| Named::of(report, rest.on) != Named::Bottom;
    if is_last && step.rests.is_some_and(lies) {
        heed.push("Then turn the whole upright.".to_owned());
    }
    heed
}

/// That nothing holds a body that came home, and how far it moves there.
fn room(report: &Report, step: &StepEntry) -> Option<String> {
    if stands_alone(step) {
        return Some("Nothing joins the two, and they do not touch.".to_owned());
    }
    step.seam().is_none().then(|| {
        let told = |play: &Play| {
            let side = Named::of(report, play.to).word();
            format!("{:.1} mm towards the {side}", play.free_mm)
        };
        let (moves, stopped): (Vec<&Play>, Vec<&Play>) = step
            .play
            .iter()
            .partition(|play| play.free_mm >= LEAST_ROOM_MM);
        let moves: Vec<String> = moves.into_iter().map(told).collect();
        let rests = stopped
            .iter()
            .any(|play| Named::of(report, play.to) == Named::Bottom);
        let mut out = "Nothing joins it to what is there".to_owned();
        if rests {
            out += ": it rests on it";
        }
        if !moves.is_empty() {
            out += &format!("; once all stands it can be moved {}", listed(&moves, ", "));
        }
        out + "."
    })
}

/// What can be moved by less lies against what stops it.
const LEAST_ROOM_MM: f64 = 0.05;

/// How what stands is laid first, where it does not lie so already.
fn laid(report: &Report, parts: &Parts, step: &StepEntry) -> Option<String> {
    let side = step.rests?.on;
    let before = last_with(report, &step.onto, step.step);
    if before.is_some_and(|s| s.rests.is_some_and(|rest| rest.on == side)) {
        return None;
    }
    let onto = parts.named(&step.onto, step.step);
    Some(match (before.is_some(), Named::of(report, side)) {
        (false, Named::Bottom) => format!("Set {onto} down with its top up."),
        (false, Named::Top) => format!("Set {onto} down on its top."),
        (false, on) => format!("Lay {onto} on its {}.", on.word()),
        (true, on) => format!("Turn {onto} {}.", lying_on(on)),
    })
}

/// How a part that comes is turned before it does, where it lay otherwise when it was made.
fn turned(report: &Report, parts: &Parts, step: &StepEntry) -> Option<String> {
    let side = step.rests?.on;
    let before = last_with(report, &step.moving, step.step)?.rests?.on;
    (before != side).then(|| {
        let part = parts.called(&step.moving, step.step);
        let [now, then] = [side, before].map(|side| Named::of(report, side));
        format!(
            "Turn {part}, which lay on its {}, {}.",
            then.word(),
            lying_on(now)
        )
    })
}

/// The last step before one that some of these pieces had a part in: a part is as large as
/// that made it.
fn last_with<'a>(report: &'a Report, pieces: &[PieceId], before: usize) -> Option<&'a StepEntry> {
    let holds = |s: &&StepEntry| {
        let mut both = s.moving.iter().chain(&s.onto);
        s.step < before && both.any(|p| pieces.contains(p))
    };
    report.steps.iter().rfind(holds)
}

fn lying_on(side: Named) -> String {
    match side {
        Named::Bottom => "upright".to_owned(),
        Named::Top => "upside down".to_owned(),
        on => format!("onto its {}", on.word()),
    }
}

/// How halves meet that do not slide: straight against each other, until keys hold them, or
/// into each other's sockets.
fn meeting(report: &Report, step: &StepEntry, contacts: &[&ContactEntry]) -> Option<&'static str> {
    let seam = report.seams.iter().find(|s| Some(&s.id) == step.seam())?;
    let along: f64 = (0..3).map(|k| seam.normal[k] * step.direction[k]).sum();
    let keyed = contacts
        .iter()
        .all(|c| c.joint.is_key() || c.joint == JointKind::Plain);
    (along.abs() > 0.9).then_some(if keyed { "against" } else { "straight into" })
}

/// The contacts that a step closes, or that its key holds.
fn closed_by<'a>(report: &'a Report, step: &StepEntry) -> Vec<&'a ContactEntry> {
    let seams = report.seams.iter().filter(|s| Some(&s.id) == step.seam());
    let contacts = seams.flat_map(|s: &SeamEntry| &s.contacts);
    let between = |c: &&ContactEntry| {
        let [a, b] = &c.pieces;
        let (moves, stands) = (|p| step.moving.contains(p), |p| step.onto.contains(p));
        moves(a) && stands(b) || moves(b) && stands(a)
    };
    let keyed = |c: &&ContactEntry| c.keys.iter().any(|k| step.moving.contains(k));
    contacts.filter(|c| between(c) || keyed(c)).collect()
}

/// What is put together already, by its name.
struct Parts<'a>(&'a Report);

impl Parts<'_> {
    /// A name for some pieces that are one before a step, with what they are.
    fn named(&self, pieces: &[PieceId], before: usize) -> String {
        if let [one] = pieces {
            return one.to_string();
        }
        let cut: Vec<&PieceId> = pieces.iter().filter(|p| !p.is_key()).collect();
        let which = if cut.len() <= NAMED {
            listed(&cut, ", ")
        } else {
            let named = listed(&cut[..2], ", ");
            format!("{named} and {} more", cut.len() - 2)
        };
        match last_with(self.0, pieces, before) {
            Some(made) => format!("part {} ({which})", made.step),
            None => which,
        }
    }

    /// The same in short.
    fn called(&self, pieces: &[PieceId], before: usize) -> String {
        let made = last_with(self.0, pieces, before).filter(|_| pieces.len() > 1);
        made.map_or_else(
            || listed(pieces, ", "),
            |made| format!("part {}", made.step),
        )
    }
}

/// The whole manual as text, a line each.
pub fn manual(report: &Report) -> String {
    let mut lines: Vec<String> = Vec::new();
    for step in instructions(report) {
        lines.push(format!("{}. {}", step.step, step.text));
        lines.extend(step.heed.iter().map(|h| format!("   {h}")));
    }
    lines.push(String::new());
    lines.extend(report.undoing.iter().map(Undoing::words));
    lines.join("\n")
}
