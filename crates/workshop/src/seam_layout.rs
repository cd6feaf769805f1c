use geo::{Area, BooleanOps, Coord, MapCoords};
use joinery::{Joint, JointKind, JointRules, Laid, LaidTenons, SeamFace, lay_sliding, lay_tenons};
use planner::{Printer, block_fits};
use rayon::prelude::*;
use solid::{Bounds, Frame, Outline, Solid, Vector};

use crate::Contact;
use crate::cells::SeamPlane;

/// A seam carried out: its slide and what it got.
#[derive(Clone, Debug)]
pub struct Seam {
    /// `S1`, `S2`, …
    pub id: String,
    /// Index in the plan.
    pub index: usize,
    /// Its plane; `n` points to what lies above.
    pub frame: Frame,
    /// The way the half that lies below moves to go home.
    pub slide: Vector,
    /// How far it moves.
    pub travel_mm: f64,
    /// Whether tails go from below upward (rather than from above downward).
    pub tails_point_up: bool,
    /// Whether the halves are held against being pulled apart along `n`.
    pub holds: bool,
    /// Where pieces meet.
    pub contacts: Vec<Contact>,
    /// The joints, with the contacts that share them.
    pub(crate) joints: Vec<PlacedJoint>,
}

/// A joint on a seam.
#[derive(Clone, Debug)]
pub(crate) struct PlacedJoint {
    pub(crate) joint: Joint,
    /// Contacts that it lies on, by index.
    pub(crate) contacts: Vec<usize>,
}

/// A way to close a seam: which way the tails' half moves, and from which side
/// the tails come.
#[derive(Clone, Copy)]
struct Way {
    /// `n` from the tails' half into the other, `v` the slide of the tails.
    frame: Frame,
    tails_point_up: bool,
}

/// An outline given in one frame, in the coordinates of another in the same
/// plane.
fn in_frame(outline: &Outline, from: &Frame, to: &Frame) -> Outline {
    outline.map_coords(|c: Coord| {
        let p = to.coordinates(&from.place(c.x, c.y, 0.0));
        Coord { x: p.x, y: p.y }
    })
}

/// A joint of a seam laid out before.
#[derive(Clone, Debug)]
pub(crate) struct Obstacle {
    /// The box that it lies in.
    pub(crate) bounds: Bounds,
    /// The cells that carry its tail.
    pub(crate) carriers: std::ops::Range<usize>,
}

/// What the boxes of some earlier joints cover of the seam's plane, where they
/// come within given heights of it.
fn covered(
    seam: &SeamPlane,
    obstacles: impl Iterator<Item = Bounds>,
    heights: (f64, f64),
) -> Outline {
    let mut out = Outline::new(Vec::new());
    for bounds in obstacles {
        let corners = bounds.corners().map(|p| seam.frame.coordinates(&p));
        let low = corners.iter().fold(corners[0], |a, b| a.inf(b));
        let high = corners.iter().fold(corners[0], |a, b| a.sup(b));
        if low.z < heights.1 && high.z > heights.0 {
            out = out.union(&solid::rectangle([low.x, low.y], [high.x, high.y]));
        }
    }
    out
}

/// What earlier joints have taken of the seam's plane, grown by a wall; and
/// the tails that its two halves carry already, which stand in the way of what
/// slides past.
struct Earlier {
    taken: Outline,
    tails_below: Outline,
    tails_above: Outline,
}

impl Earlier {
    fn of(seam: &SeamPlane, obstacles: &[Obstacle], rules: &JointRules) -> Self {
        let reach = rules.reach_mm() + rules.crest_relief_mm + rules.min_wall_mm;
        let grown = obstacles
            .iter()
            .map(|o| o.bounds.grown(2.0 * rules.min_wall_mm));
        let own = seam.below.start..seam.above.end;
        let carried = || {
            obstacles
                .iter()
                .filter(|o| o.carriers.start <= own.start && own.end <= o.carriers.end)
                .map(|o| o.bounds.grown(0.2))
        };
        Self {
            taken: covered(seam, grown, (-reach, reach)),
            tails_below: covered(seam, carried(), (-reach, 0.0)),
            tails_above: covered(seam, carried(), (0.0, reach)),
        }
    }
}

/// One attempt at a seam.
struct Attempt {
    way: Way,
    laid: Laid,
    /// For each room polygon, its contact.
    owner: Vec<usize>,
    score: f64,
}

