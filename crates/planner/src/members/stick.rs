//! Legs, posts and rails that have no flat faces, or none that are parallel:
//! turned, round, tapered. They are what is left of a model without its boards.

use geo::{Area, Centroid, Polygon};
use solid::{Frame, Outline, Point, Solid, Vector};

use crate::members::member::{Member, MemberKind};
use crate::members::owned::upwards;
use crate::members::slab::{BOARD_WIDTH, STICK_LENGTH, smallest_rectangle};
use crate::strategy::leg::axis_of;

/// Sections along a stick that are looked at.
const STATIONS: usize = 24;
/// How far a section may be off a straight taper, in mean widths.
const UNEVEN: f64 = 0.25;
/// By how much the ends of what tapers differ at least, in mean widths.
const TAPER: f64 = 0.03;
/// How far a section's middle may be off the axis, in mean widths.
const BENT: f64 = 0.35;
/// A round section has this share of the square about it, within a twentieth.
const ROUND: f64 = std::f64::consts::FRAC_PI_4;
/// What fills no more of the rectangle about its section and is thinner than this, in mm, is
/// the arris between boards that meet at an angle, and no stick.
const WEDGE: f64 = 0.6;
const LEAST_WEDGE_MM: f64 = 8.0;
/// What fills so little of it is several of these, whatever it measures.
const CRUMBS: f64 = 0.25;

/// A station along a stick: how far along, the middle of its section, the sides of the
/// rectangle about it, twice how far it reaches from its middle, and its area.
struct Station {
    along_mm: f64,
    middle: [f64; 2],
    sides_mm: [f64; 2],
    across_mm: f64,
    area_mm2: f64,
}

/// A body as a stick; `None` where it is none.
pub(crate) fn stick(body: &Solid) -> Option<Member> {
    let [_, _, slender] = body.principal_axes().map(|mut axes| {
        // From the least extent to the greatest.
        let extent = |a: &Vector| body.reach_along(a).map_or(0.0, |(low, high)| high - low);
        axes.sort_by(|a, b| extent(a).total_cmp(&extent(b)));
        axes
    })?;
    let axes = [axis_of(body, &slender), Some(slender)];
    axes.into_iter()
        .flatten()
        .find_map(|axis| along(body, upwards(axis)))
}

fn along(body: &Solid, axis: Vector) -> Option<Member> {
    let (low, high) = body.reach_along(&axis)?;
    let length = high - low;
    let plane = Frame::facing(Point::origin(), axis);
    let stations: Vec<Station> = (0..STATIONS)
        .filter_map(|k| {
            let along_mm = low + length * (k as f64 + 0.5) / STATIONS as f64;
            station(&body.section(&plane.raised(along_mm)), along_mm)
        })
        .collect();
    if stations.len() < STATIONS {
        return None;
    }
    // What is attached widens some sections; half of them are as they are.
    let mean = median(stations.iter().map(|s| s.sides_mm[0]));
    if length < STICK_LENGTH * mean {
        return None;
    }
    let half = STATIONS / 2;
    let wide = |s: &[Station]| median(s.iter().map(|s| s.sides_mm[0]));
    let (near, far) = (wide(&stations[..half]), wide(&stations[half..]));
    // The halves' middles are half a length apart.
    let slope = (far - near) / (length / 2.0);
    let centre = (low + high) / 2.0;
    let straight = |s: &Station| mean + slope * (s.along_mm - centre);
    let even = stations
        .iter()
        .filter(|s| (s.sides_mm[0] - straight(s)).abs() < UNEVEN * mean);
    let middle = [0, 1].map(|k| median(stations.iter().map(|s| s.middle[k])));
    let off = |s: &Station| (s.middle[0] - middle[0]).hypot(s.middle[1] - middle[1]);
    let on_axis = stations.iter().filter(|s| off(s) < BENT * mean);
    if even.count() * 5 < STATIONS * 4 || on_axis.count() * 5 < STATIONS * 4 {
        return None;
    }
    let thickness = median(stations.iter().map(|s| s.sides_mm[1]));
    let share = median(
        stations
            .iter()
            .map(|s| s.area_mm2 / (s.sides_mm[0] * s.sides_mm[1])),
    );
    if share < CRUMBS || share < WEDGE && thickness < LEAST_WEDGE_MM {
        return None;
    }
    let round = (share / ROUND - 1.0).abs() < 0.05 && thickness > 0.95 * mean;
    let ends = [mean - slope * length / 2.0, mean + slope * length / 2.0];
    let tapers = (slope * length).abs() > TAPER * mean;
    let [wide_end, thin_end] = [ends[0].max(ends[1]), ends[0].min(ends[1])];
    let width = if tapers { wide_end } else { mean };
    // Of many-sided sections the corners lie on the circle.
    let corners = median(stations.iter().map(|s| s.across_mm)) / mean;
    let grown = if round { corners } else { 1.0 };
    let thick = thickness * width / mean;
    let section = body.section(&plane.raised(stations[half].along_mm));
    let across = smallest_rectangle(largest(&section)?)?.along;
    let wide_axis = plane.u * across[0] + plane.v * across[1];
    Some(Member {
        kind: if width >= BOARD_WIDTH * thick {
            MemberKind::Board
        } else {
            MemberKind::Rail
        },
        frame: Frame::with_axes(
            plane.place(middle[0], middle[1], centre),
            axis.cross(&wide_axis),
            axis,
        ),
        size_mm: [
            length,
            width * grown,
            if round { width * grown } else { thick },
        ],
        thin_end_mm: tapers.then_some(thin_end * grown),
        round,
        bent: width >= BOARD_WIDTH * thick,
    })
}

fn largest(section: &Outline) -> Option<&Polygon> {
    section
        .iter()
        .max_by(|a, b| a.unsigned_area().total_cmp(&b.unsigned_area()))
}

/// A section as a station; `None` where it is in several parts.
fn station(section: &Outline, along_mm: f64) -> Option<Station> {
    let island = largest(section)?;
    let area_mm2 = island.unsigned_area();
    if area_mm2 < 0.9 * section.unsigned_area() {
        return None;
    }
    let middle = island.centroid()?;
    let from = |c: &geo::Coord| (c.x - middle.x()).hypot(c.y - middle.y());
    Some(Station {
        along_mm,
        middle: [middle.x(), middle.y()],
        sides_mm: smallest_rectangle(island)?.sides_mm,
        across_mm: 2.0 * island.exterior().coords().map(from).fold(0.0, f64::max),
        area_mm2,
    })
}

fn median(values: impl Iterator<Item = f64>) -> f64 {
    let mut values: Vec<f64> = values.collect();
    values.sort_by(f64::total_cmp);
    let n = values.len();
    (values[(n - 1) / 2] + values[n / 2]) / 2.0
}
