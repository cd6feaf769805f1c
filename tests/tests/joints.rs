//! Every joint on every kind of contact, measured in the finished triangles.

use design::Settings;
use inspection::Code;
use joinery::{Half, JointKind, JointRules, Lane, Sliding, TailSize};
use solid::{Frame, Point, RayCaster, Solid, Vector};
use whole_program::{bars, carry_out_and_judge, halved};

const KINDS: [&str; 6] = [
    "dovetail",
    "braced-dovetail",
    "wedge-fingers",
    "tongue",
    "butterfly",
    "tenon",
];

#[test]
fn every_joint_on_every_contact_is_sound() {
    for (name, bar) in bars() {
        for joint in KINDS {
            let judged = carry_out_and_judge(&bar, halved(joint, Settings::default()));
            let errors = judged.errors();
            assert!(errors.is_empty(), "{joint} on {name}: {errors:#?}");
            // A tube has four limbs, of which a slide serves two at the least.
            let contacts = &judged.build.seams[0].contacts;
            let (joined, bare): (Vec<_>, Vec<_>) = contacts.iter().partition(|c| c.is_joined());
            assert!(
                joined.len() >= bare.len().max(1),
                "{joint} on {name}: {bare:?}"
            );
            for contact in joined {
                assert_eq!(contact.joint().id(), joint, "{name}: {:?}", contact.joining);
            }
        }
    }
}

/// Distances from points on a half's faces outward to the other half, for the
/// faces that pass a test.
fn gaps(from: &Solid, to: &Solid, wanted: impl Fn(&Point, &Vector) -> bool) -> Vec<f64> {
    let caster = RayCaster::new(to).unwrap();
    let mut out = Vec::new();
    for t in 0..from.triangles().len() {
        let n = from.normal(t);
        let [a, b, c] = from.corners(t);
        for i in 1..8 {
            for j in 1..8 - i {
                let p = a + (b - a) * (f64::from(i) / 8.0) + (c - a) * (f64::from(j) / 8.0);
                if wanted(&p, &n)
                    && let Some(hit) = caster.first_entry(&(p - n * 1e-9), &n, 2.0)
                {
                    out.push(hit.distance_mm);
                }
            }
        }
    }
    out
}

#[test]
fn the_gap_is_the_clearance_and_shoulders_touch() {
    for clearance_mm in [0.05, 0.15] {
        let settings = Settings {
            joints: JointRules {
                clearance_mm,
                ..JointRules::default()
            },
            ..Settings::default()
        };
        for joint in ["dovetail", "braced-dovetail", "wedge-fingers"] {
            let (_, bar) = &bars()[0];
            let build = carry_out_and_judge(bar, halved(joint, settings.clone())).build;
            let (low, high) = (&build.pieces[0].solid, &build.pieces[1].solid);
            // Flanks beyond the seam, clear of the rounded edges.
            let flanks = gaps(low, high, |p, n| {
                p.x > 0.8 && p.x < 6.5 && n.x.abs() > 0.1 && n.x.abs() < 0.3 && n.z.abs() < 0.2
            });
            assert!(
                flanks.len() >= 1000,
                "{joint}: only {} samples",
                flanks.len()
            );
            for gap in &flanks {
                assert!(
                    (gap - clearance_mm).abs() < 0.005,
                    "{joint}: a gap of {gap}"
                );
            }
            // Shoulders lie on each other.
            let shoulders = |s: &Solid, sign: f64| {
                (0..s.triangles().len())
                    .filter(|&t| s.normal(t).x * sign > 0.999 && s.corners(t)[0].x.abs() < 1e-9)
                    .count()
            };
            assert!(
                shoulders(low, 1.0) > 0 && shoulders(high, -1.0) > 0,
                "{joint}"
            );
            if joint == "dovetail" {
                let crests = gaps(low, high, |p, n| (p.x - 8.0).abs() < 1e-6 && n.x > 0.999);
                assert!(!crests.is_empty());
                for gap in crests {
                    assert!((gap - 0.2).abs() < 0.005, "crest relief {gap}");
                }
            }
        }
    }
}

