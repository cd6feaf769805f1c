//! The plainest split: equal boxes no larger than the bed.

use rayon::prelude::*;
use serde::{Deserialize, Serialize};
use solid::{Bounds, KernelError, Solid};

use crate::bounds::laid::Laid;
use crate::candidates::proxy::Proxy;
use crate::lattice::boxes::boxes;
use printing::{Bed, PrintProfile, Printer};

/// The plainest split there is: the model's box in equal boxes no larger than
/// what a printer builds, what hangs together in each of them a piece.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct EqualBoxes {
    /// How many boxes there are along each of the model's own axes.
    pub along: [usize; 3],
    /// How many pieces that makes.
    pub pieces: usize,
    /// Where a plan has more pieces: what is against these, as few things as
    /// without which a plan with no more pieces would have been taken.
    #[serde(default)]
    pub against: Vec<String>,
    /// What they take to print, where that was asked.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub laid: Option<Laid>,
    /// What the model would take in one piece, were there a bed for it: whatever is cut
    /// has more walls.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub whole: Option<Laid>,
}

/// What is smaller is no piece.
const CHIP_MM3: f64 = 1.0;

/// Which side of a box lies along which of the bed's.
const TURNS: [[usize; 3]; 6] = [
    [0, 1, 2],
    [0, 2, 1],
    [1, 0, 2],
    [1, 2, 0],
    [2, 0, 1],
    [2, 1, 0],
];

impl EqualBoxes {
    /// Boxes that fit a bed, turned in whichever way leaves the fewest pieces.
    /// Where there is more than one along an axis, each is shorter than the bed
    /// by `joint_mm`: with no joint and all of the bed, no plan that joins its
    /// pieces has as much room.
    ///
    /// # Errors
    ///
    /// When the kernel refuses the model.
    ///
    /// ```
    /// use planner::EqualBoxes;
    /// use solid::{Point, Solid};
    ///
    /// let plank = Solid::cuboid(Point::origin(), Point::new(440.0, 90.0, 18.0));
    /// let bare = EqualBoxes::on_bed(&plank, [220.0, 220.0, 250.0], 0.0).unwrap();
    /// assert_eq!((bare.along, bare.pieces), ([2, 1, 1], 2));
    /// let joined = EqualBoxes::on_bed(&plank, [216.0, 216.0, 216.0], 8.0).unwrap();
    /// assert_eq!(joined.pieces, 3);
    /// ```
    pub fn on_bed(model: &Solid, bed_mm: [f64; 3], joint_mm: f64) -> Result<Self, KernelError> {
        let Some(bounds) = model.bounds() else {
            return Ok(Self::none());
        };
        let size = bounds.size_mm();
        let mut grids: Vec<[usize; 3]> = TURNS
            .iter()
            .map(|turn| {
                [0, 1, 2].map(|k| match bed_mm[turn[k]] {
                    bed if size[k] <= bed => 1,
                    bed => (size[k] / (bed - joint_mm) - 1e-9).ceil() as usize,
                })
            })
            .collect();
        grids.sort_by_key(|g| (g.iter().product::<usize>(), *g));
        grids.dedup();
        let counted: Vec<usize> = grids
            .par_iter()
            .map(|&along| pieces(model, &places_mm(&bounds, along)))
            .collect::<Result<_, KernelError>>()?;
        let fewest = grids.into_iter().zip(counted).min_by_key(|(_, n)| *n);
        Ok(fewest.map_or_else(Self::none, |(along, pieces)| Self {
            along,
            pieces,
            against: Vec::new(),
            laid: None,
            whole: None,
        }))
    }

    /// Those with the fewest pieces on any of some printers, with no joint and
    /// all of the bed.
    pub(crate) fn of(proxy: &Proxy, printers: &[Printer]) -> Result<Self, KernelError> {
        let mut best = Self::none();
        for printer in printers {
            let found = Self::on_bed(&proxy.model, box_mm(printer), 0.0)?;
            if best.pieces == 0 || found.pieces < best.pieces {
                best = found;
            }
        }
        Ok(best)
    }

    /// Those of nothing.
    fn none() -> Self {
        Self {
            along: [1; 3],
            pieces: 0,
            against: Vec::new(),
            laid: None,
            whole: None,
        }
    }

    /// What they take to print, each laid the best of the six ways, of those in which it fits
    /// one of some beds.
    ///
    /// # Errors
    ///
    /// When the kernel refuses the model.
    pub fn laid_down(
        &self,
        model: &Solid,
        beds_mm: &[[f64; 3]],
        profile: &PrintProfile,
    ) -> Result<Laid, KernelError> {
        let Some(bounds) = model.bounds() else {
            return Ok(Laid::default());
        };
        let parts = boxes(model, &self.places_mm(&bounds))?;
        let bodies = parts.iter().flat_map(Solid::bodies);
        let bodies: Vec<Solid> = bodies.filter(|b| b.volume_mm3() > CHIP_MM3).collect();
        Ok(Laid::of(&bodies, beds_mm, profile))
    }

    /// Where boxes meet, along each axis of a model with this box.
    pub(crate) fn places_mm(&self, bounds: &Bounds) -> [Vec<f64>; 3] {
        places_mm(bounds, self.along)
    }
}

/// The largest box with a square or rectangular foot that a printer builds, margins and all.
pub(crate) fn box_mm(printer: &Printer) -> [f64; 3] {
    let [w, d, h] = printer.size_mm();
    let within = match printer.bed {
        Bed::Rectangle { .. } => 1.0,
        // The largest square in a round bed.
        Bed::Round { .. } => std::f64::consts::FRAC_1_SQRT_2,
    };
    [w * within, d * within, h]
}

fn places_mm(bounds: &Bounds, along: [usize; 3]) -> [Vec<f64>; 3] {
    [0, 1, 2].map(|axis| {
        let (low, size) = (bounds.min[axis], bounds.size_mm()[axis]);
        (1..along[axis])
            .map(|k| low + size * k as f64 / along[axis] as f64)
            .collect()
    })
}

/// What hangs together in the boxes between places.
fn pieces(model: &Solid, places_mm: &[Vec<f64>; 3]) -> Result<usize, KernelError> {
    let count = |part: &Solid| {
        let bodies = part.bodies().into_iter();
        bodies.filter(|b| b.volume_mm3() > CHIP_MM3).count()
    };
    Ok(boxes(model, places_mm)?.par_iter().map(count).sum())
}
