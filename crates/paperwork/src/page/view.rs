//! The pieces in three dimensions, for the page: meshes small enough to ship,
//! their feature edges, and what the assembly moves.

use base64::Engine;
use design::{Assembly, PieceEntry, PieceInPlace};
use maud::{Markup, PreEscaped, html};
use rayon::prelude::*;
use serde::Serialize;
use solid::{Bounds, Point, Solid};

use crate::pictures::colours::piece_colours;
use crate::pictures::edges::{Edge, edges};
use crate::record::entries::{PrinterEntry, Report};
use crate::words::listed;

/// Meshes are simplified to this error where they are large.
const ERROR_MM: f64 = 0.1;
/// Meshes of more triangles are simplified.
const LARGE: usize = 3_000;
/// Faces that meet at more than this have an edge drawn between them.
const EDGE_COSINE: f64 = 0.866;

#[derive(Serialize)]
struct Scene {
    radius: f64,
    error_mm: f64,
    pieces: Vec<Shape>,
    steps: Vec<Move>,
    findings: Vec<Mark>,
}

#[derive(Serialize)]
struct Shape {
    id: String,
    rgb: [u8; 3],
    /// The middle of its box.
    middle: [f64; 3],
    /// Takes the scene's coordinates to those of its file.
    to_bed: [[f64; 4]; 3],
    /// The outline of its printer's bed, about the middle.
    bed: Vec<[f64; 2]>,
    /// What looks further down than this needs support.
    overhang_cos: f64,
    points: String,
    triangles: String,
    edges: String,
}

#[derive(Serialize)]
struct Move {
    moving: Vec<usize>,
    direction: [f64; 3],
    travel: f64,
    words: String,
}

#[derive(Serialize)]
struct Mark {
    at: [f64; 3],
    severity: String,
    words: String,
}

/// What makes the view live; it must stand after all that it refers to.
pub(crate) fn script() -> Markup {
    html! { script { (PreEscaped(include_str!("view.js"))) } }
}

/// The view's markup: a canvas, its controls, and what it draws.
pub(crate) fn view(report: &Report, assembly: &Assembly) -> Markup {
    let json = serde_json::to_string(&scene(report, assembly)).unwrap_or_else(|_| "null".into());
    // Inside a script no tag may seem to end it.
    let json = json.replace('<', "\\u003c");
    html! {
        section #view {
            h2 { "In three dimensions" }
            div.stage {
                canvas #stage tabindex="0" role="application"
                    aria-label="The pieces in three dimensions. Arrow keys turn, shift and arrow keys shift, plus and minus zoom, home goes back." {}
                p #picked role="status" { "No piece picked" }
                p #no-view hidden { "This browser draws no 3-D view; the pictures show the same." }
            }
            div.controls {
                label { "Apart " input #apart type="range" min="0" max="100" value="0"; }
                label { "Step " input #step type="range" min="0" max=(report.steps.len()) value=(report.steps.len()); }
                button #before type="button" { "Step back" }
                button #play type="button" { "Play assembly" }
                button #after type="button" { "Step on" }
                button #lie type="button" aria-pressed="false" { "Picked piece on the bed" }
                button #alone type="button" aria-pressed="false" { "Picked piece alone" }
                button #hide type="button" { "Hide picked piece" }
                button #show type="button" { "Show all" }
                @if !report.findings.is_empty() {
                    button #marks type="button" aria-pressed="true" { "Findings" }
                }
                button #home type="button" { "Whole view" }
                label { "Piece " select #choose {
                    option value="" { "none" }
                    @for p in &report.pieces { option value=(p.id) { (p.id) } }
                } }
            }
            p #said role="status" aria-live="polite" { "All pieces in place" }
            p.small { "Drag to turn, drag with shift or two fingers to shift, wheel or pinch to zoom; a click picks a piece. A picked piece on the bed shows from below what lies on the bed (blue) and what leans over so far that it needs support or is bridged (amber). Meshes of more than " (LARGE) " triangles are simplified to " (ERROR_MM) " mm for this view only." }
            script type="application/json" #scene { (PreEscaped(json)) }
        }
    }
}

