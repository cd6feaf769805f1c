//! The limbs of a flat region: the parts that thin webs hold together.

use geo::{
    Area, BooleanOps, BoundingRect, ConvexHull, CoordsIter, Distance, Euclidean, Polygon, Simplify,
};
use polylabel::polylabel;

use crate::polygon::arms::arms;
use crate::polygon::outline::{Outline, grow, shrink};

/// A part of a flat region.
#[derive(Clone, Debug)]
pub struct Limb {
    /// The part; webs between the same limbs may have several islands.
    pub outline: Outline,
    /// Its thickness: the diameter of the largest circle in it.
    pub thick_mm: f64,
}

/// Webs of these thicknesses are looked for; more than the thickest of them is no web.
const WEBS_MM: [f64; 14] = [
    2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 10.0, 12.0, 15.0, 18.0, 22.0, 27.0, 33.0,
];
/// A limb is thicker than the webs that it is parted from by this factor.
const THICKER: f64 = 1.4;
/// A web is told from the rounded corners of what it holds together by this area.
const WEB_MM2: f64 = 100.0;
/// A strip has so often the area of a square as wide as it.
const STRIP: f64 = 4.0;
/// Slack when a region is opened by just the thickness of a web.
const SLACK_MM: f64 = 0.05;
/// Shrinking takes a time that grows with the square of the corners: of more than these some
/// are left out that stand off by less than these (Douglas and Peucker 1973).
const MOST_CORNERS: usize = 160;
const PLAINER_MM: [f64; 4] = [0.01, 0.03, 0.1, 0.2];
/// Thickness is found to this.
const FINE_MM: f64 = 0.1;

/// The limbs of a region without gaps, in mm of its frame: what is left as separate
/// parts when it is opened (shrunk and grown again; Serra 1982, *Image analysis and
/// mathematical morphology*) by the thickness of its thinnest webs, and the webs, parted
/// again as long as some are found; strips that meet at a corner are a limb each. One
/// limb where there is nothing of that; less than a hundredth
/// of a region, at its corners, may belong to none.
///
/// ```
/// use geo::BooleanOps;
/// use solid::{limbs, rectangle};
///
/// // The section of a bookcase: two sides and a back.
/// let side = |x| rectangle([x, 0.0], [x + 18.0, 240.0]);
/// let back = rectangle([0.0, 234.0], [640.0, 240.0]);
/// let section = side(0.0).union(&side(622.0)).union(&back);
/// let found = limbs(&section.0[0]);
/// assert_eq!(found.len(), 3);
/// assert!((found[0].thick_mm - 18.0).abs() < 0.2 && (found[2].thick_mm - 6.0).abs() < 0.2);
/// ```
pub fn limbs(region: &Polygon) -> Vec<Limb> {
    let fine = region.coords_count() > MOST_CORNERS;
    let plainer = fine.then(|| PLAINER_MM.map(|by_mm| region.simplify(by_mm)));
    let plainer = plainer.as_ref().and_then(|each| {
        let few = each.iter().find(|r| r.coords_count() <= MOST_CORNERS);
        few.or(each.last())
    });
    let region = plainer.unwrap_or(region);
    let whole = Outline::new(vec![region.clone()]);
    if is_convex(region) {
        return vec![Limb::of(whole)];
    }
    let parts = parted(region, 0).into_iter();
    let mut out: Vec<Limb> = parts.flat_map(Limb::arms).collect();
    // What is thick comes first; of webs all stand together.
    out.sort_by(|a, b| b.thick_mm.total_cmp(&a.thick_mm));
    out
}

impl Limb {
    fn of(outline: Outline) -> Self {
        Self {
            thick_mm: thickness_mm(&outline),
            outline,
        }
    }

    /// Its arms, where it is a strip that turns corners.
    fn arms(self) -> Vec<Self> {
        let strip = self.outline.unsigned_area() > STRIP * self.thick_mm * self.thick_mm;
        match &self.outline.0[..] {
            [region] if strip && !is_convex(region) => {
                let arms = arms(region).into_iter();
                arms.map(|arm| Self::of(Outline::new(vec![arm]))).collect()
            }
            _ => vec![self],
        }
    }
}

