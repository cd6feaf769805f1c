//! Furniture from a seed: twelve families, each built its own way.

use nalgebra::Vector3;
use rand_pcg::Pcg64Mcg;
use rand_pcg::rand_core::{Rng, SeedableRng};
use solid::{Frame, Point, Ring, Solid};

use crate::furniture::{block, joined, round_leg};

/// The families, in the order in which [`generated`] makes them.
pub const FAMILIES: [&str; 12] = [
    "frame", "carcass", "slatted", "trellis", "curved", "leaning", "crate", "chair", "corner",
    "rack", "ladder", "cot",
];

/// The beds that they are split for, in millimetres: a small, a middling and a
/// large printer.
pub const GENERATED_BEDS: [[f64; 3]; 3] = [
    [180.0, 180.0, 180.0],
    [220.0, 220.0, 250.0],
    [300.0, 300.0, 350.0],
];

/// One model of a family. The same seed always makes the same model: the
/// generator behind it (PCG, O'Neill 2014) keeps its values between versions.
pub fn generated(family: &str, seed: u64) -> Solid {
    let mut dice = Dice(Pcg64Mcg::seed_from_u64(seed));
    match family {
        "frame" => frame(&mut dice),
        "carcass" => carcass(&mut dice),
        "slatted" => slatted(&mut dice),
        "trellis" => trellis(&mut dice),
        "curved" => curved(&mut dice),
        "leaning" => leaning(&mut dice),
        "chair" => chair(&mut dice),
        "corner" => corner(&mut dice),
        "rack" => rack(&mut dice),
        "ladder" => ladder(&mut dice),
        "cot" => cot(&mut dice),
        _ => crate_with_grips(&mut dice),
    }
}

struct Dice(Pcg64Mcg);

impl Dice {
    /// A length between two others, to the millimetre.
    fn mm(&mut self, low: u32, high: u32) -> f64 {
        f64::from(self.count(low, high))
    }

    fn count(&mut self, low: u32, high: u32) -> u32 {
        low + (self.0.next_u64() % u64::from(high - low + 1)) as u32
    }
}

/// A table: a top on square legs with aprons.
fn frame(dice: &mut Dice) -> Solid {
    let (l, w, h) = (dice.mm(350, 900), dice.mm(300, 600), dice.mm(300, 720));
    let (top, leg, inset) = (dice.mm(14, 28), dice.mm(28, 48), dice.mm(0, 40));
    let (deep, thick) = (dice.mm(40, 80), dice.mm(14, 20));
    let mut parts = vec![block([0.0, 0.0, h - top], [l, w, h])];
    let under = h - top + 1.0;
    for x in [inset, l - inset - leg] {
        for y in [inset, w - inset - leg] {
            parts.push(block([x, y, 0.0], [x + leg, y + leg, under]));
        }
    }
    let middle = (leg - thick) / 2.0;
    for y in [inset + middle, w - inset - leg + middle] {
        parts.push(block(
            [inset + 1.0, y, h - top - deep],
            [l - inset - 1.0, y + thick, under],
        ));
    }
    for x in [inset + middle, l - inset - leg + middle] {
        parts.push(block(
            [x, inset + 1.0, h - top - deep],
            [x + thick, w - inset - 1.0, under],
        ));
    }
    joined(&parts)
}

/// A cabinet without doors: sides, shelves, a back.
fn carcass(dice: &mut Dice) -> Solid {
    let (l, d, h) = (dice.mm(350, 800), dice.mm(200, 350), dice.mm(350, 900));
    let (panel, back) = (dice.mm(12, 20), dice.mm(6, 10));
    let (shelves, uprights) = (dice.count(2, 4), dice.count(2, 3));
    let mut parts = vec![block([0.0, d - back, 0.0], [l, d, h])];
    for k in 0..uprights {
        let x = (l - panel) * f64::from(k) / f64::from(uprights - 1);
        parts.push(block([x, 0.0, 0.0], [x + panel, d, h]));
    }
    for k in 0..shelves {
        let z = (h - panel) * f64::from(k) / f64::from(shelves - 1);
        parts.push(block([0.0, 0.0, z], [l, d, z + panel]));
    }
    joined(&parts)
}

