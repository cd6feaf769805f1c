//! What a piece stands on while it is printed.

use geo::{Area, CoordsIter, Euclidean, Length, Polygon};
use solid::{Frame, Outline, Point, Solid, Vector};

use crate::lying::corners::lifting;
use crate::lying::flat_fit::{convex, least_width};
use crate::print_profile::PrintProfile;

/// A first layer smaller than this is too small to hold on the bed, unless the
/// piece itself is small (common practice, no published source).
pub const LEAST_FIRST_LAYER_MM2: f64 = 60.0;
/// As a share of what the piece covers of the bed.
pub(crate) const LEAST_SHARE: f64 = 0.02;
/// Nor does a first layer hold that is smaller than this for each cubic centimetre of the
/// piece: what is as large as a loaf peels off the edges that it stands on (our choice, without
/// a source; of some four hundred pieces all but seven had more than twice as much).
pub const LEAST_MM2_PER_CM3: f64 = 0.5;
/// A piece that is tipped over by less falls while it is printed (common practice, no
/// published source).
pub const LEAST_TIP_DEG: f64 = 10.0;
/// With a brim about it a first layer may be so much of what it has to be (our choice,
/// without a source).
const NEARLY: f64 = 0.5;
/// A first layer so many times as large as it has to be is broad; what stands on one, and is
/// no more slender than this, may fall as soon as it is tipped by this and is held all the
/// same (our choice, without a source).
const BROAD: f64 = 10.0;
const BROAD_SLENDERNESS: f64 = 5.0;
const BROAD_TIP_DEG: f64 = 5.0;
/// What lies on the bed in strips and specks less wide than two lines peels off it, however
/// long they are (common practice, no published source).
const LEAST_WIDTH_MM: f64 = 0.9;
/// Where the first layer is looked at, above the bed.
const FIRST_LAYER_MM: f64 = 0.1;

/// What a piece stands on while it is printed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Footing {
    /// Area of the first layer: the section a tenth of a millimetre above the bed.
    pub first_layer_mm2: f64,
    /// The same without what is less wide than two lines.
    pub held_mm2: f64,
    /// How large the first layer of a piece of this volume is at the least.
    pub least_mm2: f64,
    /// Length of its outer outlines.
    pub about_mm: f64,
    /// What is held as a share of the hull of the piece's shadow on the bed.
    pub share: f64,
    /// By how much the piece can be tipped before its centre of volume leaves the
    /// hull of the first layer; negative where it stands outside of it.
    pub tips_deg: f64,
    /// Height over the least width of the hull of the first layer.
    pub slenderness: f64,
    /// How many corners of that hull lift while the plastic cools.
    pub corners: usize,
}

impl Footing {
    /// What a piece stands on that lies as it is printed, its lowest point at z = 0,
    /// with a centre of volume.
    pub(crate) fn of(as_printed: &Solid, centre: Point) -> Self {
        Self::helped(as_printed, centre, &[], [0.0; 2])
    }

    /// The same with `more` that it rests on, and a brim about all of it that is so wide
    /// along x and along y.
    pub(crate) fn helped(
        as_printed: &Solid,
        centre: Point,
        more: &[[f64; 2]],
        brim_mm: [f64; 2],
    ) -> Self {
        let layer = first_layer(as_printed);
        let [bx, by] = brim_mm;
        let brim = bx.min(by).max(0.0);
        let outer = |island: &Polygon| Euclidean.length(island.exterior());
        let held = held(&layer, brim);
        let on_bed = places(&held);
        let rests = on_bed.chain(more.iter().copied());
        let about_it = |[x, y]: [f64; 2]| [[x - bx, y], [x + bx, y], [x, y - by], [x, y + by]];
        let hull = convex(rests.flat_map(about_it));
        let shadow = convex(as_printed.vertices().iter().map(|p| [p.x, p.y]));
        let height = as_printed.bounds().map_or(0.0, |b| b.max.z);
        let with_brim = |island: &&Polygon| island.unsigned_area() + brim * outer(island);
        let held_mm2 = held.iter().map(with_brim).sum();
        let within = room_within(&hull, [centre.x, centre.y]);
        Self {
            first_layer_mm2: layer.unsigned_area(),
            held_mm2,
            least_mm2: LEAST_MM2_PER_CM3 * as_printed.volume_mm3() / 1000.0,
            about_mm: layer.iter().map(outer).sum(),
            share: held_mm2 / area(&shadow).max(1e-9),
            tips_deg: within.atan2(centre.z.max(1e-9)).to_degrees(),
            slenderness: height / least_width(&hull).max(1e-3),
            corners: lifting(&hull).len(),
        }
    }

