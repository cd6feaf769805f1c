//! Seams that are kept when a split is planned anew: their joints as they
//! were, and joints of the same slide where new pieces meet on them without.

use solid::Bounds;

use crate::Contact;
use crate::attempt::attempt;
use crate::earlier::{Earlier, Obstacle};
use crate::leftovers::key_leftovers;
use crate::meeting::meet;
use crate::seam::{JointShape, Seam};
use crate::seam_layout::carried_out;
use crate::seam_record::{SeamRecord, from_record};
use crate::seam_task::Task;
use crate::way::Way;
use joinery::JointError;

/// What is kept of an earlier split.
#[derive(Clone, Debug, Default)]
pub struct Kept {
    /// Seams with the joints that they had.
    pub records: Vec<SeamRecord>,
    /// Boxes of pieces that must not change.
    pub printed: Vec<Bounds>,
}

impl Kept {
    /// Its joints, which seams that are laid out before theirs must not meet.
    pub(crate) fn obstacles(&self) -> Result<Vec<Obstacle>, JointError> {
        let mut out = Vec::new();
        for joint in self.records.iter().flat_map(|r| &r.joints) {
            let made = joint.shape.joint(&joint.frame())?;
            let sockets = made.transfers.iter().filter_map(|t| t.socket.bounds());
            out.extend(sockets.map(|bounds| Obstacle {
                bounds,
                carriers: 0..0,
            }));
        }
        Ok(out)
    }

    /// Whether a body, without its joints, is one that must not change.
    pub(crate) fn is_printed(&self, body: &Bounds) -> bool {
        self.printed
            .iter()
            .any(|p| p.contains(&body.min, 0.01) && p.contains(&body.max, 0.01))
    }
}

/// Carries a kept seam out on the contacts of a task.
pub(crate) fn kept_seam(task: &Task, record: &SeamRecord, kept: &Kept) -> Result<Seam, JointError> {
    let mut seam = from_record(record, task.seam, task.contacts.clone())?;
    let changes = |contact: &Contact| {
        let mut pieces = contact.pieces.iter();
        !pieces.any(|&p| kept.is_printed(&task.bodies[p]))
    };
    let bare: Vec<usize> = (0..seam.contacts.len())
        .filter(|&k| {
            let contact = &seam.contacts[k];
            contact.count == 0 && changes(contact)
        })
        .collect();
    if bare.is_empty() || record.joints.is_empty() {
        return Ok(seam);
    }
    // What is there already is in the way, and in the slide's.
    let mut obstacles = task.obstacles.to_vec();
    for placed in &seam.joints {
        for bounds in placed
            .joint
            .transfers
            .iter()
            .filter_map(|t| t.socket.bounds())
        {
            let back = placed.way_in * record.travel_mm;
            let swept = |by| Bounds {
                min: bounds.min + by,
                max: bounds.max + by,
            };
            obstacles.push(Obstacle {
                bounds: bounds.joined(&swept(back)).joined(&swept(-back)),
                carriers: 0..0,
            });
        }
    }
    let further = Task {
        contacts: bare.iter().map(|&k| task.contacts[k].clone()).collect(),
        terms: bare.iter().map(|&k| task.terms[k].clone()).collect(),
        common: task.common.clone(),
        obstacles: &obstacles,
        ..*task
    };
    let earlier = Earlier::of(task.seam, &obstacles, &task.common.rules);
    let first = &record.joints[0];
    let slides = matches!(&first.shape, JointShape::InLane(s) if s.kind.slides());
    let more = if slides {
        let way = Way {
            frame: first.frame(),
            tails_point_up: record.tails_point_up,
        };
        let attempt = attempt(&further, &earlier, way);
        (attempt.travel_mm <= record.travel_mm + 1e-9).then(|| carried_out(&further, attempt))
    } else {
        meet(&further, &earlier, "")
    };
    if let Some(more) = more {
        for (contact, &k) in more.contacts.into_iter().zip(&bare) {
            if contact.count > 0 {
                seam.contacts[k] = contact;
            }
        }
        seam.joints.extend(more.joints.into_iter().map(|mut joint| {
            for k in &mut joint.contacts {
                *k = bare[*k];
            }
            joint
        }));
    }
    if slides {
        key_leftovers(task, &mut seam, |k| bare.contains(&k));
    }
    Ok(seam)
}
