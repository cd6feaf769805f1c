//! A piece with one of its sides on the bed.

use printing::{LEAST_FIRST_LAYER_MM2, LEAST_TIP_DEG, PrintProfile};

use crate::lattice::kdop::Kdop;
use crate::lattice::skin::Shadow;

/// A piece with one of its sides on the bed, as far as that costs something.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Lie {
    /// Height over the least width of the footprint.
    pub(crate) slenderness: f64,
    /// How it stands so.
    pub(crate) standing: Standing,
    /// Space under what hangs over.
    pub(crate) space_mm3: f64,
    /// Surface that hangs over.
    pub(crate) hanging_mm2: f64,
    /// Hours and plastic that it takes to print, without support.
    pub(crate) hours: f64,
    pub(crate) plastic_mm3: f64,
    /// What its support takes.
    pub(crate) support_hours: f64,
    pub(crate) support_mm3: f64,
}

/// How a piece stands while it is printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Standing {
    /// By itself.
    Firmly,
    /// Perhaps on a side that leans from the axes, of which a k-dop tells no more than
    /// that it is there.
    Leaning,
    /// With a brim and the supports that it needs.
    Helped,
    /// Not on this side.
    Not,
}

/// A piece that is thinner than its box by so much in some direction leans.
const LEANS: f64 = 0.8;

/// Joints that reach out of the side on which a piece lies leave so much of it on the
/// bed: tails stand a width apart, and some of a side has none.
const TAILS_SHARE: f64 = 0.3;

impl Lie {
    /// A piece that lies on one of its two sides square to an axis, the one that looks
    /// up along it or the one that looks down; `grown` is the piece with its joints.
    /// What is under it is told from the piece alone, down to the bed.
    #[inline]
    pub(crate) fn on_side(
        piece: &Kdop,
        grown: &Kdop,
        (up, looks_up): (usize, bool),
        profile: &PrintProfile,
    ) -> Self {
        let end = piece.end(up, looks_up);
        let joints_mm = (grown.end(up, looks_up) - end).abs();
        let base = piece.skin.base(up, looks_up);
        let mut space_mm3 = piece.skin.space_mm3(up, looks_up, end);
        let mut on_bed_mm2 = base.area_mm2;
        let mut hanging_mm2 = piece.skin.hanging_mm2(up, looks_up);
        if joints_mm > 0.0 {
            on_bed_mm2 *= TAILS_SHARE;
            let lifted = base.area_mm2 - on_bed_mm2;
            space_mm3 += joints_mm * (lifted + hanging_mm2);
            hanging_mm2 += lifted;
        }
        let height = (piece.centre(up) - end).abs() + joints_mm;
        let needed = height * LEAST_TIP_DEG.to_radians().tan();
        let room_mm = |within: &Shadow| {
            let room = [0, 1].map(|k| {
                let at = piece.centre((up + 1 + k) % 3);
                (at - f64::from(within.low[k])).min(f64::from(within.high[k]) - at)
            });
            room[0].min(room[1])
        };
        let (area, volume) = (piece.skin.area_mm2, piece.volume_mm3);
        let support_mm3 = profile.support_share * space_mm3;
        let holds = on_bed_mm2 >= LEAST_FIRST_LAYER_MM2;
        Self {
            slenderness: 0.0,
            standing: if holds && room_mm(base) >= needed {
                Standing::Firmly
            } else if leans(piece) {
                Standing::Leaning
            } else if room_mm(piece.skin.held(up, looks_up)) + profile.brim_mm >= needed {
                Standing::Helped
            } else {
                Standing::Not
            },
            space_mm3,
            hanging_mm2,
            hours: profile.rough_hours(area, volume, grown.high[up] - grown.low[up]),
            plastic_mm3: profile.rough_plastic_mm3(area, volume),
            support_hours: profile.hours_of(support_mm3),
            support_mm3,
        }
    }
}

