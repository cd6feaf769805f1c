//! Pictures of the furniture, of pieces, steps and plates.

use design::{Assembly, StepEntry};
use solid::{Bounds, Solid, Vector};

use crate::pictures::colours::piece_colours;
use crate::pictures::raster::{Item, Picture, View, draw};

/// A picture could not be encoded.
#[derive(Debug, thiserror::Error)]
#[error("the picture could not be encoded: {0}")]
pub struct PictureError(#[from] png::EncodingError);

const WIDTH: usize = 1280;
const HEIGHT: usize = 960;
/// How far pieces are drawn apart, in sizes of the whole.
const APART: f64 = 0.55;

/// The furniture together, one colour a piece, as PNG.
///
/// # Errors
///
/// When encoding fails.
pub fn whole(pieces: &[Solid]) -> Result<Vec<u8>, PictureError> {
    picture(pieces, 0.0)
}

/// The pieces drawn apart from the middle of the whole, as PNG.
///
/// # Errors
///
/// When encoding fails.
pub fn exploded(pieces: &[Solid]) -> Result<Vec<u8>, PictureError> {
    picture(pieces, APART)
}

fn picture(pieces: &[Solid], apart: f64) -> Result<Vec<u8>, PictureError> {
    let bounds: Vec<Bounds> = pieces.iter().filter_map(Solid::bounds).collect();
    let all = bounds.iter().copied().reduce(|a, b| a.joined(&b));
    let centre = all.map(|b| b.centre());
    let items: Vec<Item> = pieces
        .iter()
        .zip(piece_colours(pieces.len()))
        .map(|(solid, colour)| {
            let shift = match (solid.bounds(), centre) {
                (Some(b), Some(c)) => (b.centre() - c) * apart,
                _ => Vector::zeros(),
            };
            Item {
                solid: solid.clone(),
                shift,
                colour,
            }
        })
        .collect();
    encoded(&draw(&items, &View::default(), WIDTH, HEIGHT))
}

/// Size of a small picture.
const SMALL: (usize, usize) = (420, 315);
/// What stands still in a step.
const STANDING: [u8; 3] = [196, 200, 202];

/// One piece as it lies on the bed, as PNG.
///
/// # Errors
///
/// When encoding fails.
pub fn piece_picture(piece: &Solid, colour: [u8; 3]) -> Result<Vec<u8>, PictureError> {
    let item = Item {
        solid: piece.clone(),
        shift: Vector::zeros(),
        colour,
    };
    encoded(&draw(&[item], &View::default(), SMALL.0, SMALL.1))
}

/// One step of the assembly, as PNG: what moves in colour where its move
/// starts, what stands in grey.
///
/// # Errors
///
/// When encoding fails.
pub fn step_picture(
    assembly: &Assembly,
    colours: &[[u8; 3]],
    step: &StepEntry,
) -> Result<Vec<u8>, PictureError> {
    // A short slide would hardly show beside large pieces: draw it longer.
    let back = -Vector::from(step.direction) * step.travel_mm.max(60.0);
    let item = |k: usize, shift: Vector, colour: [u8; 3]| Item {
        solid: assembly.pieces()[k].in_place.clone(),
        shift,
        colour,
    };
    let [onto, moving] = [&step.onto, &step.moving].map(|ids| assembly.places(ids));
    let items: Vec<Item> = onto
        .iter()
        .map(|&k| item(k, Vector::zeros(), STANDING))
        .chain(moving.iter().map(|&k| item(k, back, colours[k])))
        .collect();
    encoded(&draw(&items, &View::default(), SMALL.0, SMALL.1))
}

/// Pieces on a bed, as PNG.
///
/// # Errors
///
/// When encoding fails.
pub fn plate_picture(on_bed: &[Solid], colours: &[[u8; 3]]) -> Result<Vec<u8>, PictureError> {
    let items: Vec<Item> = on_bed
        .iter()
        .zip(colours)
        .map(|(solid, &colour)| Item {
            solid: solid.clone(),
            shift: Vector::zeros(),
            colour,
        })
        .collect();
    encoded(&draw(&items, &View::default(), SMALL.0, SMALL.1))
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
