//! Seams where boards and legs meet: a model is parted into what a joiner made it of, and
//! only what does not fit a printer is cut further.

use design::{Draft, PlanSeam, PlannedSeam, Region, SeamSide, Wishes};
use printing::{Placement, Printer, Standing, place};
use solid::{Bounds, Frame, KernelError, Point, Solid, Vector};

use crate::constraint::keep_out::KeepOut;
use crate::members::found::Members;
use crate::members::meeting::Meeting;
use crate::members::member::MemberKind;
use crate::members::slab::smallest_rectangle;
use crate::strategy::leaf::leaf_with_joints;

/// A member may reach past a seam by this share of its length across it, where it ends on
/// something round, and by this much anyhow, in mm.
const PAST: (f64, f64) = (0.03, 0.1);
/// Planes that are closer to each other than this are one, in mm.
const SAME_MM: f64 = 0.05;
/// A direction whose cosine with an axis is one but for this is the axis.
const SQUARE: f64 = 1e-9;
/// A seam keeps so far off a round leg, in mm: one that only touches it would part it from
/// shavings.
const BESIDE_ROUND_MM: f64 = 0.2;
/// Smaller bodies are left over from rounding, in mm³.
pub(crate) const NOTHING_MM3: f64 = 1.0;
/// Seams of a member keep so far from where another one ends on it, in mm: room for the
/// joints of both.
const BESIDE_MEETING_MM: f64 = 12.0;
/// A piece whose box ends so near a seam lies at it, in mm.
const AT_SEAM_MM: f64 = 1.0;

/// The seams between members, none through a keep-out or square to a closed axis, each with
/// the tree of what it parts; no seam where none parts two members without cutting a third.
pub(crate) fn between_members(members: &Members, spared: &[Bounds], wishes: &Wishes) -> Draft {
    let all: Vec<usize> = (0..members.members.len()).collect();
    parted(members, &all, spared, wishes)
}

/// A plane on which members meet.
struct Shared<'a> {
    plane: &'a Frame,
    meetings: Vec<&'a Meeting>,
    below: Vec<usize>,
    above: Vec<usize>,
}

fn parted(members: &Members, set: &[usize], spared: &[Bounds], wishes: &Wishes) -> Draft {
    let bounds = set.iter().map(|&k| members.members[k].bounds());
    let Some(bounds) = bounds.reduce(|a, b| a.joined(&b)) else {
        return Draft::uncut();
    };
    let within = |m: &&Meeting| m.members.iter().all(|k| set.contains(k));
    let mut planes: Vec<Shared> = Vec::new();
    for meeting in members.meetings.iter().filter(within) {
        let same = |s: &&mut Shared| is_same(s.plane, &meeting.plane);
        if let Some(known) = planes.iter_mut().find(same) {
            known.meetings.push(meeting);
            continue;
        }
        let plane = &meeting.plane;
        let allowed =
            !wishes.closes(&plane.n) && !spared.iter().any(|b| goes_through(plane, b, &bounds));
        if let Some((below, above)) = sides(members, set, plane).filter(|_| allowed) {
            planes.push(Shared {
                plane,
                meetings: vec![meeting],
                below,
                above,
            });
        }
    }
    // The plane on which most meet parts alike ones alike.
    let worth = |s: &Shared| {
        let area: f64 = s.meetings.iter().map(|m| m.area_mm2()).sum();
        (s.meetings.len(), area.round() as i64)
    };
    let mut best: Option<&Shared> = None;
    for shared in &planes {
        if best.is_none_or(|b| worth(shared) > worth(b)) {
            best = Some(shared);
        }
    }
    let Some(shared) = best else {
        return Draft::uncut();
    };
    let (seam, turned) = seam(members, shared);
    let [below, above] =
        [&shared.below, &shared.above].map(|side| parted(members, side, spared, wishes));
    if turned {
        Draft::cut(None, seam, above, below)
    } else {
        Draft::cut(None, seam, below, above)
    }
}

fn is_same(a: &Frame, b: &Frame) -> bool {
    a.n.dot(&b.n).abs() > 1.0 - 1e-6 && a.height(&b.origin).abs() < SAME_MM
}

