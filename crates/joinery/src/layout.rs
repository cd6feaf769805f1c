use geo::{Area, BoundingRect};
use solid::Outline;

use crate::dovetail::{OVERRUN_MM, Tail};
use crate::lanes::{SCAN_MM, Scan};
use crate::tenon::Tenon;
use crate::{JointRules, Lane, TailSize, tail_sizes};

/// What the layout of joints needs to know of a seam, in its frame's `(u, v)`:
/// `v` is the way the tails move to go home.
#[derive(Clone, Debug)]
pub struct SeamFace {
    /// Where joints may lie, walls included: material on both sides, as deep
    /// as the joint reaches. One polygon is filled at a time.
    pub room: Outline,
    /// All material of the socket's half within the reach of the tails.
    pub receiving: Outline,
}

/// Why no joint was laid out.
#[derive(Clone, Debug, thiserror::Error, PartialEq)]
pub enum NoRoom {
    /// No strip of the least width is covered far enough.
    #[error(
        "the contact has no strip {needed_mm:.1} mm wide and {run_mm:.1} mm long for the smallest \
         joint and the walls beside it"
    )]
    TooNarrow {
        /// Width of the strip that the smallest joint needs.
        needed_mm: f64,
        /// Length it needs.
        run_mm: f64,
    },
    /// There is room, but the end where the tail would come in is closed.
    #[error("there is room, but material closes the end where the tail would come in")]
    EntryClosed,
}

/// Tails laid out on a seam, and how far the slide is.
#[derive(Clone, Debug, Default)]
pub struct Laid {
    /// The tails, each with the index of the room polygon it was laid in.
    pub tails: Vec<(usize, Tail)>,
    /// How far back the moving half must start to be free of every tail.
    pub travel_mm: f64,
    /// Why a room polygon got none, by its index.
    pub refused: Vec<(usize, NoRoom)>,
}

/// Tenons laid out on a seam.
#[derive(Clone, Debug, Default)]
pub struct LaidTenons {
    /// The tenons, each with the index of the room polygon it was laid in.
    pub tenons: Vec<(usize, Tenon)>,
    /// Why a room polygon got none, by its index.
    pub refused: Vec<(usize, NoRoom)>,
}

/// How far a strip's outline may slant within the width of a tail, in strip
/// widths: beyond, its end is not an open end but a step.
const SLANT: f64 = 0.35;

/// Free way kept beyond the longest run.
const AFTER_RUN_MM: f64 = 2.0;

/// Lays out sliding tails: in each polygon of the room the largest tails that
/// find a strip, evenly spread, where the end they come in from is open.
///
/// A strip that is covered in several stretches carries one long tail when the
/// stretches are closer than the slide; the material trims it.
pub fn lay_sliding(face: &SeamFace, rules: &JointRules) -> Laid {
    let Some(reach) = joined_bounds(face) else {
        return Laid::default();
    };
    let receiving = Scan::over(&face.receiving, reach.0, reach.1);
    let everywhere = Scan::over(&face.room, reach.0, reach.1);

    // The travel depends on the longest run and decides which ends are open:
    // grow it until it serves every run that is kept.
    let mut travel = 0.0;
    loop {
        let laid = lay_with_travel(face, rules, &receiving, &everywhere, reach, travel);
        let needed = laid
            .tails
            .iter()
            .map(|(_, tail)| tail.lane.run_mm() + AFTER_RUN_MM)
            .fold(0.0, f64::max);
        if needed <= travel + 1e-9 || laid.tails.is_empty() {
            return Laid {
                travel_mm: needed,
                ..laid
            };
        }
        travel = needed;
    }
}

