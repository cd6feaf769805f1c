//! How far a body reaches in a fan of directions, and what else a piece is
//! judged by.

use solid::{Solid, Vector};

/// Directions of the fan: the axes, and every 15° between each two.
pub(crate) const FAN: usize = 33;

/// The size of a piece's box, the least side first, and the side of a cube of
/// its volume.
pub(crate) type Shape = [f64; 4];

/// Least and greatest reach along the fan's directions.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Reach {
    pub(crate) low: [f64; FAN],
    pub(crate) high: [f64; FAN],
    pub(crate) volume_mm3: f64,
    pub(crate) area_mm2: f64,
    /// Which piece that is there already it belongs to.
    pub(crate) owner: Owner,
    /// For each axis, of the faces that look down along it and of those that
    /// look up: the area that hangs too far over, and how much of it lies at
    /// the very end.
    facing: [[Facing; 2]; 3],
}

/// Whether something belongs to a piece that is there already.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Owner {
    /// To none.
    Free,
    /// To this one.
    Printed(usize),
    /// Part of it does and part does not, or to another.
    Mixed,
}

#[derive(Clone, Copy, Debug, Default)]
struct Facing {
    all_mm2: f64,
    at_end_mm2: f64,
}

/// Faces this near to a piece's end lie on the bed.
const AT_END_MM: f64 = 0.05;

impl Reach {
    pub(crate) const NOTHING: Self = Self {
        low: [f64::INFINITY; FAN],
        high: [f64::NEG_INFINITY; FAN],
        volume_mm3: 0.0,
        area_mm2: 0.0,
        owner: Owner::Free,
        facing: [[Facing {
            all_mm2: 0.0,
            at_end_mm2: 0.0,
        }; 2]; 3],
    };

    pub(crate) fn of(solid: &Solid, fan: &[Vector; FAN]) -> Self {
        let mut reach = Self::NOTHING;
        for p in solid.vertices() {
            for (k, d) in fan.iter().enumerate() {
                let at = p.coords.dot(d);
                reach.low[k] = reach.low[k].min(at);
                reach.high[k] = reach.high[k].max(at);
            }
        }
        reach.volume_mm3 = solid.volume_mm3();
        reach.area_mm2 = solid.area_mm2();
        for (t, corners) in solid.triangle_corners().enumerate() {
            let normal = solid.normal(t);
            let area = (corners[1] - corners[0])
                .cross(&(corners[2] - corners[0]))
                .norm()
                / 2.0;
            for axis in 0..3 {
                // Steeper than 45° needs no support.
                if normal[axis].abs() < std::f64::consts::FRAC_1_SQRT_2 + 1e-6 {
                    continue;
                }
                let looks_up = normal[axis] > 0.0;
                let end = if looks_up {
                    reach.high[axis]
                } else {
                    reach.low[axis]
                };
                let facing = &mut reach.facing[axis][usize::from(looks_up)];
                facing.all_mm2 += area;
                if corners.iter().all(|c| (c[axis] - end).abs() < AT_END_MM) {
                    facing.at_end_mm2 += area;
                }
            }
        }
        reach
    }

    /// Area that needs support when the axis points up, and when it points
    /// down.
    pub(crate) fn hanging_mm2(&self, axis: usize) -> (f64, f64) {
        let hanging = |f: &Facing| (f.all_mm2 - f.at_end_mm2).max(0.0);
        let [down, up] = &self.facing[axis];
        (hanging(down), hanging(up))
    }

    /// The larger of the areas on which it can stand when the axis points up,
    /// and when it points down.
    pub(crate) fn standing_mm2(&self, axis: usize) -> f64 {
        let [down, up] = &self.facing[axis];
        down.at_end_mm2.max(up.at_end_mm2)
    }

    /// Takes away a face of this area that looks along an axis, up or down,
    /// where another body joins.
    pub(crate) fn take_face(&mut self, axis: usize, looks_up: bool, area_mm2: f64) {
        self.area_mm2 -= area_mm2;
        let facing = &mut self.facing[axis][usize::from(looks_up)];
        facing.all_mm2 -= area_mm2;
        facing.at_end_mm2 -= area_mm2;
    }

    /// The size of its box, the least side first, and the side of a cube of its
    /// volume.
    pub(crate) fn shape(&self) -> Shape {
        let mut size = [0, 1, 2].map(|k| self.high[k] - self.low[k]);
        size.sort_by(f64::total_cmp);
        [size[0], size[1], size[2], self.volume_mm3.cbrt()]
    }

    pub(crate) fn join(&mut self, other: &Self) {
        if self.owner != other.owner {
            self.owner = Owner::Mixed;
        }
        for axis in 0..3 {
            let ends = [
                (-self.low[axis], -other.low[axis]),
                (self.high[axis], other.high[axis]),
            ];
            for (looks_up, (mine, theirs)) in ends.into_iter().enumerate() {
                let facing = &mut self.facing[axis][looks_up];
                let add = &other.facing[axis][looks_up];
                facing.all_mm2 += add.all_mm2;
                facing.at_end_mm2 = if (mine - theirs).abs() < AT_END_MM {
                    facing.at_end_mm2 + add.at_end_mm2
                } else if mine > theirs {
                    facing.at_end_mm2
                } else {
                    add.at_end_mm2
                };
            }
        }
        for k in 0..FAN {
            self.low[k] = self.low[k].min(other.low[k]);
            self.high[k] = self.high[k].max(other.high[k]);
        }
        self.volume_mm3 += other.volume_mm3;
        self.area_mm2 += other.area_mm2;
    }
}

/// The fan: index `k` for the axes, then ten for each pair of axes
/// (x–y, y–z, z–x): 15°, 30°, … 165°, without 90°.
pub(crate) fn fan() -> [Vector; FAN] {
    let mut out = [Vector::zeros(); FAN];
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