fn scene(report: &Report, assembly: &Assembly) -> Scene {
    let all = assembly
        .pieces()
        .iter()
        .filter_map(|p| p.in_place.bounds())
        .reduce(|a, b| a.joined(&b))
        .unwrap_or(Bounds {
            min: Point::origin(),
            max: Point::origin(),
        });
    let centre = all.centre();
    let colours = piece_colours(assembly.pieces().len());
    let pieces = assembly
        .pieces()
        .par_iter()
        .zip(&report.pieces)
        .zip(&colours)
        .map(|((piece, entry), rgb)| shape(report, (piece, entry), *rgb, &centre))
        .collect();
    Scene {
        radius: all.diagonal_mm() / 2.0,
        error_mm: ERROR_MM,
        pieces,
        steps: assembly
            .steps()
            .iter()
            .map(|s| Move {
                moving: assembly.places(&s.moving),
                direction: s.direction,
                travel: s.travel_mm,
                words: format!(
                    "Step {}: {} onto {}, {:.0} mm",
                    s.step,
                    listed(&s.moving, ", "),
                    listed(&s.onto, ", "),
                    s.travel_mm
                ),
            })
            .collect(),
        findings: report
            .findings
            .iter()
            .filter_map(|f| {
                let at = Point::from(f.at_mm?) - centre;
                Some(Mark {
                    at: at.into(),
                    severity: format!("{:?}", f.severity).to_lowercase(),
                    words: f.message.clone(),
                })
            })
            .collect(),
    }
}

/// A piece as the view draws it, about the middle of all.
fn shape(
    report: &Report,
    (piece, entry): (&PieceInPlace, &PieceEntry),
    rgb: [u8; 3],
    centre: &Point,
) -> Shape {
    let solid = small(&piece.in_place);
    let motion = entry.motion().map(|m| m.inverse()).unwrap_or_default();
    let turn = motion.rotation.to_rotation_matrix();
    let shift = (motion * centre).coords;
    let printer = report.printers.iter().find(|p| p.name == entry.printer);
    let own = printer.and_then(|p| p.print);
    let print = own.unwrap_or(report.settings.print);
    Shape {
        bed: printer.map_or_else(|| vec![[0.0; 2]], outline),
        overhang_cos: print.overhang_deg.to_radians().sin(),
        id: piece.id.to_string(),
        rgb,
        middle: solid
            .bounds()
            .map_or([0.0; 3], |b| (b.centre() - centre).into()),
        to_bed: std::array::from_fn(|i| [turn[(i, 0)], turn[(i, 1)], turn[(i, 2)], shift[i]]),
        points: packed(solid.vertices().iter().flat_map(|p| {
            let d = p - centre;
            [d.x, d.y, d.z].map(|x| (x as f32).to_le_bytes())
        })),
        triangles: packed(solid.triangles().iter().flatten().map(|i| i.to_le_bytes())),
        edges: packed(
            feature_edges(&solid)
                .into_iter()
                .flatten()
                .map(u32::to_le_bytes),
        ),
    }
}

/// The outline of a bed about its middle.
fn outline(printer: &PrinterEntry) -> Vec<[f64; 2]> {
    let [w, d, _] = printer.bed_mm.map(|x| x / 2.0);
    let around = |k: i32| std::f64::consts::TAU * f64::from(k) / 64.0;
    match printer.round {
        true => (0..64)
            .map(|k| [w * around(k).cos(), w * around(k).sin()])
            .collect(),
        false => vec![[-w, -d], [w, -d], [w, d], [-w, d]],
    }
}

/// A piece small enough to ship: simplified where it is large and that leaves
/// it whole.
fn small(piece: &Solid) -> Solid {
    if piece.triangles().len() <= LARGE {
        return piece.clone();
    }
    match piece.simplified(ERROR_MM) {
        Ok(less) if !less.is_empty() => less,
        _ => piece.clone(),
    }
}

fn packed<const N: usize>(bytes: impl Iterator<Item = [u8; N]>) -> String {
    let all: Vec<u8> = bytes.flatten().collect();
    base64::engine::general_purpose::STANDARD.encode(all)
}

/// Edges at which a solid's faces meet at an angle.
fn feature_edges(solid: &Solid) -> Vec<[u32; 2]> {
    let turns = |e: &Edge| {
        let [m, n] = e.faces.map(|k| solid.normal(k as usize));
        m.dot(&n) < EDGE_COSINE
    };
    let edges = edges(solid).into_iter();
    edges.filter(turns).map(|e| e.ends).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_block_has_its_twelve_edges() {
        let block = Solid::cuboid(Point::origin(), Point::new(1.0, 2.0, 3.0));
        assert_eq!(feature_edges(&block).len(), 12);
    }
}