fn lay_with_travel(
    face: &SeamFace,
    rules: &JointRules,
    receiving: &Scan,
    everywhere: &Scan,
    reach: (f64, f64),
    travel: f64,
) -> Laid {
    let mut laid = Laid::default();
    for (index, polygon) in face.room.iter().enumerate() {
        let own = Outline::new(vec![polygon.clone()]);
        let scan = Scan::over(&own, reach.0, reach.1);
        let Some(bounds) = own.bounding_rect() else {
            continue;
        };
        let mut why = smallest_strip(rules);
        let mut kept = Vec::new();
        for size in tail_sizes(rules) {
            let centres = centres(&scan, &size, (bounds.min().x, bounds.max().x));
            if centres.is_empty() {
                continue;
            }
            why = NoRoom::EntryClosed;
            let lane_at = |u: f64| {
                lane(
                    [&scan, everywhere, receiving],
                    &size,
                    u,
                    travel,
                    rules.stop_relief_mm,
                )
            };
            for (low, high) in open_runs(&centres, &lane_at) {
                for u in spread(low, high, &size, rules) {
                    let Some(lane) = lane_at(u) else { continue };
                    if let Ok(tail) = Tail::sized(&lane, size.width_mm, rules) {
                        kept.push((index, tail));
                    }
                }
            }
            if !kept.is_empty() {
                break;
            }
        }
        if kept.is_empty() {
            laid.refused.push((index, why));
        }
        for (index, tail) in kept {
            // Another polygon's long tail may already fill this lane.
            let clash = laid.tails.iter().any(|(_, other)| {
                let between = (tail.lane.across_mm - other.lane.across_mm).abs();
                let apart = (tail.size.strip_mm() + other.size.strip_mm()) / 2.0;
                between < apart - 1e-9
                    && tail.lane.from_mm < other.lane.to_mm + travel
                    && other.lane.from_mm < tail.lane.to_mm + travel
            });
            if !clash {
                laid.tails.push((index, tail));
            }
        }
    }
    laid
}

fn smallest_strip(rules: &JointRules) -> NoRoom {
    let least = TailSize::of_width(rules.least_tail_width_mm, rules);
    NoRoom::TooNarrow {
        needed_mm: least.strip_mm(),
        run_mm: least.least_run_mm,
    }
}

fn joined_bounds(face: &SeamFace) -> Option<(f64, f64)> {
    let room = face.room.bounding_rect()?;
    let all = face.receiving.bounding_rect()?;
    Some((
        room.min().x.min(all.min().x) - SCAN_MM,
        room.max().x.max(all.max().x) + SCAN_MM,
    ))
}

/// Ranges of `u` in which a strip for this size is covered far enough.
fn centres(scan: &Scan, size: &TailSize, within: (f64, f64)) -> Vec<(f64, f64)> {
    let half = size.strip_mm() / 2.0;
    ranges(within.0 + half, within.1 - half, |u| {
        scan.covered(u - half, u + half)
            .iter()
            .any(|s| s.1 - s.0 >= size.least_run_mm)
    })
}

/// The parts of some ranges in which a lane is open.
fn open_runs(centres: &[(f64, f64)], lane_at: &dyn Fn(f64) -> Option<Lane>) -> Vec<(f64, f64)> {
    centres
        .iter()
        .flat_map(|&(low, high)| ranges(low, high, |u| lane_at(u).is_some()))
        .collect()
}

/// Maximal ranges of evenly spaced samples that pass a test.
fn ranges(low: f64, high: f64, test: impl Fn(f64) -> bool) -> Vec<(f64, f64)> {
    if high < low - 1e-9 {
        return Vec::new();
    }
    let steps = ((high - low) / SCAN_MM).ceil().max(1.0);
    let mut out: Vec<(f64, f64)> = Vec::new();
    let mut run: Option<(f64, f64)> = None;
    for k in 0..=steps as usize {
        let u = low + (high - low) * k as f64 / steps;
        if test(u) {
            run = Some(run.map_or((u, u), |r| (r.0, u)));
        } else if let Some(r) = run.take() {
            out.push(r);
        }
    }
    out.extend(run);
    out
}

/// Middle lines spread evenly over a range, a land apart.
fn spread(low: f64, high: f64, size: &TailSize, rules: &JointRules) -> Vec<f64> {
    let pitch = size.width_mm * (1.0 + rules.land_ratio);
    let count = (((high - low) / pitch).floor() as usize).max(1);
    // Two fit where the range is not long enough for two pitches but its ends
    // are a good land apart.
    let two = size.width_mm + size.wall_mm.max(0.5 * size.width_mm);
    if count == 1 && high - low >= two {
        return vec![
            low + (high - low - two) / 4.0,
            high - (high - low - two) / 4.0,
        ];
    }
    (0..count)
        .map(|i| low + (high - low) * (i as f64 + 0.5) / count as f64)
        .collect()
}

