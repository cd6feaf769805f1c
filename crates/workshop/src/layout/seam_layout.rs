//! The joints of a seam: one slide for all its contacts, or halves that meet.

use design::SeamSide;
use joinery::{Closing, JointShape};
use printing::block_fits;
use rayon::prelude::*;
use solid::Vector;

use crate::layout::attempt::{Attempt, attempt, is_thin};
use crate::layout::earlier::Earlier;
use crate::layout::joining::{Braces, Figures, Joining, NoJoint, SeamContact, WhyJoint};
use crate::layout::leftovers::{key_leftovers, key_what_gapes};
use crate::layout::load::run_within::run_within_mm;
use crate::layout::meeting::{meet, met};
use crate::layout::seam::{PlacedJoint, Seam, touching};
use crate::layout::seam_task::{Task, enters_unseen};
use crate::layout::way::{Way, ways};

/// Lays out the joints of a seam: its halves slide together or meet along the
/// normal, whichever the first kind of its terms asks for, and the other where
/// that finds no room at all.
pub(crate) fn lay_out(task: &Task) -> Seam {
    let earlier = Earlier::of(task.seam, task.obstacles, &task.common.rules);
    let first = task.common.choice.kinds().first();
    let meets_first = first.is_some_and(|kind| match kind.abilities().closing {
        Closing::Push | Closing::Key => true,
        Closing::Slide | Closing::Touch => false,
    });
    if meets_first && let Some(seam) = meet(task, &earlier, None) {
        return seam;
    }
    let no_slide = match slide(task, &earlier) {
        Ok(seam) if seam.unheld() == 0 || !takes_tenons(task) => return seam,
        // Halves that go straight together may hold pieces that no slide serves.
        Ok(seam) => {
            let met = meet(task, &earlier, None).filter(|met| met.unheld() < seam.unheld());
            return met.unwrap_or(seam);
        }
        Err(why) => why,
    };
    if !meets_first && let Some(seam) = meet(task, &earlier, no_slide.as_ref()) {
        return seam;
    }
    bare(task, &earlier, no_slide)
}

/// In boards no thicker than this tenons are stubs, and hang over along all of an edge.
const THIN_FOR_TENONS_MM: f64 = 9.0;

/// Whether all limbs of a seam are thick enough that tenons in place of a slide are worth it.
fn takes_tenons(task: &Task) -> bool {
    let mut limbs = task.contacts.iter().filter(|c| !c.slight);
    limbs.all(|c| c.thick_mm > THIN_FOR_TENONS_MM)
}

/// A seam none of whose contacts gets a joint.
fn bare(task: &Task, earlier: &Earlier, no_slide: Option<NoJoint>) -> Seam {
    let tails_below = task.tails_below();
    let contacts = task.contacts.iter().enumerate().map(|(k, contact)| {
        let no_bed_room = task.no_bed_room(&tails_below, k);
        let is_wanted = task.terms[k].wanted().next().is_some();
        let joining = match &no_slide {
            _ if no_bed_room => Joining::none(NoJoint::NoBedRoom, true),
            // No slide was asked for, and what was found no room.
            None if is_wanted => met(task, earlier, k, None).0,
            None => Joining::none(NoJoint::Wanted, false),
            Some(why) => Joining::none(why.clone(), false),
        };
        SeamContact {
            contact: contact.clone(),
            joining,
        }
    });
    Seam {
        id: task.id.clone(),
        planned: task.seam.planned,
        frame: task.seam.frame,
        slide: task.seam.frame.n,
        travel_mm: task.reach_mm(),
        tails_on: SeamSide::Below,
        contacts: contacts.collect(),
        joints: Vec::new(),
    }
}

