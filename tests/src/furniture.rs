use solid::{Frame, Point, Ring, Solid, Vector};

pub(crate) fn block(low: [f64; 3], high: [f64; 3]) -> Solid {
    Solid::cuboid(Point::from(low), Point::from(high))
}

pub(crate) fn joined(parts: &[Solid]) -> Solid {
    Solid::union_of(parts).expect("our own parts combine")
}

pub(crate) fn round_leg(
    foot: Point,
    head: Point,
    foot_radius: f64,
    head_radius: f64,
    sides: usize,
) -> Solid {
    Solid::cone_frustum(foot, head - foot, foot_radius, head_radius, sides)
        .expect("a leg has a length")
}

/// A side table, 600 × 400 × 450: a 20 mm top, round legs of 36 mm, aprons.
pub fn side_table() -> Solid {
    let mut parts = vec![block([0.0, 0.0, 430.0], [600.0, 400.0, 450.0])];
    let (xs, ys) = ([45.0, 555.0], [45.0, 355.0]);
    for x in xs {
        for y in ys {
            parts.push(round_leg(
                Point::new(x, y, 0.0),
                Point::new(x, y, 440.0),
                18.0,
                18.0,
                64,
            ));
        }
    }
    for y in ys {
        parts.push(block([45.0, y - 9.0, 365.0], [555.0, y + 9.0, 440.0]));
    }
    for x in xs {
        parts.push(block([x - 9.0, 45.0, 365.0], [x + 9.0, 355.0, 440.0]));
    }
    joined(&parts)
}

/// A wall shelf, 900 × 300 × 700: panels of 18 mm and a back of 6 mm.
pub fn wall_shelf() -> Solid {
    let mut parts = vec![block([0.0, 294.0, 0.0], [900.0, 300.0, 700.0])];
    for x in [0.0, 441.0, 882.0] {
        parts.push(block([x, 0.0, 0.0], [x + 18.0, 300.0, 700.0]));
    }
    for z in [0.0, 227.0, 454.0, 682.0] {
        parts.push(block([0.0, 0.0, z], [900.0, 300.0, z + 18.0]));
    }
    joined(&parts)
}

/// A bench, 1000 × 320 × 440: a seat curved along its length, panel legs, a
/// stretcher.
pub fn bench() -> Solid {
    let (length, width, sag, thickness) = (1000.0, 320.0, 35.0, 32.0);
    let steps = 48;
    let height = |x: f64| 440.0 - sag * (1.0 - (2.0 * x / length - 1.0).powi(2));
    let at = |k: usize| length * k as f64 / steps as f64;
    let mut ring: Ring = (0..=steps)
        .map(|k| [at(k), height(at(k)) - thickness])
        .collect();
    ring.extend((0..=steps).rev().map(|k| [at(k), height(at(k))]));
    // Drawn in (x, z), carried along -y.
    let frame = Frame::with_axes(Point::new(0.0, width, 0.0), -Vector::y(), Vector::x());
    let seat = Solid::prism(&frame, &ring, 0.0, width).expect("the seat's outline is simple");
    let legs = [120.0, 845.0].map(|x| block([x, 30.0, 0.0], [x + 35.0, 290.0, 400.0]));
    let stretcher = block([140.0, 145.0, 120.0], [860.0, 175.0, 170.0]);
    joined(&[seat, legs[0].clone(), legs[1].clone(), stretcher])
}

/// A stool, 450 high: a round seat of 340 mm on four splayed legs with rungs.
pub fn stool() -> Solid {
    let seat = Solid::cylinder(Point::new(0.0, 0.0, 420.0), Vector::z() * 30.0, 170.0, 96)
        .expect("a seat has a radius");
    let mut parts = vec![seat];
    let leg_at = |k: usize, z: f64| {
        let angle = std::f64::consts::FRAC_PI_4 + std::f64::consts::FRAC_PI_2 * k as f64;
        let reach = 190.0 - (190.0 - 105.0) * z / 430.0;
        Point::new(reach * angle.cos(), reach * angle.sin(), z)
    };
    for k in 0..4 {
        parts.push(round_leg(
            leg_at(k, -12.0),
            leg_at(k, 436.0),
            15.0,
            19.0,
            48,
        ));
        let z = if k % 2 == 0 { 150.0 } else { 185.0 };
        parts.push(round_leg(
            leg_at(k, z),
            leg_at((k + 1) % 4, z),
            10.0,
            10.0,
            32,
        ));
    }
    let whole = joined(&parts);
    whole
        .trimmed(&Frame::facing(Point::origin(), Vector::z()))
        .expect("the feet are trimmed level")
}

/// A plain board, 1200 × 400 × 18.
pub fn board() -> Solid {
    block([0.0, 0.0, 0.0], [1200.0, 400.0, 18.0])
}