#[test]
fn a_clearance_too_wide_to_hold_is_what_the_finding_blames() {
    let (_, bar) = bars().into_iter().next().expect("there are bars");
    let with = |clearance_mm| Settings {
        joints: JointRules {
            clearance_mm,
            ..JointRules::default()
        },
        ..Settings::default()
    };
    // Flanks at 15° take up sin 15° of a pull: 0.26 mm of one millimetre.
    let close = carry_out_and_judge(&bar, halved("dovetail", with(0.2)));
    assert!(close.errors().is_empty(), "{:#?}", close.errors());
    let loose = carry_out_and_judge(&bar, halved("dovetail", with(0.4)));
    let [finding] = loose.errors()[..] else {
        panic!("one error: {:#?}", loose.errors());
    };
    assert_eq!(finding.code, Code::NotHeld);
    assert!(finding.message.contains("make the clearance smaller"));
}

#[test]
fn a_key_has_the_clearance_on_both_sides() {
    let (_, bar) = &bars()[0];
    let mut close = Settings::default();
    close.joints.key_land_ratio = close.joints.land_ratio;
    let judged = carry_out_and_judge(bar, halved("butterfly", close));
    let pieces = &judged.build.pieces;
    let mut sides = [Vec::new(), Vec::new()];
    for &key in judged.build.seams[0].contacts[0].keys() {
        for (k, side) in sides.iter_mut().enumerate() {
            side.extend(gaps(&pieces[key].solid, &pieces[k].solid, |p, n| {
                let depth = if k == 0 { -p.x } else { p.x };
                depth > 0.8 && depth < 6.5 && n.x.abs() > 0.1 && n.x.abs() < 0.3 && n.z.abs() < 0.2
            }));
        }
    }
    for side in sides {
        assert!(side.len() >= 1000, "only {} samples", side.len());
        for gap in side {
            assert!((gap - 0.05).abs() < 0.005, "a gap of {gap}");
        }
    }
}

#[test]
fn angles_and_radii_measure_back() {
    let rules = JointRules::default();
    let seam = Frame::with_axes(Point::origin(), Vector::x(), Vector::y());
    let lane = Lane {
        across_mm: 0.0,
        from_mm: 0.0,
        to_mm: 18.0,
        blind: false,
    };
    let size = TailSize::of_width(JointKind::Dovetail, 10.5, &rules);
    let joint = Sliding::tail(JointKind::Dovetail, &lane, &size, &rules)
        .unwrap()
        .joint(&seam)
        .unwrap();
    let tail = &joint.transfers[0].tail;
    // The flank's normal is (-sin α, cos α) in (n, u), leaning by the taper
    // along the slide: tan α and tan τ are ratios of its parts.
    let area = |t: usize| {
        let [a, b, c] = tail.corners(t);
        (b - a).cross(&(c - a)).norm()
    };
    let largest = (0..tail.triangles().len())
        .filter(|&t| tail.normal(t).y > 0.9 && tail.normal(t).x.abs() > 0.1)
        .max_by(|&a, &b| area(a).total_cmp(&area(b)))
        .unwrap();
    let flank = tail.normal(largest);
    let alpha = (-flank.x / flank.y).atan().to_degrees();
    let tau = (flank.z / flank.y).atan().to_degrees();
    assert!((alpha - 15.0).abs() < 0.05, "half angle {alpha}");
    assert!((tau - 1.5).abs() < 0.05, "taper {tau}");
    // Rounded crest edges at either end: the circle of radius 0.3 tangent to
    // crest and flank passes through every vertex of the arc.
    for end in [-1.0, 19.0] {
        let arc: Vec<[f64; 2]> = tail
            .vertices()
            .iter()
            .filter(|p| (p.z - end).abs() < 1e-9 && p.y > 0.0 && p.x > 7.4)
            .map(|p| [p.x, p.y])
            .collect();
        assert!(arc.len() >= 4, "{arc:?}");
        let radius = circle(arc[0], arc[1], arc[arc.len() - 1]);
        assert!((radius - 0.3).abs() < 0.01, "radius {radius} at {end}");
    }
}

