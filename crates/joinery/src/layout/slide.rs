//! Sliding joints laid out on a contact: the largest that find a lane.

use geo::BoundingRect;
use solid::Outline;

use crate::kind::abilities::Form;
use crate::kind::joint_kind::JointKind;
use crate::layout::across::{centres, open_runs, spread};
use crate::layout::lane_search::{Scans, Wanted, lane, why_closed};
use crate::layout::scan::{SCAN_MM, Scan};
use crate::layout::seam_face::{Laid, NoRoom, SeamFace};
use crate::layout::walls::walls_beside;
use crate::rules::JointRules;
use crate::rules::LONGEST_FINGER;
use crate::shape::sliding::Sliding;
use crate::sizing::{TailSize, tail_sizes};

/// Free way kept beyond the longest run.
const AFTER_RUN_MM: f64 = 2.0;

/// Lays out sliding joints of a kind: in each polygon of the room the largest
/// that find a strip, evenly spread, where the end they come in from is open.
///
/// A strip that is covered in several stretches carries one long tail when the
/// stretches are closer than the slide; the material trims it.
///
/// # Panics
///
/// When the kind has no lanes: it neither slides nor is a key.
pub fn lay_sliding(kind: JointKind, face: &SeamFace, rules: &JointRules) -> Laid {
    assert!(kind.abilities().form.has_lane(), "{kind} has no lanes");
    let Some(reach) = joined_bounds(face) else {
        return Laid::default();
    };
    let scan = |outline| Scan::over(outline, reach.0, reach.1);
    let scans = (
        scan(&face.receiving),
        scan(&face.room),
        scan(&face.carrying),
        face.taken.each_ref().map(scan),
    );

    // The travel depends on the longest run and decides which ends are open:
    // grow it until it serves every run that is kept.
    let mut travel = face.least_travel_mm;
    loop {
        let laid = lay_with_travel(kind, face, rules, &scans, reach, travel);
        let needed = laid
            .joints
            .iter()
            .map(|(_, joint)| joint.main.lane.run_mm() + AFTER_RUN_MM)
            .fold(0.0, f64::max);
        if needed <= travel + 1e-9 || laid.joints.is_empty() {
            return Laid {
                travel_mm: needed,
                ..laid
            };
        }
        travel = needed;
    }
}

fn lay_with_travel(
    kind: JointKind,
    face: &SeamFace,
    rules: &JointRules,
    (receiving, everywhere, carrying, taken): &(Scan, Scan, Scan, [Scan; 2]),
    reach: (f64, f64),
    travel: f64,
) -> Laid {
    let mut laid = Laid::default();
    let form = kind.abilities().form;
    let wanted = Wanted {
        travel,
        stop_relief_mm: rules.stop_relief_mm,
        both_ways: form.comes_both_ways(),
        stop_short: face.stop_short,
        lean_mm: face.lean_mm,
        key: kind.is_key(),
    };
    for (index, polygon) in face.room.iter().enumerate() {
        let own = Outline::new(vec![polygon.clone()]);
        let own_scan = Scan::over(&own, reach.0, reach.1);
        let scans = Scans {
            own: &own_scan,
            everywhere,
            receiving,
            carrying,
            taken: Some(taken.each_ref()),
        };
        let Some(bounds) = own.bounding_rect() else {
            continue;
        };
        let within = (bounds.min().x, bounds.max().x);
        let (kept, why) = match form {
            Form::Fingers => rows_of_fingers(&scans, within, &wanted, rules),
            Form::Tail | Form::BracedTail | Form::Tongue | Form::Key | Form::Block | Form::Flat => {
                tails(kind, &scans, within, &wanted, rules)
            }
        };
        if kept.is_empty() {
            laid.refused.push((index, why));
        }
        for joint in kept {
            // Another polygon's long tail may already fill this lane.
            let clash = laid.joints.iter().any(|(_, other)| {
                let lanes = (&joint.main.lane, &other.main.lane);
                joint.strip_mm.0 < other.strip_mm.1 - 1e-9
                    && other.strip_mm.0 < joint.strip_mm.1 - 1e-9
                    && lanes.0.from_mm < lanes.1.to_mm + travel
                    && lanes.1.from_mm < lanes.0.to_mm + travel
            });
            if !clash {
                laid.joints.push((index, joint));
            }
        }
    }
    laid
}