/// The lane of a tail at `u`, if the end it comes in from is open over the
/// whole travel.
fn lane(
    [own, everywhere, receiving]: [&Scan; 3],
    size: &TailSize,
    u: f64,
    travel: f64,
    stop_relief_mm: f64,
) -> Option<Lane> {
    let half = size.strip_mm() / 2.0;
    let slack = SLANT * size.strip_mm();
    let longest = own
        .covered(u - half, u + half)
        .into_iter()
        .max_by(|a, b| (a.1 - a.0).total_cmp(&(b.1 - b.0)))
        .filter(|s| s.1 - s.0 >= size.least_run_mm)?;
    let strips = everywhere.covered(u - half, u + half);
    // A wall's thickness to either side must be free beyond the ends too, or
    // the tail's overrun takes slivers off what stands there.
    let body = half.min(size.width_mm / 2.0 + size.wall_mm.min(2.0));
    let material = receiving.touched(u - body, u + body, 2.0 * OVERRUN_MM);

    let own_material = |at: f64| material.iter().find(|m| m.0 <= at && at <= m.1);
    let home = own_material((longest.0 + longest.1) / 2.0)?;
    let (mut from, mut covered_from) = (home.0, longest.0);
    // Walk against the slide: whatever lies within the travel must belong to
    // the lane, as a stretch of the same long tail.
    loop {
        if covered_from - from > slack {
            // Something reaches further back than the strip is covered: only
            // a stretch of room that covers it can make it part of the lane.
            // Strictly further back, or a stretch without length would hold
            // the walk for ever.
            let before = strips
                .iter()
                .rev()
                .find(|s| s.1 <= covered_from + 1e-9 && s.0 < covered_from - 1e-6)?;
            let gap = covered_from - before.1;
            if gap > size.strip_mm() {
                return None;
            }
            covered_from = before.0;
            continue;
        }
        let Some(next) = material.iter().rev().find(|m| m.1 < from - 1e-9) else {
            break;
        };
        if next.1 <= from - travel {
            break;
        }
        let stretch = strips.iter().rev().find(|s| s.1 <= from && s.0 < next.1)?;
        if next.1 - stretch.1 > slack {
            return None;
        }
        from = next.0;
        covered_from = stretch.0;
    }
    // A gap on the way must be one across the whole strip: where it is a
    // notch in one side only, the tail would leave a sliver beside it.
    let across = receiving.touched(u - half, u + half, 0.0);
    let notched = across
        .iter()
        .filter(|t| t.0 < longest.1 && t.1 > from)
        .any(|t| {
            strips
                .iter()
                .filter(|s| s.1 > t.0 + 1e-6 && s.0 < t.1 - 1e-6)
                .count()
                != 1
        });
    if notched {
        return None;
    }
    let own_ends = receiving.ends_smoothly(u - half, u + half, longest);
    let steps_on_the_way = strips
        .iter()
        .filter(|s| s.0 < longest.0 - 1e-6 && s.1 > from)
        .any(|s| receiving.ends_smoothly(u - half, u + half, *s) != [true, true]);
    if steps_on_the_way || !own_ends[0] {
        return None;
    }
    let blind = home.1 - longest.1 > slack || !own_ends[1];
    let to = if blind {
        longest.1 - size.wall_mm - stop_relief_mm
    } else {
        home.1
    };
    (to - from >= size.least_run_mm).then_some(Lane {
        across_mm: u,
        from_mm: from,
        to_mm: to,
        blind,
    })
}

