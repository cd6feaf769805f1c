//! Legs, pegs, rails: where a piece goes on for a while with one section, and whether its
//! layers lie across the load that bends it there.

use geo::{Area, Coord, CoordsIter, InteriorPoint, Intersects, MinimumRotatedRect, Polygon};
use solid::{Frame, Outline, Point, SectionIndex, Solid, Vector};

/// A stretch of a piece along a direction, of about one section: a leg, a peg, a rail, a
/// board on its end.
#[derive(Clone, Debug, PartialEq)]
pub struct SlenderRun {
    /// How long it is.
    pub length_mm: f64,
    /// The sides of the least rectangle about its section, the shorter first, on average.
    pub section_mm: [f64; 2],
    /// How deep it is on average the way in which it bends.
    depth_mm: f64,
    /// A point within it, half-way along.
    pub at: Point,
    /// Whether the piece goes on into more at both of its ends.
    held_at_both_ends: bool,
}

/// What is shorter breaks off before it bends, and is as strong as its section.
const LEAST_MM: f64 = 30.0;
/// What stands out level and is this many times as long as it is deep, weight bends: at
/// its root it is pulled eight times as hard as it is sheared (beam theory: 6 F l / b d²
/// against 1.5 F / b d).
const LEVEL: f64 = 2.0;
/// What stands upright and is this many times as long as it is thick, a knock bends (our
/// choice, without a source).
const UPRIGHT: f64 = 4.0;
/// What the piece itself holds at both ends may be so many times as long: its ends are then
/// pulled no harder beside what shears them (beam theory: F l / 8 instead of F l, each end with
/// half of the load).
const HELD_AT_BOTH_ENDS: f64 = 4.0;
/// What goes on into so much more is held there.
const INTO_MORE: f64 = 2.0;
/// What leans from upright by more is level: 60°.
const LEVEL_COS: f64 = 0.5;

impl SlenderRun {
    /// Whether a way up for the print is one in which layers lie upright in the furniture,
    /// so that weight may bend a piece across them.
    pub fn is_level(printed_up: &Vector, up: &Vector) -> bool {
        printed_up.dot(up).abs() < LEVEL_COS
    }

    /// The slenderest run of a piece, in the furniture's coordinates, that layers piled
    /// along `printed_up` lie across and that weight bends, which pulls along `up`.
    ///
    /// ```
    /// use printing::SlenderRun;
    /// use solid::{Point, Solid, Vector};
    ///
    /// // A rail that lies level in the furniture and is printed on its end.
    /// let rail = Solid::cuboid(Point::origin(), Point::new(180.0, 20.0, 30.0));
    /// let run = SlenderRun::across_its_load(&rail, &Vector::x(), &Vector::z()).unwrap();
    /// assert_eq!(run.section_mm.map(f64::round), [20.0, 30.0]);
    /// assert!(SlenderRun::across_its_load(&rail, &Vector::z(), &Vector::z()).is_none());
    /// ```
    pub fn across_its_load(piece: &Solid, printed_up: &Vector, up: &Vector) -> Option<Self> {
        if !Self::is_level(printed_up, up) {
            return None;
        }
        // Square to the pile, as near to upright as can be.
        let deep = (up - printed_up * printed_up.dot(up)).normalize();
        let ratio = |run: &Self| run.length_mm / (LEVEL * run.depth_mm.max(1e-6));
        slenderest(runs(piece, printed_up, &deep), ratio)
    }

    /// The slenderest run of a piece that layers piled along `printed_up` lie across and
    /// that stands upright in the furniture, where a knock bends it.
    pub fn across_a_knock(piece: &Solid, printed_up: &Vector, up: &Vector) -> Option<Self> {
        if Self::is_level(printed_up, up) {
            return None;
        }
        let ratio = |run: &Self| run.length_mm / (UPRIGHT * run.section_mm[0].max(1e-6));
        slenderest(runs(piece, printed_up, up), ratio)
    }
}

fn slenderest(runs: Vec<SlenderRun>, ratio: impl Fn(&SlenderRun) -> f64) -> Option<SlenderRun> {
    let least = |run: &SlenderRun| match run.held_at_both_ends {
        true => HELD_AT_BOTH_ENDS,
        false => 1.0,
    };
    // What is broader than long spans the other way.
    let slender = runs
        .into_iter()
        .filter(|run| run.section_mm[1] <= run.length_mm)
        .filter(|run| run.length_mm >= LEAST_MM && ratio(run) >= least(run));
    slender.max_by(|a, b| ratio(a).total_cmp(&ratio(b)))
}

/// Sections are this far apart, or so many that there are no more than [`MOST`].
const APART_MM: f64 = 3.0;
const MOST: f64 = 72.0;
/// The section of a run does not change faster, from one look to the next.
const CHANGES: f64 = 2.0;