/// A bench of slats on two or three trestles.
fn slatted(dice: &mut Dice) -> Solid {
    let (l, h) = (dice.mm(450, 1100), dice.mm(250, 450));
    let (slat, thick, gap) = (dice.mm(40, 70), dice.mm(16, 26), dice.mm(8, 20));
    let (slats, trestles) = (dice.count(3, 6), dice.count(2, 3));
    let width = f64::from(slats) * (slat + gap) - gap;
    let leg = dice.mm(26, 40);
    let mut parts = Vec::new();
    for k in 0..slats {
        let y = f64::from(k) * (slat + gap);
        parts.push(block([0.0, y, h - thick], [l, y + slat, h]));
    }
    for k in 0..trestles {
        let x = 40.0 + (l - 80.0 - leg) * f64::from(k) / f64::from(trestles - 1);
        let under = h - thick + 1.0;
        parts.push(block([x, 0.0, under - leg], [x + leg, width, under]));
        for y in [0.0, width - leg] {
            parts.push(block([x, y, 0.0], [x + leg, y + leg, under]));
        }
        parts.push(block(
            [x + leg / 4.0, 1.0, 60.0],
            [x + leg * 0.75, width - 1.0, 60.0 + leg],
        ));
    }
    joined(&parts)
}

/// A screen: a frame with bars both ways.
fn trellis(dice: &mut Dice) -> Solid {
    let (l, h) = (dice.mm(350, 800), dice.mm(400, 1000));
    let (thick, edge, bar) = (dice.mm(18, 30), dice.mm(28, 45), dice.mm(14, 20));
    let mut parts = vec![
        block([0.0, 0.0, 0.0], [edge, thick, h]),
        block([l - edge, 0.0, 0.0], [l, thick, h]),
        block([0.0, 0.0, 0.0], [l, thick, edge]),
        block([0.0, 0.0, h - edge], [l, thick, h]),
    ];
    let (upright, across) = (dice.count(1, 4), dice.count(1, 5));
    for k in 1..=upright {
        let x = l * f64::from(k) / f64::from(upright + 1) - bar / 2.0;
        parts.push(block([x, 0.0, 1.0], [x + bar, thick, h - 1.0]));
    }
    for k in 1..=across {
        let z = h * f64::from(k) / f64::from(across + 1) - bar / 2.0;
        parts.push(block([1.0, 0.0, z], [l - 1.0, thick, z + bar]));
    }
    joined(&parts)
}

/// A round table or stool: a disc and a ring on a pillar or on legs.
fn curved(dice: &mut Dice) -> Solid {
    let (radius, h) = (dice.mm(130, 330), dice.mm(250, 600));
    let top = dice.mm(16, 30);
    let round = |base: [f64; 3], height: f64, r: f64, sides: usize| {
        Solid::cylinder(Point::from(base), Vector3::z() * height, r, sides)
            .expect("a disc has a radius")
    };
    let mut parts = vec![round([0.0, 0.0, h - top], top, radius, 96)];
    if dice.count(0, 1) == 0 {
        let (foot, pillar) = (radius * 0.7, dice.mm(30, 50));
        parts.push(round([0.0, 0.0, 0.0], dice.mm(16, 26), foot, 96));
        parts.push(round([0.0, 0.0, 5.0], h - top, pillar, 64));
    } else {
        let legs = dice.count(3, 5);
        let leg = dice.mm(15, 22);
        let at = radius * 0.75;
        for k in 0..legs {
            let angle = std::f64::consts::TAU * (f64::from(k) + 0.5) / f64::from(legs);
            let (x, y) = (at * angle.cos(), at * angle.sin());
            parts.push(round([x, y, 0.0], h - top / 2.0, leg, 48));
        }
        let low = dice.mm(60, 120);
        let ring = round([0.0, 0.0, low], 24.0, at + 12.0, 96)
            .difference(&round([0.0, 0.0, low - 1.0], 26.0, at - 12.0, 96))
            .expect("a ring from two discs");
        parts.push(ring);
    }
    joined(&parts)
}

/// A stool or trestle on splayed legs.
fn leaning(dice: &mut Dice) -> Solid {
    let (l, w, h) = (dice.mm(260, 700), dice.mm(220, 380), dice.mm(300, 600));
    let (top, splay, radius) = (dice.mm(20, 32), dice.mm(20, 80), dice.mm(15, 21));
    let mut parts = vec![block([0.0, 0.0, h - top], [l, w, h])];
    let head = radius + dice.mm(8, 20);
    for (x, sx) in [(head, -1.0), (l - head, 1.0)] {
        for (y, sy) in [(head, -1.0), (w - head, 1.0)] {
            let rise = (h - top / 2.0) / h;
            let foot = Point::new(x + sx * splay, y + sy * splay * 0.6, 0.0);
            let up = Point::new(x, y, h);
            let mut leg = round_leg(
                foot - (up - foot) * 0.1,
                foot + (up - foot) * rise,
                radius * 0.85,
                radius,
                48,
            );
            leg = leg
                .trimmed(&Frame::facing(Point::origin(), Vector3::z()))
                .expect("a foot can be cut level");
            parts.push(leg);
        }
    }
    joined(&parts)
}