/// A small rack, 300 × 200 × 380: two sides, three shelves and a back, of boards of 18 and 6.
pub fn small_rack() -> Solid {
    let mut boards = vec![
        block([0.0, 0.0, 0.0], [18.0, 200.0, 380.0]),
        block([282.0, 0.0, 0.0], [300.0, 200.0, 380.0]),
        block([0.0, 194.0, 0.0], [300.0, 200.0, 380.0]),
    ];
    for z in [0.0, 180.0, 362.0] {
        boards.push(block([0.0, 0.0, z], [300.0, 200.0, z + 18.0]));
    }
    joined(&boards)
}

/// A drawer, 372 × 318 × 116: walls of 12 mm and a bottom of 8.
pub fn drawer() -> Solid {
    let room = block([12.0, 12.0, 8.0], [360.0, 306.0, 120.0]);
    let drawer = block([0.0; 3], [372.0, 318.0, 116.0]).difference(&room);
    drawer.expect("a box from two blocks")
}

/// A cabinet, 260 × 180 × 240, open at the front, and what stands in it with a millimetre of
/// room: two drawers of one shape, and a door before the lowest bay.
pub fn cabinet_with_drawers() -> Solid {
    let bay = |low: f64, high: f64| block([12.0, -1.0, low], [248.0, 174.0, high]);
    let case = [bay(12.0, 88.0), bay(100.0, 158.0), bay(170.0, 228.0)]
        .iter()
        .try_fold(block([0.0; 3], [260.0, 180.0, 240.0]), |case, bay| {
            case.difference(bay)
        })
        .expect("bays in a block");
    let drawer = |z: f64| {
        let room = block([21.0, 9.0, z + 8.0], [239.0, 163.0, z + 60.0]);
        let drawer = block([13.0, 1.0, z], [247.0, 171.0, z + 50.0]).difference(&room);
        drawer.expect("a box from two blocks")
    };
    let door = block([13.0, 0.0, 13.0], [247.0, 12.0, 87.0]);
    Solid::gathered(&[case, drawer(101.0), drawer(171.0), door])
}

/// A frame, 300 × 24 × 300, of rails of 45 mm, and a panel of 5 mm that is loose in the groove
/// around its inside.
pub fn frame_and_panel() -> Solid {
    let frame = block([0.0; 3], [300.0, 24.0, 300.0])
        .difference(&block([45.0, -1.0, 45.0], [255.0, 25.0, 255.0]))
        .and_then(|s| s.difference(&block([37.0, 9.0, 37.0], [263.0, 15.0, 263.0])));
    let panel = block([38.0, 9.5, 38.0], [262.0, 14.5, 262.0]);
    Solid::gathered(&[frame.expect("a frame of blocks"), panel])
}

/// A large table, 1600 × 800 × 740, with some 60,000 triangles: turned legs
/// with beads, a top with a moulded edge, aprons.
pub fn grand_table() -> Solid {
    turned_table(132, 58)
}

/// The same table with some 2.4 million triangles, as a scan or a carving
/// program would give it.
pub fn fine_table() -> Solid {
    turned_table(832, 360)
}

fn turned_table(sides: u32, levels: u32) -> Solid {
    let mut parts = vec![block([40.0, 40.0, 705.0], [1560.0, 760.0, 740.0])];
    for (x, y) in [(80.0, 80.0), (1520.0, 80.0), (80.0, 720.0), (1520.0, 720.0)] {
        let frame = Frame::facing(Point::new(x, y, 0.0), Vector::z());
        let rings: Vec<(f64, Ring)> = (0..=levels)
            .map(|k| {
                let z = 720.0 * f64::from(k) / f64::from(levels);
                let r = 26.0 + 6.0 * (z / 720.0) + 3.0 * (z / 24.0).sin();
                let ring = (0..sides)
                    .map(|i| {
                        let a = std::f64::consts::TAU * f64::from(i) / f64::from(sides);
                        [r * a.cos(), r * a.sin()]
                    })
                    .collect();
                (z, ring)
            })
            .collect();
        parts.push(Solid::loft(&frame, &rings).expect("a turned leg"));
    }
    for y in [80.0, 720.0] {
        parts.push(block([80.0, y - 11.0, 615.0], [1520.0, y + 11.0, 720.0]));
    }
    for x in [80.0, 1520.0] {
        parts.push(block([x - 11.0, 80.0, 615.0], [x + 11.0, 720.0, 720.0]));
    }
    // A half-round moulding about the top's edge.
    for y in [40.0, 760.0] {
        parts.push(moulding(Point::new(40.0, y, 722.5), Vector::x() * 1520.0));
    }
    for x in [40.0, 1560.0] {
        parts.push(moulding(Point::new(x, 40.0, 722.5), Vector::y() * 720.0));
    }
    joined(&parts)
}

fn moulding(from: Point, along: Vector) -> Solid {
    Solid::cylinder(from, along, 17.4, 90).expect("a moulding has a length")
}
