//! How pieces can be laid on a bench.

use design::{PieceInPlace, Rest, STEEP, Side};
use geo::{ConvexHull, Coord, MultiPoint, Point as Spot};
use solid::{Frame, Hull, Moments, Point, Solid, Vector};

/// What is no higher over the bench than this touches it. A round pole touches it along a
/// line, and rolls.
const TOUCHES_MM: f64 = 0.05;
/// What can be tipped by less before it falls does not stand by itself; the same as for a
/// print.
const LEAST_TIP_DEG: f64 = printing::LEAST_TIP_DEG;
/// What comes may reach so far below what stands: rounding, and the clearance of joints.
const CLEAR_MM: f64 = 1.0;
/// What rests on a flat side that leans from a side of the furniture by no more than this
/// lies on that side: a splayed leg on its outer face. The cosine of 30°.
const LEANS_COS: f64 = 0.866;
/// What leans by more than 15° lies on that by so much of its surface at the least: on tips and
/// edges alone nobody lays what leans far (our choice, without a source).
const LITTLE_COS: f64 = 0.966;
const LEAST_FLAT_MM2: f64 = 400.0;
/// Faces that look the same way to within this are one.
const SAME_WAY_COS: f64 = 1.0 - 1e-6;

/// Pieces as they can be laid on a bench.
pub(crate) struct Bench<'a> {
    pieces: &'a [PieceInPlace],
    /// The corners of each piece's hull.
    hulls: Vec<Vec<Point>>,
    /// How low each reaches with one of the six sides down.
    lowest_mm: Vec<[f64; 6]>,
    moments: Vec<Option<Moments>>,
    /// Which way is up where the furniture stands.
    pub(crate) up: Vector,
}

impl<'a> Bench<'a> {
    pub(crate) fn of(pieces: &'a [PieceInPlace], up: Vector) -> Self {
        let hull = |p: &PieceInPlace| match Hull::of(&p.in_place) {
            Some(hull) => hull.vertices,
            None => p.in_place.vertices().to_vec(),
        };
        let hulls: Vec<Vec<Point>> = pieces.iter().map(hull).collect();
        let lowest = |hull: &Vec<Point>| Side::ALL.map(|side| lowest_mm(hull, &side.direction()));
        Self {
            pieces,
            lowest_mm: hulls.iter().map(lowest).collect(),
            hulls,
            moments: pieces.iter().map(|p| p.in_place.moments()).collect(),
            up,
        }
    }

    /// How low a piece reaches with a side down, by its place in [`Side::ALL`].
    pub(crate) fn piece_lowest_mm(&self, piece: usize, side: usize) -> f64 {
        self.lowest_mm[piece][side]
    }

    /// The volume of some pieces.
    pub(crate) fn volume_mm3(&self, of: &[usize]) -> f64 {
        let moments = of.iter().filter_map(|&k| self.moments[k].as_ref());
        moments.map(|m| m.volume_mm3).sum()
    }

    /// How some pieces best rest while others come to them by a way.
    pub(crate) fn best(
        &self,
        [moving, onto]: [&[usize]; 2],
        way: &Vector,
        (before, upright): (Option<Side>, bool),
    ) -> Option<Rest> {
        let downs = self.downs(onto);
        let rest = |k: usize| Rest {
            on: Side::ALL[k],
            over_edge: !downs[k].is_some_and(|down| self.is_clear(&down, [moving, onto], way)),
        };
        let tips = downs.map(|down| down.map_or(0.0, |down| self.tips_deg(&down, onto)));
        let standing = (0..6).filter(|&k| tips[k] >= LEAST_TIP_DEG);
        let rank = |k: usize| {
            let down = Side::ALL[k].direction();
            let falls = way.normalize().dot(&down);
            (
                upright && down.dot(&self.up) > -0.5,
                rest(k).over_edge,
                falls < -STEEP,
                before.is_some_and(|before| before != Side::ALL[k]),
                down.dot(&self.up) > -0.5,
                falls < STEEP,
            )
        };
        let best = standing.min_by(|&a, &b| {
            let steadier = || tips[b].total_cmp(&tips[a]);
            rank(a).cmp(&rank(b)).then_with(steadier)
        });
        best.map(rest)
    }

