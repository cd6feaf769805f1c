//! A plan made from scratch around pieces that are printed already: the
//! printed pieces stay, each with the joints by which it meets its neighbours,
//! and everything else is one model again.

use design::{Draft, JointRecord, Plan, PlanSeam, PlannedSeam, SeamId, SeamRecord, SeamSide};
use planner::{Brief, Fixed, FixedContact, KeepOut, find_cuts};
use printing::Printer;
use solid::{Bounds, Solid};
use workshop::cells::part;
use workshop::{Build, FixedPiece, FixedPieces, Kept, Seam, reaches};

use crate::keep_out::around_joint;
use crate::replan::{NoReplan, Replan};

/// A contact of a printed piece, and its joints by number.
struct KeptJoints {
    contact: FixedContact,
    /// The seam that they are from, by its place in the build.
    seam: usize,
    joints: Vec<JointRecord>,
}

/// Plans everything but the printed pieces anew. `None` where no such plan is
/// found: where a printed piece stands so that no plane right through parts it
/// from the rest, where it is a key, where its seams are tilted, or where bodies stand apart.
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
    if plan.tree().bodies().next().is_some() {
        return Ok(None);
    }
    let parted = part(model, plan).map_err(workshop::BuildError::Kernel)?;
    let bodies: Vec<&Solid> = parted.cells.iter().flat_map(|c| &c.bodies).collect();
    let Some(pieces) = printed
        .iter()
        .map(|&k| bodies.get(k).map(|b| (*b).clone()))
        .collect::<Option<Vec<Solid>>>()
    else {
        return Ok(None);
    };
    let kept = kept_joints(old, printed, plan);
    let seams = plan.tree().seams().map(|k| plan.tree().seam(k));
    let fixed = Fixed {
        pieces,
        contacts: kept.iter().map(|k| k.contact.clone()).collect(),
        places: seams.map(|s| (s.normal, s.at_mm)).collect(),
    };
    let find = |fixed: &Fixed| {
        find_cuts(&Brief {
            fixed: Some(fixed),
            ..Brief::new(model, printers, plan.settings())
        })
    };
    // What meets the parts of a joint that was cut across mostly gets fewer joints
    // by itself, so that is for where nothing else is left.
    let Ok(found) = find(&fixed.whole_joints()).or_else(|_| find(&fixed)) else {
        return Ok(None);
    };
    let Some(records) = records(&found.tree, &kept, old) else {
        return Ok(None);
    };
    let (tree, records) = with_ids(found.tree, records, (plan, old));
    Ok(Some(Replan {
        plan: plan.remade(printers.to_vec(), tree)?,
        kept: Kept {
            records,
            fixed: FixedPieces::These(
                printed
                    .iter()
                    .zip(fixed.pieces)
                    .map(|(&k, solid)| FixedPiece {
                        id: old.pieces[k].id.clone(),
                        solid,
                    })
                    .collect(),
            ),
        },
    }))
}

/// The contacts of printed pieces with their joints.
fn kept_joints(old: &Build, printed: &[usize], plan: &Plan) -> Vec<KeptJoints> {
    let mut ways: Vec<([f64; 3], [f64; 3], SeamSide)> = Vec::new();
    let mut out = Vec::new();
    for (index, seam) in old.seams.iter().enumerate() {
        let record = seam.record();
        for (pieces, limbs) in seam.pairs() {
            if !pieces.iter().any(|p| printed.contains(p)) {
                continue;
            }
            let boxes = limbs.iter().filter_map(|&c| in_space(seam, c));
            let Some(bounds) = boxes.reduce(|a, b| a.joined(&b)) else {
                continue;
            };
            let on_it = |k: &usize| limbs.iter().any(|c| seam.joints[*k].contacts.contains(c));
            let numbers: Vec<usize> = (0..seam.joints.len()).filter(on_it).collect();
            let way = (seam.frame.n.into(), seam.slide.into(), seam.tails_on);
            let known = ways.iter().position(|w| *w == way);
            let way = known.unwrap_or_else(|| {
                ways.push(way);
                ways.len() - 1
            });
            let keep_out = numbers.iter().flat_map(|&k| {
                let placed = &seam.joints[k];
                let whole = around_joint(&placed.shape, &placed.joint, &placed.frame);
                whole.into_iter().flat_map(|KeepOut { bounds, run }| {
                    let parts = parted_by_seams(bounds, plan).into_iter();
                    parts.map(move |bounds| KeepOut { bounds, run })
                })
            });
            out.push(KeptJoints {
                contact: FixedContact {
                    normal: seam.frame.n.into(),
                    at_mm: seam.frame.n.dot(&seam.frame.origin.coords),
                    bounds,
                    joints: keep_out.collect(),
                    reach_mm: reach_mm(seam, &numbers),
                    way,
                },
                seam: index,
                joints: numbers.iter().map(|&k| record.joints[k].clone()).collect(),
            });
        }
    }
    out
}

