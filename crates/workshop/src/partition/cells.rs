//! The model parted along the cut tree.

use geo::BooleanOps;
use std::ops::Range;

use design::{CellSpans, Plan, PlanSeam, Region, SeamSide, Terms};
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
    /// The seam that it belongs to.
    pub seam: PlanSeam,
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
    /// The seam of the plan.
    pub planned: PlanSeam,
    /// Its plane; `n` points to what lies above.
    pub frame: Frame,
    /// Cells below it, by their places.
    pub below: Range<usize>,
    /// Cells above it, by their places.
    pub above: Range<usize>,
    /// Sections of the model beside the plane, within the region that the
    /// seam cuts, from far below to far above.
    pub sections: Sections,
}

impl SeamPlane {
    /// The cells on one side.
    pub fn cells(&self, side: SeamSide) -> &Range<usize> {
        match side {
            SeamSide::Below => &self.below,
            SeamSide::Above => &self.above,
        }
    }

    /// The side on which a cell lies, if it lies on either.
    pub fn side_of(&self, cell: usize) -> Option<SeamSide> {
        SeamSide::BOTH
            .into_iter()
            .find(|side| self.cells(*side).contains(&cell))
    }
}

/// Sections at a few heights about a seam, in its frame's `(u, v)`.
#[derive(Clone, Debug)]
pub struct Sections {
    /// Just below, halfway into and beyond the reach of a tail below the seam.
    pub below: [Outline; 3],
    /// The same above.
    pub above: [Outline; 3],
}

impl Sections {
    /// Those on one side.
    pub fn on(&self, side: SeamSide) -> &[Outline; 3] {
        match side {
            SeamSide::Below => &self.below,
            SeamSide::Above => &self.above,
        }
    }
}

/// Free rim of the regions about the model, so that joints may overrun it.
pub const RIM_MM: f64 = 25.0;
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
pub fn part(model: &Solid, plan: &Plan) -> Result<Parted, KernelError> {
    let Some(bounds) = model.bounds() else {
        return Ok(Parted {
            cells: Vec::new(),
            seams: Vec::new(),
        });
    };
    let rim = bounds.grown(RIM_MM);
    let space = Solid::cuboid(rim.min, rim.max);
    Branch {
        plan,
        spans: &plan.tree().spans(),
        region: Region::Whole,
        walls: Vec::new(),
    }
    .part(model, &space)
}

/// A part of space that is still to be parted.
struct Branch<'a> {
    plan: &'a Plan,
    spans: &'a CellSpans,
    region: Region,
    walls: Vec<Wall>,
}

impl Branch<'_> {
    /// The branch parted; `model` is what the model has there and as far beyond
    /// as joints reach, `space` the region that it takes.
    fn part(&self, model: &Solid, space: &Solid) -> Result<Parted, KernelError> {
        let Some(seam) = self.plan.tree().cut_by(self.region) else {
            let content = model.intersection(space)?;
            let cell = Cell {
                region: space.clone(),
                walls: self.walls.clone(),
                surroundings: model.clone(),
                bodies: in_order(content.bodies()),
            };
            return Ok(Parted {
                cells: vec![cell],
                seams: Vec::new(),
            });
        };
        let planned = self.plan.tree().seam(seam);
        let frame = planned.frame();
        let Depths {
            reach,
            halfway,
            far,
        } = self.depths(seam);
        let within = planned.within();
        let (space_above, space_below, zone) = match within {
            None => {
                let (above, below) = space.cut(&frame)?;
                (above, below, space.clone())
            }
            Some(b) => (
                planned.side_of(space, SeamSide::Above)?,
                planned.side_of(space, SeamSide::Below)?,
                space.intersection(&Solid::cuboid(b.min, b.max))?,
            ),
        };
        let sections = sections(model, &zone, &frame, [halfway, far]);
        let low = self.side(seam, SeamSide::Below, frame.flipped(), None);
        let high = self.side(seam, SeamSide::Above, frame, within);
        let lower = frame.raised(-reach);
        let upper = frame.raised(reach).flipped();
        // Above a seam that does not go right through lies all around it.
        let model_above = || match within {
            None => model.trimmed(&lower),
            Some(_) => Ok(model.clone()),
        };
        let (from_below, from_above) = rayon::join(
            || low.part(&model.trimmed(&upper)?, &space_below),
            || high.part(&model_above()?, &space_above),
        );
        let (from_below, from_above) = (from_below?, from_above?);
        let here = SeamPlane {
            planned: seam,
            frame,
            below: self.spans.of(low.region),
            above: self.spans.of(high.region),
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

    /// How far beside a seam the model is looked at.
    fn depths(&self, seam: PlanSeam) -> Depths {
        let terms: Vec<&Terms> = self.plan.terms(seam).all().collect();
        let most = |f: &dyn Fn(&Terms) -> f64| terms.iter().map(|t| f(t)).fold(0.0, f64::max);
        let behind = |t: &Terms| t.rules.crest_relief_mm + t.rules.min_wall_mm;
        Depths {
            reach: most(&|t| t.rules.reach_mm() + behind(t)) + 1.0,
            halfway: most(&|t| t.rules.tail_depth_mm / 2.0),
            far: most(&|t| t.rules.reach_of_any_mm(t.choice.kinds()).0 + behind(t)),
        }
    }

    /// The branch on one side of a seam.
    fn side(&self, seam: PlanSeam, side: SeamSide, inward: Frame, within: Option<Bounds>) -> Self {
        let mut walls = self.walls.clone();
        walls.push(Wall {
            seam,
            inward,
            within,
        });
        Self {
            plan: self.plan,
            spans: self.spans,
            region: Region::Side(seam, side),
            walls,
        }
    }
}

/// How far beside a seam the model is looked at.
struct Depths {
    /// As far as any joint reaches, and a wall.
    reach: f64,
    /// Halfway into a tail.
    halfway: f64,
    /// Beyond the crest of a tail.
    far: f64,
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
