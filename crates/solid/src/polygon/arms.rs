//! Strips of a flat region that meet at corners: the arms of an L, a T, a cross or a
//! frame.

use geo::{Area, BooleanOps, Coord, LineString, Polygon};

use crate::polygon::outline::Outline;

/// A corner turns inward by at least this, in radians; a curve does so bit by bit.
const SHARP: f64 = 0.7;
/// An arm is at least so often as long as it is wide where it is cut off.
const LONG: f64 = 1.5;
/// Ends of chords closer than this are one.
const SAME_MM: f64 = 0.05;
/// What turns more corners is no strip: a perforated panel, a fretwork.
const MOST_CORNERS: usize = 128;
/// Width of the slit by which arms are parted.
const SLIT_MM: f64 = 0.01;

/// The arms of a region, in mm of its frame: it is cut at each of its inward corners, in
/// line with one of the corner's sides, where that is across a strip; the region itself
/// where it has none. A chord from corner to corner goes before the shortest.
pub(crate) fn arms(region: &Polygon) -> Vec<Polygon> {
    let mut done: Vec<Coord> = Vec::new();
    let mut parts = vec![region.clone()];
    if rings(region).map(|ring| inward(&ring).len()).sum::<usize>() > MOST_CORNERS {
        return parts;
    }
    while let Some((at, part, chord)) = next_chord(&parts, &done) {
        done.push(at);
        let Some([from, to]) = chord else { continue };
        let cut = slit(&parts[part], from, to);
        let length = (to - from).length();
        let long = |p: &Polygon| p.unsigned_area() > LONG * length * length;
        // A frame is opened before it falls apart.
        if cut.0.len() <= 2 && cut.iter().all(long) {
            done.push(to);
            parts.splice(part..=part, cut);
        }
    }
    parts
}

trait Length {
    fn length(self) -> f64;
}

impl Length for Coord {
    fn length(self) -> f64 {
        self.x.hypot(self.y)
    }
}

/// The next corner that was not looked at, the part that has it, and the chord from it.
fn next_chord(parts: &[Polygon], done: &[Coord]) -> Option<(Coord, usize, Option<[Coord; 2]>)> {
    let is_done = |c: Coord| done.iter().any(|d| (*d - c).length() < SAME_MM);
    parts.iter().enumerate().find_map(|(k, part)| {
        let corners: Vec<Corner> = rings(part).flat_map(|ring| inward(&ring)).collect();
        let corner = corners.iter().find(|c| !is_done(c.at))?;
        let mut chords: Vec<(bool, f64, Coord)> = corner
            .onward
            .iter()
            .filter_map(|way| {
                let length = reach(part, corner.at, *way)?;
                let end = corner.at + *way * length;
                let at_corner = |c: &Corner| (c.at - end).length() < SAME_MM;
                Some((!corners.iter().any(at_corner), length, end))
            })
            .collect();
        chords.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
        let chord = chords.first().map(|(_, _, end)| [corner.at, *end]);
        Some((corner.at, k, chord))
    })
}

/// A corner at which a region turns inward, and its sides' directions beyond it.
struct Corner {
    at: Coord,
    onward: [Coord; 2],
}

/// The rings of a region, material on their left, not closed.
fn rings(region: &Polygon) -> impl Iterator<Item = Vec<Coord>> {
    let ring = |line: &LineString, hole: bool| {
        let mut points = line.0.clone();
        points.pop();
        let doubled: f64 = (0..points.len())
            .map(|k| {
                let (a, b) = (points[k], points[(k + 1) % points.len()]);
                a.x * b.y - b.x * a.y
            })
            .sum();
        if (doubled > 0.0) == hole {
            points.reverse();
        }
        points
    };
    let outer = ring(region.exterior(), false);
    let holes: Vec<_> = region.interiors().iter().map(|h| ring(h, true)).collect();
    std::iter::once(outer).chain(holes)
}