/// Radius of the circle through three points.
fn circle(a: [f64; 2], b: [f64; 2], c: [f64; 2]) -> f64 {
    let side = |p: [f64; 2], q: [f64; 2]| (p[0] - q[0]).hypot(p[1] - q[1]);
    let area = ((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])).abs() / 2.0;
    side(a, b) * side(b, c) * side(c, a) / (4.0 * area)
}

/// The socket's half of a plate joint, cut off beside one tail: the wall that
/// the wedge pushes outward.
fn wall_beside_a_tail(joint: &str) -> (Solid, Solid) {
    let (_, bar) = bars().swap_remove(0);
    let build = carry_out_and_judge(&bar, halved(joint, Settings::default())).build;
    let mid = build.pieces[0]
        .solid
        .vertices()
        .iter()
        .filter(|p| p.x > 7.9)
        .map(|p| p.y)
        .fold(f64::INFINITY, f64::min);
    // From the first tail's edge outward, and only as deep as the tail: the
    // wall by itself, free to move.
    let keep = Solid::cuboid(
        Point::new(-20.0, mid - 40.0, -5.0),
        Point::new(8.1, mid + 4.0, 30.0),
    );
    let wall = build.pieces[1].solid.intersection(&keep).unwrap();
    let wall = wall.bodies().into_iter().min_by(|a, b| {
        let y = |s: &Solid| s.bounds().unwrap().min.y;
        y(a).total_cmp(&y(b))
    });
    (build.pieces[0].solid.clone(), wall.unwrap())
}

#[test]
fn a_brace_holds_the_wall_in_and_a_plain_dovetail_does_not() {
    let outward = Vector::new(0.0, -0.5, 0.0);
    for (joint, held) in [("dovetail", false), ("braced-dovetail", true)] {
        let (tails, wall) = wall_beside_a_tail(joint);
        let shared = wall
            .shifted(outward)
            .intersection(&tails)
            .unwrap()
            .volume_mm3();
        assert_eq!(
            shared > 0.5,
            held,
            "{joint}: {shared} mm³ in the way of the wall"
        );
    }
}

#[test]
fn fingers_slide_one_way_only() {
    let (_, bar) = bars().swap_remove(0);
    let judged = carry_out_and_judge(&bar, halved("wedge-fingers", Settings::default()));
    let seam = &judged.build.seams[0];
    let (low, high) = (&judged.build.pieces[0].solid, &judged.build.pieces[1].solid);
    let shared = |by: Vector| low.shifted(by).intersection(high).unwrap().volume_mm3();
    // Back along the slide it is free, at once and further.
    for back in [0.1, 1.0, 6.0] {
        assert!(shared(-seam.slide * back) < 0.02, "blocked {back} mm back");
    }
    // Any other way it is blocked, with the clearance and the wedge taken up.
    let across = seam.frame.n.cross(&seam.slide);
    for way in [seam.slide * 4.0, -seam.frame.n, across, -across] {
        assert!(shared(way) > 1.0, "free to move by {way:?}");
    }
}

#[test]
fn fingers_are_the_first_half_mirrored_and_turned() {
    let rules = JointRules {
        clearance_mm: 0.0,
        ..JointRules::default()
    };
    let seam = Frame::with_axes(Point::origin(), Vector::x(), Vector::y());
    let lane = Lane {
        across_mm: 0.0,
        from_mm: -9.0,
        to_mm: 9.0,
        blind: false,
    };
    let joint = Sliding::fingers(&lane, 56.0, 3.0, &rules)
        .unwrap()
        .joint(&seam)
        .unwrap();
    assert_eq!(joint.transfers.len(), 7);
    // Half a turn about the across axis brings a finger of one half onto the
    // place of its neighbour in the other.
    let (first, second) = (&joint.transfers[0], &joint.transfers[1]);
    assert_eq!((first.to, second.to), (Half::Tails, Half::Sockets));
    let turned = first.tail.moved(&solid::Isometry::rotation(
        Vector::y() * std::f64::consts::PI,
    ));
    let shifted = turned.shifted(Vector::new(0.0, 8.0, 0.0));
    let apart = shifted.difference(&second.tail).unwrap().volume_mm3();
    assert!(
        apart < 1e-3 * second.tail.volume_mm3(),
        "{apart} mm³ differ"
    );
}
