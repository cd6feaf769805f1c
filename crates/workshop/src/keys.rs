use joinery::Half;
use rayon::prelude::*;
use solid::{KernelError, Solid, Vector};

use crate::Seam;
use crate::carve::over_contact;
use crate::cells::{Cell, SeamPlane};

/// A key, a piece of its own: what its shape has of the model over one
/// contact, so that its ends lie flush.
#[derive(Clone, Debug)]
pub(crate) struct Key {
    /// In place.
    pub(crate) solid: Solid,
    /// The seam that it closes, by its place in the build.
    pub(crate) seam: usize,
    /// The contact, by index.
    pub(crate) contact: usize,
    /// The way it goes in.
    pub(crate) way_in: Vector,
    /// How far.
    pub(crate) run_mm: f64,
}

/// The keys of all seams, in their order.
pub(crate) fn keys(
    model: &Solid,
    cells: &[Cell],
    planes: &[SeamPlane],
    seams: &[Seam],
) -> Result<Vec<Key>, KernelError> {
    let mut wanted = Vec::new();
    for (s, seam) in seams.iter().enumerate() {
        for placed in &seam.joints {
            for transfer in &placed.joint.transfers {
                if transfer.to == Half::Key {
                    wanted.extend(placed.contacts.iter().map(|&k| (s, placed, transfer, k)));
                }
            }
        }
    }
    let found: Vec<Option<Key>> = wanted
        .par_iter()
        .map(|&(s, placed, transfer, k)| {
            let pair = seams[s].contacts[k].cells.map(|c| &cells[c]);
            let within = over_contact(&transfer.tail, pair, planes[s].index)?;
            let solid = model
                .intersection(&within)?
                .bodies()
                .into_iter()
                .max_by(|a, b| a.volume_mm3().total_cmp(&b.volume_mm3()));
            Ok(solid.map(|solid| Key {
                solid,
                seam: s,
                contact: k,
                way_in: placed.way_in,
                run_mm: placed.run_mm,
            }))
        })
        .collect::<Result<_, KernelError>>()?;
    Ok(found.into_iter().flatten().collect())
}
