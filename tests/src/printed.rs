//! What pieces take to print, and equal boxes laid the best of six ways beside them.

use design::Plan;
use planner::EqualBoxes;
use printing::{Asked, PrintProfile, Printer, Standing, Support, place_jointed, print_estimate};
use rayon::prelude::*;
use solid::{Frame, KernelError, Solid, Vector};
use workshop::Build;

/// What some pieces take to print.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Printed {
    /// How many there are.
    pub pieces: usize,
    /// How many of them stand only with help, or not at all.
    pub helped: usize,
    /// How many fall.
    pub falling: usize,
    /// Space under what hangs over.
    pub support_mm3: f64,
    /// Plastic without support.
    pub plastic_mm3: f64,
    /// Hours without support, and without what a plate takes.
    pub hours: f64,
    /// Hours that the support takes.
    pub support_hours: f64,
}

impl Printed {
    /// What pieces take that lie as they are printed.
    pub fn of(lying: &[Solid], how: &[Standing], profile: &PrintProfile) -> Self {
        let each: Vec<Self> = lying
            .par_iter()
            .map(|piece| {
                let support = Support::under(piece, profile);
                let estimate = print_estimate(piece, profile);
                let seconds = estimate.laying_s + profile.layer_s * estimate.layers as f64;
                Self {
                    support_mm3: support.space_mm3,
                    plastic_mm3: estimate.plastic_mm3,
                    hours: seconds / 3600.0,
                    support_hours: support.plastic_mm3(profile) / profile.flow_mm3_s / 3600.0,
                    ..Self::default()
                }
            })
            .collect();
        let count = |which| how.iter().filter(|h| **h == which).count();
        each.into_iter().fold(
            Self {
                pieces: lying.len(),
                helped: count(Standing::Helped),
                falling: count(Standing::Falls),
                ..Self::default()
            },
            |sum, one| Self {
                support_mm3: sum.support_mm3 + one.support_mm3,
                plastic_mm3: sum.plastic_mm3 + one.plastic_mm3,
                hours: sum.hours + one.hours,
                support_hours: sum.support_hours + one.support_hours,
                ..sum
            },
        )
    }

    /// What the pieces of a build take.
    pub fn of_build(build: &Build, plan: &Plan) -> Self {
        let placed = || {
            build
                .pieces
                .iter()
                .filter_map(|p| p.placement.as_ref().ok())
        };
        let lying: Vec<Solid> = build
            .pieces
            .par_iter()
            .map(|p| p.solid.moved(&p.onto_bed()))
            .collect();
        let how: Vec<Standing> = placed().map(|p| p.standing).collect();
        Self::of(&lying, &how, &plan.settings().print)
    }

    /// What equal boxes on a bed take, each laid on that of its six sides on which it
    /// needs least support, whether it stands there or not.
    ///
    /// # Errors
    ///
    /// When the kernel refuses the model.
    pub fn of_equal_boxes(
        model: &Solid,
        bed_mm: [f64; 3],
        profile: &PrintProfile,
    ) -> Result<Self, KernelError> {
        let boxes = EqualBoxes::on_bed(model, bed_mm, 0.0)?;
        let Some(bounds) = model.bounds() else {
            return Ok(Self::default());
        };
        let mut cells = vec![model.clone()];
        for axis in 0..3 {
            let size = bounds.size_mm()[axis] / boxes.along[axis] as f64;
            for k in 1..boxes.along[axis] {
                let plane = Frame::across_axis(axis, bounds.min[axis] + k as f64 * size);
                let cut: Vec<(Solid, Solid)> = cells
                    .par_iter()
                    .map(|cell| cell.cut(&plane))
                    .collect::<Result<_, _>>()?;
                cells = cut.into_iter().flat_map(|(a, b)| [a, b]).collect();
                cells.retain(|c| !c.is_empty());
            }
        }
        let bodies: Vec<Solid> = cells.iter().flat_map(Solid::bodies).collect();
        let bodies: Vec<Solid> = bodies
            .into_iter()
            .filter(|b| b.volume_mm3() > 1.0)
            .collect();
        let anywhere = Printer::rectangular("any", 9_000.0, 9_000.0, 9_000.0);
        let laid: Vec<(Solid, Standing)> = bodies
            .par_iter()
            .filter_map(|body| {
                let ways = [Vector::x(), Vector::y(), Vector::z()];
                let ways = ways.into_iter().flat_map(|d| [d, -d]);
                let placed = ways.filter_map(|up| {
                    let asked = Asked {
                        up: Some(up),
                        ..Asked::default()
                    };
                    place_jointed(body, &anywhere, profile, &asked).ok()
                });
                let best = placed.min_by(|a, b| a.support_mm3.total_cmp(&b.support_mm3))?;
                Some((body.moved(&best.onto_bed), best.standing))
            })
            .collect();
        let (lying, how): (Vec<Solid>, Vec<Standing>) = laid.into_iter().unzip();
        Ok(Self::of(&lying, &how, profile))
    }
}
