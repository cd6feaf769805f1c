//! Seams that are kept when a split is planned anew: their joints as they
//! were, and joints of the same slide where new pieces meet on them without.

use design::SeamRecord;
use joinery::JointError;
use solid::{Bounds, Vector};

use crate::layout::attempt::attempt;
use crate::layout::earlier::{Earlier, Obstacle};
use crate::layout::joining::{Figures, Joining, NoJoint, SeamContact, WhyJoint};
use crate::layout::kept::Kept;
use crate::layout::leftovers::key_leftovers;
use crate::layout::load::run_within::run_within_mm;
use crate::layout::meeting::meet;
use crate::layout::seam::{PlacedJoint, Seam, touching};
use crate::layout::seam_layout::carried_out;
use crate::layout::seam_task::Task;
use crate::layout::way::Way;
use crate::partition::cells::SeamPlane;
use crate::partition::contacts::Contact;

/// Carries a kept seam out on the contacts of a task.
pub(crate) fn kept_seam(task: &Task, record: &SeamRecord, kept: &Kept) -> Result<Seam, JointError> {
    let mut seam = from_record(task, record)?;
    let changes = |contact: &Contact| {
        let mut pieces = contact.pieces.iter();
        !pieces.any(|&p| kept.is_fixed(task.room.body(p)))
    };
    let bare: Vec<usize> = (0..seam.contacts.len())
        .filter(|&k| !seam.contacts[k].is_joined() && changes(&seam.contacts[k].contact))
        .collect();
    let Some(first) = record.joints.first().filter(|_| !bare.is_empty()) else {
        return Ok(seam);
    };
    // What is there already is in the way, and in the slide's.
    let mut obstacles = task.obstacles.to_vec();
    obstacles.extend(swept(&seam));
    let further = Task {
        contacts: bare.iter().map(|&k| task.contacts[k].clone()).collect(),
        terms: bare.iter().map(|&k| task.terms[k]).collect(),
        obstacles: &obstacles,
        own: task.own.clone(),
        ..*task
    };
    let earlier = Earlier::of(task.seam, &obstacles, &task.common.rules);
    let slides = first.shape.kind().slides();
    let more = if slides {
        let way = Way {
            frame: first.frame(),
            tails_on: record.tails_on,
        };
        let attempt = attempt(&further, &earlier, way);
        (attempt.travel_mm <= record.travel_mm + 1e-9).then(|| carried_out(&further, attempt))
    } else {
        meet(&further, &earlier, None)
    };
    if let Some(more) = more {
        for (contact, &k) in more.contacts.into_iter().zip(&bare) {
            if contact.is_joined() {
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

/// The boxes that the joints of a seam pass through on their way in and out.
fn swept(seam: &Seam) -> Vec<Obstacle> {
    let mut out = Vec::new();
    for placed in &seam.joints {
        let back = placed.way_in * seam.travel_mm;
        for bounds in placed
            .joint
            .transfers
            .iter()
            .filter_map(|t| t.socket.bounds())
        {
            let moved = |by: Vector| Bounds {
                min: bounds.min + by,
                max: bounds.max + by,
            };
            let all = bounds.joined(&moved(back)).joined(&moved(-back));
            out.push(Obstacle::carried_by_none(all));
        }
    }
    out
}

/// A seam with the joints of a record, on the contacts that it has now.
///
/// # Errors
///
/// When a recorded joint can not be made.
fn from_record(task: &Task, record: &SeamRecord) -> Result<Seam, JointError> {
    let plane: &SeamPlane = task.seam;
    let mut figures: Vec<Option<Figures>> = vec![None; task.contacts.len()];
    let mut joints = Vec::new();
    for kept in &record.joints {
        let frame = kept.frame();
        let joint = kept.shape.joint(&frame)?;
        let touched = touching(&task.contacts, &joint, &plane.frame, None);
        for &k in &touched {
            let placed = (&kept.shape, &frame);
            let bears_mm = run_within_mm(&task.contacts[k], &plane.frame, placed);
            Figures::gain(&mut figures[k], (&kept.shape, bears_mm), &task.stock);
        }
        joints.push(PlacedJoint {
            shape: kept.shape.clone(),
            frame,
            joint,
            contacts: touched,
            way_in: Vector::from(kept.way_in),
            run_mm: kept.run_mm,
            key_longest_mm: kept.key_longest_mm,
        });
    }
    let contacts = task.contacts.iter().zip(figures);
    let contacts = contacts.map(|(contact, figures)| SeamContact {
        contact: contact.clone(),
        joining: Joining::of(figures, false, |_| WhyJoint::Kept, || NoJoint::KeptBare),
    });
    Ok(Seam {
        id: record.id.clone(),
        planned: plane.planned,
        frame: plane.frame,
        slide: record.slide.into(),
        travel_mm: record.travel_mm,
        tails_on: record.tails_on,
        contacts: contacts.collect(),
        joints,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::layout::kept::FixedPieces;
    use crate::layout::seam_layout::lay_out;
    use crate::layout::trial::Trial;

    #[test]
    fn a_kept_seam_has_the_joints_of_its_record_and_no_others_on_fixed_pieces() {
        Trial::plank(18.0, "dovetail").show(&[], |task| {
            let first = lay_out(task);
            let all = Kept {
                records: vec![first.record()],
                fixed: FixedPieces::All,
            };
            let again = kept_seam(task, &all.records[0], &all).unwrap();
            assert_eq!(again.record(), first.record());
            assert!(matches!(&again.contacts[0].joining,
                Joining::Joined(j) if j.why == WhyJoint::Kept));

            let mut bare = first.record();
            bare.joints.clear();
            let none = kept_seam(task, &bare, &all).unwrap();
            assert!(matches!(&none.contacts[0].joining,
                Joining::Plain(p) if p.why == NoJoint::KeptBare));
        });
    }

    #[test]
    fn new_pieces_on_a_kept_seam_get_joints_of_its_slide() {
        Trial::plank(18.0, "dovetail").show(&[], |task| {
            let first = lay_out(task);
            // Its only joint lies elsewhere on the plane.
            let mut record = first.record();
            record.joints.truncate(1);
            let mut away = record.joints[0].frame();
            away.origin += away.u * 1e3;
            record.joints[0].frame = away.rows();
            let kept = Kept {
                records: vec![record.clone()],
                fixed: FixedPieces::default(),
            };
            let seam = kept_seam(task, &record, &kept).unwrap();
            assert!(seam.contacts[0].is_joined());
            assert_eq!(seam.record().joints[0], record.joints[0]);
            assert!(seam.joints.len() > 1 && seam.travel_mm == record.travel_mm);
        });
    }

    #[test]
    fn what_slides_past_a_joint_keeps_off_its_way() {
        Trial::plank(18.0, "dovetail").show(&[], |task| {
            let seam = lay_out(task);
            let swept = swept(&seam);
            assert_eq!(swept.len(), seam.transfers().count());
            let long = |o: &Obstacle| o.bounds.size_mm().dot(&seam.slide.map(f64::abs));
            assert!(swept.iter().all(|o| long(o) > 2.0 * seam.travel_mm));
        });
    }
}
