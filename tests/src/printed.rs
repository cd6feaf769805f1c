//! What pieces take to print, and equal boxes laid the best of six ways beside them.

use design::{Plan, Settings};
use planner::EqualBoxes;
use printing::{PrintBill, PrintProfile, Printer, Stance, Standing};
use rayon::prelude::*;
use solid::{KernelError, Solid};
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
    pub fn of(
        lying: &[Solid],
        how: &[Standing],
        printer: &Printer,
        profile: &PrintProfile,
    ) -> Self {
        let each: Vec<Self> = lying
            .par_iter()
            .map(|piece| {
                let stance = Stance::of(piece, printer, profile);
                let bill = PrintBill::of(piece, &stance, profile);
                let support_hours = profile.hours_of(bill.support_mm3);
                Self {
                    support_mm3: stance.support.space_mm3,
                    plastic_mm3: bill.plastic_mm3() - bill.support_mm3,
                    hours: bill.hours(profile) - support_hours,
                    support_hours,
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
        Self::of(&lying, &how, &plan.printers()[0], &plan.settings().print)
    }

    /// What equal boxes on a bed take, each laid the best of the six ways, of those in
    /// which it fits, whether it stands there or not.
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
        let laid = boxes.laid_down(model, &[bed_mm], profile)?;
        let support_hours = profile.hours_of(laid.support_mm3);
        Ok(Self {
            pieces: boxes.pieces,
            helped: laid.helped,
            falling: laid.falling,
            support_mm3: laid.space_mm3,
            plastic_mm3: laid.plastic_mm3 - laid.support_mm3,
            hours: laid.hours - support_hours,
            support_hours,
        })
    }

    /// What they cost by some rates: pieces, hours and plastic.
    pub fn cost_min(&self, settings: &Settings) -> f64 {
        let (rates, material) = (&settings.rates, &settings.material);
        let plastic = self.plastic_mm3 + settings.print.support_share * self.support_mm3;
        rates.piece_min * self.pieces as f64
            + rates.print_hour_min * (self.hours + self.support_hours)
            + rates.gram_min * material.grams(plastic)
    }
}
