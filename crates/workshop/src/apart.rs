//! A model of several bodies: each planned by itself, alike ones once.

use std::cmp::Reverse;

use design::{
    BodyApart, Draft, Emphasis, Found, JointChoice, ModelReference, Plan, PlanSeam, Region, SeamId,
    SeamSide, Settings,
};
use joinery::JointKind;
use planner::{Certificate, KeepOut};
use printing::Printer;
use solid::{Bounds, Isometry, Point, RayCaster, Solid, Vector};

use crate::assembly::congruent::congruent;
use crate::assembly::ways::Ways;
use crate::build::{Build, build};
use crate::build_error::BuildError;
use crate::remark::Remark;
use crate::tried::{NoSplit, Split, equal_boxes, split_as_one};

/// More bodies are cut by the same planes: nobody puts so many together one by one.
const MOST_BODIES: usize = 200;

/// The bodies of a model that are to be planned one by one; none where it is to be cut as
/// one: by a wish, or because it is one, or more than anybody puts in place one by one.
///
/// ```
/// use design::Settings;
/// use solid::{Point, Solid};
///
/// let block = |x: f64| Solid::cuboid(Point::new(x, 0.0, 0.0), Point::new(x + 10.0, 10.0, 10.0));
/// let two = Solid::gathered(&[block(0.0), block(20.0)]);
/// assert_eq!(workshop::bodies_apart(&two, &Settings::default()).len(), 2);
/// assert!(workshop::bodies_apart(&block(0.0), &Settings::default()).is_empty());
/// ```
pub fn bodies_apart(model: &Solid, settings: &Settings) -> Vec<Solid> {
    let bodies = match settings.wishes.together {
        true => Vec::new(),
        false => model.bodies(),
    };
    match bodies.len() {
        2..=MOST_BODIES => bodies,
        _ => Vec::new(),
    }
}

/// Plans each body by itself, alike ones once, and carries all out as one plan, in which each
/// comes home whole.
pub(crate) fn split_apart(
    (model, bodies): (&Solid, &[Solid]),
    printers: &[Printer],
    settings: &Settings,
    reference: ModelReference,
    spared: &[KeepOut],
) -> Result<Split, NoSplit> {
    let up = settings.up.direction();
    let mut of_bodies: Vec<(Split, Draft)> = Vec::with_capacity(bodies.len());
    for (body, first) in bodies.iter().zip(firsts(bodies, &up)) {
        let known = first.map(|(of, motion)| {
            let (split, tree) = &of_bodies[of];
            (split.clone(), tree.moved(&motion))
        });
        of_bodies.push(match known {
            Some(known) => known,
            None => {
                let split = of_body(body, printers, settings, &reference, spared)?;
                let tree = split.plan.tree().clone().renamed(|_| None);
                (split, tree)
            }
        });
    }
    let tree = one_tree(bodies, &of_bodies, &up);
    let plan = Plan::new(
        reference,
        settings.clone(),
        printers.to_vec(),
        tree.named(1),
    )
    .map_err(BuildError::Plan)?;
    let splits = || of_bodies.iter().map(|(split, _)| split);
    let plan = plan.found_by(Some(found(splits(), spared)));
    let (plan, build) = opened(model, plan)?;
    let mut split = Split {
        plan,
        build,
        certificate: Certificate::of_all(splits().map(|s| &s.certificate)),
    };
    split.certificate.equal_boxes = Some(equal_boxes(model, &split)?);
    Ok(split)
}

/// Joints that let two sides go straight together: keys, which are dropped in afterwards and
/// hold by their shape, or tenons, where keys would come in through the body.
const STRAIGHT: [&[JointKind]; 2] = [
    &[JointKind::Butterfly, JointKind::Tenon],
    &[JointKind::Tenon],
];
/// How often seams are closed another way so that bodies find home.
const ROUNDS: usize = 3;

/// A plan carried out. What holds a body in a groove cannot be slid shut along it: seams that
/// would be, and so catch a body that is there before, get joints that go straight together.
fn opened(model: &Solid, plan: Plan) -> Result<(Plan, Build), BuildError> {
    let made = build(model, &plan)?;
    let mut best = (plan, made);
    for _ in 0..ROUNDS {
        let catching = catching(&best.1);
        if catching.is_empty() {
            break;
        }
        let before = nowhere(&best.1);
        for kinds in STRAIGHT {
            let other = with_joints(model, &best.0, &catching, kinds)?;
            if nowhere(&other.1) < before {
                best = other;
                break;
            }
        }
        if nowhere(&best.1) == before {
            break;
        }
    }
    Ok(best)
}

