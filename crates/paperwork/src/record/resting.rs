//! On which side rests what stands while the next piece comes to it.

use design::{ON_FLOOR_MM, PieceId, PieceInPlace, Rest, STEEP, Side, StepEntry};
use solid::Vector;

use crate::record::bench::Bench;

/// What has so many times the volume of the other is not brought to it.
const MUCH_HEAVIER: f64 = 2.0;
/// What has less of the volume of what it is joined to is brought to it, even if it stands
/// on the floor: a foot.
const NO_TRIFLE: f64 = 0.25;
/// What has more of it is about as large.
const ALIKE: f64 = 0.5;

/// Says of every step on which side of the furniture rests what stands: one on which it
/// does not tip, best with the bench clear of what comes, and so that what comes is not
/// pushed up from below; the side on which it rested before, before others, and upright
/// before those; and so that what comes is let down. Where it stands on none, none is said.
///
/// Who comes is settled here: the smaller, but that a legged base is not moved under a
/// floating top, and of two that are about alike one is let down onto the other.
/// Where what stands would have to be held, or what comes pushed up or over the edge of the
/// bench, and the other way about is less trouble and what stands not much heavier, that
/// comes: the same move, but for keys and bodies that come home. `places` are the pieces of
/// each step: what moves, what stands.
pub(crate) fn rest(
    steps: &mut [StepEntry],
    places: Vec<[Vec<usize>; 2]>,
    pieces: &[PieceInPlace],
    up: Side,
) {
    let bench = Bench::of(pieces, up.direction());
    let mut last: Vec<Option<Side>> = vec![None; pieces.len()];
    let volume = |of: &[usize]| bench.volume_mm3(of);
    let rested = |pieces: &[usize], last: &[Option<Side>]| {
        let largest = pieces
            .iter()
            .max_by(|a, b| volume(&[**a]).total_cmp(&volume(&[**b])));
        largest.and_then(|&k| last[k])
    };
    let floors = Floors::of(&bench, steps, &places, pieces.len());
    for (step, [mut moving, mut onto]) in steps.iter_mut().zip(places) {
        let comes_alone = step.seam().is_none() || step.moving.iter().all(PieceId::is_key);
        let share = volume(&moving) / volume(&onto).max(1e-9);
        let climbs = Vector::from(step.direction).dot(&bench.up);
        let better_stands = match [&moving, &onto].map(|pieces| floors.bear(&bench, pieces)) {
            [true, false] => share > NO_TRIFLE,
            [false, true] => false,
            _ => climbs > STEEP && share > ALIKE,
        };
        if !comes_alone && better_stands {
            turn_about(step);
            std::mem::swap(&mut moving, &mut onto);
        }
        let way = Vector::from(step.direction) * step.travel_mm;
        // Nothing joins what comes home: it lies there as it will lie.
        let upright = step.seam().is_none();
        step.rests = bench.best([&moving, &onto], &way, (rested(&onto, &last), upright));
        if !comes_alone && volume(&onto) < MUCH_HEAVIER * volume(&moving) {
            let other = bench.best([&onto, &moving], &-way, (rested(&moving, &last), false));
            if trouble(other, &-way) < trouble(step.rests, &way) {
                turn_about(step);
                step.rests = other;
            }
        }
        for k in moving.into_iter().chain(onto) {
            last[k] = step.rests.map(|rest| rest.on);
        }
    }
}

/// What came stands, and what stood comes, the other way.
fn turn_about(step: &mut StepEntry) {
    std::mem::swap(&mut step.moving, &mut step.onto);
    step.direction = step.direction.map(|d| 0.0 - d);
}

/// How low each piece's body reaches: the floor, or what the body stands on.
struct Floors {
    side: usize,
    of_body_mm: Vec<f64>,
}

impl Floors {
    /// Those of pieces of which the steps say what joins them: a body has steps that close
    /// seams.
    fn of(bench: &Bench, steps: &[StepEntry], places: &[[Vec<usize>; 2]], pieces: usize) -> Self {
        let mut body: Vec<usize> = (0..pieces).collect();
        let joining = steps.iter().zip(places).filter(|(s, _)| s.seam().is_some());
        for (_, both) in joining {
            let all: Vec<usize> = both.concat();
            let olds: Vec<usize> = all.iter().map(|&k| body[k]).collect();
            for of in &mut body {
                if olds.contains(of) {
                    *of = olds[0];
                }
            }
        }
        let down = |side: &Side| side.direction().dot(&bench.up) < -0.5;
        let side = Side::ALL.iter().position(down).unwrap_or_default();
        let low = |k: usize| bench.piece_lowest_mm(k, side);
        let of_body_mm = (0..pieces).map(|k| {
            let own = (0..pieces).filter(|&other| body[other] == body[k]);
            own.map(low).fold(f64::INFINITY, f64::min)
        });
        Self {
            side,
            of_body_mm: of_body_mm.collect(),
        }
    }

    /// Whether some pieces reach down to it.
    fn bear(&self, bench: &Bench, pieces: &[usize]) -> bool {
        let low = |&k: &usize| bench.piece_lowest_mm(k, self.side) - self.of_body_mm[k];
        pieces.iter().any(|k| low(k) < ON_FLOOR_MM)
    }
}

