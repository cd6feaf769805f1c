//! Seams whose halves meet along the normal: tenons pushed in, keys dropped in.

use geo::Area;
use joinery::capacity::MATERIALS;
use joinery::{JointKind, LaidTenons, SeamFace, lay_sliding, lay_tenons};

use crate::contacts::Contact;
use crate::earlier::Earlier;
use crate::seam::{JointShape, PlacedJoint, Seam, direction_word};
use crate::seam_layout::NO_BED_ROOM;
use crate::seam_task::{Task, enters_unseen};
use crate::way::{Way, ways};

/// Free way before halves that only meet.
const APART_MM: f64 = 2.0;

/// Joins each contact by the first of its kinds that needs no slide of the
/// halves and finds room; `None` where no contact gets any.
pub(crate) fn meet(task: &Task, earlier: &Earlier, why_not: &str) -> Option<Seam> {
    let mut contacts = task.contacts.clone();
    let tails_up = task.tails_up();
    let mut joints = Vec::new();
    let mut travel_mm: f64 = APART_MM;
    for (k, contact) in contacts.iter_mut().enumerate() {
        let mut reasons = Vec::new();
        contact.no_bed_room = task.no_bed_room(&tails_up, k);
        if !why_not.is_empty() {
            let why_not = if contact.no_bed_room {
                NO_BED_ROOM
            } else {
                why_not
            };
            reasons.push(format!("no slide: {why_not}"));
        }
        let kinds = task.terms[k].choice.kinds().iter();
        for &kind in kinds.take_while(|kind| **kind != JointKind::Plain) {
            let found = match kind {
                JointKind::Butterfly => keys(task, earlier, k, contact),
                JointKind::Tenon if !task.bed_takes(kind, &tails_up, k) => {
                    Err(NO_BED_ROOM.to_owned())
                }
                JointKind::Tenon => tenons(task, earlier, k, contact),
                _ => continue,
            };
            match found {
                Ok(found) => {
                    if kind == JointKind::Tenon {
                        let rules = &task.terms[k].rules;
                        travel_mm =
                            travel_mm.max(rules.tenon_depth_mm + rules.crest_relief_mm + APART_MM);
                    }
                    let way_in = found
                        .first()
                        .map_or_else(String::new, |j| direction_word(&j.way_in));
                    reasons.insert(0, match kind {
                        JointKind::Butterfly => format!(
                            "{} × butterfly key of {:.1} mm, dropped in along {way_in} once the \
                             halves have met",
                            contact.count, contact.width_mm
                        ),
                        _ => format!("{} × tenon pushed in along the normal", contact.count),
                    });
                    joints.extend(found);
                    break;
                }
                Err(why) => reasons.push(format!("no {kind}: {why}")),
            }
        }
        contact.reason = reasons.join("; ");
    }
    if joints.is_empty() {
        return None;
    }
    Some(Seam {
        id: task.id.to_owned(),
        index: task.seam.index,
        frame: task.seam.frame,
        slide: task.seam.frame.n,
        travel_mm,
        tails_point_up: true,
        contacts,
        joints,
    })
}

fn tenons(
    task: &Task,
    earlier: &Earlier,
    k: usize,
    contact: &mut Contact,
) -> Result<Vec<PlacedJoint>, String> {
    let way = task.tails_up();
    let room = way.room(JointKind::Tenon, task.seam, contact, &earlier.taken);
    let LaidTenons { tenons, refused } = lay_tenons(&room, &task.terms[k].rules);
    let mut out = Vec::new();
    for (_, tenon) in &tenons {
        let Ok(joint) = tenon.joint(&way.frame) else {
            continue;
        };
        let shape = JointShape::Tenon(tenon.clone());
        contact.gain(&shape, &MATERIALS[0]);
        out.push(PlacedJoint {
            shape,
            frame: way.frame,
            joint,
            contacts: vec![k],
            way_in: way.frame.n,
            run_mm: tenon.depth_mm,
            key_longest_mm: None,
        });
    }
    if out.is_empty() {
        let why = refused.first().map(|(_, why)| why.to_string());
        return Err(why.unwrap_or_else(|| {
            "the material behind the face is not as deep as a tenon and a wall".into()
        }));
    }
    Ok(out)
}

/// The way that gives the contact most keys, each in a lane of its own.
pub(crate) fn keys(
    task: &Task,
    earlier: &Earlier,
    k: usize,
    contact: &mut Contact,
) -> Result<Vec<PlacedJoint>, String> {
    let rules = &task.terms[k].rules;
    let mut why = "every side that a key could come in from is to be hidden".to_owned();
    let mut best: Option<(f64, Way, Vec<joinery::Sliding>)> = None;
    for way in ways(task.seam, None) {
        if !way.tails_point_up || !enters_unseen(&way, task.hide) {
            continue;
        }
        let mut room = way.room(JointKind::Butterfly, task.seam, contact, &earlier.taken);
        room.0.retain(|p| p.unsigned_area() > 1.0);
        let face = SeamFace {
            room,
            receiving: way.receiving(task.seam, earlier),
            carrying: way.carrying(task.seam, earlier),
            taken: way.taken(task.seam, earlier),
            stop_short: task.hide.iter().any(|side| side.has(&way.frame.v)),
            lean_mm: way.lean_mm(task.seam),
            least_travel_mm: 0.0,
        };
        let laid = lay_sliding(JointKind::Butterfly, &face, rules);
        match laid.refused.first() {
            Some((_, reason)) => why = reason.to_string(),
            None if laid.joints.is_empty() => {
                why = "the material beside the face is not as deep as a key and a wall".into();
            }
            None => {}
        }
        let covered: f64 = laid
            .joints
            .iter()
            .map(|(_, j)| j.width_mm * j.main.lane.run_mm())
            .sum();
        // As for slides: much covered and a short way in.
        let score = 60.0 * (covered / contact.area_mm2).min(0.5) - 0.15 * laid.travel_mm;
        if !laid.joints.is_empty() && best.as_ref().is_none_or(|b| score > b.0 + 1e-9) {
            best = Some((score, way, laid.joints.into_iter().map(|j| j.1).collect()));
        }
    }
    let Some((_, way, laid)) = best else {
        return Err(why);
    };
    let mut out = Vec::new();
    for sliding in &laid {
        let Ok(joint) = sliding.joint(&way.frame) else {
            continue;
        };
        let run_mm = sliding.main.lane.run_mm();
        let shape = JointShape::InLane(sliding.clone());
        contact.gain(&shape, &MATERIALS[0]);
        out.push(PlacedJoint {
            shape,
            frame: way.frame,
            joint,
            contacts: vec![k],
            way_in: way.frame.v,
            run_mm,
            key_longest_mm: None,
        });
    }
    if out.is_empty() { Err(why) } else { Ok(out) }
}
