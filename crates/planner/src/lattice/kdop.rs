//! The k-dop of a body: how far it reaches in a fan of directions (Klosowski,
//! Held, Mitchell, Sowizral & Zikan 1998, *Efficient collision detection using
//! bounding volume hierarchies of k-DOPs*), and what else a piece is judged by.

use solid::{Solid, Vector};

use crate::lattice::skin::Skin;

/// Directions of the fan: the axes, and every 15° between each two.
pub(crate) const DIRECTIONS: usize = 33;

/// The size of a piece's box, the least side first, and the side of a cube of
/// its volume.
pub(crate) type Shape = [f64; 4];

/// Least and greatest reach along the fan's directions.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Kdop {
    pub(crate) low: [f64; DIRECTIONS],
    pub(crate) high: [f64; DIRECTIONS],
    pub(crate) volume_mm3: f64,
    /// Its centre of volume, times the volume.
    pub(crate) moment_mm4: [f64; 3],
    pub(crate) skin: Skin,
    /// Which piece that is there already it belongs to.
    pub(crate) owner: Owner,
}

/// Whether something belongs to a piece that is there already.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Owner {
    /// To none.
    Free,
    /// To this one.
    Fixed(usize),
    /// Part of it does and part does not, or to another.
    Mixed,
}

impl Kdop {
    pub(crate) const NOTHING: Self = Self {
        low: [f64::INFINITY; DIRECTIONS],
        high: [f64::NEG_INFINITY; DIRECTIONS],
        volume_mm3: 0.0,
        moment_mm4: [0.0; 3],
        skin: Skin::NOTHING,
        owner: Owner::Free,
    };

    pub(crate) fn of(solid: &Solid, fan: &[Vector; DIRECTIONS]) -> Self {
        let mut reach = Self::NOTHING;
        for p in solid.vertices() {
            for (k, d) in fan.iter().enumerate() {
                let at = p.coords.dot(d);
                reach.low[k] = reach.low[k].min(at);
                reach.high[k] = reach.high[k].max(at);
            }
        }
        if let Some(moments) = solid.moments() {
            reach.volume_mm3 = moments.volume_mm3;
            reach.moment_mm4 = (moments.centroid.coords * moments.volume_mm3).into();
        }
        reach.skin = Skin::of(solid, reach.ends());
        reach
    }

    /// The size of its box, the least side first, and the side of a cube of its
    /// volume.
    pub(crate) fn shape(&self) -> Shape {
        let mut size = [0, 1, 2].map(|k| self.high[k] - self.low[k]);
        size.sort_by(f64::total_cmp);
        [size[0], size[1], size[2], self.volume_mm3.cbrt()]
    }

    /// Where its centre of volume is along an axis.
    #[inline]
    pub(crate) fn centre(&self, axis: usize) -> f64 {
        self.moment_mm4[axis] / self.volume_mm3
    }

    /// The end along an axis, the upper or the lower one.
    #[inline]
    pub(crate) fn end(&self, axis: usize, upper: bool) -> f64 {
        if upper {
            self.high[axis]
        } else {
            self.low[axis]
        }
    }

    /// The ends along each axis.
    #[inline]
    pub(crate) fn ends(&self) -> [[f64; 2]; 3] {
        [0, 1, 2].map(|k| [self.low[k], self.high[k]])
    }

    /// Takes another body in, of whose skin this is still bare.
    pub(crate) fn join(&mut self, other: &Self, skin: &Skin) {
        if self.owner != other.owner {
            self.owner = Owner::Mixed;
        }
        self.skin.join(self.ends(), skin, other.ends());
        for k in 0..DIRECTIONS {
            // Never not a number: a comparison is quicker than `f64::min`, and in
            // this form the compiler makes one instruction of it.
            let (low, high) = (other.low[k], other.high[k]);
            self.low[k] = if low < self.low[k] { low } else { self.low[k] };
            self.high[k] = if high > self.high[k] {
                high
            } else {
                self.high[k]
            };
        }
        self.volume_mm3 += other.volume_mm3;
        for (own, more) in self.moment_mm4.iter_mut().zip(other.moment_mm4) {
            *own += more;
        }
    }
}

/// The fan: index `k` for the axes, then ten for each pair of axes
/// (x–y, y–z, z–x): 15°, 30°, … 165°, without 90°.
pub(crate) fn directions() -> [Vector; DIRECTIONS] {
    let mut out = [Vector::zeros(); DIRECTIONS];
    for (k, axis) in [Vector::x(), Vector::y(), Vector::z()]
        .into_iter()
        .enumerate()
    {
        out[k] = axis;
    }
    for plane in 0..3 {
        let (a, b) = (out[plane], out[(plane + 1) % 3]);
        for (i, step) in [1, 2, 3, 4, 5, 7, 8, 9, 10, 11].into_iter().enumerate() {
            let angle = f64::from(step) * 15f64.to_radians();
            out[3 + 10 * plane + i] = a * angle.cos() + b * angle.sin();
        }
    }
    out
}
