//! Joints from random numbers: inside the rules always sound, outside always
//! refused.

use joinery::{Half, Joint, JointKind, JointRules, SeamFace, Sliding, lay_sliding, lay_tenons};
use proptest::prelude::*;
use solid::{Frame, Outline, Point, Solid, Vector, rectangle};

/// Rules within their own bounds, if these numbers make any.
fn rules() -> impl Strategy<Value = JointRules> {
    let tail = (3.0f64..24.0, 2.0f64..16.0, 8.0f64..60.0, 0.0f64..4.0);
    let small = (3.0f64..6.0, 1.0f64..4.0, 3.0f64..12.0, 0.0f64..3.0);
    let gaps = (0.0f64..0.4, 0.0f64..0.6, 0.0f64..0.6, 0.0f64..0.3);
    let walls = (0.4f64..2.5, 0.3f64..3.0, 0.1f64..1.0, 0.6f64..4.0);
    (tail, small, gaps, walls).prop_map(|(tail, small, gaps, walls)| JointRules {
        tail_width_mm: tail.0,
        tail_depth_mm: tail.1,
        included_angle_deg: tail.2,
        slide_taper_deg: tail.3,
        least_tail_width_mm: tail.0.min(3.0),
        brace_width_mm: small.0,
        brace_depth_mm: small.1,
        finger_width_mm: small.2,
        finger_taper_deg: small.3,
        clearance_mm: gaps.0,
        crest_relief_mm: gaps.1,
        convex_radius_mm: gaps.2,
        concave_radius_mm: gaps.3,
        min_wall_mm: walls.0,
        land_ratio: walls.1,
        key_land_ratio: walls.1,
        wall_ratio: walls.2,
        root_mm: walls.3,
        ..JointRules::default()
    })
}

/// The two halves of a bar with a joint cut into them, and its keys.
fn cut(outline: &Outline, seam: &Frame, joints: &[Joint]) -> Vec<Solid> {
    let bounds = {
        use geo::BoundingRect;
        outline.bounding_rect().unwrap()
    };
    let block = |low: f64, high: f64| {
        let corner = |n: f64, c: geo::Coord| seam.place(c.x, c.y, n);
        let (a, b) = (corner(low, bounds.min()), corner(high, bounds.max()));
        Solid::cuboid(a.inf(&b), a.sup(&b))
    };
    let whole = block(-40.0, 40.0);
    let mut parts = vec![block(-40.0, 0.0), block(0.0, 40.0)];
    for transfer in joints.iter().flat_map(|j| &j.transfers) {
        let inside = transfer.tail.intersection(&whole).unwrap();
        for (k, half) in [(0, Half::Tails), (1, Half::Sockets)] {
            parts[k] = if transfer.to == half {
                parts[k].union(&inside).unwrap()
            } else {
                parts[k].difference(&transfer.socket).unwrap()
            };
        }
        if transfer.to == Half::Key {
            parts.push(inside);
        }
    }
    parts
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]

    #[test]
    fn inside_the_rules_joints_are_sound_or_refused_with_a_number(
        rules in rules(), wide in 6.0f64..160.0, thick in 2.0f64..40.0,
    ) {
        prop_assume!(rules.checked().is_ok());
        let outline = rectangle([0.0, 0.0], [wide, thick]);
        let seam = Frame::with_axes(Point::origin(), Vector::x(), Vector::y());
        let face = SeamFace::across_prism(&outline);
        for kind in JointKind::ALL {
            let joints: Vec<Joint> = match kind {
                JointKind::Plain => continue,
                JointKind::Tenon => lay_tenons(&outline, &rules)
                    .tenons
                    .iter()
                    .map(|(_, t)| t.joint(&seam).unwrap())
                    .collect(),
                _ => {
                    let laid = lay_sliding(kind, &face, &rules);
                    prop_assert_eq!(laid.joints.is_empty(), !laid.refused.is_empty());
                    for (_, why) in &laid.refused {
                        prop_assert!(why.to_string().chars().any(|c| c.is_ascii_digit())
                            || why.to_string().contains("steps"), "{}", why);
                    }
                    let made: Result<Vec<Joint>, _> =
                        laid.joints.iter().map(|(_, j): &(usize, Sliding)| j.joint(&seam)).collect();
                    made.map_err(|e| TestCaseError::fail(format!("{kind}: {e}")))?
                }
            };
            let parts = cut(&outline, &seam, &joints);
            // One body each, apart from each other.
            for (i, a) in parts.iter().enumerate() {
                prop_assert_eq!(a.bodies().len(), 1, "{} part {}", kind, i);
                for b in &parts[i + 1..] {
                    let shared = a.intersection(b).unwrap().volume_mm3();
                    prop_assert!(shared < 1e-3, "{} shares {}", kind, shared);
                }
            }
        }
    }

    #[test]
    fn outside_the_rules_there_is_always_a_refusal(which in 0usize..12, by in 0.01f64..50.0) {
        let mut rules = JointRules::default();
        match which {
            0 => rules.included_angle_deg = 90.0 + by,
            1 => rules.tail_width_mm = 2.0 - by,
            2 => rules.tail_depth_mm = 100.0 + by,
            3 => rules.least_tail_width_mm = rules.tail_width_mm + by,
            4 => rules.slide_taper_deg = -by,
            5 => rules.brace_width_mm = 3.0 - by,
            6 => rules.finger_width_mm = f64::NAN,
            7 => rules.clearance_mm = 1.0 + by,
            8 => rules.crest_relief_mm = -by,
            9 => rules.concave_radius_mm = rules.convex_radius_mm + by,
            10 => rules.min_wall_mm = 20.0 + by,
            _ => rules.tail_depth_mm = rules.tail_width_mm * 1.4 + by,
        }
        prop_assert!(rules.checked().is_err(), "{:?}", rules);
    }
}
