use solid::{Bounds, Isometry};

use crate::Settings;

/// What a search may not do, in the coordinates of the model's own axes.
#[derive(Clone, Debug, Default)]
pub(crate) struct Constraints {
    /// Boxes through which no seam goes.
    pub(crate) keep_out: Vec<Bounds>,
    /// Axes that no seam is square to.
    pub(crate) closed: [bool; 3],
    /// Places where a seam must be.
    pub(crate) forced: [Vec<f64>; 3],
    /// The longest side of a piece.
    pub(crate) largest_mm: Option<f64>,
    /// Under this longest side a piece is a sliver.
    pub(crate) smallest_mm: f64,
    /// Axes along which a hidden side looks.
    pub(crate) hidden: [bool; 3],
}

/// A piece whose longest side is shorter is one to avoid.
const SMALLEST_MM: f64 = 40.0;
/// How far beside a box a seam keeps.
const BESIDE_MM: f64 = 0.5;

impl Constraints {
    /// The wishes of some settings, and boxes that are to be spared besides.
    pub(crate) fn of(settings: &Settings, spared: &[Bounds], turn: &Isometry) -> Self {
        let wishes = &settings.wishes;
        let (closed, forced) = wishes.on_axes(turn);
        let mut keep_out = wishes.boxes(turn);
        keep_out.extend(
            spared
                .iter()
                .filter_map(|b| Bounds::of(b.corners().map(|p| turn * p))),
        );
        let mut hidden = [false; 3];
        for side in &settings.hide {
            let d = turn.rotation * side.direction();
            hidden[d.map(f64::abs).imax()] = true;
        }
        Self {
            keep_out,
            closed,
            forced,
            largest_mm: wishes.largest_mm,
            smallest_mm: wishes.smallest_mm.unwrap_or(SMALLEST_MM),
            hidden,
        }
    }

    /// The nearest places to one, below and above, that lie in no box; the
    /// place itself where it lies in none.
    pub(crate) fn beside_boxes(&self, axis: usize, at_mm: f64) -> Vec<f64> {
        let within = |x: f64| {
            self.keep_out
                .iter()
                .find(|b| b.min[axis] < x && x < b.max[axis])
        };
        if within(at_mm).is_none() {
            return vec![at_mm];
        }
        [false, true]
            .into_iter()
            .filter_map(|up| {
                let mut x = at_mm;
                // Each step leaves one box for good.
                for _ in 0..=self.keep_out.len() {
                    match within(x) {
                        None => return Some(x),
                        Some(b) if up => x = b.max[axis] + BESIDE_MM,
                        Some(b) => x = b.min[axis] - BESIDE_MM,
                    }
                }
                None
            })
            .collect()
    }
}