/// Lays out tenons: in each polygon of the room the largest that find a strip
/// with a wall all round, evenly spread along and across.
pub fn lay_tenons(room: &Outline, rules: &JointRules) -> LaidTenons {
    let LaidTenons {
        mut tenons,
        mut refused,
    } = LaidTenons::default();
    for (index, polygon) in room.iter().enumerate() {
        let own = Outline::new(vec![polygon.clone()]);
        let Some(bounds) = own.bounding_rect().filter(|_| own.unsigned_area() > 1.0) else {
            refused.push((index, smallest_strip(rules)));
            continue;
        };
        let scan = Scan::over(&own, bounds.min().x - SCAN_MM, bounds.max().x + SCAN_MM);
        let before = tenons.len();
        for size in tail_sizes(rules) {
            let needed = size.width_mm + 2.0 * size.wall_mm;
            let half = size.strip_mm() / 2.0;
            for (low, high) in ranges(bounds.min().x + half, bounds.max().x - half, |u| {
                scan.covered(u - half, u + half)
                    .iter()
                    .any(|s| s.1 - s.0 >= needed)
            }) {
                for u in spread(low, high, &size, rules) {
                    for (v0, v1) in scan.covered(u - half, u + half) {
                        tenons.extend(
                            along(v0, v1, &size)
                                .filter_map(|(v, length)| {
                                    Tenon::sized([u, v], [size.width_mm, length], rules).ok()
                                })
                                .map(|t| (index, t)),
                        );
                    }
                }
            }
            if tenons.len() > before {
                break;
            }
        }
        if tenons.len() == before {
            refused.push((index, smallest_strip(rules)));
        }
    }
    LaidTenons { tenons, refused }
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
    use geo::BooleanOps;
    use solid::rectangle;

    use super::*;

    fn face(room: Outline) -> SeamFace {
        SeamFace {
            receiving: room.clone(),
            room,
        }
    }

    #[test]
    fn a_plate_gets_a_row_of_full_size_tails() {
        let laid = lay_sliding(
            &face(rectangle([0.0, 0.0], [200.0, 18.0])),
            &JointRules::default(),
        );
        assert!(laid.tails.len() >= 6, "{}", laid.tails.len());
        assert!(
            laid.tails
                .iter()
                .all(|(_, t)| t.size.width_mm == 10.5 && !t.lane.blind)
        );
        assert!((laid.travel_mm - 20.0).abs() < 1e-3);
    }

    #[test]
    fn a_shelf_edge_on_gets_one_long_tail_with_walls() {
        let laid = lay_sliding(
            &face(rectangle([0.0, 0.0], [18.0, 300.0])),
            &JointRules::default(),
        );
        assert_eq!(laid.tails.len(), 1);
        let tail = &laid.tails[0].1;
        assert!((tail.lane.across_mm - 9.0).abs() < 0.3);
        assert!(tail.size.wall_mm >= 1.2);
    }

    #[test]
    fn too_thin_is_refused_with_the_number() {
        let laid = lay_sliding(
            &face(rectangle([0.0, 0.0], [4.0, 100.0])),
            &JointRules::default(),
        );
        assert!(laid.tails.is_empty());
        assert!(matches!(laid.refused[0].1, NoRoom::TooNarrow { .. }));
    }

    #[test]
    fn a_closed_entry_is_refused() {
        let room = rectangle([0.0, 0.0], [40.0, 18.0]);
        let receiving = room.union(&rectangle([0.0, -30.0], [40.0, -5.0]));
        let laid = lay_sliding(&SeamFace { room, receiving }, &JointRules::default());
        assert!(laid.tails.is_empty());
        assert_eq!(laid.refused[0].1, NoRoom::EntryClosed);
    }

    #[test]
    fn islands_further_apart_than_the_slide_are_joined_each_by_itself() {
        let room =
            rectangle([0.0, 0.0], [200.0, 18.0]).union(&rectangle([0.0, 300.0], [200.0, 318.0]));
        let laid = lay_sliding(&face(room), &JointRules::default());
        assert!(laid.tails.iter().any(|t| t.0 == 0) && laid.tails.iter().any(|t| t.0 == 1));
        assert!(laid.travel_mm < 21.0);
    }

    #[test]
    fn a_round_leg_gets_a_tail_through_its_middle() {
        let ring: Vec<(f64, f64)> = (0..64)
            .map(|k| {
                let a = std::f64::consts::TAU * f64::from(k) / 64.0;
                (20.0 * a.cos(), 20.0 * a.sin())
            })
            .collect();
        let disc = Outline::new(vec![geo::Polygon::new(ring.into(), vec![])]);
        let laid = lay_sliding(&face(disc.clone()), &JointRules::default());
        assert!(!laid.tails.is_empty());
        assert!(laid.tails.iter().all(|(_, t)| !t.lane.blind));
        assert!(!lay_tenons(&disc, &JointRules::default()).tenons.is_empty());
    }
}
