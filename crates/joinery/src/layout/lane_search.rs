//! Lanes: strips that are covered, open where the tail comes in, and free on the way.

use crate::layout::scan::{SCAN_MM, Scan};
use crate::layout::seam_face::NoRoom;
use crate::shape::lane::Lane;
use crate::shape::tail::OVERRUN_MM;
use crate::sizing::TailSize;

/// How far a strip's outline may slant within the width of a tail, in strip
/// widths: beyond, its end is not an open end but a step.
const SLANT: f64 = 0.35;

/// Scans over what a lane must lie in and keep clear of.
pub(crate) struct Scans<'a> {
    /// The room polygon that the joint is for.
    pub(crate) own: &'a Scan,
    /// All room on the seam.
    pub(crate) everywhere: &'a Scan,
    /// All material of the socket's half.
    pub(crate) receiving: &'a Scan,
    /// All material of the tails' half.
    pub(crate) carrying: &'a Scan,
    /// What joints of other seams fill of the socket's half and of the tails'
    /// half, unless that does not count.
    pub(crate) taken: Option<[&'a Scan; 2]>,
}

/// What is wanted of a lane.
#[derive(Clone, Copy)]
pub(crate) struct Wanted {
    /// How far the slide is.
    pub(crate) travel: f64,
    /// Gap beyond a stopped tail.
    pub(crate) stop_relief_mm: f64,
    /// Whether something comes the other way too.
    pub(crate) both_ways: bool,
    /// Whether the far end must not show.
    pub(crate) stop_short: bool,
    /// By how much leaning faces shift what stands on the seam.
    pub(crate) lean_mm: f64,
    /// Whether it is a key, which neither half may close the way of.
    pub(crate) key: bool,
}

/// The lane of a tail at `u`, if the end it comes in from is open over the
/// whole travel; for a key, past both halves.
pub(crate) fn lane(scans: &Scans, size: &TailSize, u: f64, way: &Wanted) -> Option<Lane> {
    let into = lane_into(scans, size, u, way)?;
    if !way.key {
        return Some(into);
    }
    let other = Scans {
        receiving: scans.carrying,
        carrying: scans.receiving,
        taken: scans.taken.map(|[a, b]| [b, a]),
        ..*scans
    };
    let back = lane_into(&other, size, u, way)?;
    // A key's end is flush with both halves, or with neither.
    ((into.from_mm - back.from_mm).abs() < SCAN_MM).then_some(Lane {
        across_mm: u,
        from_mm: into.from_mm.min(back.from_mm),
        to_mm: into.to_mm.min(back.to_mm),
        blind: into.blind || back.blind,
    })
}

/// Why a strip that is wide and long enough carries no lane.
pub(crate) fn why_closed(scans: &Scans, size: &TailSize, u: f64, way: &Wanted) -> NoRoom {
    let half = size.strip_mm() / 2.0;
    let Some(longest) = longest(scans.own, u - half, u + half) else {
        return NoRoom::Stepped;
    };
    let middle = (longest.0 + longest.1) / 2.0;
    let needed_mm = way.travel.max(longest.1 - longest.0);
    let behind = |scan: &Scan| {
        let material = scan.touched(u - half, u + half, 2.0 * OVERRUN_MM);
        let home = material.iter().find(|m| m.0 <= middle && middle <= m.1)?;
        let closed = longest.0 - home.0 > SLANT * size.strip_mm() + way.lean_mm;
        let next = material.iter().rev().find(|m| m.1 < home.0)?;
        Some(if closed { 0.0 } else { home.0 - next.1 })
    };
    let free = behind(scans.receiving)
        .into_iter()
        .chain(way.key.then(|| behind(scans.carrying)).flatten())
        .fold(f64::INFINITY, f64::min);
    if free < needed_mm {
        return NoRoom::EntryClosed {
            free_mm: free,
            needed_mm,
        };
    }
    let lane = lane_into(
        scans,
        size,
        u,
        &Wanted {
            both_ways: false,
            stop_short: false,
            ..*way
        },
    );
    let as_if_free = Scans {
        taken: None,
        ..*scans
    };
    if lane.is_none() && lane_into(&as_if_free, size, u, way).is_some() {
        return NoRoom::Taken;
    }
    match lane {
        Some(_) if way.both_ways && way.stop_short => NoRoom::CannotStop,
        Some(_) if way.both_ways => NoRoom::FarEndClosed,
        Some(lane) if way.stop_short => NoRoom::TooShortToStop {
            run_mm: lane.run_mm() - size.wall_mm - way.stop_relief_mm,
            needed_mm: size.least_run_mm,
        },
        _ => NoRoom::Stepped,
    }
}

