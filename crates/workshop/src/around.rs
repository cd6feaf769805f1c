//! A plan made from scratch around pieces that are printed already: the
//! printed pieces stay, each with the joints by which it meets its neighbours,
//! and everything else is one model again.

use planner::{Around, KeptContact, Plan, PlannedSeam, Printer, Region, Spared, find_cuts_around};
use solid::{Bounds, Solid};

use crate::bed_room::reaches;
use crate::cells::part;
use crate::replan::{NoReplan, Replan};
use crate::{Build, JointRecord, Kept, Seam, SeamRecord};

/// A contact of a printed piece, and its joints by number.
struct KeptJoints {
    contact: KeptContact,
    seam: usize,
    joints: Vec<JointRecord>,
}

/// Plans everything but the printed pieces anew. `None` where no such plan is
/// found: where a printed piece stands so that no plane right through parts it
/// from the rest, where it is a key, or where its seams are tilted.
///
/// # Errors
///
/// When the old plan cannot be carried out any more.
pub(crate) fn replan_around(
    model: &Solid,
    plan: &Plan,
    old: &Build,
    printed: &[usize],
    printers: &[Printer],
) -> Result<Option<Replan>, NoReplan> {
    let parted = part(model, plan, &plan.tree()?)?;
    let bodies: Vec<&Solid> = parted.cells.iter().flat_map(|c| &c.bodies).collect();
    let Some(pieces) = printed
        .iter()
        .map(|&k| bodies.get(k).map(|b| (*b).clone()))
        .collect::<Option<Vec<Solid>>>()
    else {
        return Ok(None);
    };
    let kept = kept_joints(old, printed, plan);
    let around = Around {
        pieces,
        contacts: kept.iter().map(|k| k.contact.clone()).collect(),
        places: plan.seams.iter().map(|s| (s.normal, s.at_mm)).collect(),
    };
    let found = find_cuts_around(model, printers, &plan.settings, &around.whole_joints());
    // What meets the parts of a joint that was cut across mostly gets fewer joints
    // of its own, so that is for where nothing else is left.
    let found = found.or_else(|_| find_cuts_around(model, printers, &plan.settings, &around));
    let Ok(seams) = found else {
        return Ok(None);
    };
    let Some(records) = records(&seams, &kept, old) else {
        return Ok(None);
    };
    let (seams, records) = with_ids(seams, records, plan);
    let plan = Plan {
        seams,
        printers: printers.to_vec(),
        ..plan.clone()
    };
    plan.checked()?;
    Ok(Some(Replan {
        plan,
        kept: Kept {
            records,
            printed: around.pieces.iter().filter_map(Solid::bounds).collect(),
        },
    }))
}

/// The contacts of printed pieces with their joints.
fn kept_joints(old: &Build, printed: &[usize], plan: &Plan) -> Vec<KeptJoints> {
    let mut ways: Vec<([f64; 3], [f64; 3], bool)> = Vec::new();
    let mut out = Vec::new();
    for (index, seam) in old.seams.iter().enumerate() {
        let record = seam.record();
        for (c, contact) in seam.contacts.iter().enumerate() {
            if !contact.pieces.iter().any(|p| printed.contains(p)) {
                continue;
            }
            let Some(bounds) = in_space(seam, c) else {
                continue;
            };
            let on_it = |k: &usize| seam.joints[*k].contacts.contains(&c);
            let numbers: Vec<usize> = (0..seam.joints.len()).filter(on_it).collect();
            let way = (seam.frame.n.into(), seam.slide.into(), seam.tails_point_up);
            let known = ways.iter().position(|w| *w == way);
            let way = known.unwrap_or_else(|| {
                ways.push(way);
                ways.len() - 1
            });
            let spared = numbers.iter().flat_map(|&k| {
                let placed = &seam.joints[k];
                let whole = placed.shape.spared(&placed.joint, &placed.frame);
                whole.into_iter().flat_map(|Spared { bounds, run }| {
                    let parts = parted_by_seams(bounds, plan).into_iter();
                    parts.map(move |bounds| Spared { bounds, run })
                })
            });
            out.push(KeptJoints {
                contact: KeptContact {
                    normal: seam.frame.n.into(),
                    at_mm: seam.frame.n.dot(&seam.frame.origin.coords),
                    bounds,
                    joints: spared.collect(),
                    reach_mm: reach_mm(seam, c),
                    way,
                },
                seam: index,
                joints: numbers.iter().map(|&k| record.joints[k].clone()).collect(),
            });
        }
    }
    out
}

/// How far the joints of a contact reach out of what lies below the seam, and
/// out of what lies above it.
fn reach_mm(seam: &Seam, contact: usize) -> [f64; 2] {
    let mut out = [0.0; 2];
    for placed in seam.joints.iter().filter(|j| j.contacts.contains(&contact)) {
        for (side, reach) in reaches(seam, placed) {
            out[side] = reach.max(out[side]);
        }
    }
    out
}

