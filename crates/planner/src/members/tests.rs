//! Members of furniture of known boards and legs.

use nalgebra::{Translation3, UnitQuaternion};
use proptest::prelude::*;
use solid::{Frame, Isometry, Point, Ring, Solid, Vector};

use crate::members::found::Members;
use crate::members::meeting::MeetingKind;
use crate::members::member::Member;

fn block(low: [f64; 3], high: [f64; 3]) -> Solid {
    Solid::cuboid(Point::from(low), Point::from(high))
}

/// A board along z whose four long edges are rounded by 3 mm.
fn rounded(low: [f64; 3], high: [f64; 3]) -> Solid {
    let (r, steps) = (3.0, 8);
    let corners = [
        ([high[0] - r, high[1] - r], 0.0),
        ([low[0] + r, high[1] - r], 1.0),
        ([low[0] + r, low[1] + r], 2.0),
        ([high[0] - r, low[1] + r], 3.0),
    ];
    let mut ring: Ring = Vec::new();
    for ([x, y], quarter) in corners {
        for k in 0..=steps {
            let a = (quarter + f64::from(k) / f64::from(steps)) * std::f64::consts::FRAC_PI_2;
            ring.push([x + r * a.cos(), y + r * a.sin()]);
        }
    }
    let frame = Frame::with_axes(Point::origin(), Vector::z(), Vector::x());
    Solid::prism(&frame, &ring, low[2], high[2]).unwrap()
}

fn sizes(model: &Solid, up: &Vector) -> Vec<String> {
    let found = Members::of(model, up).unwrap();
    assert!(found.rest < 0.02, "{} of it is no member", found.rest);
    let alike = found.alike();
    alike
        .iter()
        .map(|(n, m)| format!("{n} {} {}", m.kind, m.size()))
        .collect()
}

/// Two sides, four shelves and a back.
fn bookshelf() -> Solid {
    let mut parts = vec![block([0.0, 234.0, 0.0], [640.0, 240.0, 900.0])];
    parts.extend([0.0, 622.0].map(|x| block([x, 0.0, 0.0], [x + 18.0, 240.0, 900.0])));
    parts
        .extend([0.0, 290.0, 580.0, 882.0].map(|z| block([0.0, 0.0, z], [640.0, 240.0, z + 18.0])));
    Solid::union_of(&parts).unwrap()
}

/// A top with rounded edges, standing on its side, on four square legs with rails flush with
/// their outer faces.
fn table() -> Solid {
    let mut parts = vec![block([0.0, 0.0, 400.0], [600.0, 400.0, 420.0])];
    for x in [20.0, 544.0] {
        for y in [20.0, 344.0] {
            parts.push(block([x, y, 0.0], [x + 36.0, y + 36.0, 400.0]));
        }
        parts.push(block([x + 9.0, 56.0, 340.0], [x + 27.0, 344.0, 400.0]));
    }
    for y in [20.0, 362.0] {
        parts.push(block([56.0, y, 340.0], [544.0, y + 18.0, 400.0]));
    }
    Solid::union_of(&parts).unwrap()
}

/// Turned anyhow, with corners in single precision, as a file has them.
fn turned(model: &Solid, turn: [f64; 3]) -> (Solid, Vector) {
    let turn = UnitQuaternion::from_euler_angles(turn[0], turn[1], turn[2]);
    let motion = Isometry::from_parts(Translation3::new(20.0, -30.0, 40.0), turn);
    let model = model.moved(&motion).rounded_to_single().unwrap();
    (model, motion * Vector::z())
}

const BOOKSHELF: [&str; 3] = [
    "2 board 900 × 240 × 18",
    "1 board 900 × 604 × 6",
    "4 board 604 × 234 × 18",
];
const TABLE: [&str; 4] = [
    "1 board 600 × 400 × 20",
    "2 board 488 × 60 × 18",
    "2 board 288 × 60 × 18",
    "4 leg 400 × 36 × 36",
];

/// An angled desk: the rails under an arm of its top meet at a right angle, and the box about two
/// of them, which goes through the top, is no rail.
#[test]
fn rails_under_an_angled_top_are_boards_of_their_own() {
    let (top, floor) = (700.0, 678.0);
    let mut parts = vec![
        block([0.0, 0.0, floor], [900.0, 300.0, top]),
        block([0.0, 0.0, floor], [300.0, 900.0, top]),
    ];
    parts.extend(
        [[10.0, 10.0], [850.0, 10.0], [10.0, 850.0], [250.0, 250.0]]
            .map(|[x, y]| block([x, y, 0.0], [x + 40.0, y + 40.0, top - 10.0])),
    );
    let rails = [
        [40.0, 20.0, 860.0, 38.0],
        [20.0, 40.0, 38.0, 860.0],
        [280.0, 261.0, 880.0, 279.0],
        [261.0, 280.0, 279.0, 880.0],
        [861.0, 40.0, 879.0, 275.0],
        [40.0, 861.0, 275.0, 879.0],
    ];
    parts.extend(rails.map(|[a, b, c, d]| block([a, b, 608.0], [c, d, top - 10.0])));
    let desk = Solid::union_of(&parts).unwrap();
    assert_eq!(
        sizes(&desk, &Vector::z()),
        [
            "1 board 900 × 900 × 22",
            "2 board 800 × 70 × 18",
            "2 board 589 × 70 × 18",
            "2 board 211 × 70 × 18",
            "4 leg 678 × 40 × 40",
        ]
    );
}

#[test]
fn boards_and_legs_are_found_with_their_sizes() {
    assert_eq!(sizes(&bookshelf(), &Vector::z()), BOOKSHELF);
    assert_eq!(sizes(&table(), &Vector::z()), TABLE);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    #[test]
    fn however_the_model_is_turned(turn in prop::array::uniform3(-3.0f64..3.0)) {
        for (model, wanted) in [(bookshelf(), &BOOKSHELF[..]), (table(), &TABLE[..])] {
            let (model, up) = turned(&model, turn);
            prop_assert_eq!(sizes(&model, &up), wanted);
        }
    }
}

