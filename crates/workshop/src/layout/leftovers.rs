//! Contacts of a sliding seam that its slide finds no room on: keys, dropped in
//! once the halves are home.

use crate::layout::earlier::{Earlier, Obstacle};
use crate::layout::joining::{Joining, NoJoint, Plain, WhyJoint};
use crate::layout::meeting::keys;
use crate::layout::seam::Seam;
use crate::layout::seam_task::Task;

/// Gives keys to those contacts that have no joint, may have one, and have
/// keys among the kinds of their terms.
pub(crate) fn key_leftovers(task: &Task, seam: &mut Seam, may: impl Fn(usize) -> bool) {
    for k in 0..seam.contacts.len() {
        let mut kinds = task.terms[k].choice.kinds().iter();
        let Some(&kind) = kinds.find(|kind| kind.is_key()) else {
            continue;
        };
        let Joining::Plain(Plain { why, no_bed_room }) = seam.contacts[k].joining.clone() else {
            continue;
        };
        if !may(k) {
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