    /// For each side which way is down where some pieces rest on it: square to it, or, where
    /// they stand on no side so, on the largest flat side of their hull that leans little
    /// from it and on which they stand.
    fn downs(&self, pieces: &[usize]) -> [Option<Vector>; 6] {
        let square = Side::ALL.map(|side| Some(side.direction()));
        let stands = |down: &Vector| self.tips_deg(down, pieces) >= LEAST_TIP_DEG;
        if square.iter().flatten().any(stands) {
            return square;
        }
        let corners: Vec<Point> = pieces
            .iter()
            .flat_map(|&k| &self.hulls[k])
            .copied()
            .collect();
        let faces = Hull::about(&corners).map_or_else(Vec::new, |hull| hull.faces());
        Side::ALL.map(|side| {
            let near = faces.iter().map(|face| face.normal);
            let mut near = near.filter(|n| n.dot(&side.direction()) >= LEANS_COS);
            near.find(|n| {
                let leans_little = n.dot(&side.direction()) >= LITTLE_COS;
                let lies = || self.flat_mm2(n, pieces) >= LEAST_FLAT_MM2;
                stands(n) && (leans_little || lies())
            })
        })
    }

    /// How much of the surface of some pieces lies flat on the bench with a way down.
    fn flat_mm2(&self, down: &Vector, pieces: &[usize]) -> f64 {
        let corners = || pieces.iter().flat_map(|&k| &self.hulls[k]);
        let lowest = corners()
            .map(|q| q.coords.dot(down))
            .fold(f64::MIN, f64::max);
        let solids = pieces.iter().map(|&k| &self.pieces[k].in_place);
        let lies = |solid: &Solid, face: usize| {
            let touches = |q: &Point| q.coords.dot(down) > lowest - TOUCHES_MM;
            solid.normal(face).dot(down) > SAME_WAY_COS && solid.corners(face).iter().all(touches)
        };
        let areas = solids.flat_map(|solid| {
            let faces = (0..solid.triangles().len()).filter(move |&k| lies(solid, k));
            faces.map(move |k| {
                let [a, b, c] = solid.corners(k);
                (b - a).cross(&(c - a)).norm() / 2.0
            })
        });
        areas.sum()
    }

    fn lowest_of_mm(&self, down: &Vector, pieces: &[usize]) -> f64 {
        let square = Side::ALL.iter().position(|side| side.direction() == *down);
        let each = pieces.iter().map(|&k| match square {
            Some(side) => self.lowest_mm[k][side],
            None => lowest_mm(&self.hulls[k], down),
        });
        each.fold(f64::INFINITY, f64::min)
    }

    /// Whether what comes does not reach below the bench on its way nor at home.
    fn is_clear(&self, down: &Vector, [moving, onto]: [&[usize]; 2], way: &Vector) -> bool {
        let lowest = self.lowest_of_mm(down, moving) + way.dot(down).min(0.0);
        lowest > self.lowest_of_mm(down, onto) - CLEAR_MM
    }