/// What the layout of a seam's joints starts from.
pub(crate) struct Task<'a> {
    /// The seam's id.
    pub(crate) id: &'a str,
    pub(crate) seam: &'a SeamPlane,
    pub(crate) contacts: Vec<Contact>,
    /// The joints to try, in order.
    pub(crate) preference: &'a [JointKind],
    /// The slide of the tails' half, where it is prescribed.
    pub(crate) slide: Option<Vector>,
    /// Boxes of all pieces, without joints.
    pub(crate) bodies: &'a [Bounds],
    /// Joints of seams laid out before.
    pub(crate) obstacles: &'a [Obstacle],
    pub(crate) printers: &'a [Printer],
    pub(crate) rules: &'a JointRules,
}

/// Lays out the joints of a seam: the first kind in order of preference that
/// finds room, in the direction that joins most.
pub(crate) fn lay_out(task: Task) -> Seam {
    let Task {
        id,
        seam,
        mut contacts,
        preference,
        slide,
        bodies,
        obstacles,
        printers,
        rules,
    } = task;
    let id = id.to_owned();
    // Tails from above add to pieces that were planned without: only where
    // the bed takes that.
    let from_above = contacts.iter().all(|c| {
        // It may carry tails on its other sides too.
        let size = bodies[c.pieces[1]].grown(rules.reach_mm() / 2.0).size_mm()
            + seam.frame.n.map(f64::abs) * rules.reach_mm();
        printers.iter().any(|p| block_fits(size.into(), p))
    });
    let earlier = Earlier::of(seam, obstacles, rules);
    let mut why_not = String::new();
    for &kind in preference {
        let found = match kind {
            JointKind::Dovetail => {
                slide_in(seam, &contacts, &earlier, slide, from_above, bodies, rules)
            }
            JointKind::Tenon => None,
            JointKind::Plain => break,
        };
        if let Some(attempt) = found {
            return carried_out(id, seam, contacts, attempt);
        }
        if kind.slides() {
            why_not = refusal(seam, &contacts, &earlier, rules);
        } else if let Some(seam) = push_in(&id, seam, &mut contacts, &earlier, &why_not, rules) {
            return seam;
        }
    }
    let n = seam.frame.n;
    for contact in &mut contacts {
        contact.reason = if why_not.is_empty() {
            "a plain seam was asked for".into()
        } else {
            why_not.clone()
        };
    }
    Seam {
        id,
        index: seam.index,
        frame: seam.frame,
        slide: n,
        travel_mm: rules.reach_mm(),
        tails_point_up: true,
        holds: false,
        contacts,
        joints: Vec::new(),
    }
}

/// The ways to try: along either axis of the seam's frame in either direction,
/// with tails from below or from above.
fn ways(seam: &SeamPlane, slide: Option<Vector>) -> Vec<Way> {
    let Frame { origin, u, v, n } = seam.frame;
    let directions = match slide {
        // Prescribed for the tails' half, whichever that is.
        Some(s) => vec![s],
        None => vec![u, -u, v, -v],
    };
    [true, false]
        .into_iter()
        .flat_map(|up| {
            directions.clone().into_iter().map(move |along| {
                let n = if up { n } else { -n };
                // u × v = n, so u = v × n.
                let frame = Frame::with_axes(origin, n, along.cross(&n));
                Way {
                    frame,
                    tails_point_up: up,
                }
            })
        })
        .collect()
}

fn room(seam: &SeamPlane, contact: &Contact, way: &Way, taken: &Outline) -> Outline {
    let (own, other) = if way.tails_point_up {
        (&seam.sections.below, &seam.sections.above)
    } else {
        (&seam.sections.above, &seam.sections.below)
    };
    let mut room = contact.outline.intersection(&own[1]);
    for section in other {
        room = room.intersection(section);
    }
    in_frame(&room.difference(taken), &seam.frame, &way.frame)
}

/// All that tails would run into on the side that takes them.
fn receiving(seam: &SeamPlane, way: &Way, earlier: &Earlier) -> Outline {
    let (side, tails) = if way.tails_point_up {
        (&seam.sections.above, &earlier.tails_above)
    } else {
        (&seam.sections.below, &earlier.tails_below)
    };
    side[0].union(&side[1]).union(&side[2]).union(tails)
}

