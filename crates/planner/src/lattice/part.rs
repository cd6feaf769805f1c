//! What cuts leave of space.

use nalgebra::Point3;
use solid::{Bounds, Frame, KernelError, Solid};

/// What cuts leave of space: along each axis from one cut to another, or
/// without end where none was made.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Part {
    /// Where it begins.
    pub(crate) low: [f64; 3],
    /// Where it ends.
    pub(crate) high: [f64; 3],
}

impl Part {
    /// All of space.
    pub(crate) const WHOLE: Self = Self {
        low: [f64::NEG_INFINITY; 3],
        high: [f64::INFINITY; 3],
    };

    /// What lies between two places along each axis.
    pub(crate) fn between(ends: [[f64; 2]; 3]) -> Self {
        Self {
            low: ends.map(|e| e[0]),
            high: ends.map(|e| e[1]),
        }
    }

    /// What lies before a cut of an axis, and what lies behind it.
    pub(crate) fn divided(mut self, axis: usize, at_mm: f64) -> (Self, Self) {
        let mut above = self;
        self.high[axis] = at_mm;
        above.low[axis] = at_mm;
        (self, above)
    }

    /// The cuts at which it begins and ends along an axis, where it does.
    pub(crate) fn walls(&self, axis: usize) -> [Option<f64>; 2] {
        [self.low[axis], self.high[axis]].map(|at| Some(at).filter(|x| x.is_finite()))
    }

    /// A model's box, as far as it lies in the part.
    pub(crate) fn within(&self, bounds: &Bounds) -> Bounds {
        Bounds {
            min: Point3::from(bounds.min.coords.sup(&self.low.into())),
            max: Point3::from(bounds.max.coords.inf(&self.high.into())),
        }
    }

    /// What a model has in the part, and a skin beyond its walls.
    ///
    /// # Errors
    ///
    /// When the kernel refuses the model.
    pub(crate) fn of(&self, model: &Solid, skin_mm: f64) -> Result<Solid, KernelError> {
        let mut out = model.clone();
        for axis in 0..3 {
            let [low, high] = self.walls(axis);
            let low = low.map(|at| Frame::across_axis(axis, at - skin_mm));
            let high = high.map(|at| Frame::across_axis(axis, at + skin_mm));
            let planes = low.into_iter().chain(high.map(|f: Frame| f.flipped()));
            for plane in planes {
                out = out.trimmed(&plane)?;
            }
        }
        Ok(out)
    }
}
