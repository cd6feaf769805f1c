//! Pictures of the furniture, of pieces, steps and plates.

use design::{Assembly, StepEntry};
use rayon::prelude::*;
use solid::{Bounds, Point, Solid, Vector};

use crate::pictures::arrow::arrow;
use crate::pictures::canvas::Picture;
use crate::pictures::colours::piece_colours;
use crate::pictures::raster::{Item, Shape, View, draw, in_sight};

/// A picture could not be encoded.
#[derive(Debug, thiserror::Error)]
#[error("the picture could not be encoded: {0}")]
pub struct PictureError(#[from] png::EncodingError);

/// All pictures of an assembly, as PNG.
#[derive(Clone, Debug)]
pub struct Pictures {
    /// The furniture together, one colour a piece.
    pub whole: Vec<u8>,
    /// The pieces drawn apart from the middle of the whole.
    pub exploded: Vec<u8>,
    /// Each piece as it lies on its bed.
    pub pieces: Vec<Vec<u8>>,
    /// Each step: what moves in colour where its move starts, what stands in
    /// grey.
    pub steps: Vec<Vec<u8>>,
}

impl Pictures {
    /// Draws all of them.
    ///
    /// # Errors
    ///
    /// When encoding fails.
    pub fn of(assembly: &Assembly) -> Result<Self, PictureError> {
        let pieces = assembly.pieces();
        let colours = piece_colours(pieces.len());
        let in_place: Vec<Shape> = pieces.par_iter().map(|p| Shape::of(&p.in_place)).collect();
        let ((whole, exploded), (lying, steps)) = rayon::join(
            || {
                rayon::join(
                    || together(&in_place, &colours, 0.0),
                    || together(&in_place, &colours, APART),
                )
            },
            || {
                rayon::join(
                    || {
                        let each = pieces.par_iter().zip(&colours);
                        each.map(|(p, &colour)| lying(&[&p.as_printed], &[colour]))
                            .collect::<Result<_, _>>()
                    },
                    || {
                        let each = assembly.steps().par_iter();
                        each.map(|step| one_step(assembly, &in_place, &colours, step))
                            .collect::<Result<_, _>>()
                    },
                )
            },
        );
        Ok(Self {
            whole: whole?,
            exploded: exploded?,
            pieces: lying?,
            steps: steps?,
        })
    }
}

const WIDTH: usize = 1280;
const HEIGHT: usize = 960;
/// How far pieces are drawn apart, in sizes of the whole.
const APART: f64 = 0.55;

fn together(pieces: &[Shape], colours: &[[u8; 3]], apart: f64) -> Result<Vec<u8>, PictureError> {
    let bounds: Vec<Option<Bounds>> = pieces.iter().map(|s| s.solid().bounds()).collect();
    let all = bounds.iter().flatten().copied().reduce(|a, b| a.joined(&b));
    let centre = all.map(|b| b.centre());
    let items: Vec<Item> = pieces
        .iter()
        .zip(&bounds)
        .zip(colours)
        .map(|((shape, bounds), &colour)| Item {
            shape,
            shift: match (bounds, centre) {
                (Some(b), Some(c)) => (b.centre() - c) * apart,
                _ => Vector::zeros(),
            },
            colour,
        })
        .collect();
    encoded(&draw(&items, &[], &View::default(), (WIDTH, HEIGHT)))
}

/// Size of a small picture.
const SMALL: (usize, usize) = (420, 315);
/// What stands still in a step.
const STANDING: [u8; 3] = [196, 200, 202];

/// The eye of a step's picture is sought among these, the first of as good ones; more
/// triangles than this are not drawn that often.
const VIEWS: [(f64, f64); 8] = [
    (-58.0, 24.0),
    (-122.0, 24.0),
    (58.0, 24.0),
    (122.0, 24.0),
    (-58.0, -24.0),
    (-122.0, -24.0),
    (58.0, -24.0),
    (122.0, -24.0),
];
const SOUGHT_UP_TO: usize = 200_000;
/// An arrow that points at the eye by more than this is no arrow.
const AT_THE_EYE: f64 = 0.85;
/// Colours of the arrows: of the move, and of right, back and up.
const MOVE: [u8; 3] = [214, 40, 40];
const RIGHT_BACK_UP: [[u8; 3]; 3] = [[200, 60, 50], [60, 140, 60], [50, 90, 190]];

fn one_step(
    assembly: &Assembly,
    in_place: &[Shape],
    colours: &[[u8; 3]],
    step: &StepEntry,
) -> Result<Vec<u8>, PictureError> {
    let along = Vector::from(step.direction);
    // A short slide would hardly show beside large pieces: draw it longer.
    let back = -along * step.travel_mm.max(60.0);
    let [onto, moving] = [&step.onto, &step.moving].map(|ids| assembly.places(ids));
    let item = |k: usize, shift: Vector, colour: [u8; 3]| Item {
        shape: &in_place[k],
        shift,
        colour,
    };
    let standing = onto.iter().map(|&k| item(k, Vector::zeros(), STANDING));
    let moved = moving.iter().map(|&k| item(k, back, colours[k]));
    let items: Vec<Item> = standing.chain(moved).collect();
    let view = best_view(assembly, &items, step, back);
    let bounds = |items: &[Item]| {
        let each = items.iter().filter_map(|i| {
            let b = i.shape.solid().bounds()?;
            Some([b.min + i.shift, b.max + i.shift])
        });
        Bounds::of(each.flatten())
    };
    let (all, moved) = (bounds(&items), bounds(&items[onto.len()..]));
    let mut arrows: Vec<(Solid, [u8; 3])> = Vec::new();
    if let (Some(all), Some(moved)) = (all, moved) {
        let length = 0.16 * all.size_mm().norm();
        // Beside what it would cover, it stands behind.
        let small = moved.size_mm().norm() < length;
        let behind = match small {
            true => length + 0.5 * moved.size_mm().dot(&along.abs()),
            false => 0.5 * length,
        };
        let from = moved.centre() - along * behind;
        arrows.extend(arrow(from, &along, length).ok().map(|a| (a, MOVE)));
        let corner = view.lower_left(&all, 0.4 * length);
        for (way, colour) in [Vector::x(), Vector::y(), Vector::z()]
            .iter()
            .zip(RIGHT_BACK_UP)
        {
            arrows.extend(arrow(corner, way, 0.6 * length).ok().map(|a| (a, colour)));
        }
    }
    let shapes: Vec<Shape> = arrows.iter().map(|(a, _)| Shape::of(a)).collect();
    let above = shapes.iter().zip(&arrows).map(|(shape, (_, colour))| Item {
        shape,
        shift: Vector::zeros(),
        colour: *colour,
    });
    let above: Vec<Item> = above.collect();
    encoded(&draw(&items, &above, &view, SMALL))
}

/// The eye that sees most of where the moving pieces will be joined, and of keys.
fn best_view(assembly: &Assembly, items: &[Item], step: &StepEntry, back: Vector) -> View {
    let triangles: usize = items
        .iter()
        .map(|i| i.shape.solid().triangles().len())
        .sum();
    let probes = probes(assembly, step, back);
    let along = Vector::from(step.direction);
    let down = step.rests.map_or(-Vector::z(), |rest| rest.on.direction());
    let views = VIEWS.map(|(azimuth_deg, elevation_deg)| View {
        azimuth_deg,
        elevation_deg,
        down,
    });
    let mut best: Option<(usize, View)> = None;
    for view in views {
        let shows_move = view.towards().dot(&along).abs() < AT_THE_EYE;
        if triangles > SOUGHT_UP_TO || !shows_move {
            continue;
        }
        let seen = in_sight(items, &view, &probes);
        if best.as_ref().is_none_or(|(most, _)| seen > *most) {
            best = Some((seen, view));
        }
    }
    best.map_or(views[0], |(_, view)| view)
}

/// Points to be in sight: of a key its corners; of other moves the middles of the contacts
/// that they close, on what stands and on what moves.
fn probes(assembly: &Assembly, step: &StepEntry, back: Vector) -> Vec<Point> {
    let key = |k: &usize| assembly.pieces()[*k].id.is_key();
    let moving = assembly.places(&step.moving);
    if moving.iter().all(key) {
        let corners = moving
            .iter()
            .flat_map(|&k| assembly.pieces()[k].in_place.vertices());
        return corners.map(|p| p + back).collect();
    }
    let seams = assembly.seams().iter().filter(|s| s.id == step.seam);
    let mut out = Vec::new();
    for seam in seams {
        let normal = Vector::from(seam.normal);
        for contact in &seam.contacts {
            let [below, above] = contact.pieces.each_ref();
            let comes = |id| step.moving.contains(id);
            let Some(at) = contact.at_mm.map(Point::from) else {
                continue;
            };
            // Just out of the face of either half, where it is as the picture is drawn.
            let (up, down) = (normal * PROBE_MM, -normal * PROBE_MM);
            match (comes(below), comes(above)) {
                (true, false) => out.extend([at + back + up, at + down]),
                (false, true) => out.extend([at + up, at + back + down]),
                _ => {}
            }
        }
    }
    out
}

/// How far before a face it is looked for.
const PROBE_MM: f64 = 0.5;

/// Pieces on a bed, as PNG.
///
/// # Errors
///
/// When encoding fails.
pub fn plate_picture(on_bed: &[Solid], colours: &[[u8; 3]]) -> Result<Vec<u8>, PictureError> {
    let on_bed: Vec<&Solid> = on_bed.iter().collect();
    lying(&on_bed, colours)
}

/// Solids as they stand, small.
fn lying(solids: &[&Solid], colours: &[[u8; 3]]) -> Result<Vec<u8>, PictureError> {
    let shapes: Vec<Shape> = solids.iter().map(|s| Shape::of(s)).collect();
    let items: Vec<Item> = shapes
        .iter()
        .zip(colours)
        .map(|(shape, &colour)| Item {
            shape,
            shift: Vector::zeros(),
            colour,
        })
        .collect();
    encoded(&draw(&items, &[], &View::default(), SMALL))
}

fn encoded(picture: &Picture) -> Result<Vec<u8>, PictureError> {
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, picture.width as u32, picture.height as u32);
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_depth(png::BitDepth::Eight);
    let mut writer = encoder.write_header()?;
    writer.write_image_data(&picture.rgb)?;
    writer.finish()?;
    Ok(bytes)
}