    /// By how much some pieces can be tipped before they fall over, with a way down.
    fn tips_deg(&self, down: &Vector, pieces: &[usize]) -> f64 {
        let frame = Frame::facing(Point::origin(), -down);
        let corners = || pieces.iter().flat_map(|&k| &self.hulls[k]);
        let height = |q: &Point| -q.coords.dot(down);
        let lowest = corners().map(height).fold(f64::INFINITY, f64::min);
        let on_bench = |p: &Point| Spot::new(p.coords.dot(&frame.u), p.coords.dot(&frame.v));
        let touching = corners().filter(|q| height(q) < lowest + TOUCHES_MM);
        let touching: MultiPoint = touching.map(on_bench).collect();
        let hull = touching.convex_hull();
        let (mut volume, mut sum) = (0.0, Vector::zeros());
        for m in pieces.iter().filter_map(|&k| self.moments[k].as_ref()) {
            volume += m.volume_mm3;
            sum += m.centroid.coords * m.volume_mm3;
        }
        let centre = sum / f64::max(volume, 1e-9);
        let above = -centre.dot(down) - lowest;
        let at = on_bench(&Point::from(centre));
        // The hull turns left.
        let room = |line: geo::Line| {
            let along: Coord = line.end - line.start;
            let out: Coord = at.0 - line.start;
            (along.x * out.y - along.y * out.x) / along.x.hypot(along.y).max(1e-12)
        };
        let within = hull.exterior().lines().map(room).reduce(f64::min);
        let within = within.unwrap_or(f64::NEG_INFINITY);
        within.atan2(above.max(1e-9)).to_degrees()
    }
}

/// How low some points reach.
fn lowest_mm(points: &[Point], down: &Vector) -> f64 {
    let heights = points.iter().map(|q| -q.coords.dot(down));
    heights.fold(f64::INFINITY, f64::min)
}

#[cfg(test)]
mod tests {
    use design::{PieceId, PrinterId};
    use solid::Isometry;

    use super::*;

    fn downs(solid: &Solid) -> [Option<Vector>; 6] {
        let piece = PieceInPlace {
            id: PieceId::cut(1, 2),
            in_place: solid.clone(),
            as_printed: solid.clone(),
            placed: Isometry::identity(),
            printer: PrinterId::at(0),
        };
        let pieces = [piece];
        let bench = Bench::of(&pieces, Vector::z());
        let stands = |down: &Vector| bench.tips_deg(down, &[0]) >= LEAST_TIP_DEG;
        bench.downs(&[0]).map(|down| down.filter(stands))
    }

    #[test]
    fn a_splayed_leg_lies_on_its_flat_sides() {
        let leg = Solid::cuboid(Point::origin(), Point::new(30.0, 30.0, 300.0));
        let splayed = leg.moved(&Isometry::rotation(Vector::new(0.2, 0.0, 0.0)));
        let sides = downs(&splayed).map(|down| down.is_some());
        // On its left and right, which do not lean, it lies square.
        let upright = Side::ALL.map(|side| side.direction().z != 0.0);
        for (k, side) in Side::ALL.iter().enumerate() {
            if side.direction().x != 0.0 {
                assert!(sides[k], "{side}");
            }
            assert!(!(upright[k] && sides[k]), "{side}");
        }
        // Splayed two ways it lies square on no side, and on four that lean.
        let both = leg.moved(&Isometry::rotation(Vector::new(0.2, 0.15, 0.0)));
        let leaning = downs(&both);
        assert_eq!(leaning.iter().flatten().count(), 4, "{leaning:?}");
    }

    #[test]
    fn on_a_face_all_of_it_lies_and_on_an_edge_nothing() {
        let leg = Solid::cuboid(Point::origin(), Point::new(30.0, 30.0, 300.0));
        let turn = Isometry::rotation(Vector::new(0.2, 0.15, 0.0));
        let piece = PieceInPlace {
            id: PieceId::cut(1, 2),
            in_place: leg.moved(&turn),
            as_printed: leg,
            placed: Isometry::identity(),
            printer: PrinterId::at(0),
        };
        let pieces = [piece];
        let bench = Bench::of(&pieces, Vector::z());
        let flat = |way: Vector| bench.flat_mm2(&(turn * way), &[0]);
        assert!((flat(Vector::x()) - 9000.0).abs() < 1e-6);
        assert_eq!(flat(Vector::new(1.0, 1.0, 0.0).normalize()), 0.0);
    }

    #[test]
    fn a_round_pole_rolls() {
        let pole = Solid::cylinder(Point::origin(), Vector::x() * 300.0, 15.0, 96).unwrap();
        let stands = downs(&pole).map(|down| down.is_some());
        assert!(!stands.contains(&true), "{stands:?}");
    }
}
