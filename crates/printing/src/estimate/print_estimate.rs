//! How much plastic and time a piece takes, estimated from its slices.

use rayon::prelude::*;
use solid::Solid;

use crate::estimate::scan_lines::ScanLines;
use crate::estimate::slices::Slices;
use crate::print_profile::PrintProfile;

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
    /// Time that the printer waits besides, where a layer is laid down sooner than it
    /// cools; on a plate with others less.
    pub cooling_s: f64,
}

/// Between two heights at which the piece changes all at once, slices are no further
/// from each other than this share of its height.
const SHARE: f64 = 1.0 / 40.0;
/// At most this many level faces, the largest, are taken for such heights.
const LEVELS: usize = 24;
/// A face is level whose normal leans by no more than this cosine says.
const LEVEL_COS: f64 = 0.9999;
/// And worth its own height from this area on.
const LEVEL_MM2: f64 = 4.0;
/// Heights closer to each other are one.
const SAME_LEVEL_MM: f64 = 0.02;
/// Lines of a slice are so far from each other, or a little less.
const APART_MM: f64 = 0.35;

/// Estimates a piece: of each slice the walls, `walls` lines of `line_mm`
/// along its outline, are solid; the rest is solid where there is nothing
/// within `solid_layers` above or below, and filled to `infill` elsewhere. A slice
/// stands for the layers about it, and none for layers on both sides of a level face
/// or of the solid layers beside one. Time is plastic over `flow_mm3_s`, of the first
/// layer by its own speed, of each layer at least `least_layer_s`. Supports are not
/// counted.
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
    estimated(as_printed, profile, SHARE)
}

fn estimated(as_printed: &Solid, profile: &PrintProfile, share: f64) -> PrintEstimate {
    let wall = f64::from(profile.walls) * profile.line_mm;
    let apart = wall / (wall / APART_MM).ceil().max(1.0);
    let (Some(bounds), Some(slices)) = (as_printed.bounds(), Slices::of(as_printed, apart)) else {
        return PrintEstimate::default();
    };
    let (low, high) = (bounds.min.z, bounds.max.z);
    let layers = ((high - low) / profile.layer_mm - 1e-9).ceil().max(1.0) as usize;
    let skin = f64::from(profile.solid_layers) * profile.layer_mm;
    let most = profile.layer_mm.max(share * (high - low));
    let spans = spans(&levels(as_printed), skin, [low, high], most);
    let plastic: Vec<f64> = spans
        .par_iter()
        .map(|&[from, to]| {
            let z = (from + to) / 2.0;
            let (here, area) = slices.at(z);
            let beside = |z: f64, region: &ScanLines| region.shared(&slices.at(z).0);
            let sparse = if z - skin <= low || z + skin >= high {
                0.0
            } else {
                let inside = here.eroded(wall);
                beside(z + skin, &beside(z - skin, &inside)).area_mm2()
            };
            area - sparse.min(area) * (1.0 - profile.infill)
        })
        .collect();
    let spans: Vec<(f64, f64)> = spans.iter().map(|[a, b]| b - a).zip(plastic).collect();
    let plastic_mm3 = spans.iter().map(|(high, area)| high * area).sum();
    let layer_s = |area: f64| area * profile.layer_mm / profile.flow_mm3_s;
    let first_s = spans.first().map_or(0.0, |s| layer_s(s.1));
    let waits = spans.iter().map(|(high, area)| {
        high / profile.layer_mm * (profile.least_layer_s - layer_s(*area)).max(0.0)
    });
    PrintEstimate {
        plastic_mm3,
        layers,
        laying_s: plastic_mm3 / profile.flow_mm3_s
            + first_s * (1.0 / profile.first_layer_speed - 1.0),
        cooling_s: waits.sum(),
    }
}

/// The heights of level faces, the largest ones.
fn levels(piece: &Solid) -> Vec<f64> {
    let mut flat: Vec<(f64, f64)> = piece
        .triangle_corners()
        .filter_map(|[a, b, c]| {
            let cross = (b - a).cross(&(c - a));
            let is_level = cross.z.abs() > LEVEL_COS * cross.norm();
            is_level.then(|| ((a.z + b.z + c.z) / 3.0, cross.norm() / 2.0))
        })
        .collect();
    flat.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut levels: Vec<(f64, f64)> = Vec::new();
    for (z, area) in flat {
        match levels.last_mut() {
            Some(last) if z - last.0 < SAME_LEVEL_MM => last.1 += area,
            _ => levels.push((z, area)),
        }
    }
    levels.retain(|l| l.1 >= LEVEL_MM2);
    levels.sort_by(|a, b| b.1.total_cmp(&a.1));
    levels.truncate(LEVELS);
    levels.into_iter().map(|l| l.0).collect()
}

