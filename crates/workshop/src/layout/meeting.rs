//! Seams whose halves meet along the normal: tenons pushed in, keys dropped in.

use design::{SeamSide, SlideMeasures};
use geo::Area;
use joinery::{
    Closing, JointKind, JointShape, LaidTenons, SeamFace, Sliding, lay_sliding, lay_tenons,
};
use solid::{Outline, Vector};

use crate::layout::earlier::Earlier;
use crate::layout::hand_room::is_shut_in;
use crate::layout::joining::{Figures, Joining, NoJoint, SeamContact, WhyJoint};
use crate::layout::load::run_within::run_within_mm;
use crate::layout::seam::{PlacedJoint, Seam};
use crate::layout::seam_task::{Task, enters_unseen};
use crate::layout::way::{Way, in_frame, ways};

/// Free way before halves that only meet.
const APART_MM: f64 = 2.0;

/// Joints that a contact got, and their figures.
pub(crate) struct Placed {
    pub(crate) joints: Vec<PlacedJoint>,
    pub(crate) figures: Figures,
}

impl Placed {
    /// The way that they go in.
    pub(crate) fn way_in(&self) -> Option<Vector> {
        self.joints.first().map(|j| j.way_in)
    }
}

/// Joins each contact by the first of its kinds that needs no slide of the
/// halves and finds room; `None` where no contact gets any.
pub(crate) fn meet(task: &Task, earlier: &Earlier, no_slide: Option<&NoJoint>) -> Option<Seam> {
    let mut contacts = Vec::new();
    let mut joints = Vec::new();
    let mut travel_mm: f64 = APART_MM;
    // Webs last, and only those whose pieces are not joined beside them.
    let mut order: Vec<usize> = (0..task.contacts.len()).collect();
    order.sort_by_key(|&k| task.contacts[k].slight);
    let mut joined: Vec<[usize; 2]> = Vec::new();
    for k in order {
        let contact = &task.contacts[k];
        let (joining, mut placed) = match contact.slight && joined.contains(&contact.pieces) {
            true => (Joining::none(NoJoint::BesideLimb, false), Vec::new()),
            false => met(task, earlier, k, no_slide),
        };
        if placed
            .iter()
            .any(|j| j.shape.kind().abilities().closing == Closing::Push)
        {
            let rules = &task.terms[k].rules;
            travel_mm = travel_mm.max(rules.tenon_depth_mm + rules.crest_relief_mm + APART_MM);
        }
        if !placed.is_empty() {
            joined.push(contact.pieces);
        }
        joints.append(&mut placed);
        contacts.push((k, joining));
    }
    contacts.sort_by_key(|(k, _)| *k);
    let contacts: Vec<SeamContact> = contacts
        .into_iter()
        .map(|(k, joining)| SeamContact {
            contact: task.contacts[k].clone(),
            joining,
        })
        .collect();
    if joints.is_empty() {
        return None;
    }
    Some(Seam {
        id: task.id.clone(),
        planned: task.seam.planned,
        frame: task.seam.frame,
        slide: task.seam.frame.n,
        travel_mm,
        tails_on: SeamSide::Below,
        contacts,
        joints,
    })
}

/// What becomes of one contact of such a seam, and its joints.
pub(crate) fn met(
    task: &Task,
    earlier: &Earlier,
    k: usize,
    no_slide: Option<&NoJoint>,
) -> (Joining, Vec<PlacedJoint>) {
    let tails_below = task.tails_below();
    let no_bed_room = task.no_bed_room(&tails_below, k);
    let no_slide = no_slide.map(|why| {
        Box::new(match no_bed_room {
            true => NoJoint::NoBedRoom,
            false => why.clone(),
        })
    });
    let mut tried = Vec::new();
    for kind in task.terms[k].wanted() {
        let found = match kind.abilities().closing {
            Closing::Key => keys(task, earlier, k, kind),
            Closing::Push if !task.bed_takes(kind, &tails_below, k) => Err(NoJoint::NoBedRoom),
            Closing::Push => tenons(task, earlier, k, kind),
            Closing::Slide | Closing::Touch => continue,
        };
        match found {
            Ok(placed) => {
                let why = WhyJoint::Meeting {
                    way_in: placed.way_in(),
                    no_slide,
                    tried,
                };
                let figures = Some(placed.figures);
                let joining = Joining::of(figures, no_bed_room, |_| why, || NoJoint::Taken);
                return (joining, placed.joints);
            }
            Err(why) => tried.push((kind, why)),
        }
    }
    let why = NoJoint::Meeting { no_slide, tried };
    (Joining::none(why, no_bed_room), Vec::new())
}

/// Some joints on one contact, placed; those whose solids do not close are left
/// out.
fn placed(
    task: &Task,
    k: usize,
    way: &Way,
    shapes: impl Iterator<Item = (JointShape, f64)>,
    way_in: Vector,
) -> Option<Placed> {
    let mut figures = None;
    let mut joints = Vec::new();
    for (shape, run_mm) in shapes {
        let Ok(joint) = shape.joint(&way.frame) else {
            continue;
        };
        let contact = &task.contacts[k];
        let bears_mm = run_within_mm(contact, &task.seam.frame, (&shape, &way.frame));
        Figures::gain(&mut figures, (&shape, bears_mm), &task.stock);
        joints.push(PlacedJoint {
            shape,
            frame: way.frame,
            joint,
            contacts: vec![k],
            way_in,
            run_mm,
            key_longest_mm: None,
        });
    }
    Some(Placed {
        joints,
        figures: figures?,
    })
}

