//! One way to close a seam by a slide, tried out.

use design::{SeamSide, SlideMeasures, Terms};
use geo::{Area, BoundingRect};
use joinery::{JointKind, Laid, NoRoom, SeamFace, Sliding, lay_sliding};
use printing::block_fits;
use solid::{Bounds, Outline, Vector};

use crate::layout::earlier::Earlier;
use crate::layout::load::bearing::seated;
use crate::layout::load::held_share::held_share;
use crate::layout::seam_task::Task;
use crate::layout::way::{Way, in_frame};
use crate::partition::contacts::Contact;

/// A dovetail whose wall is thinner than this share of its width is braced
/// where the joint is chosen by the program: it would spread before its neck
/// or its edges give (compare the estimates of both in the handbook).
const THIN_WALL: f64 = 0.75;

/// Whether a tail of some width has so thin a wall beside it that it would spread.
pub(crate) fn is_thin(wall_mm: f64, width_mm: f64) -> bool {
    wall_mm < THIN_WALL * width_mm
}

/// What came of one way.
pub(crate) struct Attempt {
    pub(crate) way: Way,
    /// The joints, each with the room polygon it was laid in.
    pub(crate) joints: Vec<(usize, Sliding)>,
    /// Why a room polygon got none.
    pub(crate) refused: Vec<(usize, NoRoom)>,
    pub(crate) travel_mm: f64,
    /// For each room polygon, its contact.
    pub(crate) owner: Vec<usize>,
    pub(crate) score: f64,
}

/// Contacts that are joined on the same terms.
struct Group<'a> {
    terms: &'a Terms,
    contacts: Vec<usize>,
}

fn groups<'a>(task: &Task<'a>) -> Vec<Group<'a>> {
    let mut out: Vec<Group> = Vec::new();
    for (k, &terms) in task.terms.iter().enumerate() {
        match out.iter_mut().find(|g| g.terms == terms) {
            Some(group) => group.contacts.push(k),
            None => out.push(Group {
                terms,
                contacts: vec![k],
            }),
        }
    }
    out
}

/// Lays joints out one way: the first kind everywhere, the next in what is
/// left, as far as the slide stays as long.
pub(crate) fn attempt(task: &Task, earlier: &Earlier, way: Way) -> Attempt {
    let groups = groups(task);
    let mut out = laid_out(task, earlier, way, &groups, 0.0);
    if groups.len() > 1 {
        // The slide must serve the longest run of any group.
        let least = groups
            .iter()
            .map(|g| laid_out(task, earlier, way, std::slice::from_ref(g), 0.0).travel_mm)
            .fold(0.0, f64::max);
        out = laid_out(task, earlier, way, &groups, least);
    }
    out.score = measured(&out, task).score();
    out
}