fn inward(ring: &[Coord]) -> Vec<Corner> {
    let count = ring.len();
    (0..count)
        .filter_map(|k| {
            let at = ring[k];
            let (before, after) = (
                at - ring[(k + count - 1) % count],
                ring[(k + 1) % count] - at,
            );
            let (a, b) = (before.length(), after.length());
            if a < SAME_MM || b < SAME_MM {
                return None;
            }
            let (before, after) = (before / a, after / b);
            let turn = (before.x * after.y - before.y * after.x)
                .atan2(before.x * after.x + before.y * after.y);
            (turn < -SHARP).then_some(Corner {
                at,
                onward: [before, -after],
            })
        })
        .collect()
}

/// How far a ray from a corner goes through a region.
fn reach(region: &Polygon, from: Coord, way: Coord) -> Option<f64> {
    let cross = |a: Coord, b: Coord| a.x * b.y - a.y * b.x;
    let hits = std::iter::once(region.exterior())
        .chain(region.interiors())
        .flat_map(|ring| ring.lines())
        .filter_map(|line| {
            let (start, side) = (line.start - from, line.end - line.start);
            let parallel = cross(way, side);
            if parallel.abs() < 1e-9 * side.length() {
                return None;
            }
            let (along, share) = (cross(start, side) / parallel, cross(start, way) / parallel);
            let slack = SAME_MM / side.length().max(SAME_MM);
            (along > SAME_MM && (-slack..=1.0 + slack).contains(&share)).then_some(along)
        });
    hits.min_by(f64::total_cmp)
}

/// A region without a thin slit between two points of its rim.
fn slit(region: &Polygon, from: Coord, to: Coord) -> Outline {
    let along = (to - from) / (to - from).length();
    let across = Coord {
        x: -along.y,
        y: along.x,
    } * (SLIT_MM / 2.0);
    let (from, to) = (from - along * SLIT_MM, to + along * SLIT_MM);
    let corners = vec![from - across, to - across, to + across, from + across];
    let blade = Polygon::new(LineString::new(corners), Vec::new());
    region.difference(&blade)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::polygon::outline::rectangle;

    fn areas(region: &Outline) -> Vec<f64> {
        assert_eq!(region.0.len(), 1);
        let mut out: Vec<f64> = arms(&region.0[0])
            .iter()
            .map(|a| a.unsigned_area().round())
            .collect();
        out.sort_by(f64::total_cmp);
        out
    }

    #[test]
    fn an_l_has_two_arms_a_t_two_and_a_cross_three() {
        let bar = rectangle([0.0, 0.0], [200.0, 18.0]);
        let l = bar.union(&rectangle([0.0, 0.0], [18.0, 118.0]));
        assert_eq!(areas(&l), [1800.0, 3600.0]);
        let t = bar.union(&rectangle([80.0, 0.0], [98.0, 118.0]));
        assert_eq!(areas(&t), [1800.0, 3600.0]);
        let cross = t.union(&rectangle([80.0, -100.0], [98.0, 0.0]));
        assert_eq!(areas(&cross).len(), 3);
    }

    #[test]
    fn a_frame_has_four_sides() {
        let frame = rectangle([0.0, 0.0], [300.0, 200.0])
            .difference(&rectangle([18.0, 18.0], [282.0, 182.0]));
        let sides = areas(&frame);
        assert_eq!(sides.len(), 4);
        let all: f64 = sides.iter().sum();
        assert!((all - frame.unsigned_area()).abs() < 3.0, "{sides:?}");
    }

    #[test]
    fn a_notch_in_a_plate_and_a_curve_make_no_arms() {
        let plate = rectangle([0.0, 0.0], [300.0, 200.0])
            .difference(&rectangle([280.0, 180.0], [300.0, 200.0]));
        assert_eq!(areas(&plate).len(), 1);
        let rim = |r: f64| {
            let at = |k: i32| {
                let angle = std::f64::consts::TAU * f64::from(k) / 48.0;
                (r * angle.cos(), r * angle.sin())
            };
            Outline::new(vec![Polygon::new(
                (0..48).map(at).collect::<Vec<_>>().into(),
                Vec::new(),
            )])
        };
        assert_eq!(areas(&rim(150.0).difference(&rim(130.0))).len(), 1);
    }
}