/// Whether a region has nothing that a web could part.
fn is_convex(region: &Polygon) -> bool {
    region.interiors().is_empty()
        && region.convex_hull().unsigned_area() - region.unsigned_area() < WEB_MM2
}

/// The diameter of the largest circle in a region.
fn thickness_mm(region: &Outline) -> f64 {
    let Some(b) = region.bounding_rect() else {
        return 0.0;
    };
    // Shrinking is slow: what is sure without it is not tried.
    let [sure, enough] = inscribed_mm(region).map(|radius| 2.0 * radius);
    let (mut least, mut most) = (0.0, b.width().min(b.height()));
    while most - least > FINE_MM {
        let middle = (least + most) / 2.0;
        let fits = middle < sure;
        if !fits && (middle > enough || shrink(region, middle / 2.0).0.is_empty()) {
            most = middle;
        } else {
            least = middle;
        }
    }
    most
}

/// So far the radius of a circle is found by cells.
const ROUGH_MM: f64 = 0.5;

/// Between which two lies the radius of the largest circle in a region: by cells that are
/// parted where it may be (Agafonkin 2016).
fn inscribed_mm(region: &Outline) -> [f64; 2] {
    let radius = |part: &Polygon| {
        let middle = polylabel(part, &ROUGH_MM).ok()?;
        let rings = std::iter::once(part.exterior()).chain(part.interiors());
        let away = rings.map(|ring| Euclidean.distance(&middle, ring));
        away.reduce(f64::min)
    };
    let found: Option<Vec<f64>> = region.iter().map(radius).collect();
    let unsure = [0.0, f64::INFINITY];
    found.map_or(unsure, |radii| {
        let most = radii.iter().copied().fold(0.0, f64::max);
        // A hair for what is rounded on either way.
        [most - SLACK_MM, most + ROUGH_MM + SLACK_MM]
    })
}

/// A region parted at its thinnest webs, of those from a place in the list on.
fn parted(region: &Polygon, from: usize) -> Vec<Limb> {
    let whole = Outline::new(vec![region.clone()]);
    if is_convex(region) {
        return vec![Limb::of(whole)];
    }
    for (k, web_mm) in WEBS_MM.iter().enumerate().skip(from) {
        let by = web_mm / 2.0 + SLACK_MM;
        let core = shrink(&whole, by);
        if core.0.is_empty() {
            break;
        }
        let sturdy = |part: &&Polygon| {
            let further = (THICKER - 1.0) * web_mm / 2.0;
            let part = Outline::new(vec![(*part).clone()]);
            !shrink(&part, further).0.is_empty()
        };
        let opened: Vec<Outline> = core
            .iter()
            .filter(sturdy)
            .map(|part| grow(&Outline::new(vec![part.clone()]), by).intersection(&whole))
            .collect();
        if opened.is_empty() {
            continue;
        }
        let opened = apart(opened);
        let all = opened
            .iter()
            .skip(1)
            .fold(opened[0].clone(), |a, b| a.union(b));
        let rest = whole.difference(&all);
        let webs: Vec<&Polygon> = rest.iter().filter(is_web).collect();
        if opened.len() == 1 && webs.is_empty() {
            continue;
        }
        let opened = opened.iter().flatten().flat_map(|part| parted(part, k + 1));
        let webs = webs.into_iter().flat_map(|web| parted(web, k + 1));
        return opened.chain(webs).collect();
    }
    vec![Limb::of(whole)]
}

/// Regions without what those before them have: grown again, two may reach across the same
/// short neck.
fn apart(regions: Vec<Outline>) -> Vec<Outline> {
    let mut out: Vec<Outline> = Vec::new();
    for region in regions {
        let own = out
            .iter()
            .fold(region, |own, earlier| own.difference(earlier));
        out.push(own);
    }
    out
}