/// Which members lie below a plane and which above; `None` where it cuts one, or all lie on
/// one side.
fn sides(members: &Members, set: &[usize], plane: &Frame) -> Option<(Vec<usize>, Vec<usize>)> {
    let (mut below, mut above) = (Vec::new(), Vec::new());
    for &k in set {
        let (low, high) = members.members[k].reach_along(&plane.n);
        let at = plane.origin.coords.dot(&plane.n);
        let (low, high) = (low - at, high - at);
        let past = PAST.1.max(PAST.0 * (high - low));
        if high < past {
            below.push(k);
        } else if low > -past {
            above.push(k);
        } else {
            return None;
        }
    }
    (!below.is_empty() && !above.is_empty()).then_some((below, above))
}

/// Whether a plane goes through a box where that lies in another one.
fn goes_through(plane: &Frame, spared: &Bounds, bounds: &Bounds) -> bool {
    let heights = spared.corners().map(|p| plane.height(&p));
    spared.overlaps(bounds, 0.0)
        && heights.iter().any(|h| *h > 1e-6)
        && heights.iter().any(|h| *h < -1e-6)
}

/// The seam in a plane; whether it looks the other way.
fn seam(members: &Members, shared: &Shared) -> (PlannedSeam, bool) {
    // What is square to an axis but for the last digits is square to it.
    let given = shared.plane.n;
    let axis = given.map(f64::abs).imax();
    let square = given[axis].abs() > 1.0 - SQUARE;
    let turned = given[axis] < 0.0;
    let n = match (square, turned) {
        (true, _) => Vector::ith(axis, 1.0),
        (false, false) => given,
        (false, true) => -given,
    };
    let on_round = shared.meetings.iter().any(|m| {
        let on = &members.members[m.members[0]];
        on.round && on.kind != MemberKind::Board
    });
    let beside = if on_round { BESIDE_ROUND_MM } else { 0.0 };
    let at_mm = n.dot(&(shared.plane.origin.coords + given * beside));
    let at_mm = if on_round {
        (at_mm * 20.0).round() / 20.0
    } else {
        at_mm
    };
    let mut words: Vec<String> = Vec::new();
    for meeting in &shared.meetings {
        let [on, ending] = meeting.members.map(|k| &members.members[k]);
        let text = format!(
            "{} {} on {} {}",
            ending.kind,
            ending.size(),
            on.kind,
            on.size()
        );
        if !words.contains(&text) {
            words.push(text);
        }
    }
    let seam = PlannedSeam {
        reason: format!("where members meet: {}", words.join("; ")),
        ..PlannedSeam::at(n.into(), at_mm)
    };
    (seam, turned)
}

/// For what a part is to be cut further.
pub(crate) struct Further {
    /// Printers, with less room than there is.
    pub(crate) printers: Vec<Printer>,
    /// The longest that a piece may be.
    pub(crate) longest_mm: Option<f64>,
    /// Whether no seam is to go through where members meet.
    pub(crate) beside_meetings: bool,
}

/// The box about where two members meet, through which a seam goes only across its length.
pub(crate) fn beside_meeting(meeting: &Meeting) -> Option<KeepOut> {
    let strip = smallest_rectangle(&meeting.outline)?;
    let plane = &meeting.plane;
    let corners = meeting.outline.iter().flat_map(|p| p.exterior().0.iter());
    let bounds = Bounds::of(corners.map(|c| plane.place(c.x, c.y, 0.0)))?;
    let run = plane.u * strip.along[0] + plane.v * strip.along[1];
    Some(KeepOut {
        bounds: bounds.grown(BESIDE_MEETING_MM),
        run: Some(run),
    })
}

