//! The model parted along the cut tree.

use geo::BooleanOps;
use planner::{Node, Plan, Terms};
use solid::{Bounds, Frame, KernelError, Outline, Solid};

/// One leaf of the cut tree.
#[derive(Clone, Debug)]
pub struct Cell {
    /// The region it takes of space: the model's box and a rim, cut by the planes
    /// above it.
    pub region: Solid,
    /// The planes that bound it.
    pub walls: Vec<Wall>,
    /// The model in that region and a little beyond, as far as joints reach.
    pub surroundings: Solid,
    /// The model's bodies in that region, without joints.
    pub bodies: Vec<Solid>,
}

/// A plane that bounds a cell.
#[derive(Clone, Copy, Debug)]
pub struct Wall {
    /// The seam that it belongs to, by index in the plan.
    pub seam: usize,
    /// The plane, its normal into the cell.
    pub inward: Frame,
    /// The box within which it bounds the cell, where the seam does not go right
    /// through and the cell lies above it.
    pub within: Option<Bounds>,
}

impl Wall {
    /// What the wall keeps the cell out of, where that is not all behind its
    /// plane: the part of its box behind the plane.
    pub(crate) fn beyond(&self) -> Result<Option<Solid>, KernelError> {
        let Some(within) = self.within else {
            return Ok(None);
        };
        let solid = Solid::cuboid(within.min, within.max);
        solid.trimmed(&self.inward.flipped()).map(Some)
    }
}

/// One inner node of the cut tree.
#[derive(Clone, Debug)]
pub struct SeamPlane {
    /// Index in the plan's seams.
    pub index: usize,
    /// Its plane; `n` points to what lies above.
    pub frame: Frame,
    /// Cells below it.
    pub below: std::ops::Range<usize>,
    /// Cells above it.
    pub above: std::ops::Range<usize>,
    /// Sections of the model beside the plane, within the region that the
    /// seam cuts, from far below to far above.
    pub sections: Sections,
}

/// Sections at a few heights about a seam, in its frame's `(u, v)`.
#[derive(Clone, Debug)]
pub struct Sections {
    /// Just below, halfway into and beyond the reach of a tail below the seam.
    pub below: [Outline; 3],
    /// The same above.
    pub above: [Outline; 3],
}

/// Free rim of the regions about the model, so that joints may overrun it.
pub(crate) const RIM_MM: f64 = 25.0;
/// Next to the seam.
const BESIDE_MM: f64 = 0.02;

/// The cells and seams of a plan, both in the order of the tree.
#[derive(Clone, Debug)]
pub struct Parted {
    /// Leaves.
    pub cells: Vec<Cell>,
    /// Inner nodes, each before those that hang from it.
    pub seams: Vec<SeamPlane>,
}

/// Parts a model along the cut tree of a plan.
///
/// # Errors
///
/// When the boolean kernel refuses the model.
pub fn part(model: &Solid, plan: &Plan, tree: &Node) -> Result<Parted, KernelError> {
    let Some(bounds) = model.bounds() else {
        return Ok(Parted {
            cells: Vec::new(),
            seams: Vec::new(),
        });
    };
    let rim = bounds.grown(RIM_MM);
    let region = Solid::cuboid(rim.min, rim.max);
    Branch {
        plan,
        first_cell: 0,
        walls: Vec::new(),
    }
    .part(tree, model, &region)
}

struct Branch<'a> {
    plan: &'a Plan,
    first_cell: usize,
    walls: Vec<Wall>,
}

impl Branch<'_> {
    fn part(&self, node: &Node, model: &Solid, region: &Solid) -> Result<Parted, KernelError> {
        let Node::Seam {
            index,
            above,
            below,
        } = node
        else {
            let content = model.intersection(region)?;
            let cell = Cell {
                region: region.clone(),
                walls: self.walls.clone(),
                surroundings: model.clone(),
                bodies: in_order(content.bodies()),
            };
            return Ok(Parted {
                cells: vec![cell],
                seams: Vec::new(),
            });
        };
        let frame = self.plan.seams[*index].frame();
        let terms = self.plan.seams[*index].all_terms(&self.plan.settings);
        let most = |f: &dyn Fn(&Terms) -> f64| terms.iter().map(f).fold(0.0, f64::max);
        let behind = |t: &Terms| t.rules.crest_relief_mm + t.rules.min_wall_mm;
        let reach = most(&|t| t.rules.reach_mm() + behind(t)) + 1.0;
        let depths = [
            most(&|t| t.rules.tail_depth_mm / 2.0),
            most(&|t| t.rules.reach_of_any_mm(t.choice.kinds()).0 + behind(t)),
        ];
        let planned = &self.plan.seams[*index];
        let within = planned.within();
        let (region_above, region_below, zone) = match within {
            None => {
                let (above, below) = region.cut(&frame)?;
                (above, below, region.clone())
            }
            Some(b) => (
                planned.side_of(region, true)?,
                planned.side_of(region, false)?,
                region.intersection(&Solid::cuboid(b.min, b.max))?,
            ),
        };
        let sections = sections(model, &zone, &frame, depths);
        let lower = frame.raised(-reach);
        let upper = frame.raised(reach).flipped();
        let halfway = self.first_cell + below.cells();
        let side = |first_cell: usize, inward: Frame, within: Option<Bounds>| {
            let mut walls = self.walls.clone();
            walls.push(Wall {
                seam: *index,
                inward,
                within,
            });
            Branch {
                plan: self.plan,
                first_cell,
                walls,
            }
        };
        let low = side(self.first_cell, frame.flipped(), None);
        let high = side(halfway, frame, within);
        // Above a seam that does not go right through lies all around it.
        let model_above = || match within {
            None => model.trimmed(&lower),
            Some(_) => Ok(model.clone()),
        };
        let (from_below, from_above) = rayon::join(
            || low.part(below, &model.trimmed(&upper)?, &region_below),
            || high.part(above, &model_above()?, &region_above),
        );
        let (from_below, from_above) = (from_below?, from_above?);
        let here = SeamPlane {
            index: *index,
            frame,
            below: self.first_cell..halfway,
            above: halfway..halfway + above.cells(),
            sections,
        };
        Ok(Parted {
            cells: [from_below.cells, from_above.cells].concat(),
            seams: std::iter::once(here)
                .chain(from_below.seams)
                .chain(from_above.seams)
                .collect(),
        })
    }
}

fn sections(model: &Solid, region: &Solid, frame: &Frame, [halfway, far]: [f64; 2]) -> Sections {
    let allowed = region.section(frame);
    let at = |h: f64| model.section(&frame.raised(h)).intersection(&allowed);
    Sections {
        below: [-BESIDE_MM, -halfway, -far].map(at),
        above: [BESIDE_MM, halfway, far].map(at),
    }
}

/// Bodies sorted by place, so that their order does not hang on triangles.
fn in_order(mut bodies: Vec<Solid>) -> Vec<Solid> {
    // Dust left by a plane that grazes a face is no body.
    bodies.retain(|b| b.volume_mm3() > 1e-3);
    bodies.sort_by_key(|b| {
        b.bounds().map_or([0; 3], |Bounds { min, .. }| {
            [min.z, min.y, min.x].map(|x| (x * 1e3).round() as i64)
        })
    });
    bodies
}
