//! Parts that were to be in one piece.

use design::Whole;
use solid::{KernelError, Solid};

use crate::remark::Remark;

/// Less of a part than this in a piece is a chip.
const CHIP_MM3: f64 = 1.0;

/// Parts that were to be in one piece and are in several, joints not counted.
pub(crate) fn not_whole(wishes: &[Whole], bare: &[&Solid]) -> Result<Vec<Remark>, KernelError> {
    let mut out = Vec::new();
    for wish in wishes {
        let given = wish.bounds();
        let part = Solid::cuboid(given.min, given.max);
        let near = |s: &Solid| s.bounds().is_some_and(|b| b.overlaps(&given, 0.0));
        let mut pieces = Vec::new();
        for (k, body) in bare.iter().enumerate().filter(|(_, body)| near(body)) {
            if body.intersection(&part)?.volume_mm3() > CHIP_MM3 {
                pieces.push(k);
            }
        }
        if pieces.len() > 1 {
            out.push(Remark::NotWhole {
                name: wish.name.clone(),
                pieces,
            });
        }
    }
    Ok(out)
}
