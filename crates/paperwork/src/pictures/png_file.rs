//! Pictures as PNG.

use crate::pictures::canvas::Picture;

/// A picture could not be encoded.
#[derive(Debug, thiserror::Error)]
#[error("the picture could not be encoded: {0}")]
pub struct PictureError(#[from] png::EncodingError);

/// Size of a small picture.
pub(crate) const SMALL: (usize, usize) = (420, 315);

/// A picture's bytes.
pub(crate) fn encoded(picture: &Picture) -> Result<Vec<u8>, PictureError> {
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, picture.width as u32, picture.height as u32);
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_depth(png::BitDepth::Eight);
    let mut writer = encoder.write_header()?;
    writer.write_image_data(&picture.rgb)?;
    writer.finish()?;
    Ok(bytes)
}
