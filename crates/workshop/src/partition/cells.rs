//! The model parted along the cut tree.

use std::cmp::Reverse;
use std::ops::Range;
use std::sync::{Mutex, PoisonError};

use design::{
    BodyApart, CellSpans, Parting as Parts, Plan, PlanSeam, PlannedSeam, Region, SeamSide, Terms,
};
use geo::BooleanOps;
use solid::{Bounds, Frame, KernelError, Outline, Solid};

pub use crate::partition::wall::Wall;

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
/// So many triangles are no burden.
const FEW_TRIANGLES: usize = 400;
/// Corners no further from a flat face lie in it.
const FLAT_MM: f64 = 1e-9;
/// A body of less, or one that is thinner, is none.
const NOTHING_MM3: f64 = 1e-3;
const SHEET_MM: f64 = 1e-3;

/// A body that stands apart from others, in the cut tree.
#[derive(Clone, Debug)]
pub struct BodyCells {
    /// What the plan says of it.
    pub planned: PlanSeam,
    /// Its cells, by their places.
    pub own: Range<usize>,
    /// Those of what it comes to.
    pub others: Range<usize>,
}

/// The cells and seams of a plan, both in the order of the tree.
#[derive(Clone, Debug)]
pub struct Parted {
    /// Leaves.
    pub cells: Vec<Cell>,
    /// Inner nodes, each before those that hang from it.
    pub seams: Vec<SeamPlane>,
    /// Bodies apart, the last to come home first.
    pub bodies: Vec<BodyCells>,
}

/// Parts a model along the cut tree of a plan.
///
/// # Errors
///
/// When the boolean kernel refuses the model. A body of the plan that the model has not is no
/// error here: its cells are empty.
pub fn part(model: &Solid, plan: &Plan) -> Result<Parted, KernelError> {
    let Some(bounds) = model.bounds() else {
        return Ok(Parted {
            cells: Vec::new(),
            seams: Vec::new(),
            bodies: Vec::new(),
        });
    };
    let rim = bounds.grown(RIM_MM);
    let branch = Branch {
        region: Region::Whole,
        model: model.clone(),
        content: model.clone(),
        space: Solid::cuboid(rim.min, rim.max),
    };
    let parting = Parting {
        plan,
        spans: plan.tree().spans(),
        most_triangles: 2 * model.triangles().len() + FEW_TRIANGLES,
        parts: Mutex::new(Vec::new()),
    };
    rayon::scope(|scope| parting.begin(branch, scope));
    parting.ended()
}

/// A model on its way down a cut tree. Each branch is a task of its own that
/// leaves its two sides as further tasks, so that a tree as deep as it is long
/// takes no more stack than another.
struct Parting<'a> {
    plan: &'a Plan,
    spans: CellSpans,
    /// Each cut parts the triangles of flat faces further: what has more than this
    /// is simplified.
    most_triangles: usize,
    /// What is done, in no order.
    parts: Mutex<Vec<(Place, Result<Part, KernelError>)>>,
}

/// Where a part stands in the order of the tree: by its first leaf, and of those
/// that begin with the same the larger first.
type Place = (usize, Reverse<usize>);

/// What becomes of a branch.
enum Part {
    Leaf(Cell),
    Node(Box<SeamPlane>),
    Body(BodyCells),
}

/// A part of space that is still to be parted.
struct Branch {
    region: Region,
    /// What the model has there, and as far beyond as joints reach.
    model: Solid,
    /// What the model has there.
    content: Solid,
    /// The region that it takes.
    space: Solid,
}