#[test]
fn rounded_edges_are_the_boards() {
    // Sides and posts of which the long edges are rounded, on a base and under a top.
    let mut parts = vec![
        block([0.0, 0.0, 0.0], [600.0, 300.0, 18.0]),
        block([0.0, 0.0, 618.0], [600.0, 300.0, 636.0]),
    ];
    parts.extend([40.0, 300.0].map(|x| rounded([x, 20.0, 18.0], [x + 18.0, 280.0, 618.0])));
    parts.push(rounded([500.0, 130.0, 18.0], [540.0, 170.0, 618.0]));
    let model = Solid::union_of(&parts).unwrap();
    let wanted = [
        "2 board 600 × 300 × 18",
        "2 board 600 × 260 × 18",
        "1 post 600 × 40 × 40",
    ];
    assert_eq!(sizes(&model, &Vector::z()), wanted);
    let (model, up) = turned(&model, [0.4, 1.0, -0.3]);
    assert_eq!(sizes(&model, &up), wanted);
}

#[test]
fn legs_flush_with_the_corners_of_their_top_reach_up_to_it() {
    let mut parts = vec![block([0.0, 0.0, 360.0], [400.0, 300.0, 376.0])];
    for x in [0.0, 360.0] {
        for y in [0.0, 260.0] {
            parts.push(block([x, y, 0.0], [x + 40.0, y + 40.0, 360.0]));
        }
        parts.push(block([x + 13.0, 40.0, 300.0], [x + 27.0, 260.0, 360.0]));
    }
    for y in [13.0, 273.0] {
        parts.push(block([40.0, y, 300.0], [360.0, y + 14.0, 360.0]));
    }
    let model = Solid::union_of(&parts).unwrap();
    let wanted = [
        "1 board 400 × 300 × 16",
        "2 board 320 × 60 × 14",
        "2 board 220 × 60 × 14",
        "4 leg 360 × 40 × 40",
    ];
    assert_eq!(sizes(&model, &Vector::z()), wanted);
    let met = Members::of(&model, &Vector::z()).unwrap().met();
    assert_eq!(
        met[1..],
        [(4, MeetingKind::LegAtBoard), (8, MeetingKind::RailIntoLeg)]
    );
}

#[test]
fn where_boards_meet_is_told() {
    let found = Members::of(&bookshelf(), &Vector::z()).unwrap();
    let count = |kind| found.meetings.iter().filter(|m| m.kind == kind).count();
    // Each of two inner shelves ends on both sides and on the back; top, bottom and sides meet
    // each other and the back at corners.
    assert_eq!((count(MeetingKind::T), count(MeetingKind::Corner)), (6, 8));
    let found = Members::of(&table(), &Vector::z()).unwrap();
    let count = |kind| found.meetings.iter().filter(|m| m.kind == kind).count();
    assert_eq!(
        (
            count(MeetingKind::LegAtBoard),
            count(MeetingKind::RailIntoLeg)
        ),
        (4, 8)
    );
    assert_eq!(found.meetings.len(), 4 + 8 + 4);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(10))]

    #[test]
    fn a_blob_has_no_members(
        radii in prop::collection::vec(60.0f64..140.0, 8),
        turn in prop::array::uniform3(-3.0f64..3.0),
    ) {
        let ring = |r: f64| -> Ring {
            let at = |k: u32| std::f64::consts::TAU * f64::from(k) / 40.0;
            (0..40).map(|k| [r * at(k).cos(), r * (1.0 + 0.3 * (3.0 * at(k)).sin()) * at(k).sin()]).collect()
        };
        let rings: Vec<(f64, Ring)> = (0u32..)
            .zip(&radii)
            .map(|(k, r)| {
                let round = (f64::from(k) * 0.4 + 0.17).sin();
                (f64::from(k) * 40.0, ring(r * round.max(0.1)))
            })
            .collect();
        let frame = Frame::facing(Point::origin(), Vector::z());
        let (blob, up) = turned(&Solid::loft(&frame, &rings).unwrap(), turn);
        let found = Members::of(&blob, &up).unwrap();
        prop_assert!(found.members.is_empty(), "{:?}", found.members);
    }
}

/// Between walls that meet at 120° an arris is left that belongs to none of them.
#[test]
fn arrises_between_walls_at_an_angle_are_no_legs() {
    let ring = |across: f64| -> Ring {
        let radius = across / 3f64.sqrt();
        let corner = |k: u8| f64::from(k) * std::f64::consts::FRAC_PI_3;
        (0..6)
            .map(|k| [radius * corner(k).cos(), radius * corner(k).sin()])
            .collect()
    };
    let frame = Frame::with_axes(Point::origin(), Vector::z(), Vector::x());
    let prism = |across, low, high| Solid::prism(&frame, &ring(across), low, high).unwrap();
    let tube = prism(260.0, 0.0, 550.0)
        .difference(&prism(236.0, -1.0, 551.0))
        .unwrap();
    let found = Members::of(&tube, &Vector::z()).unwrap();
    let alike = found.alike();
    let told: Vec<String> = alike
        .iter()
        .map(|(n, m)| format!("{n} {} {}", m.kind, m.size()))
        .collect();
    assert_eq!(alike.iter().map(|(n, _)| n).sum::<usize>(), 6, "{told:?}");
    let is_wall = |(_, m): &(usize, &Member)| m.size_mm.iter().any(|mm| (mm - 12.0).abs() < 0.01);
    assert!(alike.iter().all(is_wall));
}
