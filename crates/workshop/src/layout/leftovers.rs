//! Contacts of a sliding seam that its slide finds no room on: keys, dropped in
//! once the halves are home.

use design::{HELD_MM, gapes};

use crate::layout::earlier::{Earlier, Obstacle};
use crate::layout::joining::{Joining, NoJoint, Plain, SeamContact, WhyJoint};
use crate::layout::meeting::keys;
use crate::layout::seam::Seam;
use crate::layout::seam_task::Task;

/// Gives keys to those contacts that have no joint, may have one, and have
/// keys among the kinds of their terms.
pub(crate) fn key_leftovers(task: &Task, seam: &mut Seam, may: impl Fn(usize) -> bool) {
    // Webs last: what is joined beside them need not be.
    let mut order: Vec<usize> = (0..seam.contacts.len()).collect();
    order.sort_by_key(|&k| seam.contacts[k].contact.slight);
    for k in order {
        let mut kinds = task.terms[k].choice.kinds().iter();
        let Some(&kind) = kinds.find(|kind| kind.is_key()) else {
            continue;
        };
        let Joining::Plain(Plain { why, no_bed_room }) = seam.contacts[k].joining.clone() else {
            continue;
        };
        if !may(k) || !seam.is_bare(k) {
            continue;
        }
        let own = seam.transfers().filter_map(|t| t.socket.bounds());
        let obstacles: Vec<Obstacle> = task
            .obstacles
            .iter()
            .cloned()
            .chain(own.map(Obstacle::carried_by_none))
            .collect();
        let earlier = Earlier::of(task.seam, &obstacles, &task.terms[k].rules);
        let no_slide = Box::new(why);
        seam.contacts[k].joining = match keys(task, &earlier, k, kind) {
            Err(no_key) => {
                let no_key = Box::new(no_key);
                Joining::none(NoJoint::NoKey { no_slide, no_key }, no_bed_room)
            }
            Ok(placed) => {
                let why = WhyJoint::Leftover {
                    way_in: placed.way_in(),
                    no_slide,
                };
                seam.joints.extend(placed.joints);
                let figures = Some(placed.figures);
                Joining::of(figures, no_bed_room, |_| why, || NoJoint::Taken)
            }
        };
    }
}

/// Gives keys instead to those contacts that the slide joins along a part only, where keys
/// hold more of them and the slide still joins the same pieces elsewhere.
pub(crate) fn key_what_gapes(task: &Task, seam: &mut Seam) {
    let near = seam.near_joints_mm2(HELD_MM);
    for (k, near_mm2) in near.into_iter().enumerate() {
        let own = &seam.contacts[k];
        let slid = |c: &SeamContact| c.is_joined() && !c.joint().is_key();
        let beside = |c: &SeamContact| slid(c) && c.contact.pieces == own.contact.pieces;
        let held_beside = (seam.contacts.iter().enumerate()).any(|(at, c)| at != k && beside(c));
        let area_mm2 = own.contact.area_mm2;
        if !slid(own) || !held_beside || !gapes(area_mm2, near_mm2) {
            continue;
        }
        // What runs on into other contacts joins those too.
        let (own_joints, others): (Vec<_>, Vec<_>) =
            (seam.joints.iter().cloned()).partition(|joint| joint.contacts == [k]);
        let runs_on = others.iter().any(|joint| joint.contacts.contains(&k));
        if own_joints.is_empty() || runs_on {
            continue;
        }
        let mut keyed = seam.clone();
        keyed.joints = others;
        keyed.contacts[k].joining = Joining::none(NoJoint::Gapes, false);
        key_leftovers(task, &mut keyed, |at| at == k);
        let gained = keyed.near_joints_mm2(HELD_MM)[k] - near_mm2;
        if keyed.contacts[k].is_joined() && gained > LEAST_GAIN * area_mm2 {
            *seam = keyed;
        }
    }
}

/// Keys take the place of tails where so much more of a contact, as a share of it, then lies
/// near joints.
const LEAST_GAIN: f64 = 0.25;

#[cfg(test)]
mod tests {
    use design::SeamSide;
    use solid::Vector;

    use super::*;
    use crate::layout::trial::Trial;

    fn keyed(joint: &str, may: bool) -> Seam {
        Trial::plank(18.0, joint).show(&[], |task| {
            let plain = task.contacts.iter().map(|contact| {
                let joining = Joining::none(NoJoint::Taken, false);
                SeamContact {
                    contact: contact.clone(),
                    joining,
                }
            });
            let mut seam = Seam {
                id: task.id.clone(),
                planned: task.seam.planned,
                frame: task.seam.frame,
                slide: Vector::z(),
                travel_mm: 20.0,
                tails_on: SeamSide::Below,
                contacts: plain.collect(),
                joints: Vec::new(),
            };
            key_leftovers(task, &mut seam, |_| may);
            seam
        })
    }

    #[test]
    fn what_the_slide_left_is_keyed_where_keys_are_wanted_and_allowed() {
        let seam = keyed("dovetail,butterfly", true);
        assert!(!seam.joints.is_empty());
        let Joining::Joined(joined) = &seam.contacts[0].joining else {
            panic!("{:?}", seam.contacts[0].joining);
        };
        assert!(joined.figures.kind.is_key());
        assert!(matches!(&joined.why, WhyJoint::Leftover { no_slide, .. }
            if **no_slide == NoJoint::Taken));
        for seam in [keyed("dovetail", true), keyed("dovetail,butterfly", false)] {
            assert!(seam.joints.is_empty() && !seam.contacts[0].is_joined());
        }
    }
}
