use solid::{Bounds, Solid, Vector};

use crate::piece_colours;
use crate::raster::{Item, Picture, View, draw};

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