pub(crate) fn longest(scan: &Scan, low_mm: f64, high_mm: f64) -> Option<(f64, f64)> {
    scan.covered(low_mm, high_mm)
        .into_iter()
        .max_by(|a, b| (a.1 - a.0).total_cmp(&(b.1 - b.0)))
}

fn lane_into(scans: &Scans, size: &TailSize, u: f64, way: &Wanted) -> Option<Lane> {
    let receiving = scans.receiving;
    let half = size.strip_mm() / 2.0;
    let slack = SLANT * size.strip_mm() + way.lean_mm;
    let longest =
        longest(scans.own, u - half, u + half).filter(|s| s.1 - s.0 >= size.least_run_mm)?;
    let strips = scans.everywhere.covered(u - half, u + half);
    // A wall's thickness to either side must be free beyond the ends too, or
    // the tail's overrun takes slivers off what stands there.
    let body = half.min(size.width_mm / 2.0 + size.wall_mm.min(2.0));
    let material = receiving.touched(u - body, u + body, 2.0 * OVERRUN_MM);
    let own_material = |at: f64| material.iter().find(|m| m.0 <= at && at <= m.1);
    let home = own_material((longest.0 + longest.1) / 2.0)?;
    let strip = Strip {
        u,
        half,
        slack,
        longest,
        home: *home,
        stretches: &strips,
    };
    let from = strip.entry(&material, size, way.travel)?;
    if way.key && from < home.0 - 1e-9 {
        return None;
    }
    if strip.is_notched(receiving, from) {
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
    let blind = way.stop_short || home.1 - longest.1 > slack || !own_ends[1];
    let (from, through) = match way.both_ways {
        true if blind => return None,
        true => strip.home_from_both_ends(scans.carrying, from, way.travel)?,
        false => (from, home.1),
    };
    let to = if blind {
        longest.1 - size.wall_mm - way.stop_relief_mm
    } else {
        through
    };
    if is_taken(scans, size, u, (from, to), way.both_ways) {
        return None;
    }
    (to - from >= size.least_run_mm).then_some(Lane {
        across_mm: u,
        from_mm: from,
        to_mm: to,
        blind,
    })
}

/// A strip of a seam, looked at along the slide.
struct Strip<'a> {
    /// Its middle line.
    u: f64,
    half: f64,
    /// How far its outline may slant at an end that counts as open.
    slack: f64,
    /// The longest stretch in which it is covered.
    longest: (f64, f64),
    /// The material of the socket's half that this lies in.
    home: (f64, f64),
    /// All stretches in which it is covered.
    stretches: &'a [(f64, f64)],
}