/// The largest tails of a kind that find open lanes in one room polygon.
fn tails(
    kind: JointKind,
    scans: &Scans,
    within: (f64, f64),
    wanted: &Wanted,
    rules: &JointRules,
) -> (Vec<Sliding>, NoRoom) {
    let mut why = smallest_strip(kind, rules);
    let land_ratio = match kind.is_key() {
        true => rules.key_land_ratio,
        false => rules.land_ratio,
    };
    for size in tail_sizes(kind, rules) {
        let centres = centres(scans.own, &size, within);
        if centres.is_empty() {
            continue;
        }
        let lane_at = |u: f64| lane(scans, &size, u, wanted);
        let mut kept: Vec<Sliding> = open_runs(&centres, &lane_at)
            .into_iter()
            .flat_map(|(low, high)| spread(low, high, &size, land_ratio))
            .filter_map(lane_at)
            .filter_map(|lane| Sliding::tail(kind, &lane, &size, rules).ok())
            .collect();
        if !kept.is_empty() {
            measure_walls(&mut kept, scans.own);
            return (kept, why);
        }
        why = why_closed(scans, &size, (centres[0].0 + centres[0].1) / 2.0, wanted);
    }
    (Vec::new(), why)
}

/// What stands beside each tail: as far as the material goes, or to the next
/// tail.
fn measure_walls(kept: &mut [Sliding], own: &Scan) {
    let places: Vec<(f64, f64)> = kept
        .iter()
        .map(|t| (t.main.lane.across_mm, t.width_mm))
        .collect();
    for (k, tail) in kept.iter_mut().enumerate() {
        let (at, width) = places[k];
        let [below, above] = walls_beside(own, &tail.main.lane, width);
        let land = |other: &(f64, f64)| (other.0 - at).abs() - (other.1 + width) / 2.0;
        let nearest = |below: bool| {
            places
                .iter()
                .filter(|p| if below { p.0 < at } else { p.0 > at })
                .map(land)
                .fold(f64::INFINITY, f64::min)
        };
        tail.wall_mm = below.min(nearest(true)).min(above.min(nearest(false)));
    }
}

/// The widest row of fingers that finds an open lane in one room polygon.
fn rows_of_fingers(
    scans: &Scans,
    within: (f64, f64),
    wanted: &Wanted,
    rules: &JointRules,
) -> (Vec<Sliding>, NoRoom) {
    let wall_mm = rules.wall_beside_fingers_mm();
    let least = 3.0 * rules.finger_width_mm;
    let mut why = NoRoom::TooNarrow {
        needed_mm: least + 2.0 * wall_mm,
        run_mm: 2.5,
    };
    let mut width_mm = within.1 - within.0 - 2.0 * wall_mm;
    while width_mm >= least {
        let size = TailSize {
            width_mm,
            depth_mm: LONGEST_FINGER * rules.finger_width_mm,
            wall_mm,
            least_run_mm: 2.5,
        };
        let centres = centres(scans.own, &size, within);
        if let Some(first) = centres.first() {
            why = why_closed(scans, &size, (first.0 + first.1) / 2.0, wanted);
        }
        let lane_at = |u: f64| lane(scans, &size, u, wanted);
        for (low, high) in open_runs(&centres, &lane_at) {
            let found = lane_at((low + high) / 2.0)
                .and_then(|l| Sliding::fingers(&l, width_mm, wall_mm, rules).ok());
            if let Some(row) = found {
                return (vec![row], why);
            }
        }
        width_mm -= rules.finger_width_mm / 2.0;
    }
    (Vec::new(), why)
}