/// A tree of seams between members with what fits no printer cut further by `find`, which
/// is asked for the cuts of a part.
///
/// # Errors
///
/// When the kernel refuses the model. A part that cannot be cut so that it fits is left as
/// it is.
pub(crate) fn cut_to_fit(
    model: &Solid,
    tree: Draft,
    printers: &[Printer],
    reach_mm: (f64, f64),
    find: impl Fn(&Solid, &Further) -> Option<Draft>,
) -> Result<Draft, KernelError> {
    let fit = Fit {
        model,
        printers,
        reach_mm,
    };
    let reach = reach_mm.0.max(reach_mm.1);
    let longest = printers
        .iter()
        .map(|p| p.usable_mm()[0].max(p.usable_mm()[1]))
        .fold(0.0, f64::max);
    let mut out = tree.clone();
    // From the last leaf to the first, so that those to come keep their places.
    for (leaf, path) in tree.leaves().iter().enumerate().rev() {
        let region = match out.leaves()[leaf].last() {
            None => Region::Whole,
            Some(&(seam, side)) => Region::Side(seam, side),
        };
        if fit.all_fit(&out, region)? {
            continue;
        }
        let content = leaf_with_joints(model, &tree, path, (0.0, 0.0))?;
        // Joints at the seams about it reach past it where they are found to later: with all
        // of the bed first. What fits askew but falls over on its edge lies flat when it is
        // shorter.
        let mut last = None;
        let rooms = [
            (0.0, None),
            (0.0, Some(longest)),
            (reach, Some(longest - reach)),
            (2.0 * reach, Some(longest - 2.0 * reach)),
        ];
        let tries =
            [true, false].map(|beside| rooms.map(|(less, longest)| (beside, less, longest)));
        for (beside_meetings, less, longest_mm) in tries.into_iter().flatten() {
            let less_room = |p: &Printer| Printer {
                margin_mm: p.margin_mm + less / 2.0,
                height_mm: p.height_mm - less,
                ..p.clone()
            };
            let further = Further {
                printers: printers.iter().map(less_room).collect(),
                longest_mm,
                beside_meetings,
            };
            let Some(found) = find(&content, &further) else {
                continue;
            };
            let cut = out.grafted(region, found);
            let fits = fit.all_fit(&cut, region)?;
            last = Some(cut);
            if fits {
                break;
            }
        }
        out = last.unwrap_or(out);
    }
    Ok(out)
}

/// What pieces must fit.
struct Fit<'a> {
    model: &'a Solid,
    printers: &'a [Printer],
    reach_mm: (f64, f64),
}

impl Fit<'_> {
    /// Whether all pieces of a region fit a printer with what their joints may reach, and none
    /// falls over while it is printed.
    fn all_fit(&self, tree: &Draft, region: Region) -> Result<bool, KernelError> {
        for path in tree.leaves() {
            let within = match region {
                Region::Whole => true,
                Region::Side(seam, side) => path.contains(&(seam, side)),
            };
            if !within {
                continue;
            }
            let content = leaf_with_joints(self.model, tree, &path, (0.0, 0.0))?;
            let bodies = content.bodies();
            let pieces = bodies.iter().filter(|b| b.volume_mm3() > NOTHING_MM3);
            for piece in pieces {
                let grown = self.with_joints(piece, tree, &path);
                if !self.lies(&grown, |_| true) || !self.lies(piece, stands) {
                    return Ok(false);
                }
            }
        }
        Ok(true)
    }

    /// The box about a piece, longer at its seams by what joints reach there.
    fn with_joints(&self, piece: &Solid, tree: &Draft, path: &[(PlanSeam, SeamSide)]) -> Solid {
        let mut bounds = piece.bounds().unwrap_or(Bounds {
            min: Point::origin(),
            max: Point::origin(),
        });
        for &(seam, side) in path {
            let n = tree.seam(seam).frame().n;
            let axis = n.map(f64::abs).imax();
            let (at, reach) = (tree.seam(seam).at_mm / n[axis], self.reach_mm);
            // A joint reaches over the seam, out of the side on which the piece lies.
            if side == SeamSide::Below && (bounds.max[axis] - at).abs() < AT_SEAM_MM {
                bounds.max[axis] += reach.0;
            } else if side == SeamSide::Above && (bounds.min[axis] - at).abs() < AT_SEAM_MM {
                bounds.min[axis] -= reach.1;
            }
        }
        Solid::cuboid(bounds.min, bounds.max)
    }

    /// Whether a body has a way to lie on some printer that will do.
    fn lies(&self, body: &Solid, will_do: impl Fn(&Placement) -> bool) -> bool {
        let mut ways = self.printers.iter().filter_map(|p| place(body, p).ok());
        ways.any(|way| will_do(&way))
    }
}

fn stands(way: &Placement) -> bool {
    way.standing != Standing::Falls
}
