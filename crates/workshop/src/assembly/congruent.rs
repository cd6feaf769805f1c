//! Pieces that are the same shape: one file, printed several times.

use nalgebra::{Matrix3, Rotation3, Translation3, UnitQuaternion};
use rayon::prelude::*;
use solid::{Isometry, Point, RayCaster, Solid};

/// How far apart two surfaces may lie and still be one shape: a hundredth of
/// the finest clearance.
const SAME_MM: f64 = 5e-4;

/// A piece that is another, moved.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Congruent {
    /// The first piece of its shape, by index.
    pub of: usize,
    /// The motion that takes that piece's place to this one's.
    pub motion: Isometry,
}

/// For each piece the first one of the same shape, if that is another. Shapes
/// are compared up to turns by quarters about the model's axes and shifts;
/// mirror images are other shapes.
pub(crate) fn congruent(pieces: &[Solid]) -> Vec<Option<Congruent>> {
    let traits: Vec<Traits> = pieces.par_iter().map(Traits::of).collect();
    let casters: Vec<Option<RayCaster>> = pieces.par_iter().map(RayCaster::new).collect();
    let mut out: Vec<Option<Congruent>> = vec![None; pieces.len()];
    for k in 0..pieces.len() {
        let firsts: Vec<usize> = (0..k).filter(|&i| out[i].is_none()).collect();
        out[k] = firsts
            .par_iter()
            .filter(|&&i| traits[i].like(&traits[k]))
            .find_map_first(|&i| {
                let (a, b) = (casters[i].as_ref()?, casters[k].as_ref()?);
                let motion =
                    motion_between((&pieces[i], a), (&pieces[k], b), &traits[i], &traits[k])?;
                Some(Congruent { of: i, motion })
            });
    }
    out
}

/// What no motion changes.
struct Traits {
    volume_mm3: f64,
    area_mm2: f64,
    size_mm: [f64; 3],
    centroid: Point,
}

impl Traits {
    fn of(piece: &Solid) -> Self {
        let mut size: [f64; 3] = piece.bounds().map_or([0.0; 3], |b| b.size_mm().into());
        size.sort_by(f64::total_cmp);
        Self {
            volume_mm3: piece.volume_mm3(),
            area_mm2: piece.area_mm2(),
            size_mm: size,
            centroid: piece.moments().map_or_else(Point::origin, |m| m.centroid),
        }
    }

    fn like(&self, other: &Self) -> bool {
        let near = |a: f64, b: f64, by: f64| (a - b).abs() <= by;
        near(self.volume_mm3, other.volume_mm3, SAME_MM * self.area_mm2)
            && near(self.area_mm2, other.area_mm2, 1e-4 * self.area_mm2)
            && (0..3).all(|k| near(self.size_mm[k], other.size_mm[k], SAME_MM))
    }
}

fn motion_between(
    (a, on_a): (&Solid, &RayCaster),
    (b, on_b): (&Solid, &RayCaster),
    of_a: &Traits,
    of_b: &Traits,
) -> Option<Isometry> {
    quarter_turns().into_iter().find_map(|turn| {
        let shift = of_b.centroid - turn * of_a.centroid;
        let motion = Isometry::from_parts(
            Translation3::from(shift),
            UnitQuaternion::from_rotation_matrix(&turn),
        );
        let there = |s: &Solid, to: &RayCaster, m: &Isometry| {
            s.vertices()
                .iter()
                .all(|p| to.distance_to_surface_mm(&(m * p)) <= SAME_MM)
        };
        (there(a, on_b, &motion) && there(b, on_a, &motion.inverse())).then_some(motion)
    })
}

/// The 24 turns that bring the axes onto axes, doing nothing first.
fn quarter_turns() -> Vec<Rotation3<f64>> {
    let mut turns = Vec::new();
    for order in [
        [0, 1, 2],
        [1, 2, 0],
        [2, 0, 1],
        [0, 2, 1],
        [2, 1, 0],
        [1, 0, 2],
    ] {
        for signs in 0..8 {
            let sign = |k: usize| if signs >> k & 1 == 0 { 1.0 } else { -1.0 };
            let mut m = Matrix3::zeros();
            for (row, &column) in order.iter().enumerate() {
                m[(row, column)] = sign(row);
            }
            if m.determinant() > 0.0 {
                turns.push(Rotation3::from_matrix_unchecked(m));
            }
        }
    }
    turns
}

#[cfg(test)]
mod tests {
    use super::*;
    use solid::Vector;

    /// A block with a notch off its middle in two directions: it has no
    /// mirror symmetry.
    fn handed(mirrored: bool) -> Solid {
        let y = if mirrored { -1.0 } else { 1.0 };
        let block = Solid::cuboid(Point::new(0.0, -10.0, 0.0), Point::new(40.0, 10.0, 8.0));
        let notch = Solid::cuboid(
            Point::new(5.0, y * 4.0, 5.0),
            Point::new(12.0, y * 11.0, 9.0),
        );
        block.difference(&notch).unwrap()
    }

    #[test]
    fn turned_and_shifted_is_the_same_and_mirrored_is_not() {
        let turn = Isometry::rotation(Vector::z() * std::f64::consts::FRAC_PI_2);
        let moved = handed(false)
            .moved(&turn)
            .shifted(Vector::new(300.0, -20.0, 7.0));
        let found = congruent(&[handed(false), handed(true), moved]);
        assert_eq!(found[0], None);
        assert_eq!(found[1], None);
        let second = found[2].unwrap();
        assert_eq!(second.of, 0);
        let there = handed(false).moved(&second.motion);
        assert!((there.bounds().unwrap().min.x - 290.0).abs() < 1e-6);
    }
}