/// A plan carried out with other joints on some seams.
fn with_joints(
    model: &Solid,
    plan: &Plan,
    seams: &[SeamId],
    kinds: &[JointKind],
) -> Result<(Plan, Build), BuildError> {
    let mut tree = plan.tree().clone();
    let places: Vec<PlanSeam> = seams.iter().filter_map(|id| tree.find(id)).collect();
    for k in places {
        tree.seam_mut(k).joint = Some(JointChoice::of(kinds.iter().copied()));
    }
    let other = plan.remade(plan.printers().to_vec(), tree)?;
    let other = other.found_by(plan.found().cloned());
    let made = build(model, &other)?;
    Ok((other, made))
}

/// The seams that catch bodies which find no way home.
fn catching(build: &Build) -> Vec<SeamId> {
    let by = build.remarks.iter().filter_map(|remark| match remark {
        Remark::NoWayHome { caught_by, .. } => Some(caught_by),
        _ => None,
    });
    by.flatten().cloned().collect()
}

/// How many bodies find no way home.
fn nowhere(build: &Build) -> usize {
    let remarks = build.remarks.iter();
    remarks
        .filter(|r| matches!(r, Remark::NoWayHome { .. }))
        .count()
}

/// For each body the first of the same shape, and the motion to it, where that leaves upright
/// what is upright.
fn firsts(bodies: &[Solid], up: &Vector) -> Vec<Option<(usize, Isometry)>> {
    let upright = |motion: &Isometry| (motion.rotation * up).dot(up) > 0.5;
    let alike = congruent(bodies).into_iter();
    let alike = alike.map(|like| like.map(|c| (c.of, c.motion)));
    alike
        .map(|like| like.filter(|(_, motion)| upright(motion)))
        .collect()
}

/// One body planned by itself.
fn of_body(
    body: &Solid,
    printers: &[Printer],
    settings: &Settings,
    reference: &ModelReference,
    spared: &[KeepOut],
) -> Result<Split, NoSplit> {
    let mut settings = settings.clone();
    if let Some(bounds) = body.bounds() {
        settings.wishes = settings.wishes.within(&bounds);
    }
    split_as_one(
        (body, false),
        printers,
        &settings,
        reference.clone(),
        spared,
    )
    .map_err(|why| NoSplit::Body {
        what: what(body),
        why: Box::new(why),
    })
}

/// A body by its size.
fn what(body: &Solid) -> String {
    let size = body.bounds().map_or(Vector::zeros(), |b| b.size_mm());
    let [x, y, z]: [f64; 3] = size.into();
    format!("body of {x:.0} × {y:.0} × {z:.0} mm")
}

/// How the whole was found.
fn found<'a>(splits: impl Iterator<Item = &'a Split>, spared: &[KeepOut]) -> Found {
    let corners = |k: &KeepOut| [k.bounds.min.into(), k.bounds.max.into()];
    let mut out = Found {
        emphasis: Emphasis::Given,
        less_room_mm: 0.0,
        keep_out_mm: spared.iter().map(corners).collect(),
        by_members: false,
    };
    for own in splits.filter_map(|split| split.plan.found()) {
        out.by_members |= own.by_members;
        for keep_out in &own.keep_out_mm {
            if !out.keep_out_mm.contains(keep_out) {
                out.keep_out_mm.push(*keep_out);
            }
        }
    }
    out
}

/// The trees of all bodies in one: at its top each body that comes home, the last first, and
/// in the end the one that stands.
fn one_tree(bodies: &[Solid], of_bodies: &[(Split, Draft)], up: &Vector) -> Draft {
    let (stands, comers) = in_order(bodies, up);
    let mut tree = Draft::uncut();
    let mut rest = Region::Whole;
    let mut branches = Vec::new();
    for (k, (body, way_in)) in comers.iter().enumerate() {
        let Some(bounds) = bodies[*body].bounds() else {
            continue;
        };
        let apart = BodyApart {
            name: None,
            at_mm: point_in(&bodies[*body], &bounds).into(),
            way_in: way_in.map(Into::into),
            reason: format!("a {} that stands apart", what(&bodies[*body])),
        };
        let id = SeamId::body(comers.len() - k);
        let added = tree.add(Some(id), apart, rest);
        branches.push((*body, Region::Side(added, SeamSide::Below)));
        rest = Region::Side(added, SeamSide::Above);
    }
    branches.push((stands, rest));
    for (body, region) in branches {
        tree.append(of_bodies[body].1.clone(), region);
    }
    tree
}

/// A body that comes to others, and the straight way that is free once these are whole.
type Coming = (usize, Option<Vector>);

