//! Keys: pieces that go in once the halves have met.

use joinery::Half;
use printing::{Printer, place};
use rayon::prelude::*;
use solid::{Frame, KernelError, Point, Solid, Vector};

use crate::carve::pieces::over_contact;
use crate::layout::seam::Seam;
use crate::partition::cells::{Cell, SeamPlane};

/// A key, a separate piece: what its shape has of the model over one
/// contact, so that its ends lie flush.
#[derive(Clone, Debug)]
pub(crate) struct Key {
    /// In place.
    pub(crate) solid: Solid,
    /// The seam that it closes, by its place in the build.
    pub(crate) seam: usize,
    /// The contact, by index.
    pub(crate) contact: usize,
    /// The joint, by its place on the seam.
    pub(crate) joint: usize,
    /// The way it goes in.
    pub(crate) way_in: Vector,
    /// How far.
    pub(crate) run_mm: f64,
}

impl Key {
    /// From where to where it stands along its way in.
    pub(crate) fn reach_mm(&self) -> (f64, f64) {
        self.solid.reach_along(&self.way_in).unwrap_or_default()
    }

    /// Itself, cut across into equal parts of at most a length.
    fn divided(self, longest_mm: f64) -> Result<Vec<Self>, KernelError> {
        let (from, to) = self.reach_mm();
        let parts = ((to - from) / longest_mm).ceil() as usize;
        let parts = parts.clamp(1, MOST_PARTS);
        let mut rest = self.solid;
        let mut out = Vec::new();
        for part in 1..parts {
            let at = from + (to - from) * part as f64 / parts as f64;
            let plane = Frame::facing(Point::from(self.way_in * at), self.way_in);
            let (further, nearer) = rest.cut(&plane)?;
            out.push(nearer);
            rest = further;
        }
        out.push(rest);
        let of = |solid| Self { solid, ..self };
        Ok(out.into_iter().map(of).collect())
    }
}

/// The keys of all seams, in their order.
pub(crate) fn all_keys(
    model: &Solid,
    cells: &[Cell],
    planes: &[SeamPlane],
    seams: &[Seam],
) -> Result<Vec<Key>, KernelError> {
    let mut wanted = Vec::new();
    for (s, seam) in seams.iter().enumerate() {
        for (j, placed) in seam.joints.iter().enumerate() {
            for transfer in &placed.joint.transfers {
                if transfer.to == Half::Key {
                    let contacts = seam.cells_of(placed).into_iter();
                    wanted.extend(contacts.map(|(k, _)| (s, j, placed, transfer, k)));
                }
            }
        }
    }
    let found: Vec<Vec<Key>> = wanted
        .par_iter()
        .map(|&(s, j, placed, transfer, k)| {
            let pair = seams[s].contacts[k].contact.cells.map(|c| &cells[c]);
            let within = over_contact(&transfer.tail, pair, planes[s].planned)?;
            let solid = model
                .intersection(&within)?
                .bodies()
                .into_iter()
                .max_by(|a, b| a.volume_mm3().total_cmp(&b.volume_mm3()));
            let Some(solid) = solid else {
                return Ok(Vec::new());
            };
            let key = Key {
                solid,
                seam: s,
                contact: k,
                joint: j,
                way_in: placed.way_in,
                run_mm: placed.run_mm,
            };
            match placed.key_longest_mm {
                Some(longest_mm) => key.divided(longest_mm),
                None => Ok(vec![key]),
            }
        })
        .collect::<Result<_, KernelError>>()?;
    Ok(found.into_iter().flatten().collect())
}

/// Lengths that differ by less are the same.
const SAME_LENGTH_MM: f64 = 1e-3;
/// More parts than this no key is cut into.
const MOST_PARTS: usize = 32;

/// Has keys that fit no printer, as those of a bed before may, cut into parts
/// that do; whether there were any. Those of a joint that has a key which must
/// not change stay as they are.
pub(crate) fn shorten(
    seams: &mut [Seam],
    keys: &[Key],
    printers: &[Printer],
    may_change: impl Fn(&Key) -> bool,
) -> Result<bool, KernelError> {
    let fits = |s: &Solid| printers.iter().any(|p| place(s, p).is_ok());
    let too_long: Vec<&Key> = keys.par_iter().filter(|k| !fits(&k.solid)).collect();
    let mut any = false;
    for key in too_long {
        let of_joint = |k: &&Key| (k.seam, k.joint) == (key.seam, key.joint);
        if !keys.iter().filter(of_joint).all(&may_change) {
            continue;
        }
        let (from, to) = key.reach_mm();
        for parts in 2..=MOST_PARTS {
            let longest_mm = (to - from) / parts as f64 + SAME_LENGTH_MM;
            let divided = key.clone().divided(longest_mm)?;
            if divided.iter().all(|k| fits(&k.solid)) {
                let longest = &mut seams[key.seam].joints[key.joint].key_longest_mm;
                *longest = Some(longest.map_or(longest_mm, |l| l.min(longest_mm)));
                any = true;
                break;
            }
        }
    }
    Ok(any)
}