/// The refusal that names the least strip for a kind.
pub(crate) fn smallest_strip(kind: JointKind, rules: &JointRules) -> NoRoom {
    let least = TailSize::of_width(kind, rules.least_tail_width_mm, rules);
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

#[cfg(test)]
mod tests {
    use geo::BooleanOps;
    use solid::rectangle;

    use super::*;
    use crate::layout::axial::lay_tenons;

    fn face(room: Outline) -> SeamFace {
        SeamFace::across_prism(&room)
    }

    #[test]
    fn a_plate_gets_a_row_of_full_size_tails() {
        let laid = lay_sliding(
            JointKind::Dovetail,
            &face(rectangle([0.0, 0.0], [200.0, 18.0])),
            &JointRules::default(),
        );
        assert!(laid.joints.len() >= 6, "{}", laid.joints.len());
        assert!(
            laid.joints
                .iter()
                .all(|(_, t)| t.width_mm == 10.5 && !t.main.lane.blind)
        );
        assert!((laid.travel_mm - 20.0).abs() < 1e-3);
    }

    #[test]
    fn a_shelf_edge_on_gets_one_long_tail_with_walls() {
        let laid = lay_sliding(
            JointKind::Dovetail,
            &face(rectangle([0.0, 0.0], [18.0, 300.0])),
            &JointRules::default(),
        );
        assert_eq!(laid.joints.len(), 1);
        let tail = &laid.joints[0].1;
        assert!((tail.main.lane.across_mm - 9.0).abs() < 0.3);
        assert!((18.0 - tail.width_mm) / 2.0 >= 1.2);
    }

    #[test]
    fn too_thin_is_refused_with_the_number() {
        let laid = lay_sliding(
            JointKind::Dovetail,
            &face(rectangle([0.0, 0.0], [4.0, 100.0])),
            &JointRules::default(),
        );
        assert!(laid.joints.is_empty());
        assert!(matches!(laid.refused[0].1, NoRoom::TooNarrow { .. }));
    }

    #[test]
    fn a_closed_entry_is_refused() {
        let room = rectangle([0.0, 0.0], [40.0, 18.0]);
        let receiving = room.union(&rectangle([0.0, -30.0], [40.0, -5.0]));
        let laid = lay_sliding(
            JointKind::Dovetail,
            &SeamFace {
                receiving,
                ..SeamFace::across_prism(&room)
            },
            &JointRules::default(),
        );
        assert!(laid.joints.is_empty());
        let why = &laid.refused[0].1;
        assert!(
            matches!(why, NoRoom::EntryClosed { free_mm, needed_mm } if *free_mm == 5.0 && *needed_mm >= 18.0),
            "{why:?}"
        );
    }

    #[test]
    fn what_comes_the_other_way_needs_a_free_way_in() {
        let room = rectangle([0.0, 0.0], [200.0, 18.0]);
        for kind in [JointKind::WedgeFingers, JointKind::BracedDovetail] {
            let with_rail = |gap: f64| {
                let rail = rectangle([0.0, 18.0 + gap], [200.0, 33.0 + gap]);
                let face = SeamFace {
                    carrying: room.union(&rail),
                    ..SeamFace::across_prism(&room)
                };
                lay_sliding(kind, &face, &JointRules::default())
            };
            // The slide is 20 mm, whatever the width of a row.
            assert_eq!(with_rail(15.0).refused, [(0, NoRoom::FarEndClosed)]);
            assert!(!with_rail(25.0).joints.is_empty());
        }
    }

    #[test]
    fn islands_further_apart_than_the_slide_are_joined_each_by_itself() {
        let room =
            rectangle([0.0, 0.0], [200.0, 18.0]).union(&rectangle([0.0, 300.0], [200.0, 318.0]));
        let laid = lay_sliding(JointKind::Dovetail, &face(room), &JointRules::default());
        assert!(laid.joints.iter().any(|t| t.0 == 0) && laid.joints.iter().any(|t| t.0 == 1));
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
        let laid = lay_sliding(
            JointKind::Dovetail,
            &face(disc.clone()),
            &JointRules::default(),
        );
        assert!(!laid.joints.is_empty());
        assert!(laid.joints.iter().all(|(_, t)| !t.main.lane.blind));
        assert!(!lay_tenons(&disc, &JointRules::default()).tenons.is_empty());
    }

    #[test]
    fn no_lane_goes_through_a_joint_of_another_seam() {
        let whole = rectangle([0.0, 0.0], [24.0, 18.0]);
        let face = SeamFace {
            room: rectangle([0.0, 1.5], [24.0, 18.0]),
            ..SeamFace::across_prism(&whole)
        };
        let rules = JointRules::default();
        let taken = SeamFace {
            taken: [0, 1].map(|_| rectangle([0.0, 0.0], [24.0, 1.0])),
            ..face.clone()
        };
        for kind in [JointKind::Dovetail, JointKind::Butterfly] {
            // So little may be a slanted end.
            let free = lay_sliding(kind, &face, &rules);
            assert_eq!(free.joints[0].1.main.lane.from_mm, 0.0);
            assert!(lay_sliding(kind, &taken, &rules).joints.is_empty());
        }
        let laid = lay_sliding(JointKind::Dovetail, &taken, &rules);
        assert_eq!(laid.refused, [(0, NoRoom::Taken)]);
    }

    #[test]
    fn a_stretch_without_length_does_not_hold_the_walk_for_ever() {
        use geo::{LineString, Polygon};
        let strip = |low: f64, high: f64| {
            Polygon::new(
                LineString::from(vec![(0.0, low), (40.0, low), (40.0, high), (0.0, high)]),
                vec![],
            )
        };
        let room = Outline::new(vec![strip(0.0, 18.0), strip(-1e-10, 0.0)]);
        let receiving = rectangle([0.0, -30.0], [40.0, 18.0]);
        let face = SeamFace {
            room,
            ..SeamFace::across_prism(&receiving)
        };
        assert!(
            lay_sliding(JointKind::Dovetail, &face, &JointRules::default())
                .joints
                .is_empty()
        );
    }
}
