//! Tenons laid out on a contact.

use geo::{Area, BooleanOps, BoundingRect};
use solid::{Outline, rectangle};

use crate::kind::joint_kind::JointKind;
use crate::layout::across::{ranges, spread};
use crate::layout::scan::{SCAN_MM, Scan};
use crate::layout::seam_face::NoRoom;
use crate::layout::slide::smallest_strip;
use crate::rules::JointRules;
use crate::shape::tenon::Tenon;
use crate::sizing::{TailSize, tail_sizes};

/// Tenons laid out on a seam.
#[derive(Clone, Debug, Default)]
pub struct LaidTenons {
    /// The tenons, each with the index of the room polygon it was laid in.
    pub tenons: Vec<(usize, Tenon)>,
    /// Why a room polygon got none, by its index.
    pub refused: Vec<(usize, NoRoom)>,
}

/// Smaller tenons are laid out where no larger one is as near as this, in mm: what lies within it
/// counts as held.
const APART_MM: f64 = 20.0;

/// Lays out tenons: in each polygon of the room the largest that find a strip with a wall all
/// round, evenly spread along and across; and in what is far from those, as beside a corner
/// that alone has room for a large one, smaller ones.
pub fn lay_tenons(room: &Outline, rules: &JointRules) -> LaidTenons {
    let mut laid = LaidTenons::default();
    for (index, polygon) in room.iter().enumerate() {
        let before = laid.tenons.len();
        let mut left = Outline::new(vec![polygon.clone()]);
        for size in tail_sizes(JointKind::Tenon, rules) {
            if left.unsigned_area() <= 1.0 {
                break;
            }
            for tenon in of_size(&left, &size, rules) {
                let reach = tenon.foot_mm.map(|side| side / 2.0 + APART_MM);
                let [u, v] = tenon.centre_mm;
                let [low, high] = [-1.0, 1.0].map(|s| [u + s * reach[0], v + s * reach[1]]);
                left = left.difference(&rectangle(low, high));
                laid.tenons.push((index, tenon));
            }
        }
        if laid.tenons.len() == before {
            let why = smallest_strip(JointKind::Tenon, rules);
            laid.refused.push((index, why));
        }
    }
    laid
}

/// The tenons of one size in a region.
fn of_size(region: &Outline, size: &TailSize, rules: &JointRules) -> Vec<Tenon> {
    let Some(bounds) = region.bounding_rect() else {
        return Vec::new();
    };
    let (from, to) = (bounds.min().x, bounds.max().x);
    let scan = Scan::over(region, from - SCAN_MM, to + SCAN_MM);
    let needed = size.width_mm + 2.0 * size.wall_mm;
    let half = size.strip_mm() / 2.0;
    let takes = |u: f64| {
        let stretches = scan.covered(u - half, u + half);
        stretches.iter().any(|s| s.1 - s.0 >= needed)
    };
    let mut tenons = Vec::new();
    for (low, high) in ranges(from + half, to - half, takes) {
        for u in spread(low, high, size, rules.land_ratio) {
            for (v0, v1) in scan.covered(u - half, u + half) {
                let each = along(v0, v1, size);
                let sized = each.filter_map(|(v, length)| {
                    Tenon::sized([u, v], [size.width_mm, length], rules).ok()
                });
                tenons.extend(sized);
            }
        }
    }
    tenons
}

/// Tenons along one covered stretch: middles and lengths.
fn along(v0: f64, v1: f64, size: &TailSize) -> impl Iterator<Item = (f64, f64)> {
    let free = v1 - v0 - 2.0 * size.wall_mm;
    let longest = 3.0 * size.width_mm;
    let count = if free < size.width_mm {
        0
    } else {
        (free / (longest + size.width_mm)).ceil() as usize
    };
    let cell = free / count.max(1) as f64;
    let length = if count > 1 {
        (cell - size.width_mm).max(size.width_mm)
    } else {
        free.min(longest)
    };
    (0..count).map(move |i| (v0 + size.wall_mm + cell * (i as f64 + 0.5), length))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tenons_keep_a_wall_to_every_edge_and_to_each_other() {
        let rules = JointRules::default();
        let (wide, thick) = (120.0, 30.0);
        let laid = lay_tenons(&rectangle([0.0, 0.0], [wide, thick]), &rules);
        assert!(laid.refused.is_empty() && laid.tenons.len() > 1);
        let boxes: Vec<[f64; 4]> = laid
            .tenons
            .iter()
            .map(|(_, t)| {
                let half = t.foot_mm.map(|side| side / 2.0);
                let [u, v] = t.centre_mm;
                [u - half[0], v - half[1], u + half[0], v + half[1]]
            })
            .collect();
        let wall = rules.min_wall_mm - 1e-9;
        for (k, a) in boxes.iter().enumerate() {
            let gaps = [a[0], a[1], wide - a[2], thick - a[3]];
            assert!(gaps.iter().all(|&gap| gap >= wall), "{a:?}");
            for b in &boxes[k + 1..] {
                let apart = (0..2).any(|i| a[i + 2] + wall <= b[i] || b[i + 2] + wall <= a[i]);
                assert!(apart, "{a:?} and {b:?}");
            }
        }
    }

    /// A wall of 10 with another across its end: the corner alone has room for the largest.
    #[test]
    fn a_corner_with_room_for_one_large_tenon_does_not_take_the_row_beside_it() {
        let rules = JointRules::default();
        let wall = rectangle([0.0, 0.0], [120.0, 10.0]);
        let alone = lay_tenons(&wall, &rules).tenons.len();
        let with_corner = wall.union(&rectangle([100.0, 0.0], [130.0, 30.0]));
        let laid = lay_tenons(&with_corner, &rules).tenons.len();
        assert!(alone > 2 && laid + 2 >= alone, "{alone} and {laid}");
    }

    #[test]
    fn a_face_too_thin_for_a_tenon_and_its_walls_is_refused() {
        let rules = JointRules::default();
        let laid = lay_tenons(&rectangle([0.0, 0.0], [120.0, 3.0]), &rules);
        assert!(laid.tenons.is_empty());
        assert!(matches!(laid.refused[0], (0, NoRoom::TooNarrow { .. })));
    }
}
