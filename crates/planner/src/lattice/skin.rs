//! The surface of a piece, as far as printing it depends on that.

use solid::Solid;

/// The bare skin of a piece, as far as printing it depends on that.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Skin {
    pub(crate) area_mm2: f64,
    /// For each axis, of the faces that look down along it and of those that look up.
    facing: [[Facing; 2]; 3],
}

/// Faces that hang over too far to print without support when what they look at is
/// the bed.
#[derive(Clone, Copy, Debug)]
struct Facing {
    /// Their shadows.
    all: Shadow,
    /// The same, each times its place along the axis.
    moment_mm3: f64,
    /// What of them lies at the very end.
    base: Shadow,
}

/// The shadow of some faces along an axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Shadow {
    pub(crate) area_mm2: f64,
    /// The box about it, along the two axes that follow.
    pub(crate) low: [f32; 2],
    pub(crate) high: [f32; 2],
}

impl Shadow {
    const NOTHING: Self = Self {
        area_mm2: 0.0,
        low: [f32::INFINITY; 2],
        high: [f32::NEG_INFINITY; 2],
    };

    fn join(&mut self, other: &Self) {
        self.area_mm2 += other.area_mm2;
        for k in 0..2 {
            self.low[k] = self.low[k].min(other.low[k]);
            self.high[k] = self.high[k].max(other.high[k]);
        }
    }
}

/// Faces this near to a piece's end lie on the bed.
const AT_END_MM: f64 = 0.05;
/// And no face that is tilted by more than a degree: how much of it is near the end
/// would hang on how it is parted into triangles.
const FLAT_COS: f64 = 0.99985;

impl Skin {
    pub(crate) const NOTHING: Self = Self {
        area_mm2: 0.0,
        facing: [[Facing {
            all: Shadow::NOTHING,
            moment_mm3: 0.0,
            base: Shadow::NOTHING,
        }; 2]; 3],
    };

    /// The skin of a body that ends at these places along the axes.
    pub(crate) fn of(solid: &Solid, ends: [[f64; 2]; 3]) -> Self {
        let mut skin = Self {
            area_mm2: solid.area_mm2(),
            ..Self::NOTHING
        };
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
                let looks_up = usize::from(normal[axis] > 0.0);
                let end = ends[axis][looks_up];
                let across = [(axis + 1) % 3, (axis + 2) % 3];
                let least = |k: usize| corners.iter().map(|c| c[k]).fold(f64::MAX, f64::min);
                let most = |k: usize| corners.iter().map(|c| c[k]).fold(f64::MIN, f64::max);
                let shadow = Shadow {
                    area_mm2: area * normal[axis].abs(),
                    low: across.map(|k| least(k) as f32),
                    high: across.map(|k| most(k) as f32),
                };
                let middle = corners.iter().map(|c| c[axis]).sum::<f64>() / 3.0;
                let facing = &mut skin.facing[axis][looks_up];
                facing.all.join(&shadow);
                facing.moment_mm3 += shadow.area_mm2 * middle;
                let is_flat = normal[axis].abs() > FLAT_COS;
                if is_flat && corners.iter().all(|c| (c[axis] - end).abs() < AT_END_MM) {
                    facing.base.join(&shadow);
                }
            }
        }
        skin
    }

    /// Space under what hangs over when a side looks at the bed that stands at an end,
    /// down to the bed.
    pub(crate) fn space_mm3(&self, axis: usize, looks_up: bool, end: f64) -> f64 {
        let facing = &self.facing[axis][usize::from(looks_up)];
        let space = facing.moment_mm3 - facing.all.area_mm2 * end;
        if looks_up { -space } else { space }.max(0.0)
    }

    /// What hangs over when a side looks at the bed, what lies on the bed left out.
    pub(crate) fn hanging_mm2(&self, axis: usize, looks_up: bool) -> f64 {
        let facing = &self.facing[axis][usize::from(looks_up)];
        (facing.all.area_mm2 - facing.base.area_mm2).max(0.0)
    }

    /// What a piece stands on, with the supports that it needs, when a side looks at
    /// the bed.
    pub(crate) fn held(&self, axis: usize, looks_up: bool) -> &Shadow {
        &self.facing[axis][usize::from(looks_up)].all
    }

    /// What a piece stands on when a side looks at the bed.
    pub(crate) fn base(&self, axis: usize, looks_up: bool) -> &Shadow {
        &self.facing[axis][usize::from(looks_up)].base
    }

    /// Takes away a face of this area that looks along an axis, up or down, at a
    /// place where another body joins.
    pub(crate) fn take_face(&mut self, axis: usize, looks_up: bool, (at, area_mm2): (f64, f64)) {
        self.area_mm2 -= area_mm2;
        let facing = &mut self.facing[axis][usize::from(looks_up)];
        facing.all.area_mm2 -= area_mm2;
        facing.moment_mm3 -= area_mm2 * at;
        facing.base.area_mm2 -= area_mm2;
    }

    /// Adds the skin of another body; each is given with its ends.
    pub(crate) fn join(&mut self, ends: [[f64; 2]; 3], other: &Self, their_ends: [[f64; 2]; 3]) {
        for axis in 0..3 {
            for (looks_up, sign) in [-1.0, 1.0].into_iter().enumerate() {
                let facing = &mut self.facing[axis][looks_up];
                let add = &other.facing[axis][looks_up];
                let further = sign * (ends[axis][looks_up] - their_ends[axis][looks_up]);
                facing.all.join(&add.all);
                facing.moment_mm3 += add.moment_mm3;
                if further.abs() < AT_END_MM {
                    facing.base.join(&add.base);
                } else if further < 0.0 {
                    facing.base = add.base;
                }
            }
        }
        self.area_mm2 += other.area_mm2;
    }
}