fn laid_out(
    task: &Task,
    earlier: &Earlier,
    way: Way,
    groups: &[Group],
    least_travel_mm: f64,
) -> Attempt {
    let mut out = Attempt {
        way,
        joints: Vec::new(),
        refused: Vec::new(),
        travel_mm: 0.0,
        owner: Vec::new(),
        score: 0.0,
    };
    let (receiving, carrying) = (
        way.receiving(task.seam, earlier),
        way.carrying(task.seam, earlier),
    );
    let taken = way.taken(task.seam, earlier);
    for group in groups {
        let mut open = group.contacts.clone();
        for kind in group.terms.sliding_kinds() {
            let first = out.owner.len();
            let mut polygons = Vec::new();
            for &k in &open {
                if !task.bed_takes(kind, &way, k) {
                    continue;
                }
                for polygon in way.room(kind, task.seam, &task.contacts[k], &earlier.taken) {
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
                taken: taken.clone(),
                stop_short: task.hide.iter().any(|side| side.has(&way.frame.v)),
                lean_mm: way.lean_mm(task.seam),
                least_travel_mm,
            };
            let mut laid = lay_sliding(kind, &face, &group.terms.rules);
            if let Some(braced) = kind.abilities().braced
                && group.terms.choice.is_auto()
            {
                let owner = &out.owner[first..];
                let toward = (way.frame.n, way.tails_on);
                brace_thin_walls(&mut laid, braced, &face, (task, group.terms, toward), owner);
            }
            out.refused
                .extend(laid.refused.into_iter().map(|(p, why)| (first + p, why)));
            if laid.joints.is_empty() {
                continue;
            }
            if out.joints.is_empty() {
                out.travel_mm = laid.travel_mm;
            } else if laid.travel_mm > out.travel_mm + 1e-9 {
                continue;
            }
            out.joints
                .extend(laid.joints.into_iter().map(|(p, joint)| (first + p, joint)));
            open.retain(|k| !out.joints.iter().any(|(p, _)| out.owner[*p] == *k));
        }
    }
    out
}

/// Where the program chooses: a contact whose dovetails have thin walls beside
/// them gets braced ones, if those find room and the pieces, which they make
/// longer, still lie on a side on which they stand.
fn brace_thin_walls(
    laid: &mut Laid,
    kind: JointKind,
    face: &SeamFace,
    (task, terms, toward): (&Task, &Terms, (Vector, SeamSide)),
    owner: &[usize],
) {
    let thin = |t: &Sliding| is_thin(t.wall_mm, t.width_mm);
    if !laid.joints.iter().any(|(_, t)| thin(t)) {
        return;
    }
    let face = SeamFace {
        least_travel_mm: laid.travel_mm,
        ..face.clone()
    };
    let braced = lay_sliding(kind, &face, &terms.rules);
    if braced.travel_mm > laid.travel_mm + 1e-9 {
        return;
    }
    // A lane that runs on into another polygon is another contact's too.
    let alone = |(p, t): &(usize, Sliding)| {
        face.room.0[*p].bounding_rect().is_some_and(|b| {
            let lane = &t.main.lane;
            lane.from_mm > b.min().y - 3.0 && lane.to_mm < b.max().y + 3.0
        })
    };
    let takes = |contact: usize| {
        let (rules, room) = (&terms.rules, task.room);
        let between = &task.contacts[contact];
        bed_takes_braces(task, contact, terms)
            && room.leaves_lying(kind, rules, between, toward)
            && room.leaves_flat(kind, rules, between, toward)
    };
    for (p, &contact) in owner.iter().enumerate() {
        let of = |all: &[(usize, Sliding)]| -> Vec<(usize, Sliding)> {
            all.iter().filter(|j| j.0 == p).cloned().collect()
        };
        let (plain, with_braces) = (of(&laid.joints), of(&braced.joints));
        let better = plain.iter().any(|(_, t)| thin(t))
            && !with_braces.is_empty()
            && plain.iter().chain(&with_braces).all(alone)
            && takes(contact);
        if better {
            laid.joints.retain(|j| j.0 != p);
            laid.joints.extend(with_braces);
        }
    }
}

/// Braces make the piece with the sockets longer than it was planned.
fn bed_takes_braces(task: &Task, contact: usize, terms: &Terms) -> bool {
    task.contacts[contact].pieces.iter().all(|&k| {
        let size = task.bodies[k].size_mm()
            + task.seam.frame.n.map(f64::abs)
                * (terms.rules.reach_mm() + terms.rules.brace_depth_mm);
        task.printers.iter().any(|p| block_fits(size.into(), p))
    })
}

/// What an attempt is judged by: what share of the contacts it joins, and of those what
/// lies near their joints, how little it moves, and whether the way home is free of the
/// seam's other bodies.
fn measured(attempt: &Attempt, task: &Task) -> SlideMeasures {
    let contacts = &task.contacts;
    let mut joined = vec![false; contacts.len()];
    for (polygon, _) in &attempt.joints {
        joined[attempt.owner[*polygon]] = true;
    }
    let total: f64 = contacts.iter().map(|c| c.area_mm2).sum();
    let limbs = || contacts.iter().zip(&joined).filter(|(c, _)| !c.slight);
    let count = limbs().filter(|(_, j)| **j).count() as f64 / limbs().count().max(1) as f64;
    let area: f64 = (0..contacts.len())
        .filter(|&k| joined[k])
        .map(|k| contacts[k].area_mm2 * held_of(attempt, task, k))
        .sum();
    let way = &attempt.way;
    let slide = way.frame.v * attempt.travel_mm;
    // How much of the contacts the joints themselves take: more is stronger.
    let covered: f64 = attempt
        .joints
        .iter()
        .map(|(_, j)| j.width_mm * j.count() as f64 * j.main.lane.run_mm())
        .sum::<f64>()
        / total.max(1e-9);
    SlideMeasures {
        joined: count,
        joined_area: area / total.max(1e-9),
        covered,
        travel_mm: attempt.travel_mm,
        blocked: blocked_pairs(contacts, task.bodies, &slide, way.tails_on),
        from_above: way.tails_on == SeamSide::Above,
        seated: seated(task, way, &joined),
        shut_in: false,
    }
}

/// What share of a contact lies near the joints of an attempt.
fn held_of(attempt: &Attempt, task: &Task, contact: usize) -> f64 {
    let (outline, seam) = (&task.contacts[contact].outline, &task.seam.frame);
    let outline = in_frame(outline, seam, &attempt.way.frame);
    held_share(&outline, attempt.joints.iter().map(|(_, joint)| joint))
}

/// Pairs of pieces on one side of the seam such that either, moved home along
/// the slide, would pass through the other's box whichever goes first.
fn blocked_pairs(
    contacts: &[Contact],
    bodies: &[Bounds],
    slide: &Vector,
    tails_on: SeamSide,
) -> usize {
    let mut blocked = 0;
    for side in SeamSide::BOTH {
        // Tails' half moves along the slide, the other half against it.
        let back = if side == tails_on { -slide } else { *slide };
        let mut on_side: Vec<usize> = contacts.iter().map(|c| c.pieces[side.place()]).collect();
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

#[cfg(test)]
mod tests {
    use solid::Point;

    use super::*;
    use crate::layout::seam_task::Task;
    use crate::layout::trial::Trial;
    use crate::layout::way::ways;

    fn along(task: &Task, v: Vector) -> Attempt {
        let earlier = Earlier::of(task.seam, task.obstacles, &task.common.rules);
        let mut ways = ways(task.seam, &task.contacts, None).into_iter();
        let way = ways
            .find(|w| w.tails_on == SeamSide::Below && (w.frame.v - v).norm() < 1e-9)
            .unwrap();
        attempt(task, &earlier, way)
    }

    #[test]
    fn a_slide_across_a_board_joins_more_than_one_along_it() {
        Trial::plank(18.0, "dovetail").show(&[], |task| {
            let (through, lengthways) = (along(task, Vector::z()), along(task, Vector::y()));
            assert!(through.joints.len() > 1, "a row of tails");
            assert!(through.travel_mm >= 18.0 && through.travel_mm < 30.0);
            assert!(lengthways.joints.is_empty() || lengthways.travel_mm > 90.0);
            assert!(through.score > lengthways.score);
        });
    }

    #[test]
    fn a_board_too_thin_for_any_tail_says_so() {
        Trial::plank(3.0, "dovetail").show(&[], |task| {
            let refused = along(task, Vector::y());
            assert!(refused.joints.is_empty());
            assert!(matches!(refused.refused[0].1, NoRoom::TooNarrow { .. }));
        });
    }

    #[test]
    fn pieces_in_a_row_block_each_other_along_the_row_only() {
        let block = |y: f64| Bounds {
            min: Point::new(0.0, y, 0.0),
            max: Point::new(50.0, y + 40.0, 18.0),
        };
        let bodies = [block(0.0), block(50.0), block(0.0)];
        let contact = |below: usize| Contact {
            pieces: [below, 2],
            cells: [below, 2],
            outline: Outline::new(Vec::new()),
            area_mm2: 1.0,
            thick_mm: 9.0,
            slight: false,
        };
        let contacts = [contact(0), contact(1)];
        let blocked = |slide: Vector| blocked_pairs(&contacts, &bodies, &slide, SeamSide::Below);
        assert_eq!(blocked(Vector::z() * 30.0), 0);
        assert_eq!(blocked(Vector::y() * 5.0), 0);
        // The first goes home past the second, never the other way about.
        assert_eq!(blocked(Vector::y() * 30.0), 0);
        let bodies = [block(0.0), block(30.0), block(0.0)];
        let touching = blocked_pairs(&contacts, &bodies, &Vector::z(), SeamSide::Below);
        assert_eq!(
            touching, 0,
            "what overlaps as it is, is no question of the way"
        );
    }
}
