//! What went otherwise than hoped, as findings.

use std::collections::BTreeSet;

use design::{PieceEntry, PieceId, Plan, Region, SeamId, SeamSide, Wishes};
use inspection::{Code, Finding};
use paperwork::Report;
use workshop::{Build, Remark};

/// The findings of a plan carried out: seams that cut nothing, and the remarks of the
/// build.
pub(crate) fn findings(plan: &Plan, build: &Build) -> Vec<Finding> {
    let remarks = build.remarks.iter().filter_map(|r| finding(r, build));
    let weights = former_weights(plan);
    idle_seams(plan, build)
        .chain(remarks)
        .chain(unlabelled(build))
        .chain(unmarked(build))
        .chain(weights)
        .collect()
}

/// That the model has no members to part.
pub(crate) fn no_members(plan: &Plan) -> Option<Finding> {
    let found = plan.found()?;
    (plan.settings().wishes.by_members && !found.by_members).then(|| {
        let message = "of the boards, legs and rails that were found none meet in a plane that \
                       runs through no other of them, and through nothing that a wish spares; the \
                       model is cut as without --by-members (`survey` lists what was found)";
        Finding::new(Code::NoMembers, message)
    })
}

/// That weights of an earlier version are not used any more.
fn former_weights(plan: &Plan) -> Option<Finding> {
    let former = &plan.settings().former_weights;
    let names: Vec<&str> = former.keys().map(String::as_str).collect();
    (!names.is_empty()).then(|| {
        let message = format!(
            "the plan has weights of an earlier version ({}), which do nothing any more; what \
             makes one plan better than another stands under [settings.rates]",
            names.join(", ")
        );
        Finding::new(Code::FormerWeights, message)
    })
}

/// Seams all of whose material lies on one side.
fn idle_seams(plan: &Plan, build: &Build) -> impl Iterator<Item = Finding> {
    let tree = plan.tree();
    let spans = tree.spans();
    let filled: BTreeSet<usize> = build
        .pieces
        .iter()
        .filter_map(|p| Some(p.cell?.place()))
        .collect();
    let is_bare = move |seam, side| {
        let span = spans.of(Region::Side(seam, side));
        filled.range(span).next().is_none()
    };
    let idle = tree
        .seams()
        .filter(move |&seam| SeamSide::BOTH.iter().any(|&side| is_bare(seam, side)));
    idle.map(|seam| {
        let id = tree.id(seam);
        let why = format!("{id} cuts nothing: all that is there lies on one side of it");
        Finding::new(Code::IdleSeam, why).seam(id)
    })
}

/// Pieces without their id, all in one note: marked by hand before they are mixed up.
fn unlabelled(build: &Build) -> Option<Finding> {
    let bare = build.remarks.iter().filter_map(|remark| match remark {
        Remark::NoLabel { piece } => Some(&build.pieces[*piece].id),
        _ => None,
    });
    let bare: Vec<&PieceId> = bare.collect();
    let ids: Vec<&str> = bare.iter().map(|id| id.as_str()).collect();
    let (have, each) = match ids.len() {
        1 => ("has", "it"),
        _ => ("have", "each"),
    };
    let message = format!(
        "{} {have} no hidden face with room for an id; mark {each} by hand as it comes off the bed",
        ids.join(", ")
    );
    Some(Finding::new(Code::NoLabel, message).piece(bare.first()?))
}

/// Seams that pieces bear no mark of, all in one note.
fn unmarked(build: &Build) -> Option<Finding> {
    let why = |pieces: &[usize], why: &str| {
        let ids: Vec<&str> = pieces
            .iter()
            .map(|&k| build.pieces[k].id.as_str())
            .collect();
        (!ids.is_empty()).then(|| format!("{} ({why})", ids.join(", ")))
    };
    let each = build.remarks.iter().filter_map(|remark| match remark {
        Remark::NoMark {
            seam,
            no_room,
            alike,
        } => {
            let both = [why(no_room, "no room"), why(alike, "alike")];
            let on: Vec<String> = both.into_iter().flatten().collect();
            Some((seam, format!("of {seam} on {}", on.join(" and "))))
        }
        _ => None,
    });
    let (seams, each): (Vec<&SeamId>, Vec<String>) = each.unzip();
    let message = format!(
        "pieces bear no mark {}: beside joints there is no room, and pieces of one shape share a \
         file; write the seam there, and the piece that comes to it, as the steps have it",
        each.join("; ")
    );
    Some(Finding::new(Code::NoMark, message).seam(seams.first()?))
}