/// The body that stands, which is the largest, and the others, the last to come home first:
/// of those whose way out is free of all that are left, the smallest.
fn in_order(bodies: &[Solid], up: &Vector) -> (usize, Vec<Coming>) {
    let ways = Ways::of(bodies, *up);
    let room = |k: &usize| {
        let size = bodies[*k].bounds().map_or(0.0, |b| b.size_mm().product());
        (size * 1e3) as u64
    };
    let mut left: Vec<usize> = (0..bodies.len()).collect();
    left.sort_by_key(|k| (room(k), Reverse(*k)));
    let mut comers = Vec::new();
    while left.len() > 1 {
        let last = left.len() - 1;
        let out = left[..last].iter().enumerate().find_map(|(at, &body)| {
            let others: Vec<usize> = left.iter().copied().filter(|k| *k != body).collect();
            Some((at, ways.way(&[body], &others)?.0))
        });
        let at = out.map_or(0, |(at, _)| at);
        comers.push((left.remove(at), out.map(|(_, way)| way)));
    }
    (left.first().copied().unwrap_or(0), comers)
}

/// So many faces are looked behind for the middle of a body.
const LOOKS: usize = 64;

/// A point well within a body: halfway through it where it is thickest, of a few places.
fn point_in(body: &Solid, bounds: &Bounds) -> Point {
    let Some(rays) = RayCaster::new(body) else {
        return bounds.centre();
    };
    let reach = bounds.diagonal_mm();
    let every = body.triangles().len().div_ceil(LOOKS).max(1);
    let middles = (0..body.triangles().len()).step_by(every).filter_map(|t| {
        let [a, b, c] = body.corners(t);
        let from = Point::from((a.coords + b.coords + c.coords) / 3.0);
        let inward = -body.normal(t);
        let hit = rays.first_exit(&(from + inward * 1e-3), &inward, reach)?;
        let at = from + inward * (hit.distance_mm / 2.0);
        let at = at.coords.map(|x| (x * 1e3).round() / 1e3);
        Some((hit.distance_mm, Point::from(at)))
    });
    let best = middles.filter(|(_, at)| rays.contains(at));
    best.max_by(|a, b| a.0.total_cmp(&b.0))
        .map_or(bounds.centre(), |(_, at)| at)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn block(a: [f64; 3], b: [f64; 3]) -> Solid {
        Solid::cuboid(Point::from(a), Point::from(b))
    }

    #[test]
    fn two_drawers_are_planned_once_and_come_home_into_their_case() {
        let hole = |z: f64| block([18.0, -1.0, z], [282.0, 290.0, z + 110.0]);
        let case = block([0.0; 3], [300.0, 300.0, 274.0])
            .difference(&hole(18.0))
            .and_then(|s| s.difference(&hole(146.0)))
            .unwrap();
        let drawer = |z: f64| block([19.0, 0.0, z + 1.0], [281.0, 280.0, z + 60.0]);
        let bodies = [case, drawer(18.0), drawer(146.0)];
        let model = Solid::gathered(&bodies);
        let printers = [Printer::rectangular("bed-1", 220.0, 220.0, 250.0)];
        let (settings, reference) = (Settings::default(), ModelReference::default());
        let found = bodies_apart(&model, &settings);
        assert_eq!(found.len(), 3);
        let split = split_apart((&model, &found), &printers, &settings, reference, &[]).unwrap();
        let tree = split.plan.tree();
        assert_eq!(tree.bodies().count(), 2);
        for (_, body) in tree.bodies() {
            assert_eq!(body.way_in, Some([0.0, 1.0, 0.0]));
        }
        let home = split
            .build
            .steps
            .iter()
            .filter(|s| s.closes.seam().is_none());
        assert_eq!(home.count(), 2);
        assert!(split.build.remarks.is_empty());
        let again = Plan::from_toml(&split.plan.to_toml().unwrap()).unwrap();
        assert_eq!(
            build(&model, &again).unwrap().pieces.len(),
            split.build.pieces.len()
        );
    }

    /// A hollow block prints without support only in parts: alone it fits the bed and stays one
    /// piece, beside another it is parted, as that costs less.
    #[test]
    fn one_body_of_several_is_parted_where_its_supports_cost_more_than_a_piece() {
        let hollow = block([0.0; 3], [200.0, 200.0, 160.0])
            .difference(&block([8.0; 3], [192.0, 192.0, 152.0]))
            .unwrap();
        let peg = block([300.0, 0.0, 0.0], [340.0, 40.0, 90.0]);
        let printers = [Printer::rectangular("bed-1", 220.0, 220.0, 250.0)];
        let settings = Settings::default();
        let pieces = |model: &Solid| {
            let reference = ModelReference::default();
            let split = crate::split::split(model, &printers, &settings, reference, &[]).unwrap();
            let cut = split.build.pieces.iter().filter(|p| p.cell.is_some());
            cut.count()
        };
        assert_eq!(pieces(&hollow), 1);
        assert_eq!(pieces(&Solid::gathered(&[hollow, peg])), 3);
    }
}