    /// Plastic of a brim about the first layer, where the bed has room for all of it.
    pub fn brim_mm3(&self, profile: &PrintProfile) -> f64 {
        self.about_mm * profile.brim_mm * profile.layer_mm
    }

    /// Whether the first layer is large enough to hold on the bed.
    pub fn holds(&self) -> bool {
        self.lies() && self.held_mm2 >= self.least_mm2
    }

    /// Whether it would be but for a share, which a brim may make up for.
    pub(crate) fn nearly_holds(&self) -> bool {
        self.lies() && self.held_mm2 >= NEARLY * self.least_mm2
    }

    /// Whether the first layer is more than specks, and held a smaller piece.
    pub fn lies(&self) -> bool {
        self.held_mm2 >= LEAST_FIRST_LAYER_MM2 || self.share >= LEAST_SHARE
    }

    /// Whether the first layer is many times as large as it has to be.
    pub(crate) fn is_broad(&self) -> bool {
        self.held_mm2 >= BROAD * self.least_mm2.max(LEAST_FIRST_LAYER_MM2)
    }

    /// Whether the piece, helped, stays where it is: what is large then has a warning, however
    /// much a brim adds. What lies on many times the first layer that it needs does not come
    /// off as soon as it is tipped.
    pub(crate) fn is_held(&self) -> bool {
        let least_tip = if self.is_broad() && self.slenderness <= BROAD_SLENDERNESS {
            BROAD_TIP_DEG
        } else {
            LEAST_TIP_DEG
        };
        self.lies() && self.tips_deg >= least_tip
    }

    /// Whether the piece stands: its first layer holds, and it is not easily tipped.
    pub fn stands(&self) -> bool {
        self.holds() && self.tips_deg >= LEAST_TIP_DEG
    }
}

/// The section a tenth of a millimetre above the bed.
fn first_layer(as_printed: &Solid) -> Outline {
    let above = Point::new(0.0, 0.0, FIRST_LAYER_MM);
    as_printed.section(&Frame::facing(above, Vector::z()))
}

/// The islands of a first layer that are wide enough to hold, with a brim about them.
fn held(layer: &Outline, brim_mm: f64) -> Vec<&Polygon> {
    let is_wide = |island: &&Polygon| mean_width_mm(island) + 2.0 * brim_mm >= LEAST_WIDTH_MM;
    layer.iter().filter(is_wide).collect()
}

/// The corners of islands on the bed; the coordinates of a section need not be x and y.
fn places<'a>(islands: &'a [&Polygon]) -> impl Iterator<Item = [f64; 2]> + 'a {
    let frame = Frame::facing(Point::origin(), Vector::z());
    let corners = islands.iter().flat_map(|island| island.coords_iter());
    corners.map(move |c| {
        let p = frame.place(c.x, c.y, 0.0);
        [p.x, p.y]
    })
}

/// The convex hull of what a piece stands on by itself, counterclockwise.
pub(crate) fn hull_on_bed(as_printed: &Solid) -> Vec<[f64; 2]> {
    let layer = first_layer(as_printed);
    convex(places(&held(&layer, 0.0)))
}