/// What came otherwise than hoped; labels and marks are told together.
fn finding(remark: &Remark, build: &Build) -> Option<Finding> {
    let id = |piece: &usize| &build.pieces[*piece].id;
    Some(match remark {
        Remark::FallsApart { piece, part } => {
            let finding = Finding::new(
                Code::LoosePart,
                format!(
                    "a joint or seam cuts {:.0} mm³ off {} that hangs on nothing and is not in \
                     any piece; move the seam beside it",
                    part.volume_mm3(),
                    id(piece)
                ),
            )
            .piece(id(piece));
            match part.bounds() {
                Some(b) => finding.at(&b.centre()),
                None => finding,
            }
        }
        Remark::NotWhole { name, pieces } => {
            let ids: Vec<&str> = pieces.iter().map(|k| id(k).as_str()).collect();
            Finding::new(
                Code::NotWhole,
                format!(
                    "{name} was to be in one piece and is in {}; move the seams between them, or \
                     make the box reach to where its parts hang together",
                    ids.join(" and ")
                ),
            )
        }
        Remark::Dropped { volume_mm3 } => Finding::new(
            Code::Chips,
            format!("{volume_mm3:.2} mm³ of chips that hang on nothing were dropped"),
        )
        .measured(*volume_mm3, 0.0),
        Remark::NoWayHome { body, pieces, .. } => {
            let ids: Vec<&str> = pieces.iter().map(|k| id(k).as_str()).collect();
            let message = format!(
                "no straight way along an axis leads {body} ({}) to its place, neither once the \
                 others stand nor before one of their seams is closed; leave it room in the model, \
                 move a seam to where it is held, give its way_in in plan.toml, or cut all bodies \
                 by the same planes with --together",
                ids.join(", ")
            );
            Finding::new(Code::NoWayHome, message).seam(body)
        }
        Remark::NoMark { .. } | Remark::NoLabel { .. } => return None,
    })
}

/// A piece with more of its plastic in support hangs over much.
const MUCH_SUPPORT: f64 = 0.3;

/// Pieces that take more plastic than a spool has, and those that print longer than the
/// maker wants.
pub(crate) fn not_affordable(report: &Report, wishes: &Wishes) -> Vec<Finding> {
    let over = |of: fn(&PieceEntry) -> f64, most: f64| {
        let pieces = report.pieces.iter();
        let mut over: Vec<&PieceEntry> = pieces.filter(|p| !p.printed && of(p) > most).collect();
        over.sort_by(|a, b| of(b).total_cmp(&of(a)));
        let ids: Vec<&str> = over.iter().map(|p| p.id.as_str()).collect();
        Some((of(over.first()?), ids.join(", ")))
    };
    let most_g = wishes.most_plastic_g();
    let heavy = over(|p| p.plastic_g, most_g).map(|(worst, ids)| {
        let hangs = |p: &&PieceEntry| {
            p.support_g > MUCH_SUPPORT * p.plastic_g || p.plastic_g - p.support_g <= most_g
        };
        let heavy = report
            .pieces
            .iter()
            .filter(|p| !p.printed && p.plastic_g > most_g);
        let support: f64 = heavy.filter(hangs).map(|p| p.support_g).sum();
        let support = match support > 0.0 {
            true => format!(" ({support:.0} g of it support, which hangs on how it fits the bed)"),
            false => String::new(),
        };
        let message = format!(
            "a spool, less the twentieth that may be left on it, has {most_g:.0} g, which does not \
             do for {ids}, up to {worst:.0} g{support}: move a seam beside it towards it in \
             plan.toml, change the spool half-way, or fill less of the inside"
        );
        Finding::new(Code::OverASpool, message).measured(worst, most_g)
    });
    let long = wishes.longest_print_h.and_then(|most_h| {
        let (worst, ids) = over(|p| p.print_min / 60.0, most_h)?;
        let message = format!(
            "no piece was to print longer than {most_h} h, and {ids} do, up to {worst:.1} h: move \
             a seam beside it towards it in plan.toml, or fill less of the inside"
        );
        Some(Finding::new(Code::PrintsTooLong, message).measured(worst, most_h))
    });
    heavy.into_iter().chain(long).collect()
}