/// What fills less of the rectangle about its section, holes counted as full, is boards that
/// meet, as in a drawer, and stiffer than either.
const FILLED: f64 = 0.4;

/// A part of one section.
struct Slab {
    polygon: Polygon,
    area_mm2: f64,
    middle: Point,
    sides_mm: [f64; 2],
    depth_mm: f64,
}

impl Slab {
    fn of(polygon: Polygon, frame: &Frame, deep: &Vector) -> Option<Self> {
        let area_mm2 = polygon.unsigned_area();
        let rectangle = MinimumRotatedRect::minimum_rotated_rect(&polygon)?;
        let corners: Vec<Coord> = rectangle.exterior_coords_iter().collect();
        let [a, b, c] = corners.get(..3)?.try_into().ok()?;
        let long = |p: Coord, q: Coord| (q - p).x.hypot((q - p).y);
        let sides = [long(a, b), long(b, c)];
        let filled = Polygon::new(polygon.exterior().clone(), Vec::new()).unsigned_area();
        if filled < FILLED * sides[0] * sides[1] {
            return None;
        }
        let places = || {
            polygon
                .exterior_coords_iter()
                .map(|p| frame.place(p.x, p.y, 0.0))
        };
        let heights = || places().map(|p| p.coords.dot(deep));
        let low = heights().fold(f64::INFINITY, f64::min);
        let high = heights().fold(f64::NEG_INFINITY, f64::max);
        let within = polygon.interior_point()?;
        let middle = frame.place(within.x(), within.y(), 0.0);
        Some(Self {
            area_mm2,
            middle,
            sides_mm: [sides[0].min(sides[1]), sides[0].max(sides[1])],
            depth_mm: high - low,
            polygon,
        })
    }

    /// Whether the piece goes on from one to the other much as it was.
    fn goes_on(&self, other: &Self) -> bool {
        let ratio = self.area_mm2 / other.area_mm2.max(1e-9);
        (1.0 / CHANGES..=CHANGES).contains(&ratio) && self.meets(other)
    }

    fn meets(&self, other: &Self) -> bool {
        self.polygon.intersects(&other.polygon)
    }

    /// Whether the piece goes on into more in the next section.
    fn is_held_by(&self, next: &Outline) -> bool {
        let meets = |other: &&Polygon| self.polygon.intersects(*other);
        let there: f64 = next.iter().filter(meets).map(Area::unsigned_area).sum();
        there > INTO_MORE * self.area_mm2
    }
}

/// The runs of a solid along a direction; how deep each is, is measured along another.
fn runs(piece: &Solid, along: &Vector, deep: &Vector) -> Vec<SlenderRun> {
    let heights = || piece.vertices().iter().map(|p| p.coords.dot(along));
    let low = heights().fold(f64::INFINITY, f64::min);
    let high = heights().fold(f64::NEG_INFINITY, f64::max);
    let tall = high - low;
    if !tall.is_finite() || tall <= 0.0 {
        return Vec::new();
    }
    let count = (tall / APART_MM).clamp(1.0, MOST).floor();
    let apart = tall / count;
    let index = SectionIndex::along(piece, *along);
    let mut open: Vec<Open> = Vec::new();
    let mut out = Vec::new();
    let mut before = Outline::new(Vec::new());
    for k in 0..count as usize {
        let at = low + (k as f64 + 0.5) * apart;
        let frame = Frame::facing(Point::from(along * at), *along);
        let section: Outline = index.section(&frame);
        let slabs: Vec<Slab> = section
            .iter()
            .filter_map(|polygon| Slab::of(polygon.clone(), &frame, deep))
            .collect();
        // One goes on as one: where a part splits or parts meet, a run ends.
        let met = |run: &Open| -> Vec<usize> {
            let last = run.last();
            (0..slabs.len())
                .filter(|&j| last.meets(&slabs[j]))
                .collect()
        };
        let onto: Vec<Vec<usize>> = open.iter().map(met).collect();
        let from = |j: usize| onto.iter().filter(|met| met.contains(&j)).count();
        let next: Vec<Option<usize>> = onto
            .iter()
            .zip(&open)
            .map(|(met, run)| match met[..] {
                [j] if from(j) == 1 && run.last().goes_on(&slabs[j]) => Some(j),
                _ => None,
            })
            .collect();
        let mut slabs: Vec<Option<Slab>> = slabs.into_iter().map(Some).collect();
        let mut still = Vec::new();
        for (mut run, next) in open.into_iter().zip(next) {
            match next.and_then(|j| slabs[j].take()) {
                Some(slab) => {
                    run.slabs.push(slab);
                    still.push(run);
                }
                None => {
                    let is_held = run.last().is_held_by(&section);
                    out.push(run.closed(apart, is_held));
                }
            }
        }
        still.extend(slabs.into_iter().flatten().map(|slab| Open {
            is_held: slab.is_held_by(&before),
            slabs: vec![slab],
        }));
        open = still;
        before = section;
    }
    out.extend(open.iter().map(|run| run.closed(apart, false)));
    out
}