/// How far some joints reach out of what lies below the seam, and
/// out of what lies above it.
fn reach_mm(seam: &Seam, joints: &[usize]) -> [f64; 2] {
    let mut out = [0.0; 2];
    for placed in joints.iter().map(|&k| &seam.joints[k]) {
        for (side, reach) in reaches(seam, placed) {
            let out = &mut out[side.place()];
            *out = reach.max(*out);
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
    for (k, seam) in plan.tree().seams().map(|k| (k, plan.tree().seam(k))) {
        let normal = seam.frame().n;
        let axis = normal.map(f64::abs).imax();
        let at = seam.at_mm * normal[axis].signum();
        let passes =
            normal[axis].abs() > 1.0 - 1e-9 && joint.min[axis] < at && at < joint.max[axis];
        if !passes || !near_region(&joint, k, plan) {
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

/// Whether a joint lies in what a seam cuts, or so near that it reaches into it.
fn near_region(joint: &Bounds, seam: PlanSeam, plan: &Plan) -> bool {
    let (centre, tree) = (joint.centre(), plan.tree());
    tree.way_up(tree.cuts(seam)).all(|(ancestor, side)| {
        let plane = tree.seam(ancestor);
        plane.side_at(&centre) == side || plane.frame().height(&centre).abs() <= REACH_MM
    })
}

/// The box about a contact.
fn in_space(seam: &Seam, contact: usize) -> Option<Bounds> {
    let rings = seam.contacts[contact].contact.outline.iter();
    Bounds::of(
        rings
            .flat_map(|p| &p.exterior().0)
            .map(|c| seam.frame.place(c.x, c.y, 0.0)),
    )
}

/// The joints that a new seam takes over, and the old seam that they are from, by
/// its place in the build.
struct TakenOver {
    seam: PlanSeam,
    from: usize,
    travel_mm: f64,
    joints: Vec<JointRecord>,
}

/// What the new seams on which kept contacts lie take over; `None` where a
/// contact finds no seam.
fn records(tree: &Draft, kept: &[KeptJoints], old: &Build) -> Option<Vec<TakenOver>> {
    let mut out: Vec<TakenOver> = Vec::new();
    for k in kept {
        let seam = tree.seams().find(|s| k.contact.lies_on(tree, *s))?;
        let known = out.iter().position(|r| r.seam == seam);
        let at = known.unwrap_or_else(|| {
            out.push(TakenOver {
                seam,
                from: k.seam,
                travel_mm: 0.0,
                joints: Vec::new(),
            });
            out.len() - 1
        });
        let record = &mut out[at];
        record.travel_mm = record.travel_mm.max(old.seams[k.seam].travel_mm);
        for joint in &k.joints {
            if !record.joints.contains(joint) {
                record.joints.push(joint.clone());
            }
        }
    }
    Some(out)
}

/// Gives each new seam the id of the old one that its kept joints are from, the
/// first of several, with what was said of that one's joints; the others get ids
/// that no old seam has.
fn with_ids(
    mut tree: Draft,
    taken: Vec<TakenOver>,
    (plan, old): (&Plan, &Build),
) -> (design::CutTree, Vec<SeamRecord>) {
    let mut next = plan.tree().next_number();
    let mut names: Vec<SeamId> = Vec::new();
    for seam in tree.partings() {
        let from = taken.iter().find(|r| r.seam == seam);
        let was = from.map(|r| &old.seams[r.from].id);
        names.push(match was.filter(|id| !names.contains(id)) {
            Some(id) => id.clone(),
            None => {
                next += 1;
                SeamId::numbered(next - 1)
            }
        });
        if let Some(from) = from {
            let terms = plan.tree().seam(old.seams[from.from].planned).clone();
            let own = tree.seam_mut(seam);
            *own = PlannedSeam {
                joint: terms.joint,
                joints: terms.joints,
                ..own.clone()
            };
        }
    }
    let records = taken.into_iter().map(|taken| {
        let was = old.seams[taken.from].record();
        SeamRecord {
            id: names[taken.seam.place()].clone(),
            travel_mm: taken.travel_mm,
            joints: taken.joints,
            ..was
        }
    });
    let records = records.collect();
    let mut in_order = names.into_iter();
    let tree = tree.renamed(|_| in_order.next()).named(next);
    (tree, records)
}