/// Joins the seam in the direction that joins most. All its contacts share
/// the slide; what the first kind of one finds no room for, the next may. Where
/// nothing that slides is wanted there is no reason either.
fn slide(task: &Task, earlier: &Earlier) -> Result<Seam, Option<NoJoint>> {
    if task.terms.iter().all(|t| t.sliding_kinds().is_empty()) {
        return Err(None);
    }
    // Tails from above add to pieces that were planned without: only where
    // the bed takes that.
    let reach = task.reach_mm();
    let from_above = task.contacts.iter().all(|c| {
        // It may carry tails on its other sides too.
        let size = task.bodies[c.pieces[1]].grown(reach / 2.0).size_mm()
            + task.seam.frame.n.map(f64::abs) * reach;
        let toward = (-task.seam.frame.n, SeamSide::Above);
        let mut kinds = task.common.sliding_kinds().into_iter();
        task.printers.iter().any(|p| block_fits(size.into(), p))
            && kinds.all(|kind| {
                let rules = &task.common.rules;
                task.room.leaves_lying(kind, rules, c, toward)
            })
    });
    let unseen: Vec<Way> = ways(task.seam, &task.contacts, task.slide)
        .into_iter()
        .filter(|way| enters_unseen(way, task.hide))
        .collect();
    if unseen.is_empty() {
        return Err(Some(NoJoint::TailsHidden));
    }
    // Where the bed has no room for them below, they are worth a try: each piece
    // takes as many as it has room for.
    let tails_below = task.tails_below();
    let either = from_above || (0..task.contacts.len()).any(|k| task.no_bed_room(&tails_below, k));
    let attempts: Vec<Attempt> = unseen
        .into_par_iter()
        .filter(|way| either || way.tails_on == SeamSide::Below)
        .map(|way| attempt(task, earlier, way))
        .collect();
    let why_not = refusal(&attempts);
    let ranked = ranked(task, attempts).into_iter();
    let mut best: Option<Seam> = None;
    for next in ranked.take(TRIED) {
        if best.as_ref().is_some_and(|best| best.bare() == 0) {
            break;
        }
        let mut seam = carried_out(task, next);
        key_leftovers(task, &mut seam, |_| true);
        key_what_gapes(task, &mut seam);
        if best.as_ref().is_none_or(|best| seam.bare() < best.bare()) {
            best = Some(seam);
        }
    }
    best.ok_or(Some(why_not))
}

/// So many attempts are carried out where those before leave limbs bare that keys find no
/// room for.
const TRIED: usize = 4;

/// Attempts at a seam across one leg that differ by less are as good as each
/// other: a hundredth of joining everything.
const TIE: f64 = 1.0;

/// The attempts that join something, those first that join most. Legs that are turned
/// copies of each other shall be so with their joints: across a leg, of attempts that are
/// as good as the best, the one that moves it furthest outwards is the first.
fn ranked(task: &Task, mut attempts: Vec<Attempt>) -> Vec<Attempt> {
    attempts.retain(|a| !a.joints.is_empty());
    let highest = attempts.iter().map(|a| a.score).fold(f64::MIN, f64::max);
    let tie = if task.within.is_some() { TIE } else { 1e-9 };
    let is_as_good = |a: &Attempt| a.score >= highest - tie;
    let (mut best, mut others): (Vec<_>, Vec<_>) = attempts.into_iter().partition(is_as_good);
    let outwards = match (task.within, task.furniture()) {
        (Some(leg), Some(all)) => leg.centre() - all.centre(),
        _ => Vector::zeros(),
    };
    let out = |a: &Attempt| outwards.dot(&a.way.frame.v) * a.way.tails_on.out();
    let further = |first: usize, k: usize| {
        let is_further = out(&best[k]) > out(&best[first]) + 1e-6;
        if is_further { k } else { first }
    };
    if let Some(first) = (0..best.len()).reduce(further) {
        best[..=first].rotate_right(1);
    }
    others.sort_by(|a, b| b.score.total_cmp(&a.score));
    best.extend(others);
    best
}