/// Whether a piece is much thinner in some direction between two axes than along both.
fn leans(piece: &Kdop) -> bool {
    let wide = |k: usize| piece.high[k] - piece.low[k];
    let between = |axis: usize| 3 + 10 * axis..13 + 10 * axis;
    (0..3).any(|axis| {
        let least = between(axis).map(wide).fold(f64::INFINITY, f64::min);
        least < LEANS * wide(axis).min(wide((axis + 1) % 3))
    })
}

#[cfg(test)]
mod tests {
    use solid::{Point, Solid};

    use super::*;
    use crate::lattice::kdop::directions;

    fn on_side(solid: &Solid, joints_mm: f64, up: usize, looks_up: bool) -> Lie {
        let piece = Kdop::of(solid, &directions());
        let mut grown = piece;
        match looks_up {
            true => grown.high[up] += joints_mm,
            false => grown.low[up] -= joints_mm,
        }
        Lie::on_side(&piece, &grown, (up, looks_up), &PrintProfile::default())
    }

    /// A table of four slabs and a top: the space under the top, by arithmetic.
    #[test]
    fn space_is_what_is_under_the_top_and_none_with_the_top_down() {
        let top = Solid::cuboid(Point::new(0.0, 0.0, 180.0), Point::new(200.0, 150.0, 200.0));
        let foot = Solid::cuboid(Point::new(0.0, 0.0, 0.0), Point::new(40.0, 150.0, 180.0));
        let other = foot.shifted(solid::Vector::x() * 160.0);
        let table = Solid::union_of([&top, &foot, &other]).unwrap();
        let standing = on_side(&table, 0.0, 2, false);
        assert!(standing.standing == Standing::Firmly);
        assert!((standing.space_mm3 - 120.0 * 150.0 * 180.0).abs() < 1.0);
        let turned = on_side(&table, 0.0, 2, true);
        assert!(turned.standing == Standing::Firmly && turned.space_mm3 < 1.0);
        // With tails out of the top, it lies on those, and the top hangs over.
        let lifted = on_side(&table, 8.0, 2, true);
        assert!(lifted.standing == Standing::Firmly);
        assert!((lifted.space_mm3 - 0.7 * 8.0 * 200.0 * 150.0).abs() < 1.0);
    }

    #[test]
    fn a_board_does_not_stand_on_its_edge_and_a_wedge_not_on_its_ridge() {
        let how = |solid: &Solid, up, looks_up| on_side(solid, 0.0, up, looks_up).standing;
        let board = Solid::cuboid(Point::origin(), Point::new(230.0, 24.0, 240.0));
        assert_eq!(how(&board, 2, false), Standing::Not);
        assert_eq!(how(&board, 1, false), Standing::Firmly);
        let low = Solid::cuboid(Point::origin(), Point::new(230.0, 24.0, 150.0));
        assert_eq!(how(&low, 2, false), Standing::Helped, "with a brim");
        let slope = |x: f64| {
            let n = solid::Vector::new(x, 0.0, 1.0).normalize();
            solid::Frame::facing(Point::new(100.0, 0.0, 0.0), n)
        };
        let block = Solid::cuboid(Point::origin(), Point::new(200.0, 60.0, 60.0));
        let wedge = block.trimmed(&slope(1.0)).unwrap();
        let wedge = wedge.trimmed(&slope(-1.0)).unwrap();
        assert_eq!(how(&wedge, 2, false), Standing::Not);
        assert_eq!(how(&wedge, 2, true), Standing::Firmly);
    }

    #[test]
    fn a_leaning_leg_may_lie_on_a_side_that_leans() {
        let leg = Solid::cuboid(Point::origin(), Point::new(30.0, 30.0, 200.0));
        let leaning = leg.moved(&solid::Isometry::rotation(solid::Vector::y() * 0.3));
        assert_eq!(on_side(&leaning, 0.0, 2, false).standing, Standing::Leaning);
    }
}