/// How much trouble a step is: what stands has to be held, or what comes pushed up, or the
/// edge of the bench found.
fn trouble(rest: Option<Rest>, way: &Vector) -> u8 {
    rest.map_or(4, |rest| {
        let climbs = way.normalize().dot(&rest.on.direction()) <= -STEEP;
        2 * u8::from(climbs) + u8::from(rest.over_edge)
    })
}

#[cfg(test)]
mod tests {
    use design::{Closes, PieceId, PrinterId, SeamId};
    use solid::{Point, Solid};

    use super::*;

    fn in_place(solids: [Solid; 2]) -> Vec<PieceInPlace> {
        let each = (1..).zip(solids).map(|(k, solid)| PieceInPlace {
            id: PieceId::cut(k, 2),
            in_place: solid.clone(),
            as_printed: solid,
            placed: solid::Isometry::identity(),
            printer: PrinterId::at(0),
        });
        each.collect()
    }

    /// The step by which the second comes to the first.
    fn step(solids: [Solid; 2], direction: [f64; 3]) -> StepEntry {
        let mut steps = [StepEntry {
            step: 1,
            moving: vec![PieceId::cut(2, 2)],
            onto: vec![PieceId::cut(1, 2)],
            closes: Closes::Seam(SeamId::numbered(1)),
            direction,
            travel_mm: 20.0,
            rests: None,
            play: Vec::new(),
        }];
        let places = vec![[vec![1], vec![0]]];
        rest(&mut steps, places, &in_place(solids), Side::TOP);
        let [step] = steps;
        step
    }

    /// How the first of two blocks rests while the second comes to it.
    fn rests(blocks: [[[f64; 3]; 2]; 2], direction: [f64; 3]) -> Option<Rest> {
        step(blocks.map(block), direction).rests
    }

    fn block([low, high]: [[f64; 3]; 2]) -> Solid {
        Solid::cuboid(low.into(), high.into())
    }

    const SEAT: [[f64; 3]; 2] = [[0.0, 0.0, 380.0], [300.0, 200.0, 400.0]];

    fn on(side: &str) -> Option<Rest> {
        let on = side.parse().unwrap();
        Some(Rest {
            on,
            over_edge: false,
        })
    }

    #[test]
    fn a_seat_rests_on_its_top_while_a_leg_comes_and_so_the_leg_is_let_down() {
        let leg = [[20.0, 20.0, 0.0], [60.0, 60.0, 385.0]];
        assert_eq!(rests([SEAT, leg], [0.0, 0.0, 1.0]), on("+z"));
    }

    #[test]
    fn what_stands_stays_upright_where_that_does() {
        let back = [[300.0, 0.0, 380.0], [500.0, 200.0, 400.0]];
        assert_eq!(rests([SEAT, back], [0.0, 1.0, 0.0]), on("-z"));
        // A small one pushed up into it: it stands on its head.
        let small = [[300.0, 0.0, 380.0], [380.0, 200.0, 400.0]];
        assert_eq!(rests([SEAT, small], [0.0, 0.0, 1.0]), on("+z"));
    }

    #[test]
    fn a_post_that_would_fall_over_is_laid_down() {
        let post = [[0.0; 3], [20.0, 30.0, 400.0]];
        let arm = [[20.0, 0.0, 300.0], [200.0, 30.0, 330.0]];
        // On its back, with the arm level beside it and let down.
        assert_eq!(rests([post, arm], [0.0, 1.0, 0.0]), on("+y"));
    }

    /// Round posts, which lie on no side: the one that would have to be pushed up stands on
    /// its head, and the other is let down onto it.
    #[test]
    fn what_would_be_pushed_up_stands_and_the_other_comes() {
        let round = |x: f64, low: f64| {
            let foot = Point::new(x, 0.0, low);
            Solid::cylinder(foot, Vector::z() * (100.0 - low), 60.0, 64).unwrap()
        };
        let step = step([round(0.0, 50.0), round(100.0, 0.0)], [0.0, 0.0, -1.0]);
        assert_eq!(step.moving, [PieceId::cut(1, 2)]);
        assert_eq!((step.direction, step.rests), ([0.0, 0.0, 1.0], on("+z")));
    }

    #[test]
    fn a_legged_base_stands_and_the_larger_top_comes_to_it() {
        let base = [[0.0; 3], [60.0, 60.0, 300.0]];
        let top = [[0.0, 0.0, 300.0], [200.0, 200.0, 340.0]];
        let step = step([top, base].map(block), [0.0, 0.0, 1.0]);
        assert_eq!(step.moving, [PieceId::cut(1, 2)]);
        // It comes the other way than the base would.
        assert_eq!((step.direction, step.rests), ([0.0, 0.0, -1.0], on("-z")));
    }

    #[test]
    fn what_reaches_lower_comes_over_the_edge() {
        let cube = [[0.0; 3], [100.0; 3]];
        let sleeve = [[-20.0, -20.0, -20.0], [120.0, 120.0, 120.0]];
        let pieces = in_place([cube, sleeve].map(block));
        let bench = Bench::of(&pieces, Vector::z());
        let rest = bench
            .best([&[1], &[0]], &-Vector::z(), (None, false))
            .unwrap();
        assert!(rest.over_edge && rest.on != Side::TOP, "{rest:?}");
    }
}
