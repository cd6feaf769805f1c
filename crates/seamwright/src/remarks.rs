//! What went otherwise than hoped, as findings.

use std::collections::BTreeSet;

use design::{Plan, Region, SeamSide};
use inspection::{Code, Finding};
use workshop::{Build, Remark};

/// The findings of a plan carried out: seams that cut nothing, the remarks of the
/// build, and which pieces lie across.
pub(crate) fn findings(plan: &Plan, build: &Build) -> Vec<Finding> {
    let remarks = build.remarks.iter().map(|r| finding(r, build));
    idle_seams(plan, build)
        .chain(remarks)
        .chain(across_layers(build))
        .collect()
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

fn finding(remark: &Remark, build: &Build) -> Finding {
    let id = |piece: &usize| &build.pieces[*piece].id;
    match remark {
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
        Remark::NoLabel { piece } => Finding::new(
            Code::NoLabel,
            format!(
                "{} has no hidden face with room for its id; mark it by hand",
                id(piece)
            ),
        )
        .piece(id(piece)),
    }
}

/// One note for all pieces that cannot lie so that the profiles of all their
/// joints are in the layer plane.
fn across_layers(build: &Build) -> Option<Finding> {
    let ids: Vec<&str> = build
        .pieces
        .iter()
        .filter(|p| p.placement.as_ref().is_ok_and(|l| l.joints_across > 0))
        .map(|p| p.id.as_str())
        .collect();
    (!ids.is_empty()).then(|| {
        Finding::new(
            Code::JointsAcrossLayers,
            format!(
                "as they lie, some joints of {} have their profile across the layers: such flanks \
                 print with overhangs, and necks that layers cross bear less; the estimates count \
                 it",
                ids.join(", ")
            ),
        )
    })
}
