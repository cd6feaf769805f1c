use geo::Area;
use joinery::capacity::MATERIALS;
use joinery::{Joint, JointKind};
use planner::block_fits;
use rayon::prelude::*;
use solid::{Frame, Outline, Vector};

use crate::Contact;
use crate::attempt::{Attempt, attempt, sliding_kinds};
use crate::earlier::Earlier;
use crate::leftovers::key_leftovers;
use crate::meeting::meet;
use crate::seam::{JointShape, PlacedJoint, Seam, direction_word};
use crate::seam_task::{Task, enters_unseen};
use crate::way::{Way, ways};

/// Lays out the joints of a seam: its halves slide together or meet along the
/// normal, whichever the first kind of its terms asks for, and the other where
/// that finds no room at all.
pub(crate) fn lay_out(task: &Task) -> Seam {
    let earlier = Earlier::of(task.seam, task.obstacles, &task.common.rules);
    let meets_first = matches!(
        task.common.choice.kinds().first(),
        Some(JointKind::Tenon | JointKind::Butterfly)
    );
    if meets_first && let Some(seam) = meet(task, &earlier, "") {
        return seam;
    }
    let why_not = match slide(task, &earlier) {
        Ok(mut seam) => {
            key_leftovers(task, &mut seam, |_| true);
            return seam;
        }
        Err(why) => why,
    };
    if !meets_first && let Some(seam) = meet(task, &earlier, &why_not) {
        return seam;
    }
    let mut contacts = task.contacts.clone();
    let tails_up = task.tails_up();
    for (k, contact) in contacts.iter_mut().enumerate() {
        contact.no_bed_room = task.no_bed_room(&tails_up, k);
        contact.reason = if contact.no_bed_room {
            NO_BED_ROOM.into()
        } else if why_not.is_empty() {
            "a plain seam was asked for".into()
        } else {
            why_not.clone()
        };
    }
    Seam {
        id: task.id.to_owned(),
        index: task.seam.index,
        frame: task.seam.frame,
        slide: task.seam.frame.n,
        travel_mm: task.reach_mm(),
        tails_point_up: true,
        contacts,
        joints: Vec::new(),
    }
}

/// Joins the seam in the direction that joins most. All its contacts share
/// the slide; what the first kind of one finds no room for, the next may.
fn slide(task: &Task, earlier: &Earlier) -> Result<Seam, String> {
    if task.terms.iter().all(|t| sliding_kinds(t).is_empty()) {
        return Err(String::new());
    }
    // Tails from above add to pieces that were planned without: only where
    // the bed takes that.
    let reach = task.reach_mm();
    let from_above = task.contacts.iter().all(|c| {
        // It may carry tails on its other sides too.
        let size = task.bodies[c.pieces[1]].grown(reach / 2.0).size_mm()
            + task.seam.frame.n.map(f64::abs) * reach;
        task.printers.iter().any(|p| block_fits(size.into(), p))
    });
    let unseen: Vec<Way> = ways(task.seam, task.slide)
        .into_iter()
        .filter(|way| enters_unseen(way, task.hide))
        .collect();
    if unseen.is_empty() {
        return Err("every side that a tail could come in from is to be hidden".into());
    }
    // Where the bed has no room for them below, they are worth a try: each piece
    // takes as many as it has room for.
    let tails_up = task.tails_up();
    let either = from_above || (0..task.contacts.len()).any(|k| task.no_bed_room(&tails_up, k));
    let attempts: Vec<Attempt> = unseen
        .into_par_iter()
        .filter(|way| either || way.tails_point_up)
        .map(|way| attempt(task, earlier, way))
        .collect();
    let why_not = refusal(&attempts);
    best_of(task, attempts)
        .map(|best| carried_out(task, best))
        .ok_or(why_not)
}

/// Why pieces that just fit the bed get no tails.
pub(crate) const NO_BED_ROOM: &str = "the bed has no room for a tail on this piece";

/// Attempts at a seam across one leg that differ by less are as good as each
/// other: a hundredth of joining everything.
const TIE: f64 = 1.0;

