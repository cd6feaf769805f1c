//! Pieces that are there already, for a plan to go around.

use solid::{Bounds, Isometry, RayCaster, Solid, Vector, mostly_inside};

use crate::constraint::keep_out::KeepOut;
use crate::lattice::part::Part;
use design::{CutTree, PlanSeam};

/// What a plan has to go around: pieces that are there already, and the seams
/// that part them from the rest.
#[derive(Clone, Debug, Default)]
pub struct Fixed {
    /// The pieces, in place and without their joints.
    pub pieces: Vec<Solid>,
    /// Where they meet their neighbours.
    pub contacts: Vec<FixedContact>,
    /// Normals and places of the seams that there were: with these there is a
    /// plan, if not the best.
    pub places: Vec<([f64; 3], f64)>,
}

impl Fixed {
    /// The same with no seam across a joint either.
    ///
    /// ```
    /// assert!(planner::Fixed::default().whole_joints().contacts.is_empty());
    /// ```
    pub fn whole_joints(&self) -> Self {
        let mut out = self.clone();
        for joint in out.contacts.iter_mut().flat_map(|c| &mut c.joints) {
            joint.run = None;
        }
        out
    }
}

/// A contact of a piece that is there already.
#[derive(Clone, Debug, PartialEq)]
pub struct FixedContact {
    /// The normal of its seam.
    pub normal: [f64; 3],
    /// The seam's place along it.
    pub at_mm: f64,
    /// The box about the contact.
    pub bounds: Bounds,
    /// Boxes about its joints, through which no seam goes unless it goes across;
    /// apart where the seams that there were go through.
    pub joints: Vec<KeepOut>,
    /// How far those reach out of what lies below the seam, and out of what lies
    /// above it.
    pub reach_mm: [f64; 2],
    /// Contacts with the same number go together in the same move, and may lie
    /// on one seam.
    pub way: usize,
}

/// A kept contact in the coordinates of the model's own axes.
#[derive(Clone, Debug)]
pub(crate) struct Wall {
    pub(crate) axis: usize,
    pub(crate) at_mm: f64,
    pub(crate) bounds: Bounds,
    pub(crate) joints: Vec<KeepOut>,
    pub(crate) reach_mm: [f64; 2],
    pub(crate) way: usize,
}

impl Wall {
    /// Whether a part of space ends on the contact where none of its joints
    /// are: what fills the part has nothing there to hold on to.
    pub(crate) fn is_bare(&self, part: &Part) -> bool {
        let ends = [part.low[self.axis], part.high[self.axis]];
        ends.contains(&self.at_mm) && self.faces(&self.bounds, part) && !self.joins(part)
    }

    /// Whether what ends on the contact takes part in its joints.
    pub(crate) fn joins(&self, part: &Part) -> bool {
        self.joints.iter().any(|j| self.faces(&j.bounds, part))
    }

    /// Whether a box lies on a part, seen along the axis.
    fn faces(&self, b: &Bounds, part: &Part) -> bool {
        (0..3)
            .filter(|&k| k != self.axis)
            .all(|k| b.min[k] + LEAST_MM < part.high[k] && part.low[k] + LEAST_MM < b.max[k])
    }
}

/// Less than this in a direction is no contact.
const LEAST_MM: f64 = 1.0;

/// Slack for planes that are the same but for rounding.
const SAME_MM: f64 = 1e-6;

impl FixedContact {
    /// Where it lies once the model is turned; `None` where its seam is square
    /// to no axis then.
    pub(crate) fn wall(&self, turn: &Isometry) -> Option<Wall> {
        let (axis, at_mm) = along_axis(self.normal, self.at_mm, turn)?;
        Some(Wall {
            axis,
            at_mm,
            bounds: self.bounds.moved(turn),
            joints: self.joints.iter().map(|j| j.turned(turn)).collect(),
            reach_mm: self.reach_mm,
            way: self.way,
        })
    }

    /// Whether it lies on a seam of a tree.
    ///
    /// ```
    /// use design::{Draft, PlanSeam, PlannedSeam};
    /// use planner::FixedContact;
    /// use solid::{Bounds, Point};
    ///
    /// let seam = PlannedSeam::at([1.0, 0.0, 0.0], 150.0);
    /// let tree = Draft::cut(None, seam, Draft::uncut(), Draft::uncut());
    /// let contact = FixedContact {
    ///     normal: [1.0, 0.0, 0.0],
    ///     at_mm: 150.0,
    ///     bounds: Bounds::between(Point::new(150.0, 0.0, 0.0), Point::new(150.0, 40.0, 18.0)),
    ///     joints: Vec::new(),
    ///     reach_mm: [0.0, 0.0],
    ///     way: 0,
    /// };
    /// assert!(contact.lies_on(&tree, PlanSeam::at(0)));
    /// ```
    pub fn lies_on<N>(&self, tree: &CutTree<N>, seam: PlanSeam) -> bool {
        let plane = tree.seam(seam);
        let same = (Vector::from(self.normal) - Vector::from(plane.normal)).norm() < SAME_MM
            && (self.at_mm - plane.at_mm).abs() < SAME_MM;
        let centre = self.bounds.centre();
        let mut way = tree.way_up(tree.cuts(seam));
        same && way.all(|(ancestor, side)| tree.seam(ancestor).side_at(&centre) == side)
    }
}

/// The axis that a plane is square to once the model is turned, and its place.
pub(crate) fn along_axis(normal: [f64; 3], at_mm: f64, turn: &Isometry) -> Option<(usize, f64)> {
    let n = turn.rotation * Vector::from(normal);
    let axis = n.map(f64::abs).imax();
    (n[axis] > 1.0 - 1e-9).then(|| (axis, at_mm + turn.translation.vector[axis]))
}

/// Tells which piece that is there already a body belongs to.
pub(crate) struct Owners {
    pieces: Vec<(Bounds, RayCaster)>,
}

/// How deep under a body's surface it is asked where it lies: more than a
/// proxy mesh may be off.
const UNDER_MM: f64 = 0.4;

impl Owners {
    pub(crate) fn of(pieces: &[Solid]) -> Self {
        let known = |s: &Solid| Some((s.bounds()?.grown(2.0 * UNDER_MM), RayCaster::new(s)?));
        Self {
            pieces: pieces.iter().filter_map(known).collect(),
        }
    }

    /// The piece that most of a body lies in.
    pub(crate) fn owner(&self, body: &Solid) -> Option<usize> {
        let bounds = body.bounds()?;
        self.pieces.iter().position(|(around, inside)| {
            around.contains(&bounds.min, 0.0)
                && around.contains(&bounds.max, 0.0)
                && mostly_inside(body, inside, UNDER_MM)
        })
    }
}