fn slide_in(
    seam: &SeamPlane,
    contacts: &[Contact],
    earlier: &Earlier,
    slide: Option<Vector>,
    from_above: bool,
    bodies: &[Bounds],
    rules: &JointRules,
) -> Option<Attempt> {
    let total: f64 = contacts.iter().map(|c| c.area_mm2).sum();
    let attempts: Vec<Attempt> = ways(seam, slide)
        .into_par_iter()
        .filter(|way| from_above || way.tails_point_up)
        .map(|way| {
            let mut owner = Vec::new();
            let mut polygons = Vec::new();
            for (k, contact) in contacts.iter().enumerate() {
                for polygon in room(seam, contact, &way, &earlier.taken) {
                    if polygon.unsigned_area() > 1.0 {
                        owner.push(k);
                        polygons.push(polygon);
                    }
                }
            }
            let receiving = receiving(seam, &way, earlier);
            let face = SeamFace {
                room: Outline::new(polygons),
                receiving: in_frame(&receiving, &seam.frame, &way.frame),
            };
            let laid = lay_sliding(&face, rules);
            let score = score(contacts, &owner, &laid, &way, bodies, total);
            Attempt {
                way,
                laid,
                owner,
                score,
            }
        })
        .collect();
    attempts
        .into_iter()
        .filter(|a| !a.laid.tails.is_empty())
        .reduce(|best, next| {
            if next.score > best.score + 1e-9 {
                next
            } else {
                best
            }
        })
}

/// How good an attempt is: what share of the contacts it joins, how little it
/// moves, and whether the way home is free of the seam's other bodies.
fn score(
    contacts: &[Contact],
    owner: &[usize],
    laid: &Laid,
    way: &Way,
    bodies: &[Bounds],
    total: f64,
) -> f64 {
    let mut joined = vec![false; contacts.len()];
    for (polygon, _) in &laid.tails {
        joined[owner[*polygon]] = true;
    }
    let count = joined.iter().filter(|&&j| j).count() as f64 / contacts.len().max(1) as f64;
    let area: f64 = contacts
        .iter()
        .zip(&joined)
        .filter(|(_, j)| **j)
        .map(|(c, _)| c.area_mm2)
        .sum::<f64>()
        / total;
    let blocked = blocked_pairs(
        contacts,
        bodies,
        &(way.frame.v * laid.travel_mm),
        way.tails_point_up,
    );
    100.0 * count + 50.0 * area
        - 0.05 * laid.travel_mm
        - 40.0 * blocked as f64
        - if way.tails_point_up { 0.0 } else { 0.5 }
}