/// An open box with grips, or a chest with a curved lid.
fn crate_with_grips(dice: &mut Dice) -> Solid {
    let (l, w, h) = (dice.mm(300, 700), dice.mm(220, 450), dice.mm(180, 420));
    let wall = dice.mm(12, 18);
    let mut body = block([0.0; 3], [l, w, h])
        .difference(&block([wall, wall, wall], [l - wall, w - wall, h + 1.0]))
        .expect("a box from two blocks");
    if dice.count(0, 1) == 0 {
        let grip = block(
            [-1.0, w / 2.0 - 50.0, h - 70.0],
            [l + 1.0, w / 2.0 + 50.0, h - 35.0],
        );
        body = body.difference(&grip).expect("grips through the ends");
    } else {
        let (steps, rise) = (24, h * 0.25);
        let arc = |r: f64| {
            (0..=steps).map(move |k| {
                let angle = std::f64::consts::PI * f64::from(k) / f64::from(steps);
                [-(w / 2.0 - r) * angle.cos(), (rise - r) * angle.sin()]
            })
        };
        let mut ring: Ring = arc(0.0).collect();
        ring.extend(arc(wall).collect::<Vec<_>>().into_iter().rev());
        ring.reverse();
        // Drawn in (y, z), carried along x.
        let frame = Frame::with_axes(
            Point::new(0.0, w / 2.0, h - 1.0),
            Vector3::x(),
            Vector3::y(),
        );
        let lid = Solid::prism(&frame, &ring, 0.0, l).expect("the lid's outline is simple");
        body = joined(&[body, lid]);
    }
    body
}

/// A chair: a seat on four legs, of which those behind go on as uprights with
/// rails between them, upright or leaning back.
fn chair(dice: &mut Dice) -> Solid {
    let (w, d) = (dice.mm(330, 460), dice.mm(330, 460));
    let (seat_at, h) = (dice.mm(380, 460), dice.mm(700, 950));
    let (seat, leg, rail) = (dice.mm(16, 26), dice.mm(28, 40), dice.mm(14, 20));
    let (rails, lean) = (dice.count(2, 4), dice.mm(0, 90));
    let mut parts = vec![block([0.0, 0.0, seat_at - seat], [w, d, seat_at])];
    for x in [0.0, w - leg] {
        parts.push(block([x, 0.0, 0.0], [x + leg, leg, seat_at - 1.0]));
        parts.push(block([x, d - leg, 0.0], [x + leg, d, seat_at]));
        parts.push(block(
            [x + 1.0, leg - 1.0, seat_at / 3.0],
            [x + leg - 1.0, d - leg + 1.0, seat_at / 3.0 + leg],
        ));
    }
    // What leans is drawn in (y, z) and carried along x.
    let frame = Frame::with_axes(Point::origin(), Vector3::x(), Vector3::y());
    let back_at = |z: f64| lean * (z - seat_at) / (h - seat_at);
    let leaning = |front: f64, back: f64, z: [f64; 2], x: [f64; 2]| {
        let ring: Ring = vec![
            [front + back_at(z[0]), z[0]],
            [back + back_at(z[0]), z[0]],
            [back + back_at(z[1]), z[1]],
            [front + back_at(z[1]), z[1]],
        ];
        Solid::prism(&frame, &ring, x[0], x[1]).expect("an upright's outline is simple")
    };
    for x in [0.0, w - leg] {
        parts.push(leaning(d - leg, d, [seat_at - 1.0, h], [x, x + leg]));
    }
    let high = (h - seat_at) / (1.5 * f64::from(rails) + 0.5);
    for k in 0..rails {
        let z = h - high * (1.0 + 1.5 * f64::from(k));
        let front = d - (leg + rail) / 2.0;
        parts.push(leaning(front, front + rail, [z, z + high], [1.0, w - 1.0]));
    }
    joined(&parts)
}

/// A desk round a corner: two tops at a right angle on panels, and a back that
/// stiffens them.
fn corner(dice: &mut Dice) -> Solid {
    let (l, w, h) = (dice.mm(500, 1000), dice.mm(500, 1000), dice.mm(400, 740));
    let deep = dice.mm(220, 400);
    let (top, panel, back) = (dice.mm(18, 28), dice.mm(14, 20), dice.mm(12, 18));
    let high = dice.mm(80, 200);
    let under = h - top + 1.0;
    joined(&[
        block([0.0, 0.0, h - top], [l, deep, h]),
        block([0.0, 0.0, h - top], [deep, w, h]),
        block([l - panel, 10.0, 0.0], [l, deep - 10.0, under]),
        block([10.0, w - panel, 0.0], [deep - 10.0, w, under]),
        block([10.0, 10.0, 0.0], [10.0 + 3.0 * panel, 10.0 + panel, under]),
        block([10.0, 10.0, 0.0], [10.0 + panel, 10.0 + 3.0 * panel, under]),
        block([20.0, 10.0, under - high], [l - 1.0, 10.0 + back, under]),
        block([10.0, 20.0, under - high], [10.0 + back, w - 1.0, under]),
    ])
}