/// How far outside a region a joint's middle may lie that reaches into it.
const REACH_MM: f64 = 12.0;
/// Slack on either side of a plane.
const BESIDE_MM: f64 = 0.02;

/// The box about a joint in the parts that the seams of a plan, square to an
/// axis, leave of it: where one goes through, one may go through again.
fn parted_by_seams(joint: Bounds, plan: &Plan) -> Vec<Bounds> {
    let mut parts = vec![joint];
    for seam in &plan.seams {
        let normal = seam.frame().n;
        let axis = normal.map(f64::abs).imax();
        let at = seam.at_mm * normal[axis].signum();
        let passes =
            normal[axis].abs() > 1.0 - 1e-9 && joint.min[axis] < at && at < joint.max[axis];
        if !passes || !near_region(&joint, &seam.cuts, plan) {
            continue;
        }
        parts = parts
            .iter()
            .flat_map(|b| {
                let (mut low, mut high) = (*b, *b);
                low.max[axis] = low.max[axis].min(at - BESIDE_MM);
                high.min[axis] = high.min[axis].max(at + BESIDE_MM);
                [low, high]
            })
            .filter(|b| b.min[axis] < b.max[axis])
            .collect();
    }
    parts
}

fn near_region(joint: &Bounds, region: &Region, plan: &Plan) -> bool {
    let centre = joint.centre();
    region.way_up(&plan.seams).all(|(ancestor, above)| {
        ancestor.is_above(&centre) == above || ancestor.frame().height(&centre).abs() <= REACH_MM
    })
}

/// The box about a contact.
fn in_space(seam: &Seam, contact: usize) -> Option<Bounds> {
    let rings = seam.contacts[contact].outline.iter();
    Bounds::of(
        rings
            .flat_map(|p| &p.exterior().0)
            .map(|c| seam.frame.place(c.x, c.y, 0.0)),
    )
}

/// The records of the new seams on which kept contacts lie, each with the old
/// seam that its joints are from; `None` where a contact finds no seam.
fn records(
    seams: &[PlannedSeam],
    kept: &[KeptJoints],
    old: &Build,
) -> Option<Vec<(usize, SeamRecord)>> {
    let mut out: Vec<(usize, SeamRecord)> = Vec::new();
    for k in kept {
        let seam = seams.iter().find(|s| k.contact.lies_on(s, seams))?;
        let was = old.seams[k.seam].record();
        let record = match out.iter_mut().find(|(_, r)| r.id == seam.id) {
            Some((_, record)) => record,
            None => {
                let empty = SeamRecord {
                    id: seam.id.clone(),
                    joints: Vec::new(),
                    ..was.clone()
                };
                out.push((k.seam, empty));
                &mut out.last_mut()?.1
            }
        };
        record.travel_mm = record.travel_mm.max(was.travel_mm);
        for joint in &k.joints {
            if !record.joints.contains(joint) {
                record.joints.push(joint.clone());
            }
        }
    }
    Some(out)
}

/// Gives each new seam the id of the old one that its kept joints are from, the
/// first of several; the others get ids that no old seam has.
fn with_ids(
    seams: Vec<PlannedSeam>,
    records: Vec<(usize, SeamRecord)>,
    plan: &Plan,
) -> (Vec<PlannedSeam>, Vec<SeamRecord>) {
    let mut next = plan.next_seam_number();
    let mut names: Vec<(String, String)> = Vec::new();
    for seam in &seams {
        let from = records.iter().find(|(_, r)| r.id == seam.id);
        let was = from.and_then(|(k, _)| plan.seams.get(*k)).map(|s| &s.id);
        let name = match was.filter(|id| names.iter().all(|(_, to)| to != *id)) {
            Some(id) => id.clone(),
            None => {
                let id = format!("S{next}");
                next += 1;
                id
            }
        };
        names.push((seam.id.clone(), name));
    }
    let name = |id: &str| {
        let known = names.iter().find(|(from, _)| from == id);
        known.map_or_else(|| id.to_owned(), |(_, to)| to.clone())
    };
    let seams = seams
        .iter()
        .map(|seam| {
            let own = records.iter().find(|(_, r)| r.id == seam.id);
            let terms = own.and_then(|(k, _)| plan.seams.get(*k));
            PlannedSeam {
                joint: terms.and_then(|s| s.joint.clone()),
                joints: terms.map_or_else(|| seam.joints.clone(), |s| s.joints.clone()),
                ..seam.renamed(name)
            }
        })
        .collect();
    let records = records
        .into_iter()
        .map(|(_, r)| SeamRecord {
            id: name(&r.id),
            ..r
        })
        .collect();
    (seams, records)
}
