//! What a search may not do, along the model's axes.

use solid::{Isometry, Solid};

use crate::constraint::fixed::Fixed;
use crate::constraint::fixed::{Wall, along_axis};
use crate::constraint::keep_out::KeepOut;
use crate::lattice::place::{is_among, is_same_place};
use crate::lattice::shown::HiddenSides;
use design::Settings;

/// What a search may not do, in the coordinates of the model's own axes.
#[derive(Clone, Debug, Default)]
pub(crate) struct Constraints {
    /// Boxes through which no seam goes.
    pub(crate) keep_out: Vec<KeepOut>,
    /// Boxes about joints that are there already: seams keep a rim from them.
    pub(crate) joints: Vec<KeepOut>,
    /// That rim.
    pub(crate) rim_mm: f64,
    /// Pieces that are there already.
    pub(crate) fixed: Vec<Solid>,
    /// Where those meet their neighbours.
    pub(crate) walls: Vec<Wall>,
    /// Where there were seams, along each axis.
    pub(crate) earlier: [Vec<f64>; 3],
    /// Axes that no seam is square to.
    pub(crate) closed: [bool; 3],
    /// Places where a seam must be.
    pub(crate) forced: [Vec<f64>; 3],
    /// The longest side of a piece.
    pub(crate) largest_mm: Option<f64>,
    /// The most plastic that a piece may take, and the longest that it may print, if that
    /// can be.
    pub(crate) most_mm3: Option<f64>,
    pub(crate) longest_h: Option<f64>,
    /// Under this longest side a piece is a sliver.
    pub(crate) smallest_mm: f64,
    /// The sides that are hidden.
    pub(crate) hidden: HiddenSides,
}

/// A piece whose longest side is shorter is one to avoid.
const SMALLEST_MM: f64 = 40.0;

impl Constraints {
    /// The wishes of some settings, and further keep-outs.
    pub(crate) fn of(settings: &Settings, spared: &[KeepOut], turn: &Isometry) -> Self {
        let wishes = &settings.wishes;
        let (closed, forced) = wishes.on_axes(turn);
        let wished = wishes.boxes(turn).into_iter().map(KeepOut::from);
        let keep_out = wished
            .chain(spared.iter().map(|s| s.turned(turn)))
            .collect();
        let mut hidden = [[false; 2]; 3];
        for side in &settings.hide {
            let d = turn.rotation * side.direction();
            let axis = d.map(f64::abs).imax();
            hidden[axis][usize::from(d[axis] > 0.0)] = true;
        }
        Self {
            keep_out,
            joints: Vec::new(),
            rim_mm: 2.0 * settings.joints.min_wall_mm,
            fixed: Vec::new(),
            walls: Vec::new(),
            earlier: [Vec::new(), Vec::new(), Vec::new()],
            closed,
            forced,
            largest_mm: wishes.largest_mm,
            most_mm3: Some(1000.0 * wishes.most_plastic_g() / settings.material.density_g_cm3),
            longest_h: wishes.longest_print_h,
            smallest_mm: wishes.smallest_mm.unwrap_or(SMALLEST_MM),
            hidden,
        }
    }

    /// The same with pieces that are there already; `None` where one of their
    /// seams is square to no axis.
    pub(crate) fn around(mut self, around: &Fixed, turn: &Isometry) -> Option<Self> {
        for contact in &around.contacts {
            let wall = contact.wall(turn)?;
            self.joints.extend(wall.joints.iter().copied());
            self.earlier[wall.axis].push(wall.at_mm);
            self.walls.push(wall);
        }
        let earlier = around.places.iter();
        for (axis, at_mm) in earlier.filter_map(|&(n, at_mm)| along_axis(n, at_mm, turn)) {
            self.earlier[axis].push(at_mm);
        }
        self.fixed = around.pieces.iter().map(|p| p.moved(turn)).collect();
        Some(self)
    }

    /// How many seams must be, or were, along the axis that has most.
    pub(crate) fn most_forced(&self) -> usize {
        let along = self.forced.iter().zip(&self.earlier);
        let counts = along.map(|(forced, earlier)| {
            let mut places: Vec<f64> = forced.iter().chain(earlier).copied().collect();
            places.sort_by(f64::total_cmp);
            places.dedup();
            places.len()
        });
        counts.max().unwrap_or_default()
    }

    /// Where pieces that are there already end at a place.
    pub(crate) fn walls_at(&self, axis: usize, at_mm: f64) -> impl Iterator<Item = &Wall> {
        self.walls
            .iter()
            .filter(move |w| w.axis == axis && is_same_place(w.at_mm, at_mm))
    }

    /// Whether a cut at a place goes through a keep-out within a
    /// rectangle, given by its ends along the two axes after this one.
    pub(crate) fn spares(
        &self,
        axis: usize,
        at_mm: f64,
        [(u_low, u_high), (v_low, v_high)]: [(f64, f64); 2],
    ) -> bool {
        let (b, c) = ((axis + 1) % 3, (axis + 2) % 3);
        let meets = |s: &KeepOut| {
            let o = &s.bounds;
            s.stops(axis, at_mm)
                && o.min[b] < u_high
                && u_low < o.max[b]
                && o.min[c] < v_high
                && v_low < o.max[c]
        };
        // A seam that there was keeps its own distance from the joints.
        let rim_mm = if is_among(at_mm, &self.earlier[axis]) {
            0.0
        } else {
            self.rim_mm
        };
        self.keep_out.iter().any(meets) || self.joints.iter().any(|j| meets(&j.grown(rim_mm)))
    }

    fn boxes(&self) -> impl Iterator<Item = KeepOut> {
        let joints = self.joints.iter().map(|j| j.grown(self.rim_mm));
        self.keep_out.iter().copied().chain(joints)
    }

    /// The nearest places to one, below and above, that lie in no box; the
    /// place itself where it lies in none.
    pub(crate) fn beside_boxes(&self, axis: usize, at_mm: f64) -> Vec<f64> {
        let within = |x: f64| self.boxes().find(|b| b.stops(axis, x));
        if within(at_mm).is_none() {
            return vec![at_mm];
        }
        [false, true]
            .into_iter()
            .filter_map(|up| {
                let mut x = at_mm;
                // Each step leaves an end of one box for good.
                for _ in 0..=2 * (self.keep_out.len() + self.joints.len()) {
                    match within(x) {
                        None => return Some(x),
                        Some(b) => x = b.beside(axis, x, up),
                    }
                }
                None
            })
            .collect()
    }
}