/// An attempt carried out: its joints on the contacts that they lie on, and for
/// each contact what became of it.
pub(crate) fn carried_out(task: &Task, attempt: Attempt) -> Seam {
    let seam = task.seam;
    let way = attempt.way;
    let mut figures: Vec<Option<Figures>> = vec![None; task.contacts.len()];
    let mut joints = Vec::new();
    for (polygon, sliding) in &attempt.joints {
        let Ok(joint) = sliding.joint(&way.frame) else {
            continue;
        };
        // A long tail laid in one contact joins the others it runs through.
        let owner = attempt.owner[*polygon];
        let touched = touching(&task.contacts, &joint, &seam.frame, Some(owner));
        let run_mm = sliding.main.lane.run_mm();
        let shape = JointShape::InLane(sliding.clone());
        for &k in &touched {
            let bears_mm = run_within_mm(&task.contacts[k], &seam.frame, (&shape, &way.frame));
            Figures::gain(&mut figures[k], (&shape, bears_mm), &task.stock);
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
    let contacts = task.contacts.iter().zip(figures).enumerate();
    let contacts = contacts.map(|(k, (contact, figures))| SeamContact {
        contact: contact.clone(),
        joining: joining(task, &attempt, k, figures),
    });
    Seam {
        id: task.id.clone(),
        planned: seam.planned,
        frame: seam.frame,
        slide: way.frame.v * way.tails_on.out(),
        travel_mm: attempt.travel_mm,
        tails_on: way.tails_on,
        contacts: contacts.collect(),
        joints,
    }
}

/// What an attempt makes of one contact.
fn joining(task: &Task, attempt: &Attempt, k: usize, figures: Option<Figures>) -> Joining {
    let terms = task.terms[k];
    let no_bed_room = figures.is_none() && task.no_bed_room(&attempt.way, k);
    let braces = |joined: &Figures| match (terms.choice.is_auto(), joined.kind.abilities()) {
        (true, can) if can.braced.is_some() => match is_thin(joined.wall_mm, joined.width_mm) {
            true => Braces::NoRoom,
            false => Braces::Spared,
        },
        (true, can) if can.form == joinery::Form::BracedTail => Braces::Taken,
        _ => Braces::NotChosen,
    };
    let refused = || attempt.refused.iter().find(|(p, _)| attempt.owner[*p] == k);
    Joining::of(
        figures,
        no_bed_room,
        |joined| WhyJoint::Slide {
            way: attempt.way.frame.v,
            travel_mm: attempt.travel_mm,
            braces: braces(joined),
        },
        || {
            if terms.sliding_kinds().is_empty() {
                NoJoint::OthersSlide(terms.choice.clone())
            } else if no_bed_room {
                NoJoint::NoBedRoom
            } else if let Some((_, why)) = refused() {
                NoJoint::NoRoom(why.clone())
            } else {
                NoJoint::Taken
            }
        },
    )
}

/// Why no way found room. Of the many reasons of many ways the last in the
/// alphabet is as good as any, and always the same.
fn refusal(attempts: &[Attempt]) -> NoJoint {
    let refused = attempts.iter().flat_map(|a| &a.refused);
    refused
        .map(|(_, why)| (why.to_string(), why))
        .max_by(|a, b| a.0.cmp(&b.0))
        .map_or(NoJoint::ShallowForTails, |(_, why)| {
            NoJoint::NoRoom(why.clone())
        })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::layout::trial::Trial;

    fn laid(thickness_mm: f64, joint: &str) -> Seam {
        Trial::plank(thickness_mm, joint).show(&[], lay_out)
    }

    #[test]
    fn halves_slide_or_meet_as_the_first_kind_asks() {
        let slid = laid(18.0, "dovetail");
        assert!(slid.slide.dot(&slid.frame.n).abs() < 1e-9 && !slid.joints.is_empty());
        let met = laid(18.0, "tenon,dovetail");
        assert_eq!(met.slide, met.frame.n);
        assert!(met.contacts[0].is_joined());
    }

    #[test]
    fn where_tails_find_no_room_keys_may_and_else_there_is_a_reason() {
        // A board too thin for both.
        let bare = laid(2.0, "dovetail");
        let Joining::Plain(plain) = &bare.contacts[0].joining else {
            panic!("joined");
        };
        assert!(matches!(plain.why, NoJoint::NoRoom(_)), "{:?}", plain.why);
        assert!(bare.joints.is_empty());
        let wanted = laid(18.0, "plain");
        let Joining::Plain(plain) = &wanted.contacts[0].joining else {
            panic!("joined");
        };
        assert_eq!(plain.why, NoJoint::Wanted);
    }

    #[test]
    fn of_attempts_that_join_as_much_the_first_is_taken() {
        let twice = || laid(18.0, "dovetail");
        let (a, b) = (twice(), twice());
        assert_eq!(a.slide, b.slide);
        assert_eq!(a.tails_on, SeamSide::Below);
    }
}
