//! Joints cut into pieces: each cell gains its tails and loses its sockets.

use design::PlanSeam;
use geo::Area;
use joinery::Transfer;
use rayon::prelude::*;
use solid::{Frame, KernelError, Solid, shared};

use crate::carve::jointed::jointed;
use crate::layout::seam::Seam;
use crate::partition::cells::{Cell, SeamPlane};

/// A cell's content with its joints: one solid for each of its bodies, and
/// what came loose.
pub(crate) struct Carved {
    pub(crate) bodies: Vec<Solid>,
    /// Volume of scraps that hung on nothing and were dropped.
    pub(crate) dropped_mm3: f64,
    /// Parts that are too large to drop, by body: the piece falls apart.
    pub(crate) loose: Vec<(usize, Solid)>,
}

/// Scraps up to this size are dropped: the chips that a joint at a rounded
/// edge leaves.
const SCRAP_MM3: f64 = 30.0;

/// A face no further from a plane lies in it.
const ON_FACE_MM: f64 = 1e-6;

/// A tail belongs to a piece where so much of what stands on contacts of it stands on the
/// piece's.
const STANDING: f64 = 0.1;

/// Cuts the joints of all seams into the cells.
///
/// Each piece is the model within its own region: the cell, with its
/// tails added and its sockets taken away. The regions know nothing of the
/// model, so the outside of the furniture is never touched.
pub(crate) fn carve(
    cells: &[Cell],
    planes: &[SeamPlane],
    seams: &[Seam],
) -> Result<Vec<Carved>, KernelError> {
    (0..cells.len())
        .into_par_iter()
        .map(|c| {
            let cell = &cells[c];
            let (gained, lost) = moved(c, cells, planes, seams)?;
            let carved = if lies_on_faces(cell) {
                let bodies = Solid::gathered(&cell.bodies);
                let tails = Solid::union_of(&gained)?.intersection(&cell.surroundings)?;
                let tails = if tails.is_empty() {
                    vec![]
                } else {
                    vec![tails]
                };
                jointed(bodies, &tails, &lost)?
            } else {
                let region = jointed(cell.region.clone(), &gained, &lost)?;
                let carved = cell.surroundings.intersection(&region)?;
                let walls = cell.walls.iter();
                walls.fold(carved, |carved, wall| carved.without_films(&wall.inward))
            };
            sorted(cell, carved)
        })
        .collect()
}

/// Whether a face of the model lies in a plane that bounds a cell. The kernel leaves films
/// where a region and the model touch there; what the cutter left of the model has none.
fn lies_on_faces(cell: &Cell) -> bool {
    let model = &cell.surroundings;
    cell.walls.iter().any(|wall| {
        let heights: Vec<f64> = model
            .vertices()
            .iter()
            .map(|p| wall.inward.height(p))
            .collect();
        let flat = |t: &[u32; 3]| t.iter().all(|&c| heights[c as usize].abs() < ON_FACE_MM);
        model.triangles().iter().any(flat)
    })
}

/// The tails that a cell gains, and what it loses to others.
fn moved<'a>(
    c: usize,
    cells: &[Cell],
    planes: &[SeamPlane],
    seams: &'a [Seam],
) -> Result<(Vec<Solid>, Vec<&'a Transfer>), KernelError> {
    let (mut gained, mut lost): (Vec<Solid>, Vec<&Transfer>) = (Vec::new(), Vec::new());
    let own = cells[c].region.bounds();
    for (plane, seam) in planes.iter().zip(seams) {
        let Some(side) = plane.side_of(c) else {
            continue;
        };
        let own_half = side.half(seam.tails_on);
        for placed in &seam.joints {
            for transfer in &placed.joint.transfers {
                if transfer.to != own_half {
                    lost.push(transfer);
                    continue;
                }
                for (_, pair) in seam.cells_of(placed) {
                    let own = pair[side.place()] == c;
                    if own && stands(&transfer.tail, seam, pair, &plane.frame) {
                        let pair = pair.map(|i| &cells[i]);
                        gained.push(over_contact(&transfer.tail, pair, plane.planned)?);
                    }
                }
            }
        }
    }
    lost.retain(|t| match (t.socket.bounds(), own) {
        (Some(a), Some(b)) => a.overlaps(&b, 0.0),
        _ => false,
    });
    Ok((gained, lost))
}

/// The part of a tail that stands over one contact: all of it, unless the
/// tail runs on into the cells beside. What stands over both is on the inner
/// side of every seam of either but the contact's own.
pub(crate) fn over_contact(
    tail: &Solid,
    cells: [&Cell; 2],
    seam: PlanSeam,
) -> Result<Solid, KernelError> {
    let mut over = tail.clone();
    for wall in cells
        .iter()
        .flat_map(|c| &c.walls)
        .filter(|w| w.seam != seam)
    {
        over = match wall.beyond()? {
            None => over.trimmed(&wall.inward)?,
            Some(beyond) => over.difference(&beyond)?,
        };
    }
    Ok(over)
}

/// Whether a tail stands on the contacts of two cells, not just on their edge where it runs
/// a little past the one that it was laid in: what is left of it there has nothing to hang
/// on.
fn stands(tail: &Solid, seam: &Seam, cells: [usize; 2], plane: &Frame) -> bool {
    let foot = tail.section(plane);
    let (mut own, mut all) = (0.0, 0.0);
    for contact in seam.contacts.iter().map(|c| &c.contact) {
        let on = shared(&contact.outline, &foot).unsigned_area();
        all += on;
        if contact.cells == cells {
            own += on;
        }
    }
    own >= STANDING * all
}

/// Tells which carved body is which of the cell's, by the volume they share.
fn sorted(cell: &Cell, carved: Solid) -> Result<Carved, KernelError> {
    let mut out = Carved {
        bodies: vec![Solid::empty(); cell.bodies.len()],
        dropped_mm3: 0.0,
        loose: Vec::new(),
    };
    let mut parts = carved.bodies();
    parts.sort_by(|a, b| b.volume_mm3().total_cmp(&a.volume_mm3()));
    for part in parts {
        let mut home = None;
        if cell.bodies.len() == 1 {
            home = Some(0);
        } else {
            let mut most = 0.0;
            for (k, body) in cell.bodies.iter().enumerate() {
                let shared = part.intersection(body)?.volume_mm3();
                if shared > most {
                    most = shared;
                    home = Some(k);
                }
            }
        }
        match home {
            Some(k) if out.bodies[k].is_empty() => out.bodies[k] = part,
            _ if part.volume_mm3() <= SCRAP_MM3 => out.dropped_mm3 += part.volume_mm3(),
            Some(k) => out.loose.push((k, part)),
            None => out.loose.push((0, part)),
        }
    }
    Ok(out)
}
