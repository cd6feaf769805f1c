//! The model cut into little boxes at all places at once.

use rayon::prelude::*;
use solid::{Frame, KernelError, Solid};

/// What of a model lies in each of the boxes between places along its axes, in
/// rising order: those of the first axis outermost.
pub(crate) fn boxes(model: &Solid, places_mm: &[Vec<f64>; 3]) -> Result<Vec<Solid>, KernelError> {
    let mut parts = vec![model.clone()];
    for (axis, places) in places_mm.iter().enumerate() {
        let slabs: Vec<Vec<Solid>> = parts
            .par_iter()
            .map(|part| {
                let mut out = vec![Solid::empty(); places.len() + 1];
                slabbed(part, axis, places, &mut out)?;
                Ok(out)
            })
            .collect::<Result<_, KernelError>>()?;
        parts = slabs.into_iter().flatten().collect();
    }
    Ok(parts)
}

/// Cuts at the middle place first, so that each cut meets half of the rest.
fn slabbed(
    part: &Solid,
    axis: usize,
    places: &[f64],
    out: &mut [Solid],
) -> Result<(), KernelError> {
    if part.is_empty() {
        return Ok(());
    }
    if places.is_empty() {
        out[0] = part.clone();
        return Ok(());
    }
    let middle = places.len() / 2;
    let (above, below) = part.cut(&Frame::across_axis(axis, places[middle]))?;
    let (low, high) = out.split_at_mut(middle + 1);
    let (a, b) = rayon::join(
        || slabbed(&below, axis, &places[..middle], low),
        || slabbed(&above, axis, &places[middle + 1..], high),
    );
    a.and(b)
}
