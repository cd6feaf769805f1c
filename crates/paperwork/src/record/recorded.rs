//! A build as it is recorded: pieces in place, seams, contacts and steps.

use design::{
    Assembly, BadAssembly, ContactEntry, EstimateEntry, HELD_MM, PieceId, PieceInPlace, Plan,
    SeamEntry, StepEntry, tidy,
};
use joinery::capacity::Filling;
use printing::Material;
use solid::{Point, Vector};
use workshop::{Build, Joining, Seam, SeamContact, Step, Written};

use crate::record::resting::rest;
use crate::words::joining;

/// The flank error that seat errors are given for.
const FLANK_ERROR_MM: f64 = 0.05;

/// The assembly of a build whose pieces were written: what reports tell of it and
/// inspections judge.
///
/// # Errors
///
/// When the build names what it does not have, which none of ours does.
pub fn assembly(plan: &Plan, build: &Build, written: &[Written]) -> Result<Assembly, BadAssembly> {
    let ids: Vec<&PieceId> = build.pieces.iter().map(|p| &p.id).collect();
    let (material, filling) = (&plan.settings().material, plan.filling());
    let placed = build.pieces.iter().zip(written);
    let pieces: Vec<PieceInPlace> = placed
        .map(|(p, w)| {
            let (placed, lies) = (p.onto_bed().inverse(), w.as_printed.clone());
            PieceInPlace::placed(p.id.clone(), lies, placed, p.printer)
        })
        .collect();
    let each = build.steps.iter().enumerate();
    let mut steps: Vec<StepEntry> = each.map(|(k, s)| step_entry(k + 1, s, &ids)).collect();
    let sides = |s: &Step| [s.moving.clone(), s.onto.clone()];
    let places: Vec<[Vec<usize>; 2]> = build.steps.iter().map(sides).collect();
    rest(&mut steps, places, &pieces, plan.settings().up);
    for (step, made) in steps.iter_mut().zip(&build.steps) {
        if step.seam().is_none() {
            step.play = inspection::play(&pieces, &made.moving);
        }
    }
    Assembly::new(
        pieces,
        build
            .seams
            .iter()
            .map(|s| seam_entry(s, plan, &ids, (material, &filling)))
            .collect(),
        steps,
        plan.printers().to_vec(),
    )
}

fn named(pieces: &[usize], ids: &[&PieceId]) -> Vec<PieceId> {
    pieces.iter().map(|&k| ids[k].clone()).collect()
}

fn direction(v: &Vector) -> [f64; 3] {
    v.map(tidy).into()
}

fn step_entry(step: usize, s: &Step, ids: &[&PieceId]) -> StepEntry {
    StepEntry {
        step,
        moving: named(&s.moving, ids),
        onto: named(&s.onto, ids),
        closes: s.closes.clone(),
        direction: direction(&s.direction),
        travel_mm: s.travel_mm,
        rests: None,
        play: Vec::new(),
    }
}

fn seam_entry(s: &Seam, plan: &Plan, ids: &[&PieceId], stock: (&Material, &Filling)) -> SeamEntry {
    let planned = plan.tree().seam(s.planned);
    SeamEntry {
        id: s.id.clone(),
        origin_mm: seen_at(s, plan).coords.map(tidy).into(),
        normal: direction(&s.frame.n),
        within_mm: planned.within_mm,
        slide: direction(&s.slide),
        tails_slide: s.slides().then(|| direction(&s.way_of_tails())),
        travel_mm: s.travel_mm,
        reason: planned.reason.clone(),
        contacts: s
            .contacts
            .iter()
            .zip(s.near_joints_mm2(HELD_MM))
            .map(|(c, near_mm2)| ContactEntry {
                near_joints_mm2: Some(tidy(near_mm2)),
                ..contact_entry(s, c, ids, stock)
            })
            .collect(),
    }
}

fn contact_entry(
    s: &Seam,
    c: &SeamContact,
    ids: &[&PieceId],
    stock: (&Material, &Filling),
) -> ContactEntry {
    let figures = c.figures();
    let taper = figures.map_or(0.0, |f| f.taper);
    ContactEntry {
        pieces: c.contact.pieces.map(|k| ids[k].clone()),
        area_mm2: c.contact.area_mm2,
        thick_mm: tidy(c.contact.thick_mm),
        at_mm: middle(s, c),
        near_joints_mm2: None,
        joint: c.joint(),
        count: figures.map_or(0, |f| f.count),
        keys: named(c.keys(), ids),
        width_mm: figures.map_or(0.0, |f| f.width_mm),
        taper_deg: taper.to_degrees(),
        seat_slack_mm: figures.and_then(|f| f.seat_slack_mm),
        seat_error_mm: (taper > 1e-9).then(|| FLANK_ERROR_MM / taper.sin()),
        estimate: match &c.joining {
            Joining::Joined(joined) => joined
                .figures
                .estimate
                .map(|e| EstimateEntry::of(&e, row(s, c), joined.layer_share, stock)),
            Joining::Plain(_) => None,
        },
        reason: joining(&c.joining),
        plain_wished: c.plain_wished(),
    }
}

/// How many joints bear with those of a contact: all between the same pieces.
fn row(seam: &Seam, contact: &SeamContact) -> usize {
    let same = |c: &&SeamContact| c.contact.pieces == contact.contact.pieces;
    let figures = seam
        .contacts
        .iter()
        .filter(same)
        .filter_map(SeamContact::figures);
    figures.map(|f| f.count).sum()
}

/// The middle of a contact, in space.
fn middle(seam: &Seam, contact: &SeamContact) -> Option<[f64; 3]> {
    let at = contact.contact.middle(&seam.frame)?;
    Some(at.coords.map(tidy).into())
}

/// The point of a seam's plane that is told: where it cuts, where it does not go
/// right through.
fn seen_at(seam: &Seam, plan: &Plan) -> Point {
    match plan.tree().seam(seam.planned).within() {
        None => seam.frame.origin,
        Some(b) => b.centre() - seam.frame.n * seam.frame.height(&b.centre()),
    }
}
