//! Whether a hand finds room on the side from which a key is pushed in.

use geo::{Area, LinesIter};
use solid::Outline;

/// What is further off leaves room for a hand, in mm.
const HAND_MM: f64 = 250.0;
/// A key is pushed along its way, or from beside it: so many directions are looked into on
/// each side of the straight one, up to this angle.
const EACH_SIDE: i32 = 7;
const BESIDE_DEG: f64 = 75.0;
/// The look begins so far before the key.
const BEFORE_MM: f64 = 0.5;

/// Whether a key that comes in along +y, its wide end at a place, comes from where the
/// material in the seam's plane is close by on all sides: from within a tube, or a box that is
/// shut all round. `regions` are all that the seam cuts.
pub(crate) fn is_shut_in<'a>(
    [x, y]: [f64; 2],
    regions: impl IntoIterator<Item = &'a Outline>,
) -> bool {
    let outlines = regions.into_iter().filter(|r| r.unsigned_area() > 0.0);
    let edges: Vec<geo::Line> = outlines.flat_map(|r| r.lines_iter()).collect();
    let from = geo::Coord {
        x,
        y: y - BEFORE_MM,
    };
    (-EACH_SIDE..=EACH_SIDE).all(|k| {
        let angle = (BESIDE_DEG * f64::from(k) / f64::from(EACH_SIDE)).to_radians();
        let way = geo::Coord {
            x: angle.sin(),
            y: -angle.cos(),
        };
        edges.iter().any(|edge| meets(from, way, edge))
    })
}

/// Whether a ray of length one meets an edge no further off than a hand.
fn meets(from: geo::Coord, way: geo::Coord, edge: &geo::Line) -> bool {
    let along = edge.end - edge.start;
    let turn = way.x * along.y - way.y * along.x;
    if turn.abs() < 1e-12 {
        return false;
    }
    let to = edge.start - from;
    let off_mm = (to.x * along.y - to.y * along.x) / turn;
    let share = (to.x * way.y - to.y * way.x) / turn;
    (0.0..=HAND_MM).contains(&off_mm) && (0.0..=1.0).contains(&share)
}

#[cfg(test)]
mod tests {
    use geo::BooleanOps;
    use solid::rectangle;

    use super::*;

    #[test]
    fn within_a_tube_there_is_no_room_and_before_it_and_in_a_carcass_there_is() {
        let tube = |inner: [f64; 2]| {
            let outer = rectangle([0.0, 0.0], [inner[0] + 24.0, inner[1] + 24.0]);
            outer.difference(&rectangle([12.0, 12.0], [inner[0] + 12.0, inner[1] + 12.0]))
        };
        // The wall that is further along +y has its inner face there.
        let narrow = tube([190.0, 110.0]);
        assert!(is_shut_in([100.0, 122.0], [&narrow]));
        assert!(!is_shut_in([100.0, 0.0], [&narrow]));
        let broad = tube([190.0, 300.0]);
        assert!(!is_shut_in([100.0, 312.0], [&broad]));
        // Without its front it is open.
        let open = narrow.difference(&rectangle([-1.0, 12.0], [13.0, 122.0]));
        assert!(!is_shut_in([100.0, 122.0], [&open]));
    }
}
