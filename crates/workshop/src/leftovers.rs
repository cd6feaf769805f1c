//! Contacts of a sliding seam that its slide finds no room on: keys, dropped in
//! once the halves are home.

use joinery::JointKind;

use crate::earlier::{Earlier, Obstacle};
use crate::meeting::keys;
use crate::seam::{Seam, direction_word};
use crate::seam_task::Task;

/// Gives keys to those contacts that have no joint, may have one, and have
/// keys among the kinds of their terms.
pub(crate) fn key_leftovers(task: &Task, seam: &mut Seam, may: impl Fn(usize) -> bool) {
    let bare: Vec<usize> = (0..seam.contacts.len())
        .filter(|&k| {
            let kinds = task.terms[k].choice.kinds();
            seam.contacts[k].count == 0 && kinds.contains(&JointKind::Butterfly) && may(k)
        })
        .collect();
    for k in bare {
        let own = seam.joints.iter().flat_map(|j| &j.joint.transfers);
        let obstacles: Vec<Obstacle> = task
            .obstacles
            .iter()
            .cloned()
            .chain(
                own.filter_map(|t| t.socket.bounds())
                    .map(|bounds| Obstacle {
                        bounds,
                        carriers: 0..0,
                    }),
            )
            .collect();
        let earlier = Earlier::of(task.seam, &obstacles, &task.terms[k].rules);
        let mut contact = seam.contacts[k].clone();
        match keys(task, &earlier, k, &mut contact) {
            Err(why) => {
                let reason = &mut seam.contacts[k].reason;
                *reason = format!("{reason}; no key: {why}");
            }
            Ok(found) => {
                let way_in = found
                    .first()
                    .map_or_else(String::new, |j| direction_word(&j.way_in));
                contact.reason = format!(
                    "{} × butterfly key of {:.1} mm, dropped in along {way_in} once the halves are \
                 home; no slide: {}",
                    contact.count, contact.width_mm, contact.reason
                );
                seam.contacts[k] = contact;
                seam.joints.extend(found);
            }
        }
    }
}