/// Spans of the height that together are all of it, none longer than `most`: ends lie
/// at the levels and a skin above and below each.
fn spans(levels: &[f64], skin: f64, [low, high]: [f64; 2], most: f64) -> Vec<[f64; 2]> {
    let mut ends: Vec<f64> = levels
        .iter()
        .flat_map(|l| [l - skin, *l, l + skin])
        .filter(|z| *z > low + SAME_LEVEL_MM && *z < high - SAME_LEVEL_MM)
        .chain([low, high])
        .collect();
    ends.sort_by(f64::total_cmp);
    ends.dedup_by(|a, b| *a - *b < SAME_LEVEL_MM);
    // The last of them is the end, whatever it was too close to.
    if let Some(last) = ends.last_mut() {
        *last = high;
    }
    let mut out = Vec::new();
    for pair in ends.windows(2) {
        let count = ((pair[1] - pair[0]) / most).ceil().max(1.0);
        let step = (pair[1] - pair[0]) / count;
        let from = |k: f64| pair[0] + k * step;
        out.extend((0..count as usize).map(|k| [from(k as f64), from(k as f64 + 1.0)]));
    }
    out
}

#[cfg(test)]
mod tests {
    use solid::{Point, Vector};

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
        // The first layer at half the speed, and none so small that it has to cool.
        let first_s = x * y * 0.2 / 10.0;
        assert!((estimate.laying_s - estimate.plastic_mm3 / 10.0 - first_s).abs() < 0.01 * first_s);
        assert_eq!(estimate.cooling_s, 0.0);
    }

    /// A leaning part with a slot and its mirror image take the same, to a hundredth.
    #[test]
    fn a_piece_and_its_mirror_image_take_the_same() {
        let profile = PrintProfile::default();
        let lean = solid::Isometry::rotation(Vector::new(0.31, -0.17, 0.4));
        let slab = Solid::cuboid(Point::new(-40.0, -15.0, 0.0), Point::new(55.0, 30.0, 61.3));
        let slot = Solid::cuboid(Point::new(-10.0, -20.0, 20.0), Point::new(7.0, 9.0, 70.0));
        let part = slab.difference(&slot).unwrap().moved(&lean);
        let low = part.bounds().unwrap().min;
        let part = part.shifted(-low.coords);
        let flip = |p: Point| Point::new(-p.x, p.y, p.z);
        let mirrored = part.triangle_corners().map(|[a, b, c]| [a, c, b].map(flip));
        let mirrored = Solid::from_triangles(mirrored).unwrap();
        let [one, other] = [&part, &mirrored].map(|s| print_estimate(s, &profile));
        assert!((one.plastic_mm3 / other.plastic_mm3 - 1.0).abs() < 0.01);
        assert!((one.laying_s / other.laying_s - 1.0).abs() < 0.01);
    }

    #[test]
    fn a_small_layer_waits_until_it_has_cooled() {
        let profile = PrintProfile::default();
        let peg = Solid::cuboid(Point::origin(), Point::new(3.0, 3.0, 40.0));
        let estimate = print_estimate(&peg, &profile);
        // All wall: a fifth of a second a layer of eight.
        let exact = 200.0 * (8.0 - 9.0 * 0.2 / 10.0);
        assert!(
            (estimate.cooling_s / exact - 1.0).abs() < 1e-6,
            "{estimate:?}"
        );
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

    /// More slices tell the same.
    #[test]
    fn twice_as_many_slices_change_nothing_by_a_hundredth() {
        let profile = PrintProfile::default();
        let ball = Solid::cylinder(Point::origin(), Vector::x() * 120.0, 40.0, 96).unwrap();
        let foot = Solid::cuboid(
            Point::new(20.0, -30.0, -60.0),
            Point::new(100.0, 30.0, -20.0),
        );
        let leaning = Solid::cuboid(Point::origin(), Point::new(30.0, 50.0, 140.0))
            .moved(&solid::Isometry::rotation(Vector::new(0.4, 0.2, 0.0)));
        for piece in [ball.union(&foot).unwrap(), leaning] {
            let [one, other] =
                [SHARE, SHARE / 2.0].map(|s| estimated(&piece, &profile, s).plastic_mm3);
            assert!((one / other - 1.0).abs() < 0.01, "{one} {other}");
        }
    }
}
