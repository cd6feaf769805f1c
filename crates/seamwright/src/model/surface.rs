//! The surface of a model, closed.

use std::path::Path;

use inspection::{Code, Finding};
use solid::{Bounds, DefectKind, Defects, Mended, Mending, Point, Remedy, Solid, TriangleCorners};

use crate::failure::Failure;
use crate::model::Reading;

/// A volume that mending changes by more than this share is told by itself.
const MUCH: f64 = 1e-3;

/// Corners and triangles as a file numbers them.
type Indexed = (Vec<Point>, Vec<[u32; 3]>);

/// The triangles as a closed solid; what was mended is told, or refused where it may not be.
/// A mesh that is closed as its file numbers it is closed, also where bodies of it touch along
/// an edge, which their places alone do not tell apart.
pub(super) fn closed(
    path: &Path,
    (soup, indexed): (Vec<TriangleCorners>, Option<Indexed>),
    reading: &Reading,
    notes: &mut Vec<Finding>,
) -> Result<Solid, Failure> {
    if !reading.mend {
        let solid = Solid::from_triangles(soup).or_else(|e| closed_by_index(indexed).ok_or(e));
        return solid.map_err(|e| {
            let why = format!("the surface does not bound a solid: {e}");
            Failure::input(
                path,
                why,
                "Leave --no-mend out to have mended what is certain.",
            )
        });
    }
    let before = enclosed_mm3(&soup);
    let mended = Solid::mended_by(soup, reading.mends);
    let touching =
        |m: &Mended| !m.done.is_empty() && m.done.iter().all(|m| m.remedy == Remedy::Sheets);
    if mended.as_ref().map_or(true, touching)
        && let Some(solid) = closed_by_index(indexed)
    {
        return Ok(solid);
    }
    let Mended {
        solid,
        done,
        closed_mm2,
    } = mended.map_err(|e| broken(path, &e))?;
    notes.extend(done.iter().map(told));
    let after = solid.volume_mm3();
    let [was, is] = [before, after].map(|mm3| mm3 / 1000.0);
    let did = |remedy| done.iter().any(|m| m.remedy == remedy);
    let thick = reading.mends.thicken_mm.filter(|_| did(Remedy::Thickened));
    let change = if let Some(mm) = thick {
        Some(format!(
            "surfaces without thickness were made {mm} mm thick, half of it to either side, so that \
             it reaches up to {} mm further than it was drawn",
            mm / 2.0
        ))
    } else if did(Remedy::Films) {
        Some("sheets without thickness were left out, which are no boards".to_owned())
    } else if closed_mm2 > 0.0 {
        // What an open surface encloses is no volume to hold another against.
        let closed = closed_mm2 / 100.0;
        Some(format!(
            "faces of together {closed:.1} cm² closed holes, and it encloses {is:.1} cm³"
        ))
    } else if !done.is_empty() && (after - before.abs()).abs() > MUCH * after {
        Some(format!(
            "its faces told of {was:.1} cm³ before, and enclose {is:.1} cm³ now"
        ))
    } else {
        None
    };
    if let Some(change) = change {
        let message = format!(
            "the model was mended: {change}; look at the pieces before you print them, or see \
             with --no-mend what is wrong with it"
        );
        notes.push(Finding::new(Code::VolumeMended, message));
    }
    Ok(solid)
}

/// The solid that a file's own numbers make, where every body of it is closed and encloses
/// something.
fn closed_by_index(indexed: Option<Indexed>) -> Option<Solid> {
    let (corners, triangles) = indexed?;
    let solid = Solid::from_indexed(corners, triangles).ok()?;
    let is_film = |body: &Solid| body.volume_mm3().abs() < FILM_MM * body.area_mm2();
    (!solid.bodies().iter().any(is_film)).then_some(solid)
}

/// Thinner than this on the whole, a body encloses nothing.
const FILM_MM: f64 = 1e-6;

/// What triangles enclose by the divergence theorem, about the middle of their box; of a
/// surface that is open or turned over in places, no more than a measure of how much.
fn enclosed_mm3(soup: &[TriangleCorners]) -> f64 {
    let Some(bounds) = Bounds::of(soup.iter().flatten().copied()) else {
        return 0.0;
    };
    let middle = bounds.centre();
    let sixth = |t: &TriangleCorners| {
        let [a, b, c] = t.map(|p| p - middle);
        a.dot(&b.cross(&c)) / 6.0
    };
    soup.iter().map(sixth).sum()
}

/// What was done to a surface, in words.
fn told(mending: &Mending) -> Finding {
    let n = mending.count;
    let counted = |one: &str, many: &str| format!("{n} {}", if n == 1 { one } else { many });
    let words = match mending.remedy {
        Remedy::Welded => {
            counted("corner was", "corners were")
                + " apart from others by less than a file is exact to, and welded"
        }
        Remedy::NoArea => {
            counted("zero-area face was", "zero-area faces were")
                + " removed, which changes no shape"
        }
        Remedy::Doubled => {
            counted("face", "faces") + " that lay on others, or against them, removed"
        }
        Remedy::Junctions => {
            counted("edge was", "edges were") + " parted at corners of other faces that lie in it"
        }
        Remedy::Turned => {
            counted("flipped face was", "flipped faces were") + " turned as those around it are"
        }
        Remedy::Sheets => {
            counted("edge", "edges")
                + " at which more than two faces meet: the bodies that touch there were told apart"
        }
        Remedy::Holes => {
            counted("hole", "holes") + " with a flat rim closed, as if a face was missing"
        }
        Remedy::Guessed => {
            counted("hole", "holes")
                + " whose rim is not flat closed as it seemed best, by the least area"
        }
        Remedy::Thickened => {
            counted("surface", "surfaces")
                + " without thickness given one, half of it to either side"
        }
        Remedy::Films => counted("body", "bodies") + " without any thickness removed",
        Remedy::Bodies => {
            counted("inside-out body", "inside-out bodies") + " turned outward, as the others are"
        }
    };
    Finding::new(Code::Mended, words).at(&mending.at)
}

fn broken(path: &Path, defects: &Defects) -> Failure {
    Failure::input(
        path,
        format!("the surface does not bound a solid: {defects}"),
        what_to_do(defects),
    )
}

/// What a maker does about what could not be mended.
fn what_to_do(defects: &Defects) -> &'static str {
    match defects.found.first().map(|d| d.kind) {
        Some(DefectKind::OpenEdge) => {
            "Faces are missing there, and the rim is not flat, so that it is not certain what \
             belongs there: add them in the program that made the model, or export it as a solid; \
             --mend closes them as it seems best, --thicken gives a surface without thickness one."
        }
        Some(DefectKind::CrowdedEdge) => {
            "Either parts of one body touch along a line there: let them overlap by a tenth of a \
             millimetre, or leave a gap. Or faces there belong to no body: take out what lies \
             within the furniture, or export each part by itself."
        }
        Some(DefectKind::FlippedFace) => {
            "The surface there has one side only, as a twisted band has: draw the part anew."
        }
        Some(DefectKind::InsideOut) => {
            "Turn the faces of that body outward in the program that made the model."
        }
        _ => "Export the model again.",
    }
}