/// The attempt that joins most, the first of several. Legs that are turned
/// copies of each other shall be so with their joints: across a leg, of
/// attempts that are as good, the one that moves it furthest outwards.
fn best_of(task: &Task, mut attempts: Vec<Attempt>) -> Option<Attempt> {
    attempts.retain(|a| !a.joints.is_empty());
    let highest = attempts.iter().map(|a| a.score).fold(f64::MIN, f64::max);
    let tie = if task.within.is_some() { TIE } else { 1e-9 };
    attempts.retain(|a| a.score >= highest - tie);
    let furniture = task.bodies.iter().copied().reduce(|a, b| a.joined(&b));
    let outwards = match (task.within, furniture) {
        (Some(leg), Some(all)) => leg.centre() - all.centre(),
        _ => Vector::zeros(),
    };
    let out = |a: &Attempt| {
        let tails = if a.way.tails_point_up { 1.0 } else { -1.0 };
        outwards.dot(&a.way.frame.v) * tails
    };
    attempts.into_iter().reduce(|best, next| {
        if out(&next) > out(&best) + 1e-6 {
            next
        } else {
            best
        }
    })
}

pub(crate) fn carried_out(task: &Task, attempt: Attempt) -> Seam {
    let seam = task.seam;
    let mut contacts = task.contacts.clone();
    let Attempt {
        way,
        joints: laid,
        refused,
        travel_mm,
        owner,
        ..
    } = attempt;
    let mut joints = Vec::new();
    for (polygon, sliding) in &laid {
        let Ok(joint) = sliding.joint(&way.frame) else {
            continue;
        };
        // A long tail laid in one contact joins the others it runs through.
        let touched = touching(&contacts, &joint, &seam.frame, Some(owner[*polygon]));
        let run_mm = sliding.main.lane.run_mm();
        let shape = JointShape::InLane(sliding.clone());
        for &k in &touched {
            contacts[k].gain(&shape, &MATERIALS[0]);
        }
        joints.push(PlacedJoint {
            shape,
            frame: way.frame,
            joint,
            contacts: touched,
            way_in: way.frame.v,
            run_mm,
            key_longest_mm: None,
        });
    }
    let slide_word = direction_word(&way.frame.v);
    for (k, contact) in contacts.iter_mut().enumerate() {
        let refused = || refused.iter().find(|(p, _)| owner[*p] == k);
        contact.no_bed_room = contact.count == 0 && task.no_bed_room(&way, k);
        contact.reason = if contact.count > 0 {
            let why = match (contact.joint, task.terms[k].choice.is_auto()) {
                (JointKind::Dovetail, true) => format!(
                    ", which needs no brace: the wall beside it is {:.1} mm thick or its bed has \
                     no room for one",
                    contact.wall_mm
                ),
                (JointKind::BracedDovetail, true) => {
                    ", braced because the wall beside a dovetail would be thin".to_owned()
                }
                _ => String::new(),
            };
            format!(
                "{} × {} of {:.1} mm{why}; the slide along {slide_word} joins most of this seam \
                 and is {travel_mm:.0} mm long",
                contact.count, contact.joint, contact.width_mm
            )
        } else if sliding_kinds(&task.terms[k]).is_empty() {
            format!(
                "{} needs the halves to meet along the normal, and the other contacts of this \
                 seam slide",
                task.terms[k].choice
            )
        } else if contact.no_bed_room {
            NO_BED_ROOM.to_owned()
        } else if let Some((_, why)) = refused() {
            why.to_string()
        } else {
            "no room: other joints, or walls too thin behind the face, take it".to_owned()
        };
    }
    Seam {
        id: task.id.to_owned(),
        index: seam.index,
        frame: seam.frame,
        slide: if way.tails_point_up {
            way.frame.v
        } else {
            -way.frame.v
        },
        travel_mm,
        tails_point_up: way.tails_point_up,
        contacts,
        joints,
    }
}

/// Contacts that a joint lies on, the one that it was laid in among them.
pub(crate) fn touching(
    contacts: &[Contact],
    joint: &Joint,
    seam: &Frame,
    own: Option<usize>,
) -> Vec<usize> {
    use geo::BooleanOps;
    let footprints: Vec<Outline> = joint
        .transfers
        .iter()
        .map(|t| t.tail.section(seam))
        .collect();
    (0..contacts.len())
        .filter(|&k| {
            Some(k) == own
                || footprints
                    .iter()
                    .any(|f| contacts[k].outline.intersection(f).unsigned_area() > 1.0)
        })
        .collect()
}

/// Why no way found room. Of the many reasons of many ways the last in the
/// alphabet is as good as any, and always the same.
fn refusal(attempts: &[Attempt]) -> String {
    attempts
        .iter()
        .flat_map(|a| &a.refused)
        .map(|(_, why)| why.to_string())
        .max()
        .unwrap_or_else(|| {
            "no room: the material behind the face is not as deep as the joint and a wall"
                .to_owned()
        })
}