/// An open rack: boards between posts, with rails that keep things from
/// falling off behind.
fn rack(dice: &mut Dice) -> Solid {
    let (l, d, h) = (dice.mm(400, 900), dice.mm(200, 360), dice.mm(500, 1000));
    let (post, board) = (dice.mm(22, 36), dice.mm(12, 20));
    let (boards, bays) = (dice.count(3, 5), dice.count(1, 2));
    let (rail, above) = (dice.mm(12, 18), dice.mm(30, 60));
    let mut parts = Vec::new();
    for k in 0..=bays {
        let x = (l - post) * f64::from(k) / f64::from(bays);
        for y in [0.0, d - post] {
            parts.push(block([x, y, 0.0], [x + post, y + post, h]));
        }
    }
    let low = dice.mm(40, 120);
    for k in 0..boards {
        let z = low + (h - low - above - rail) * f64::from(k) / f64::from(boards - 1);
        let z = z - board;
        parts.push(block([1.0, 1.0, z], [l - 1.0, d - 1.0, z + board]));
        let back = d - (post + rail) / 2.0;
        parts.push(block(
            [1.0, back, z + above],
            [l - 1.0, back + rail, z + above + rail],
        ));
    }
    joined(&parts)
}

/// A shelf that leans against a wall: two rails with treads between them, the
/// deeper the lower.
fn ladder(dice: &mut Dice) -> Solid {
    let (w, h) = (dice.mm(300, 600), dice.mm(600, 1000));
    let (deep, rail, thick) = (dice.mm(180, 320), dice.mm(30, 45), dice.mm(18, 26));
    let (treads, board) = (dice.count(3, 5), dice.mm(12, 20));
    // Drawn in (y, z) and carried along x; the wall stands at y = deep.
    let frame = Frame::with_axes(Point::origin(), Vector3::x(), Vector3::y());
    let leans = (deep - rail) / h;
    let ring: Ring = vec![[0.0, 0.0], [rail, 0.0], [deep, h], [deep - rail, h]];
    let mut parts = Vec::new();
    for x in [0.0, w - thick] {
        let rail = Solid::prism(&frame, &ring, x, x + thick);
        parts.push(rail.expect("a rail's outline is simple"));
    }
    for k in 0..treads {
        let z = h * (f64::from(k) + 0.6) / f64::from(treads);
        parts.push(block([1.0, leans * z, z], [w - 1.0, deep, z + board]));
    }
    joined(&parts)
}

/// A cot: slats between two long rails on four posts, with spindles at head and
/// foot.
fn cot(dice: &mut Dice) -> Solid {
    let (l, w) = (dice.mm(500, 1000), dice.mm(300, 560));
    let (at, foot, head) = (dice.mm(120, 260), dice.mm(280, 420), dice.mm(420, 700));
    let (post, rail, deep) = (dice.mm(28, 42), dice.mm(16, 24), dice.mm(50, 90));
    let (slats, spindles) = (dice.count(5, 9), dice.count(3, 7));
    let (slat, radius) = (dice.mm(10, 16), dice.mm(6, 10));
    let mut parts = Vec::new();
    for (x, high) in [(0.0, foot), (l - post, head)] {
        for y in [0.0, w - post] {
            parts.push(block([x, y, 0.0], [x + post, y + post, high]));
        }
        let middle = x + post / 2.0;
        for z in [at - deep, high - rail] {
            parts.push(block(
                [middle - rail / 2.0, 1.0, z],
                [middle + rail / 2.0, w - 1.0, (z + deep).min(high)],
            ));
        }
        for k in 1..=spindles {
            let y = post + (w - 2.0 * post) * f64::from(k) / f64::from(spindles + 1);
            let base = Point::new(middle, y, at - 2.0);
            let spindle =
                Solid::cylinder(base, Vector3::z() * (high - at - rail + 4.0), radius, 24);
            parts.push(spindle.expect("a spindle has a radius"));
        }
    }
    for y in [(post - rail) / 2.0, w - (post + rail) / 2.0] {
        parts.push(block([1.0, y, at - deep], [l - 1.0, y + rail, at]));
    }
    let pitch = (l - 2.0 * post) / f64::from(slats);
    for k in 0..slats {
        let x = post + pitch * (f64::from(k) + 0.2);
        parts.push(block(
            [x, post / 2.0 - 1.0, at - 1.0],
            [x + 0.6 * pitch, w - post / 2.0 + 1.0, at + slat],
        ));
    }
    joined(&parts)
}
