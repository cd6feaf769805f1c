//! The surface of a piece, as far as printing it depends on that.

use solid::Solid;

/// The bare skin of a piece, as far as printing it depends on that.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Skin {
    pub(crate) area_mm2: f64,
    /// For each axis, of the faces that look down along it and of those that
    /// look up: the area that hangs too far over, and how much of it lies at
    /// the very end.
    facing: [[Facing; 2]; 3],
}

#[derive(Clone, Copy, Debug)]
struct Facing {
    all_mm2: f64,
    at_end_mm2: f64,
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
            all_mm2: 0.0,
            at_end_mm2: 0.0,
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
                let facing = &mut skin.facing[axis][looks_up];
                facing.all_mm2 += area;
                let is_flat = normal[axis].abs() > FLAT_COS;
                if is_flat && corners.iter().all(|c| (c[axis] - end).abs() < AT_END_MM) {
                    facing.at_end_mm2 += area;
                }
            }
        }
        skin
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

    /// Adds the skin of another body; each is given with its ends.
    pub(crate) fn join(&mut self, ends: [[f64; 2]; 3], other: &Self, their_ends: [[f64; 2]; 3]) {
        for axis in 0..3 {
            for (looks_up, sign) in [-1.0, 1.0].into_iter().enumerate() {
                let facing = &mut self.facing[axis][looks_up];
                let add = &other.facing[axis][looks_up];
                let further = sign * (ends[axis][looks_up] - their_ends[axis][looks_up]);
                facing.all_mm2 += add.all_mm2;
                if further.abs() < AT_END_MM {
                    facing.at_end_mm2 += add.at_end_mm2;
                } else if further < 0.0 {
                    facing.at_end_mm2 = add.at_end_mm2;
                }
            }
        }
        self.area_mm2 += other.area_mm2;
    }
}