/// Whether a rest is a web, and no corner that opening rounded off.
fn is_web(rest: &&Polygon) -> bool {
    let part = Outline::new(vec![(*rest).clone()]);
    rest.unsigned_area() > WEB_MM2 && !shrink(&part, WEBS_MM[0] / 2.0 - SLACK_MM).0.is_empty()
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::polygon::outline::rectangle;

    fn one(region: &Outline) -> &Polygon {
        assert_eq!(region.0.len(), 1);
        &region.0[0]
    }

    #[test]
    fn legs_stand_apart_from_aprons_and_aprons_from_a_thin_back() {
        let leg = |x| rectangle([x, 0.0], [x + 36.0, 36.0]);
        let apron = rectangle([0.0, 8.0], [400.0, 26.0]);
        let section = leg(0.0).union(&leg(364.0)).union(&apron);
        let thick: Vec<f64> = limbs(one(&section)).iter().map(|l| l.thick_mm).collect();
        assert_eq!(thick.len(), 3);
        for (found, expected) in thick.iter().zip([36.0, 36.0, 18.0]) {
            assert!((found - expected).abs() < 0.2, "{thick:?}");
        }
    }

    #[test]
    fn boards_that_meet_at_a_corner_are_a_limb_each() {
        let corner =
            rectangle([0.0, 0.0], [18.0, 200.0]).union(&rectangle([0.0, 0.0], [200.0, 18.0]));
        assert_eq!(limbs(one(&corner)).len(), 2);
    }

    #[test]
    fn a_side_is_parted_from_the_back_that_it_meets() {
        let corner =
            rectangle([0.0, 0.0], [18.0, 200.0]).union(&rectangle([0.0, 0.0], [200.0, 6.0]));
        let found = limbs(one(&corner));
        assert_eq!(found.len(), 2);
        assert!((found[0].outline.unsigned_area() - 3600.0).abs() < 40.0);
        assert!((found[1].outline.unsigned_area() - 182.0 * 6.0).abs() < 40.0);
    }

    #[test]
    fn limbs_beside_a_short_neck_do_not_overlap() {
        let notch = |x: f64, y: f64| rectangle([x, y], [x + 4.0, y + 17.0]);
        let plate = rectangle([0.0, 0.0], [120.0, 60.0]);
        let plate = plate
            .difference(&notch(58.0, 0.0))
            .difference(&notch(58.0, 43.0));
        let found = limbs(one(&plate));
        let sum: f64 = found.iter().map(|l| l.outline.unsigned_area()).sum();
        assert!(sum <= plate.unsigned_area() + 1e-6, "{sum}");
        for (k, a) in found.iter().enumerate() {
            for b in &found[k + 1..] {
                assert!(a.outline.intersection(&b.outline).unsigned_area() < 1e-3);
            }
        }
    }

    proptest! {
        #[test]
        fn limbs_lie_apart_within_the_region_and_leave_little(
            sides in proptest::collection::vec((10.0f64..40.0, 40.0f64..200.0), 1..4),
            back in 2.5f64..6.5,
        ) {
            let mut region = rectangle([0.0, 0.0], [400.0, back]);
            for (k, (wide, long)) in sides.iter().enumerate() {
                let x = 130.0 * k as f64;
                region = region.union(&rectangle([x, 0.0], [x + wide, *long]));
            }
            let found = limbs(one(&region));
            let area = |o: &Outline| o.unsigned_area();
            let sum: f64 = found.iter().map(|l| area(&l.outline)).sum();
            prop_assert!(sum <= area(&region) + 1e-6);
            prop_assert!(sum > 0.97 * area(&region), "{sum} of {}", area(&region));
            for (k, a) in found.iter().enumerate() {
                prop_assert!(area(&a.outline.difference(&region)) < 1e-3);
                for b in &found[k + 1..] {
                    prop_assert!(area(&a.outline.intersection(&b.outline)) < 1e-3);
                }
            }
            let thick = found.iter().filter(|l| l.thick_mm > 9.5).count();
            prop_assert_eq!(thick, sides.len());
        }
    }
}