/// How wide an island is in the mean, as a long strip is: twice its area over its outline.
fn mean_width_mm(island: &Polygon) -> f64 {
    let inner = island.interiors().iter().map(|ring| Euclidean.length(ring));
    let about = Euclidean.length(island.exterior()) + inner.sum::<f64>();
    2.0 * island.unsigned_area() / about.max(1e-9)
}

/// How far a point lies within a convex ring, negative where it is outside; without
/// a ring it is as far outside as can be.
fn room_within(ring: &[[f64; 2]], p: [f64; 2]) -> f64 {
    if ring.len() < 3 {
        return f64::NEG_INFINITY;
    }
    let turning = if signed_area(ring) < 0.0 { -1.0 } else { 1.0 };
    (0..ring.len())
        .map(|k| {
            let (a, b) = (ring[k], ring[(k + 1) % ring.len()]);
            let (x, y) = (b[0] - a[0], b[1] - a[1]);
            turning * (x * (p[1] - a[1]) - y * (p[0] - a[0])) / x.hypot(y).max(1e-12)
        })
        .fold(f64::INFINITY, f64::min)
}

fn signed_area(ring: &[[f64; 2]]) -> f64 {
    let doubled = |k: usize| {
        let (a, b) = (ring[k], ring[(k + 1) % ring.len()]);
        a[0] * b[1] - a[1] * b[0]
    };
    (0..ring.len()).map(doubled).sum::<f64>() / 2.0
}

