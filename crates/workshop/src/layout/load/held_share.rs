//! How much of a contact lies near its joints.

use design::HELD_MM;
use geo::BoundingRect;
use joinery::{Sliding, stretches};
use solid::Outline;

/// Lines that a contact is looked at along, at the most.
const LINES: f64 = 24.0;
/// They are no nearer to each other than this.
const LINE_MM: f64 = 2.0;

/// What share of a contact lies near joints in lanes, both in the frame of one way to
/// close its seam: along lines, each as far as a round about the lane's rectangle reaches.
pub(crate) fn held_share<'a>(
    outline: &Outline,
    joints: impl Iterator<Item = &'a Sliding> + Clone,
) -> f64 {
    let Some(bounds) = outline.bounding_rect() else {
        return 0.0;
    };
    let step = (bounds.width() / LINES).max(LINE_MM);
    let lines = (bounds.width() / step).ceil().max(1.0);
    let step = bounds.width() / lines;
    let (mut all, mut held) = (0.0, 0.0);
    for k in 0..lines as usize {
        let u = bounds.min().x + step * (k as f64 + 0.5);
        let mut near: Vec<(f64, f64)> = joints
            .clone()
            .filter_map(|joint| {
                let lane = &joint.main.lane;
                let (low, high) = joint.strip_mm;
                let beside = (low - u).max(u - high).max(0.0);
                let reach = (HELD_MM.powi(2) - beside.powi(2)).max(0.0).sqrt();
                (reach > 0.0).then_some((lane.from_mm - reach, lane.to_mm + reach))
            })
            .collect();
        near.sort_by(|a, b| a.0.total_cmp(&b.0));
        for (low, high) in stretches(outline, u) {
            all += high - low;
            let mut from = low;
            for &(near_low, near_high) in &near {
                let (begin, end) = (near_low.max(from), near_high.min(high));
                if end > begin {
                    held += end - begin;
                    from = end;
                }
            }
        }
    }
    if all > 0.0 { held / all } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use joinery::{JointKind, JointRules, Lane};
    use solid::rectangle;

    use super::*;

    #[test]
    fn one_tail_at_the_end_of_a_long_edge_holds_little_of_it_and_a_row_all() {
        let edge = rectangle([0.0, 0.0], [200.0, 18.0]);
        let tail = |across_mm: f64| {
            let lane = Lane {
                across_mm,
                from_mm: 0.0,
                to_mm: 18.0,
                blind: false,
            };
            let rules = JointRules::default();
            Sliding::full_size(JointKind::Dovetail, &lane, &rules).unwrap()
        };
        let one = [tail(10.0)];
        let (_, ends) = one[0].strip_mm;
        let share = held_share(&edge, one.iter());
        assert!((share - (ends + HELD_MM) / 200.0).abs() < 0.03, "{share}");
        let row: Vec<Sliding> = (0..5).map(|k| tail(20.0 + 40.0 * f64::from(k))).collect();
        assert!((held_share(&edge, row.iter()) - 1.0).abs() < 1e-9);
        assert_eq!(held_share(&edge, row[..0].iter()), 0.0);
    }
}