fn tenons(task: &Task, earlier: &Earlier, k: usize, kind: JointKind) -> Result<Placed, NoJoint> {
    let way = task.tails_below();
    let room = way.room(kind, task.seam, &task.contacts[k], &earlier.taken);
    let LaidTenons { tenons, refused } = lay_tenons(&room, &task.terms[k].rules);
    let shapes = tenons.into_iter().map(|(_, tenon)| {
        let depth_mm = tenon.depth_mm;
        (JointShape::Tenon(tenon), depth_mm)
    });
    placed(task, k, &way, shapes, way.frame.n).ok_or_else(|| {
        let mut refused = refused.into_iter();
        let first = refused.next().map(|(_, why)| NoJoint::NoRoom(why));
        first.unwrap_or(NoJoint::ShallowForTenons)
    })
}

/// The way that gives the contact most keys, each in a lane by itself.
pub(crate) fn keys(
    task: &Task,
    earlier: &Earlier,
    k: usize,
    kind: JointKind,
) -> Result<Placed, NoJoint> {
    let (rules, contact) = (&task.terms[k].rules, &task.contacts[k]);
    let mut why = NoJoint::KeysHidden;
    let mut best: Option<(f64, Way, Vec<Sliding>)> = None;
    for way in ways(task.seam, std::slice::from_ref(contact), None) {
        if way.tails_on != SeamSide::Below || !enters_unseen(&way, task.hide) {
            continue;
        }
        let mut room = way.room(kind, task.seam, contact, &earlier.taken);
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
        let laid = lay_sliding(kind, &face, rules);
        match laid.refused.first() {
            Some((_, reason)) => why = NoJoint::NoRoom(reason.clone()),
            None if laid.joints.is_empty() => why = NoJoint::ShallowForKeys,
            None => {}
        }
        let covered: f64 = laid
            .joints
            .iter()
            .map(|(_, j)| j.width_mm * j.main.lane.run_mm())
            .sum();
        let measures = SlideMeasures {
            covered: covered / contact.area_mm2,
            travel_mm: laid.travel_mm,
            // A key that comes in from below falls out again.
            seated: -way.frame.v.dot(&task.up),
            shut_in: shut_in(task, &way, laid.joints.iter().map(|(_, key)| key)),
            ..SlideMeasures::default()
        };
        let score = measures.score_for_keys();
        if !laid.joints.is_empty() && best.as_ref().is_none_or(|b| score > b.0 + 1e-9) {
            best = Some((score, way, laid.joints.into_iter().map(|j| j.1).collect()));
        }
    }
    let Some((_, way, laid)) = best else {
        return Err(why);
    };
    let shapes = laid.into_iter().map(|sliding| {
        let run_mm = sliding.main.lane.run_mm();
        (JointShape::InLane(sliding), run_mm)
    });
    placed(task, k, &way, shapes, way.frame.v).ok_or(why)
}

/// Whether any of some keys comes in from where no hand has room.
fn shut_in<'a>(task: &Task, way: &Way, keys: impl Iterator<Item = &'a Sliding>) -> bool {
    let regions: Vec<Outline> = (task.contacts.iter())
        .map(|c| in_frame(&c.outline, &task.seam.frame, &way.frame))
        .collect();
    let ends = keys.map(|key| [key.main.lane.across_mm, key.main.lane.from_mm]);
    ends.into_iter().any(|end| is_shut_in(end, &regions))
}

#[cfg(test)]
mod tests {
    use design::{PlannedSeam, Settings};
    use solid::{Point, Solid};

    use super::*;
    use crate::layout::trial::Trial;

    fn earlier(task: &Task) -> Earlier {
        Earlier::of(task.seam, task.obstacles, &task.common.rules)
    }

    #[test]
    fn tenons_go_straight_in_as_far_as_they_are_deep() {
        Trial::plank(30.0, "tenon").show(&[], |task| {
            let seam = meet(task, &earlier(task), None).unwrap();
            let rules = &task.common.rules;
            assert!(seam.travel_mm > rules.tenon_depth_mm);
            assert!(seam.joints.iter().all(|j| j.way_in == task.seam.frame.n));
            let figures = seam.contacts[0].joining.clone();
            assert!(matches!(figures, Joining::Joined(j) if j.figures.kind == JointKind::Tenon));
        });
    }

    #[test]
    fn what_finds_no_room_passes_to_the_next_kind_and_is_told() {
        Trial::plank(5.0, "tenon,butterfly").show(&[], |task| {
            let seam = meet(task, &earlier(task), None).unwrap();
            let Joining::Joined(joined) = &seam.contacts[0].joining else {
                panic!("not joined");
            };
            assert!(joined.figures.kind.is_key());
            let WhyJoint::Meeting { tried, .. } = &joined.why else {
                panic!("{:?}", joined.why);
            };
            assert_eq!(tried[0].0, JointKind::Tenon);
        });
    }

    #[test]
    fn keys_come_in_through_no_hidden_side() {
        let hidden = Settings {
            joint: "butterfly".parse().unwrap(),
            hide: ["+y", "-y", "+z", "-z"]
                .map(|s| s.parse().unwrap())
                .to_vec(),
            ..Settings::default()
        };
        let board = Solid::cuboid(Point::origin(), Point::new(200.0, 100.0, 18.0));
        let seam = PlannedSeam::at([1.0, 0.0, 0.0], 100.0);
        Trial::cut(&board, seam, hidden).show(&[], |task| {
            let none = keys(task, &earlier(task), 0, JointKind::Butterfly);
            assert_eq!(none.err(), Some(NoJoint::KeysHidden));
        });
    }
}