/// A run that may go on.
struct Open {
    slabs: Vec<Slab>,
    /// Whether it came out of more.
    is_held: bool,
}

impl Open {
    fn last(&self) -> &Slab {
        &self.slabs[self.slabs.len() - 1]
    }

    fn closed(&self, apart_mm: f64, goes_into_more: bool) -> SlenderRun {
        let run = &self.slabs;
        let mean = |of: &dyn Fn(&Slab) -> f64| run.iter().map(of).sum::<f64>() / run.len() as f64;
        SlenderRun {
            length_mm: apart_mm * run.len() as f64,
            section_mm: [mean(&|s| s.sides_mm[0]), mean(&|s| s.sides_mm[1])],
            depth_mm: mean(&|s| s.depth_mm),
            at: run[run.len() / 2].middle,
            held_at_both_ends: self.is_held && goes_into_more,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn block(low: [f64; 3], high: [f64; 3]) -> Solid {
        Solid::cuboid(low.into(), high.into())
    }

    #[test]
    fn a_peg_on_a_board_is_a_run_and_the_board_is_none() {
        let board = block([0.0; 3], [200.0, 60.0, 18.0]);
        let peg = block([90.0, 20.0, 10.0], [110.0, 44.0, 98.0]);
        let rack = board.union(&peg).unwrap();
        let runs = runs(&rack, &Vector::z(), &Vector::y());
        let long: Vec<&SlenderRun> = runs.iter().filter(|r| r.length_mm > 30.0).collect();
        assert_eq!(long.len(), 1);
        let peg = long[0];
        assert!((peg.length_mm - 80.0).abs() < 5.0, "{peg:?}");
        assert!((peg.section_mm[0] - 20.0).abs() < 1e-6);
        assert!((peg.section_mm[1] - 24.0).abs() < 1e-6);
        assert!((peg.depth_mm - 24.0).abs() < 1e-6);
        assert!((peg.at.x - 100.0).abs() < 1e-6);
    }

    #[test]
    fn a_tray_is_no_rail_and_a_point_of_a_rail_lies_within_it() {
        let tray = block([0.0; 3], [200.0, 220.0, 80.0])
            .difference(&block([-1.0, 8.0, 8.0], [201.0, 212.0, 81.0]))
            .unwrap();
        assert!(SlenderRun::across_its_load(&tray, &Vector::x(), &Vector::z()).is_none());
        let angle = block([0.0; 3], [200.0, 60.0, 40.0])
            .difference(&block([-1.0, 30.0, 18.0], [201.0, 61.0, 41.0]))
            .unwrap();
        let run = SlenderRun::across_its_load(&angle, &Vector::x(), &Vector::z()).unwrap();
        assert!(
            solid::RayCaster::new(&angle).unwrap().contains(&run.at),
            "{run:?}"
        );
    }

    /// A board printed on its long edge spans between its ends, and webs between slots are held
    /// by what is above and below them.
    #[test]
    fn what_is_broader_than_long_and_what_is_held_at_both_ends_is_not_bent_across() {
        let on_edge = block([0.0; 3], [245.0, 81.0, 18.0]);
        assert!(SlenderRun::across_its_load(&on_edge, &Vector::y(), &Vector::z()).is_none());
        assert!(SlenderRun::across_its_load(&on_edge, &Vector::x(), &Vector::z()).is_some());
        let slot = |x: f64| block([x, -1.0, 40.0], [x + 12.0, 7.0, 120.0]);
        let wall = block([0.0; 3], [100.0, 6.0, 160.0]);
        let slotted = [15.0, 42.0, 69.0]
            .iter()
            .fold(wall, |all, x| all.difference(&slot(*x)).unwrap());
        let knocked = |solid: &Solid| SlenderRun::across_a_knock(solid, &Vector::z(), &Vector::z());
        assert!(knocked(&slotted).is_none());
        // The same webs without what is above them.
        let comb = slotted
            .difference(&block([-1.0, -1.0, 119.0], [101.0, 7.0, 161.0]))
            .unwrap();
        assert!(knocked(&comb).is_some());
    }

    #[test]
    fn legs_under_a_top_are_runs_of_their_own() {
        let top = block([0.0, 0.0, 100.0], [200.0, 90.0, 120.0]);
        let legs = [0.0, 170.0].map(|x| block([x, 30.0, 0.0], [x + 30.0, 60.0, 105.0]));
        let table = legs.iter().fold(top, |all, leg| all.union(leg).unwrap());
        let runs = runs(&table, &Vector::z(), &Vector::x());
        let long = runs.iter().filter(|r| r.length_mm > 80.0).count();
        assert_eq!(long, 2);
    }
}
