//! How thick the walls beside a tail are.

use std::array::from_fn;

use crate::layout::lane_search::longest;
use crate::layout::scan::Scan;
use crate::shape::lane::Lane;

/// How thick the material beside a tail is on either side, over most of its
/// run; beyond three widths no more is asked.
pub(crate) fn walls_beside(own: &Scan, lane: &Lane, width_mm: f64) -> [f64; 2] {
    let (half, across_mm) = (width_mm / 2.0, lane.across_mm);
    let Some(longest) = longest(own, across_mm - half, across_mm + half) else {
        return [0.0; 2];
    };
    let (from, to) = (longest.0.max(lane.from_mm), longest.1.min(lane.to_mm));
    let step = width_mm / 16.0;
    let places: [f64; 10] = from_fn(|k| from + (to - from) * (k as f64 + 0.5) / 10.0);
    [-1.0, 1.0].map(|side: f64| {
        let mut beside = places.map(|_| 0);
        let mut grows = places.map(|_| true);
        for k in 1..=48 {
            let covered = own.covered_at(across_mm + side * (half + step * f64::from(k)));
            for (n, at) in places.iter().enumerate() {
                grows[n] &= covered.iter().any(|s| s.0 <= *at && *at <= s.1);
                beside[n] += u32::from(grows[n]);
            }
        }
        beside.sort_unstable();
        step * f64::from(beside[MOST_OF_TEN])
    })
}

/// Of ten places along a run so many may have less beside them.
const MOST_OF_TEN: usize = 2;

#[cfg(test)]
mod tests {
    use super::*;

    /// A board that leans by 10° against the slide, 20 mm thick, with a tail in its foot: the
    /// wall is what is left beside that tail and not what a tail as long as the board has.
    #[test]
    fn walls_are_measured_beside_the_tail_and_not_further_on() {
        use geo::{LineString, Polygon};
        let shift = 180.0 * 10f64.to_radians().tan();
        let corners = [
            (0.0, 0.0),
            (20.0, 0.0),
            (20.0 + shift, 180.0),
            (shift, 180.0),
        ];
        let board = Polygon::new(LineString::from(corners.to_vec()), vec![]);
        let own = Scan::over(&solid::Outline::new(vec![board]), -1.0, 60.0);
        let lane = Lane {
            across_mm: 11.0,
            from_mm: 0.0,
            to_mm: 15.0,
            blind: true,
        };
        let [below, above] = walls_beside(&own, &lane, 10.0);
        // At its end the face has come 2.6 mm nearer on the one side.
        assert!((3.2..4.3).contains(&below), "{below}");
        assert!((3.9..5.0).contains(&above), "{above}");
    }
}
