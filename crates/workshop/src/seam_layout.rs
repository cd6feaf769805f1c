use geo::Area;
use joinery::capacity::{Estimate, MATERIALS};
use joinery::{
    Joint, JointKind, JointRules, LaidTenons, NoRoom, SeamFace, Sliding, lay_sliding, lay_tenons,
};
use planner::{Printer, block_fits};
use rayon::prelude::*;
use solid::{Bounds, Frame, Outline, Vector};

use crate::Contact;
use crate::cells::SeamPlane;
use crate::earlier::{Earlier, Obstacle};
use crate::way::{Way, ways};

/// A seam carried out: its slide and what it got.
#[derive(Clone, Debug)]
pub struct Seam {
    /// `S1`, `S2`, …
    pub id: String,
    /// Index in the plan.
    pub index: usize,
    /// Its plane; `n` points to what lies above.
    pub frame: Frame,
    /// The way the half that lies below moves to go home.
    pub slide: Vector,
    /// How far it moves.
    pub travel_mm: f64,
    /// Whether tails go from below upward (rather than from above downward).
    pub tails_point_up: bool,
    /// Where pieces meet.
    pub contacts: Vec<Contact>,
    /// The joints, with the contacts that share them.
    pub(crate) joints: Vec<PlacedJoint>,
}

/// A joint on a seam.
#[derive(Clone, Debug)]
pub(crate) struct PlacedJoint {
    pub(crate) joint: Joint,
    /// Contacts that it lies on, by index.
    pub(crate) contacts: Vec<usize>,
}

/// What the layout of a seam's joints starts from.
pub(crate) struct Task<'a> {
    /// The seam's id.
    pub(crate) id: &'a str,
    pub(crate) seam: &'a SeamPlane,
    pub(crate) contacts: Vec<Contact>,
    /// The joints to try, in order.
    pub(crate) preference: &'a [JointKind],
    /// The slide of the tails' half, where it is prescribed.
    pub(crate) slide: Option<Vector>,
    /// Boxes of all pieces, without joints.
    pub(crate) bodies: &'a [Bounds],
    /// Joints of seams laid out before.
    pub(crate) obstacles: &'a [Obstacle],
    pub(crate) printers: &'a [Printer],
    pub(crate) rules: &'a JointRules,
}

/// One attempt at a seam.
struct Attempt {
    way: Way,
    /// The joints, each with the room polygon it was laid in.
    joints: Vec<(usize, Sliding)>,
    /// Why a room polygon got none.
    refused: Vec<(usize, NoRoom)>,
    travel_mm: f64,
    /// For each room polygon, its contact.
    owner: Vec<usize>,
    score: f64,
}

/// Lays out the joints of a seam: kinds in order of preference, in the
/// direction that joins most. Kinds that slide share the seam's slide: what
/// the first finds no room for, the next may.
pub(crate) fn lay_out(task: &Task) -> Seam {
    let Task {
        id,
        seam,
        contacts,
        preference,
        slide,
        bodies,
        obstacles,
        printers,
        rules,
    } = task;
    // Tails from above add to pieces that were planned without: only where
    // the bed takes that.
    let from_above = contacts.iter().all(|c| {
        // It may carry tails on its other sides too.
        let size = bodies[c.pieces[1]].grown(rules.reach_mm() / 2.0).size_mm()
            + seam.frame.n.map(f64::abs) * rules.reach_mm();
        printers.iter().any(|p| block_fits(size.into(), p))
    });
    let earlier = Earlier::of(seam, obstacles, rules);
    let mut why_not = String::new();
    let mut tried_sliding = false;
    for &kind in *preference {
        if kind == JointKind::Plain {
            break;
        }
        if kind.slides() && !tried_sliding {
            tried_sliding = true;
            let kinds: Vec<JointKind> = preference
                .iter()
                .copied()
                .take_while(|k| *k != JointKind::Plain)
                .filter(|k| k.slides())
                .collect();
            let attempts: Vec<Attempt> = ways(seam, *slide)
                .into_par_iter()
                .filter(|way| from_above || way.tails_point_up)
                .map(|way| attempt(&kinds, task, &earlier, way))
                .collect();
            why_not = refusal(&attempts);
            let best = attempts
                .into_iter()
                .filter(|a| !a.joints.is_empty())
                .reduce(|best, next| {
                    if next.score > best.score + 1e-9 {
                        next
                    } else {
                        best
                    }
                });
            if let Some(best) = best {
                return carried_out(task, best);
            }
        } else if kind == JointKind::Tenon
            && let Some(seam) = push_in(task, &earlier, &why_not)
        {
            return seam;
        }
    }
    let mut contacts = contacts.clone();
    for contact in &mut contacts {
        contact.reason = if why_not.is_empty() {
            "a plain seam was asked for".into()
        } else {
            why_not.clone()
        };
    }
    Seam {
        id: (*id).to_owned(),
        index: seam.index,
        frame: seam.frame,
        slide: seam.frame.n,
        travel_mm: rules.reach_mm(),
        tails_point_up: true,
        contacts,
        joints: Vec::new(),
    }
}

