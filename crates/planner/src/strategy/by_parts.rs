//! A model of so many beds that no lattice over all of it has room for the
//! places that it needs: it is cut into parts of a few beds first, as if printers
//! were so much larger, and then each part on its own lattice.

use solid::{Bounds, KernelError};

use crate::candidates::axis_sections::AxisSections;
use crate::candidates::places::Candidates;
use crate::cost::piece_cost::MISFIT;
use crate::strategy::branches::Branching;
use crate::strategy::coarse_to_fine::{RANGES, Sections, Sought, SquareCuts};
use design::Emphasis;
use printing::{Bed, Printer};

/// How many beds parts are large along each side: what is tried, one after the
/// other.
const BEDS: [usize; 4] = [2, 3, 4, 6];

impl Sought<'_> {
    /// The best plan by parts; `None` where none has fitting pieces.
    pub(crate) fn by_parts(
        &self,
        along: &Sections,
        bounds: Bounds,
    ) -> Result<Option<SquareCuts>, KernelError> {
        for beds in BEDS {
            let Some(rough) = self.in_parts_of(beds, bounds)? else {
                continue;
            };
            let mut branching = Branching::new(self, along, bounds);
            let tree = branching.each_part(rough.solution, self.model)?;
            if tree.cost() < MISFIT {
                return Ok(Some(SquareCuts {
                    solution: tree,
                    fewest: branching.fewest,
                    places: rough.places + branching.places,
                    beds_a_part: beds,
                    ..rough
                }));
            }
        }
        Ok(None)
    }

    /// Cut into parts that would fit printers so many times as large. How a part
    /// would lie on those means nothing.
    fn in_parts_of(&self, beds: usize, bounds: Bounds) -> Result<Option<SquareCuts>, KernelError> {
        let printers: Vec<Printer> = self
            .printers
            .iter()
            .map(|p| several(p, beds as f64, self.reach_mm.0 + self.reach_mm.1))
            .collect();
        let sought = Sought {
            printers: &printers,
            prices: Emphasis::RoughParts.on(self.prices),
            ..*self
        };
        let ranked = [0, 1, 2].map(|axis| {
            let sections = AxisSections::along(
                axis,
                (self.model, &bounds),
                &printers,
                self.rules,
                (self.reach_mm, self.keys),
                self.constraints,
            );
            sections.map_or_else(Vec::new, |s| Candidates::whole(&s).coarse())
        });
        let rough = sought.thinned(&ranked, bounds, RANGES)?;
        Ok(Some(rough).filter(|r| r.solution.cost() < MISFIT))
    }
}

/// A printer that builds what several pieces side by side do, with their joints.
fn several(printer: &Printer, beds: f64, joints_mm: f64) -> Printer {
    let rim = 2.0 * printer.margin_mm;
    let side = |mm: f64| (mm - rim) * beds - joints_mm * (beds - 1.0) + rim;
    Printer {
        bed: match printer.bed {
            Bed::Rectangle { width_mm, depth_mm } => Bed::Rectangle {
                width_mm: side(width_mm),
                depth_mm: side(depth_mm),
            },
            Bed::Round { diameter_mm } => Bed::Round {
                diameter_mm: side(diameter_mm),
            },
        },
        height_mm: printer.height_mm * beds - joints_mm * (beds - 1.0),
        ..printer.clone()
    }
}
