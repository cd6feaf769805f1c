//! What went otherwise than hoped, as findings.

use inspection::{Code, Finding};
use workshop::{Build, Remark};

/// The findings of a build: its remarks, and which pieces lie across.
pub(crate) fn findings(build: &Build) -> Vec<Finding> {
    let remarks = build.remarks.iter().map(|r| finding(r, build));
    remarks.chain(across_layers(build)).collect()
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