impl Parting<'_> {
    /// Parts a branch, and leaves what hangs from it to the scope.
    fn begin<'s>(&'s self, branch: Branch, scope: &rayon::Scope<'s>) {
        let span = self.spans.of(branch.region);
        let tree = self.plan.tree();
        let made = match tree.cut_by(branch.region).map(|k| (k, tree.parting(k))) {
            None => Ok((Part::Leaf(self.leaf(&branch)), Vec::new())),
            Some((seam, Parts::Seam(planned))) => {
                let made = self.node(&branch, seam, planned);
                made.map(|(node, sides)| (Part::Node(Box::new(node)), sides.into()))
            }
            Some((k, Parts::Body(body))) => {
                let (body, sides) = self.body(&branch, k, body);
                Ok((Part::Body(body), sides.into()))
            }
        };
        let part = made.map(|(part, sides): (Part, Vec<Branch>)| {
            for side in sides {
                scope.spawn(|scope| self.begin(side, scope));
            }
            part
        });
        let mut parts = self.parts.lock().unwrap_or_else(PoisonError::into_inner);
        parts.push(((span.start, Reverse(span.end)), part));
    }

    /// All parts in the order of the tree, or its first error.
    fn ended(self) -> Result<Parted, KernelError> {
        let mut parts = self
            .parts
            .into_inner()
            .unwrap_or_else(PoisonError::into_inner);
        parts.sort_by_key(|(place, _)| *place);
        let (mut cells, mut seams, mut bodies) = (Vec::new(), Vec::new(), Vec::new());
        for (_, part) in parts {
            match part? {
                Part::Leaf(cell) => cells.push(cell),
                Part::Node(seam) => seams.push(*seam),
                Part::Body(body) => bodies.push(body),
            }
        }
        Ok(Parted {
            cells,
            seams,
            bodies,
        })
    }

    /// A body apart and the rest, each in all of the space.
    fn body(&self, branch: &Branch, k: PlanSeam, body: &BodyApart) -> (BodyCells, [Branch; 2]) {
        let sides = SeamSide::BOTH.map(|side| Branch {
            region: Region::Side(k, side),
            model: body.side_of(&branch.model, side),
            content: body.side_of(&branch.content, side),
            space: branch.space.clone(),
        });
        let [own, others] = SeamSide::BOTH.map(|side| self.spans.of(Region::Side(k, side)));
        let here = BodyCells {
            planned: k,
            own,
            others,
        };
        (here, sides)
    }

    fn leaf(&self, branch: &Branch) -> Cell {
        let tree = self.plan.tree();
        let way = tree.way_up(branch.region);
        let mut walls: Vec<Wall> = way
            .filter_map(|(k, side)| match tree.parting(k) {
                Parts::Seam(planned) => Some(Wall::of(k, planned, side)),
                Parts::Body(_) => None,
            })
            .collect();
        walls.reverse();
        Cell {
            region: branch.space.clone(),
            walls,
            surroundings: branch.model.clone(),
            bodies: in_order(branch.content.bodies()),
        }
    }

    fn node(
        &self,
        branch: &Branch,
        seam: PlanSeam,
        planned: &PlannedSeam,
    ) -> Result<(SeamPlane, [Branch; 2]), KernelError> {
        let Branch {
            model,
            content,
            space,
            ..
        } = branch;
        let frame = planned.frame();
        let Depths {
            reach,
            halfway,
            far,
        } = self.depths(seam);
        let within = planned.within();
        let [space_below, space_above] = halves(planned, space)?;
        let [content_below, content_above] = halves(planned, content)?;
        let zone = match within {
            None => space.clone(),
            Some(b) => space.intersection(&Solid::cuboid(b.min, b.max))?,
        };
        let sections = sections(model, &zone, &frame, [halfway, far]);
        let lower = frame.raised(-reach);
        let upper = frame.raised(reach).flipped();
        // Above a seam that does not go right through lies all around it.
        let model_above = || match within {
            None => model.trimmed(&lower),
            Some(_) => Ok(model.clone()),
        };
        let (model_below, model_above) = rayon::join(|| model.trimmed(&upper), model_above);
        let [low, high] = SeamSide::BOTH.map(|side| Region::Side(seam, side));
        let here = SeamPlane {
            planned: seam,
            frame,
            below: self.spans.of(low),
            above: self.spans.of(high),
            sections,
        };
        let side = |region, model, content, space| -> Result<Branch, KernelError> {
            Ok(Branch {
                region,
                model: self.tidied(model)?,
                content: self.tidied(content)?,
                space: self.tidied(space)?,
            })
        };
        let sides = [
            side(low, model_below?, content_below, space_below)?,
            side(high, model_above?, content_above, space_above)?,
        ];
        Ok((here, sides))
    }

    /// A solid without the corners that many cuts left in its flat faces.
    fn tidied(&self, solid: Solid) -> Result<Solid, KernelError> {
        match solid.triangles().len() > self.most_triangles {
            true => solid.simplified(FLAT_MM),
            false => Ok(solid),
        }
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
}

/// What of a solid lies below and above a seam.
fn halves(planned: &PlannedSeam, solid: &Solid) -> Result<[Solid; 2], KernelError> {
    if planned.within_mm.is_none() {
        let (above, below) = solid.cut(&planned.frame())?;
        return Ok([below, above]);
    }
    Ok([
        planned.side_of(solid, SeamSide::Below)?,
        planned.side_of(solid, SeamSide::Above)?,
    ])
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
    bodies.retain(|b| b.volume_mm3() > NOTHING_MM3.max(SHEET_MM * b.area_mm2() / 2.0));
    bodies.sort_by_key(|b| {
        b.bounds().map_or([0; 3], |Bounds { min, .. }| {
            [min.z, min.y, min.x].map(|x| (x * 1e3).round() as i64)
        })
    });
    bodies
}