/// Lays joints out one way: the first kind everywhere, the next in what is
/// left, as far as the slide stays as long.
fn attempt(kinds: &[JointKind], task: &Task, earlier: &Earlier, way: Way) -> Attempt {
    let Task {
        seam,
        contacts,
        rules,
        ..
    } = task;
    let receiving = way.receiving(seam, earlier);
    let carrying = way.carrying(seam, earlier);
    let mut out = Attempt {
        way,
        joints: Vec::new(),
        refused: Vec::new(),
        travel_mm: 0.0,
        owner: Vec::new(),
        score: 0.0,
    };
    let mut open: Vec<usize> = (0..contacts.len()).collect();
    for &kind in kinds {
        let first = out.owner.len();
        let mut polygons = Vec::new();
        for &k in &open {
            for polygon in way.room(kind, seam, &contacts[k], &earlier.taken) {
                if polygon.unsigned_area() > 1.0 {
                    out.owner.push(k);
                    polygons.push(polygon);
                }
            }
        }
        let face = SeamFace {
            room: Outline::new(polygons),
            receiving: receiving.clone(),
            carrying: carrying.clone(),
        };
        let laid = lay_sliding(kind, &face, rules);
        out.refused
            .extend(laid.refused.into_iter().map(|(p, why)| (first + p, why)));
        if out.joints.is_empty() {
            out.travel_mm = laid.travel_mm;
        } else if laid.travel_mm > out.travel_mm + 1e-9 {
            continue;
        }
        out.joints
            .extend(laid.joints.into_iter().map(|(p, joint)| (first + p, joint)));
        open.retain(|k| !out.joints.iter().any(|(p, _)| out.owner[*p] == *k));
    }
    out.score = score(&out, task);
    out
}

/// How good an attempt is: what share of the contacts it joins, how little it
/// moves, and whether the way home is free of the seam's other bodies.
fn score(attempt: &Attempt, task: &Task) -> f64 {
    let contacts = &task.contacts;
    let mut joined = vec![false; contacts.len()];
    for (polygon, _) in &attempt.joints {
        joined[attempt.owner[*polygon]] = true;
    }
    let total: f64 = contacts.iter().map(|c| c.area_mm2).sum();
    let count = joined.iter().filter(|&&j| j).count() as f64 / contacts.len().max(1) as f64;
    let area: f64 = contacts
        .iter()
        .zip(&joined)
        .filter(|(_, j)| **j)
        .map(|(c, _)| c.area_mm2)
        .sum::<f64>();
    let way = &attempt.way;
    let slide = way.frame.v * attempt.travel_mm;
    let blocked = blocked_pairs(contacts, task.bodies, &slide, way.tails_point_up);
    // How much of the contacts the joints themselves take: more is stronger.
    let covered: f64 = attempt
        .joints
        .iter()
        .map(|(_, j)| j.width_mm * j.count() as f64 * j.main.lane.run_mm())
        .sum::<f64>()
        / total.max(1e-9);
    60.0 * covered.min(0.5) + 100.0 * count + 50.0 * area / total.max(1e-9)
        - 0.15 * attempt.travel_mm
        - 40.0 * blocked as f64
        - if way.tails_point_up { 0.0 } else { 0.5 }
}

/// Pairs of pieces on one side of the seam such that either, moved home along
/// the slide, would pass through the other's box whichever goes first.
fn blocked_pairs(contacts: &[Contact], bodies: &[Bounds], slide: &Vector, up: bool) -> usize {
    let mut blocked = 0;
    for side in 0..2 {
        // Tails' half moves along the slide, the other half against it.
        let back = if (side == 0) == up { -slide } else { *slide };
        let mut on_side: Vec<usize> = contacts.iter().map(|c| c.pieces[side]).collect();
        on_side.sort_unstable();
        on_side.dedup();
        let swept = |i: usize| {
            let b = bodies[i];
            b.joined(&Bounds {
                min: b.min + back,
                max: b.max + back,
            })
        };
        for (k, &a) in on_side.iter().enumerate() {
            for &b in &on_side[k + 1..] {
                let apart = !bodies[a].overlaps(&bodies[b], 0.05);
                let hits = |x: usize, y: usize| swept(x).overlaps(&bodies[y], 0.05);
                if apart && hits(a, b) && hits(b, a) {
                    blocked += 1;
                }
            }
        }
    }
    blocked
}

