//! How much plastic and time a piece takes, estimated from its sections.

use crate::print_profile::PrintProfile;
use geo::{Area, BooleanOps};
use rayon::prelude::*;
use solid::{Frame, Outline, Point, Solid, Vector, shrink};

/// An estimate for one piece, lying as it is printed.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct PrintEstimate {
    /// Plastic laid down.
    pub plastic_mm3: f64,
    /// Layers.
    pub layers: usize,
    /// Time to lay the plastic down, without what each layer and each plate
    /// costs besides.
    pub laying_s: f64,
}

/// At the most this many sections are taken of a piece.
const SECTIONS: usize = 48;

/// Estimates a piece: of each section the walls, `walls` lines of `line_mm`
/// along its outline, are solid; the rest is solid where there is nothing
/// within `solid_layers` above or below, and filled to `infill` elsewhere. The
/// sections stand evenly over the height and count for the layers about them;
/// time is plastic over `flow_mm3_s`. Supports are not counted.
///
/// ```
/// use printing::print_estimate;
/// use printing::PrintProfile;
/// use solid::{Point, Solid};
///
/// let block = Solid::cuboid(Point::origin(), Point::new(20.0, 20.0, 10.0));
/// let solid = PrintProfile { infill: 1.0, ..PrintProfile::default() };
/// let estimate = print_estimate(&block, &solid);
/// assert!((estimate.plastic_mm3 - 4000.0).abs() < 1e-6);
/// assert_eq!(estimate.layers, 50);
/// ```
pub fn print_estimate(as_printed: &Solid, profile: &PrintProfile) -> PrintEstimate {
    let Some(bounds) = as_printed.bounds() else {
        return PrintEstimate::default();
    };
    let height = bounds.size_mm().z;
    let layers = (height / profile.layer_mm - 1e-9).ceil().max(1.0) as usize;
    let count = layers.min(SECTIONS);
    let step = height / count as f64;
    let skin = f64::from(profile.solid_layers) * profile.layer_mm;
    let wall = f64::from(profile.walls) * profile.line_mm;
    let section = |z: f64| {
        as_printed.section(&Frame::facing(
            Point::new(0.0, 0.0, bounds.min.z + z),
            Vector::z(),
        ))
    };
    let plastic: Vec<f64> = (0..count)
        .into_par_iter()
        .map(|k| {
            let z = step * (k as f64 + 0.5);
            let here = section(z);
            let inside = shrink(&here, wall);
            let beside = |z: f64| {
                if z <= 0.0 || z >= height {
                    Outline::new(Vec::new())
                } else {
                    section(z)
                }
            };
            let filled = inside
                .intersection(&beside(z - skin))
                .intersection(&beside(z + skin));
            let all = here.unsigned_area();
            let sparse = filled.unsigned_area().min(all);
            (all - sparse * (1.0 - profile.infill)) * step
        })
        .collect();
    let plastic_mm3 = plastic.iter().sum();
    PrintEstimate {
        plastic_mm3,
        layers,
        laying_s: plastic_mm3 / profile.flow_mm3_s,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A box: solid but for the inner box, which is filled in part.
    #[test]
    fn a_box_has_its_exact_plastic() {
        let profile = PrintProfile::default();
        let [x, y, z] = [60.0, 40.0, 24.0];
        let block = Solid::cuboid(Point::origin(), Point::new(x, y, z));
        let (wall, skin) = (4.0 * 0.45, 5.0 * 0.2);
        let inner = (x - 2.0 * wall) * (y - 2.0 * wall) * (z - 2.0 * skin);
        let exact = x * y * z - (1.0 - profile.infill) * inner;
        let estimate = print_estimate(&block, &profile);
        assert!(
            (estimate.plastic_mm3 / exact - 1.0).abs() < 1e-3,
            "{} {exact}",
            estimate.plastic_mm3
        );
        assert!((estimate.laying_s - estimate.plastic_mm3 / 10.0).abs() < 1e-9);
    }

    #[test]
    fn what_is_all_wall_is_all_plastic() {
        let profile = PrintProfile::default();
        let thin = Solid::cuboid(Point::origin(), Point::new(3.0, 80.0, 50.0));
        let estimate = print_estimate(&thin, &profile);
        assert!((estimate.plastic_mm3 - thin.volume_mm3()).abs() < 1e-6);
        let tube = Solid::cylinder(Point::origin(), Vector::z() * 30.0, 20.0, 96).unwrap();
        let hole =
            Solid::cylinder(Point::new(0.0, 0.0, -1.0), Vector::z() * 40.0, 17.0, 96).unwrap();
        let tube = tube.difference(&hole).unwrap();
        let estimate = print_estimate(&tube, &profile);
        assert!((estimate.plastic_mm3 / tube.volume_mm3() - 1.0).abs() < 1e-6);
    }
}
