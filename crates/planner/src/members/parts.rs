//! Which part of a model holds what of its members.

use rayon::prelude::*;
use solid::{Bounds, Point, RayCaster, Solid};

use crate::members::found::Members;
use crate::members::member::Member;

/// About how many places in the box of a member are looked at, and the most along one side.
const PLACES: f64 = 600.0;
const MOST_ALONG: f64 = 60.0;
/// A part that holds a smaller share of a member is told to hold none: a joint reaches in.
const LEAST_SHARE: f64 = 0.04;

impl Members {
    /// Of each member, in their order, the parts of the model that hold some of it, by their
    /// places among `parts`, each with its share of what these hold, the largest first.
    /// Places spread evenly in a member's box are looked for in the parts, so that shares are
    /// good to a few hundredths, and what reaches into a member by its joints is left out.
    ///
    /// ```
    /// use planner::Members;
    /// use solid::{Point, Solid, Vector};
    ///
    /// let block = |a: f64, b: f64| {
    ///     Solid::cuboid(Point::new(a, 0.0, 0.0), Point::new(b, 90.0, 18.0))
    /// };
    /// let members = Members::of(&block(0.0, 400.0), &Vector::z()).unwrap();
    /// let (short, long) = (block(0.0, 100.0), block(100.0, 400.0));
    /// let held = members.held_by(&[&short, &long]);
    /// let [(part, share), (other, _)] = held[0][..] else { panic!() };
    /// assert_eq!((part, other), (1, 0));
    /// assert!((share - 0.75).abs() < 0.03);
    /// ```
    pub fn held_by(&self, parts: &[&Solid]) -> Vec<Vec<(usize, f64)>> {
        let seen = parts.par_iter().map(|part| {
            let bounds = part.bounds()?;
            Some((bounds, RayCaster::new(part)?))
        });
        let seen: Vec<Option<(Bounds, RayCaster)>> = seen.collect();
        let of_member = |member: &Member| {
            let mut counts = vec![0usize; parts.len()];
            for place in places(member) {
                let holds = |part: &Option<(Bounds, RayCaster)>| {
                    let part = part.as_ref();
                    part.is_some_and(|(b, rays)| b.contains(&place, 0.0) && rays.contains(&place))
                };
                if let Some(k) = seen.iter().position(holds) {
                    counts[k] += 1;
                }
            }
            shares(&counts)
        };
        self.members.par_iter().map(of_member).collect()
    }
}

/// The shares of those of which there are enough, of all of these, the largest first.
fn shares(counts: &[usize]) -> Vec<(usize, f64)> {
    let all: usize = counts.iter().sum();
    let least = LEAST_SHARE * all as f64;
    let each = counts.iter().copied().enumerate();
    let mut told: Vec<(usize, usize)> =
        each.filter(|(_, n)| *n > 0 && *n as f64 >= least).collect();
    told.sort_by_key(|&(k, n)| (std::cmp::Reverse(n), k));
    let sum = told.iter().map(|(_, n)| n).sum::<usize>() as f64;
    told.into_iter().map(|(k, n)| (k, n as f64 / sum)).collect()
}

/// Places spread evenly in a member's box.
fn places(member: &Member) -> impl Iterator<Item = Point> + '_ {
    let size = member.size_mm;
    let apart = (size.iter().product::<f64>() / PLACES).cbrt();
    let counts = size.map(|s| (s / apart).clamp(1.0, MOST_ALONG).round() as usize);
    let at = move |k: usize, axis: usize| {
        let middle = (k as f64 + 0.5) / counts[axis] as f64;
        (middle - 0.5) * size[axis]
    };
    let [l, w, t] = counts.map(|count| 0..count);
    l.flat_map(move |i| {
        let t = t.clone();
        w.clone()
            .flat_map(move |j| t.clone().map(move |k| (i, j, k)))
    })
    .map(move |(i, j, k)| member.frame.place(at(i, 0), at(j, 1), at(k, 2)))
}