/// Pairs of pieces on one side of the seam such that either, moved home along
/// the slide, would pass through the other's box whichever goes first.
fn blocked_pairs(contacts: &[Contact], bodies: &[Bounds], slide: &Vector, up: bool) -> usize {
    let mut blocked = 0;
    for side in 0..2 {
        // Tails' half moves along the slide, the other half against it.
        let back = if (side == 0) == up { -slide } else { *slide };
        let mut on_side: Vec<usize> = contacts.iter().map(|c| c.pieces[side]).collect();
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

fn carried_out(id: String, seam: &SeamPlane, mut contacts: Vec<Contact>, attempt: Attempt) -> Seam {
    let Attempt {
        way, laid, owner, ..
    } = attempt;
    let mut joints = Vec::new();
    for (polygon, tail) in &laid.tails {
        let Ok(joint) = tail.joint(&way.frame) else {
            continue;
        };
        // A long tail laid in one contact joins the others it runs through.
        let touched = touching(&contacts, &joint.tail, seam, owner[*polygon]);
        for &k in &touched {
            let contact = &mut contacts[k];
            contact.joint = JointKind::Dovetail;
            contact.count += 1;
            contact.width_mm = contact.width_mm.max(tail.size.width_mm);
            contact.taper = tail.taper;
            contact.seat_slack_mm = tail.seat_slack_mm();
        }
        joints.push(PlacedJoint {
            joint,
            contacts: touched,
        });
    }
    let slide_word = direction_word(&way.frame.v);
    for (k, contact) in contacts.iter_mut().enumerate() {
        contact.reason = if contact.count > 0 {
            format!(
                "{} of {:.1} mm; the slide along {slide_word} joins most of this seam and is \
                 {:.0} mm long",
                plural(contact.count, "tail"),
                contact.width_mm,
                laid.travel_mm
            )
        } else {
            let refused = laid.refused.iter().find(|(p, _)| owner[*p] == k);
            refused.map_or_else(
                || "no room: other joints, or walls too thin behind the face, take it".to_owned(),
                |(_, why)| why.to_string(),
            )
        };
    }
    let along = if way.tails_point_up {
        way.frame.v
    } else {
        -way.frame.v
    };
    Seam {
        id,
        index: seam.index,
        frame: seam.frame,
        slide: along,
        travel_mm: laid.travel_mm,
        tails_point_up: way.tails_point_up,
        holds: true,
        contacts,
        joints,
    }
}

/// Contacts that a tail lies on.
fn touching(contacts: &[Contact], tail: &Solid, seam: &SeamPlane, own: usize) -> Vec<usize> {
    let footprint = tail.section(&seam.frame.raised(0.0));
    (0..contacts.len())
        .filter(|&k| k == own || contacts[k].outline.intersection(&footprint).unsigned_area() > 1.0)
        .collect()
}

fn refusal(
    seam: &SeamPlane,
    contacts: &[Contact],
    earlier: &Earlier,
    rules: &JointRules,
) -> String {
    // The direction that refuses least is as good as any to name the reason.
    let mut reasons = Vec::new();
    for way in ways(seam, None) {
        let polygons: Vec<_> = contacts
            .iter()
            .flat_map(|c| room(seam, c, &way, &earlier.taken))
            .filter(|p| p.unsigned_area() > 1.0)
            .collect();
        let receiving = in_frame(&receiving(seam, &way, earlier), &seam.frame, &way.frame);
        let laid = lay_sliding(
            &SeamFace {
                room: Outline::new(polygons),
                receiving,
            },
            rules,
        );
        reasons.extend(laid.refused.into_iter().map(|(_, why)| why.to_string()));
    }
    reasons.sort();
    reasons.pop().unwrap_or_else(|| {
        "no room: the material behind the face is not as deep as the joint and a wall".to_owned()
    })
}

fn push_in(
    id: &str,
    seam: &SeamPlane,
    contacts: &mut [Contact],
    earlier: &Earlier,
    why_not: &str,
    rules: &JointRules,
) -> Option<Seam> {
    let mut joints = Vec::new();
    let way = ways(seam, None)[0];
    for (k, contact) in contacts.iter_mut().enumerate() {
        let room = room(seam, contact, &way, &earlier.taken);
        let LaidTenons { tenons, refused } = lay_tenons(&room, rules);
        for (_, tenon) in &tenons {
            let Ok(joint) = tenon.joint(&way.frame) else {
                continue;
            };
            contact.joint = JointKind::Tenon;
            contact.count += 1;
            contact.width_mm = contact.width_mm.max(tenon.foot_mm[0].min(tenon.foot_mm[1]));
            contact.taper = tenon.taper;
            joints.push(PlacedJoint {
                joint,
                contacts: vec![k],
            });
        }
        contact.reason = if contact.count > 0 {
            let so = if why_not.is_empty() {
                String::new()
            } else {
                format!("; no slide: {why_not}")
            };
            format!(
                "{} pushed in along the normal{so}",
                plural(contact.count, "tenon")
            )
        } else {
            refused.first().map_or_else(
                || "no room for a tenon".to_owned(),
                |(_, why)| why.to_string(),
            )
        };
    }
    if joints.is_empty() {
        return None;
    }
    Some(Seam {
        id: id.to_owned(),
        index: seam.index,
        frame: seam.frame,
        slide: seam.frame.n,
        travel_mm: rules.tenon_depth_mm + rules.crest_relief_mm + 2.0,
        tails_point_up: true,
        holds: false,
        contacts: contacts.to_vec(),
        joints,
    })
}

fn plural(count: usize, word: &str) -> String {
    if count == 1 {
        format!("1 {word}")
    } else {
        format!("{count} {word}s")
    }
}

/// A direction in words: `+z`, or its numbers where it is along no axis.
pub(crate) fn direction_word(d: &Vector) -> String {
    for (axis, name) in ["x", "y", "z"].iter().enumerate() {
        if (d[axis].abs() - 1.0).abs() < 1e-6 {
            return format!("{}{name}", if d[axis] > 0.0 { '+' } else { '-' });
        }
    }
    format!("({:.3}, {:.3}, {:.3})", d.x, d.y, d.z)
}