impl Strip<'_> {
    /// Where a tail comes in: against the slide, whatever lies within the travel
    /// must belong to the lane, as a stretch of the same long tail.
    fn entry(&self, material: &[(f64, f64)], size: &TailSize, travel: f64) -> Option<f64> {
        let (mut from, mut covered_from) = (self.home.0, self.longest.0);
        loop {
            if covered_from - from > self.slack {
                // Something reaches further back than the strip is covered: only
                // a stretch of room that covers it can make it part of the lane.
                // Strictly further back, or a stretch without length would hold
                // the walk for ever.
                let before = self
                    .stretches
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
                return Some(from);
            };
            if next.1 <= from - travel {
                return Some(from);
            }
            let mut stretches = self.stretches.iter().rev();
            let stretch = stretches.find(|s| s.1 <= from && s.0 < next.1)?;
            if next.1 - stretch.1 > self.slack {
                return None;
            }
            from = next.0;
            covered_from = stretch.0;
        }
    }

    /// Whether a gap on the way is no gap across the whole strip: where it is a
    /// notch in one side only, the tail would leave a sliver beside it.
    fn is_notched(&self, receiving: &Scan, from: f64) -> bool {
        let across = receiving.touched(self.u - self.half, self.u + self.half, 0.0);
        across
            .iter()
            .filter(|t| t.0 < self.longest.1 && t.1 > from)
            .any(|t| {
                self.stretches
                    .iter()
                    .filter(|s| s.1 > t.0 + 1e-6 && s.0 < t.1 - 1e-6)
                    .count()
                    != 1
            })
    }

    /// From where to where the lane reaches if something comes the other way too,
    /// which enters where the tail leaves; `None` where its way is closed.
    fn home_from_both_ends(&self, carrying: &Scan, from: f64, travel: f64) -> Option<(f64, f64)> {
        let (longest, slack) = (self.longest, self.slack);
        let behind = carrying.touched(self.u - self.half, self.u + self.half, 0.0);
        let closed = behind.iter().any(|m| {
            let another = m.0 > longest.1;
            let in_the_way = another && m.0 < longest.1 + travel;
            let ahead = !another && m.1 > longest.1 + slack;
            in_the_way || ahead || m.0 < from - slack && m.1 > from
        });
        if closed {
            return None;
        }
        // Where faces lean against the seam, the half that carries the tails ends
        // elsewhere, and what comes the other way must be free there too.
        let middle = (longest.0 + longest.1) / 2.0;
        let own = behind.iter().filter(|m| m.0 <= middle && middle <= m.1);
        Some(own.fold((from, self.home.1), |(low, high), own| {
            (low.min(own.0), high.max(own.1))
        }))
    }
}

/// Whether joints of other seams fill a part of a lane.
fn is_taken(scans: &Scans, size: &TailSize, u: f64, lane: (f64, f64), both_ways: bool) -> bool {
    let in_the_way = |t: &(f64, f64)| t.0 < lane.1 && lane.0 < t.1;
    let (low, high) = (u - size.width_mm / 2.0, u + size.width_mm / 2.0);
    let halves = if both_ways { 2 } else { 1 };
    let mut taken = scans.taken.iter().flatten().take(halves);
    taken.any(|t| t.touched(low, high, 0.0).iter().any(in_the_way))
}

#[cfg(test)]
mod tests {
    use solid::rectangle;

    use super::*;
    use crate::kind::joint_kind::JointKind;
    use crate::rules::JointRules;

    fn wanted(travel: f64) -> Wanted {
        Wanted {
            travel,
            stop_relief_mm: 4.0,
            both_ways: false,
            stop_short: false,
            lean_mm: 0.0,
            key: false,
        }
    }

    /// The lane in the middle of a board's edge, another board standing before
    /// its open end.
    fn before_another(gap: f64, way: &Wanted) -> Option<Lane> {
        use geo::BooleanOps;
        let edge = rectangle([0.0, 0.0], [60.0, 18.0]);
        let both = edge.union(&rectangle([0.0, -gap - 5.0], [60.0, -gap]));
        let [own, all] = [&edge, &both].map(|o| Scan::over(o, -1.0, 61.0));
        let size = TailSize::of_width(JointKind::Dovetail, 10.5, &JointRules::default());
        let scans = Scans {
            own: &own,
            everywhere: &own,
            receiving: &all,
            carrying: &own,
            taken: None,
        };
        lane(&scans, &size, 30.0, way)
    }

    #[test]
    fn a_lane_needs_its_travel_free_before_the_open_end() {
        let open = before_another(25.0, &wanted(20.0)).unwrap();
        assert_eq!((open.from_mm, open.to_mm, open.blind), (0.0, 18.0, false));
        assert!(before_another(15.0, &wanted(20.0)).is_none());
    }

    #[test]
    fn a_lane_that_must_not_show_stops_short() {
        let short = Wanted {
            stop_short: true,
            ..wanted(20.0)
        };
        let stopped = before_another(25.0, &short).unwrap();
        assert!(stopped.blind && stopped.to_mm < 18.0 - 4.0);
        let both = Wanted {
            both_ways: true,
            ..short
        };
        assert!(before_another(25.0, &both).is_none());
    }
}