fn area(ring: &[[f64; 2]]) -> f64 {
    signed_area(ring).abs()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(solid: &Solid) -> Footing {
        Footing::of(solid, solid.moments().unwrap().centroid)
    }

    /// By the definition of the angle: half the width over half the height.
    #[test]
    fn a_board_on_its_edge_tips_at_the_angle_of_its_diagonal() {
        let board = Solid::cuboid(Point::origin(), Point::new(200.0, 24.0, 230.0));
        let footing = of(&board);
        let exact = (12.0f64 / 115.0).atan().to_degrees();
        assert!((footing.tips_deg - exact).abs() < 1e-9, "{footing:?}");
        assert!((footing.first_layer_mm2 - 4800.0).abs() < 1e-6);
        assert!((footing.slenderness - 230.0 / 24.0).abs() < 1e-9);
        assert!(footing.holds() && !footing.stands());
    }

    /// A planter's quarter on its own floor, 125 cm² under 239 mm, was thought to fall where
    /// it hung on 155 mm² instead.
    #[test]
    fn what_is_broad_is_held_although_it_tips_soon_and_a_board_on_its_edge_is_not() {
        let quarter = Footing {
            first_layer_mm2: 12_491.0,
            held_mm2: 12_491.0,
            least_mm2: 444.0,
            about_mm: 700.0,
            share: 0.4,
            tips_deg: 5.7,
            slenderness: 2.4,
            corners: 0,
        };
        assert!(quarter.is_held() && !quarter.stands());
        let on_edge = Footing {
            slenderness: 12.0,
            ..quarter
        };
        assert!(!on_edge.is_held());
        let small = Footing {
            held_mm2: 3_000.0,
            ..quarter
        };
        assert!(!small.is_held());
        // A chair's side on 97 mm² of the 481 that it has to have, a rail on 215 of 250.
        let of = |held_mm2: f64, least_mm2: f64| Footing {
            held_mm2,
            least_mm2,
            ..quarter
        };
        assert!(!of(97.0, 481.0).nearly_holds());
        assert!(of(215.0, 250.0).nearly_holds() && !of(215.0, 250.0).holds());
    }

    #[test]
    fn what_stands_on_an_edge_does_not_hold_and_a_small_key_may_be_small() {
        let block = Solid::cuboid(Point::origin(), Point::new(60.0, 60.0, 60.0));
        let on_edge = block.moved(&solid::Isometry::rotation(Vector::x() * 0.6));
        let lowest = on_edge.bounds().unwrap().min;
        let on_edge = on_edge.shifted(-lowest.coords);
        assert!(!of(&on_edge).holds());
        let key = Solid::cuboid(Point::origin(), Point::new(9.0, 5.0, 4.0));
        assert!(of(&key).first_layer_mm2 < LEAST_FIRST_LAYER_MM2);
        assert!(of(&key).stands());
    }

    #[test]
    fn edges_less_wide_than_two_lines_do_not_hold_and_a_broad_brim_holds_them() {
        let block = |a: [f64; 3], b: [f64; 3]| Solid::cuboid(Point::from(a), Point::from(b));
        let body = block([0.0, 0.0, 5.0], [140.0, 60.0, 30.0]);
        let on_edges = |width: f64| {
            let edge = |y: f64| block([0.0, y, 0.0], [140.0, y + width, 5.0]);
            body.union(&edge(0.0)).unwrap().union(&edge(50.0)).unwrap()
        };
        assert!(of(&on_edges(1.0)).stands());
        let narrow = on_edges(0.6);
        assert!(of(&narrow).first_layer_mm2 > 2.0 * LEAST_FIRST_LAYER_MM2);
        assert!(!of(&narrow).holds());
        let centre = narrow.moments().unwrap().centroid;
        assert!(Footing::helped(&narrow, centre, &[], [5.0; 2]).stands());
        // Three specks are not held by a brim that ends along one side.
        let speck = |x: f64, y: f64| block([x, y, 0.0], [x + 4.0, y + 0.5, 5.0]);
        let on_specks = [[0.0, 0.0], [130.0, 0.0], [60.0, 55.0]]
            .iter()
            .fold(body, |all, [x, y]| all.union(&speck(*x, *y)).unwrap());
        let helped = |brim_mm| Footing::helped(&on_specks, centre, &[], brim_mm);
        assert!(!helped([5.0, 0.5]).holds() && helped([5.0; 2]).holds());
    }

    /// A large block on two ridges, which a small block would stand on: 0.5 mm² for each cm³.
    #[test]
    fn what_is_large_does_not_hold_on_what_a_small_piece_stands_on() {
        let block = |a: [f64; 3], b: [f64; 3]| Solid::cuboid(Point::from(a), Point::from(b));
        let on_ridges = |height: f64| {
            let body = block([0.0, 0.0, 5.0], [120.0, 60.0, height]);
            let ridge = |x: f64| block([x, 0.0, 0.0], [x + 1.0, 60.0, 5.0]);
            body.union(&ridge(0.0))
                .unwrap()
                .union(&ridge(119.0))
                .unwrap()
        };
        // 120 mm² under 180 cm³, and under 330.
        assert!(of(&on_ridges(30.0)).stands());
        let large = of(&on_ridges(51.0));
        assert!((large.least_mm2 - 0.5 * 331.8).abs() < 0.1, "{large:?}");
        assert!(!large.holds() && large.tips_deg > LEAST_TIP_DEG);
    }

    /// An arm whose centre stands beside its foot: by the moments of two blocks.
    #[test]
    fn a_centre_beside_the_foot_tips_by_itself() {
        let foot = Solid::cuboid(Point::origin(), Point::new(20.0, 20.0, 20.0));
        let arm = Solid::cuboid(Point::new(0.0, 0.0, 20.0), Point::new(120.0, 20.0, 40.0));
        let bracket = foot.union(&arm).unwrap();
        let footing = of(&bracket);
        let (x, z) = ((10.0 + 6.0 * 60.0) / 7.0_f64, (10.0 + 6.0 * 30.0) / 7.0_f64);
        let exact = (20.0 - x).atan2(z).to_degrees();
        assert!(exact < 0.0 && (footing.tips_deg - exact).abs() < 1e-6);
        // What it rests on besides holds it.
        let centre = bracket.moments().unwrap().centroid;
        let helped = Footing::helped(&bracket, centre, &[[120.0, 0.0], [120.0, 20.0]], [0.0; 2]);
        assert!(helped.tips_deg > LEAST_TIP_DEG);
    }
}