fn carried_out(task: &Task, attempt: Attempt) -> Seam {
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
        let touched = touching(&contacts, &joint, seam, owner[*polygon]);
        for &k in &touched {
            let contact = &mut contacts[k];
            contact.joint = sliding.kind;
            contact.count += sliding.count();
            contact.width_mm = contact.width_mm.max(sliding.width_mm);
            contact.taper = sliding.main.taper;
            contact.seat_slack_mm = sliding.main.seat_slack_mm();
            contact.estimate = together(contact.estimate, sliding.estimate(&MATERIALS[0]));
        }
        joints.push(PlacedJoint {
            joint,
            contacts: touched,
        });
    }
    let slide_word = direction_word(&way.frame.v);
    for (k, contact) in contacts.iter_mut().enumerate() {
        contact.reason = if contact.count > 0 {
            format!(
                "{} × {} of {:.1} mm; the slide along {slide_word} joins most of this seam and is \
                 {travel_mm:.0} mm long",
                contact.count, contact.joint, contact.width_mm
            )
        } else {
            refused.iter().find(|(p, _)| owner[*p] == k).map_or_else(
                || "no room: other joints, or walls too thin behind the face, take it".to_owned(),
                |(_, why)| why.to_string(),
            )
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

/// The estimates of two joints that share a load: their pulls add up, as far
/// as both are drawn alike.
fn together(held: Option<Estimate>, next: Option<Estimate>) -> Option<Estimate> {
    match (held, next) {
        (Some(a), Some(b)) => Some(Estimate {
            pull_n: a.pull_n + b.pull_n,
            ..a
        }),
        (a, b) => a.or(b),
    }
}

/// Contacts that a joint lies on.
fn touching(contacts: &[Contact], joint: &Joint, seam: &SeamPlane, own: usize) -> Vec<usize> {
    use geo::BooleanOps;
    let footprints: Vec<Outline> = joint
        .transfers
        .iter()
        .map(|t| t.tail.section(&seam.frame))
        .collect();
    (0..contacts.len())
        .filter(|&k| {
            k == own
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

fn push_in(task: &Task, earlier: &Earlier, why_not: &str) -> Option<Seam> {
    let Task { seam, rules, .. } = task;
    let mut contacts = task.contacts.clone();
    let mut joints = Vec::new();
    let way = ways(seam, None)[0];
    for (k, contact) in contacts.iter_mut().enumerate() {
        let room = way.room(JointKind::Tenon, seam, contact, &earlier.taken);
        let LaidTenons { tenons, refused } = lay_tenons(&room, rules);
        for (_, tenon) in &tenons {
            let Ok(joint) = tenon.joint(&way.frame) else {
                continue;
            };
            contact.joint = JointKind::Tenon;
            contact.count += 1;
            contact.width_mm = contact.width_mm.max(tenon.foot_mm[0].min(tenon.foot_mm[1]));
            contact.taper = tenon.taper;
            joints.push(PlacedJoint {
                joint,
                contacts: vec![k],
            });
        }
        contact.reason = if contact.count > 0 {
            let so = if why_not.is_empty() {
                String::new()
            } else {
                format!("; no slide: {why_not}")
            };
            format!("{} × tenon pushed in along the normal{so}", contact.count)
        } else {
            refused.first().map_or_else(
                || "no room for a tenon".to_owned(),
                |(_, why)| why.to_string(),
            )
        };
    }
    if joints.is_empty() {
        return None;
    }
    Some(Seam {
        id: task.id.to_owned(),
        index: seam.index,
        frame: seam.frame,
        slide: seam.frame.n,
        travel_mm: rules.tenon_depth_mm + rules.crest_relief_mm + 2.0,
        tails_point_up: true,
        contacts,
        joints,
    })
}

/// A direction in words: `+z`, or its numbers where it is along no axis.
pub(crate) fn direction_word(d: &Vector) -> String {
    for (axis, name) in ["x", "y", "z"].iter().enumerate() {
        if (d[axis].abs() - 1.0).abs() < 1e-6 {
            return format!("{}{name}", if d[axis] > 0.0 { '+' } else { '-' });
        }
    }
    format!("({:.3}, {:.3}, {:.3})", d.x, d.y, d.z)
}
