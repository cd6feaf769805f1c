//! Which printer makes which piece.

use design::{Plan, PrinterId};
use printing::{Asked, DoesNotFit, Placement, place_jointed};
use rayon::prelude::*;
use solid::Solid;

use crate::assembly::congruent::Congruent;

/// A printer, and how something lies on it.
pub(crate) type Laid = (PrinterId, Result<Placement, DoesNotFit>);

/// Gives every shape to a printer that it fits, so that all printers are done
/// at about the same time: the shape that takes longest first, each to the
/// printer on which it is done soonest (Graham 1969, *Bounds on multiprocessing
/// timing anomalies*: at most a third over the best where all fit all). Congruents
/// go with the first of their shape, and have an entry that says nothing.
pub(crate) fn on_printers(
    solids: &[Solid],
    congruent: &[Option<Congruent>],
    asked: &[Asked],
    plan: &Plan,
) -> Vec<Laid> {
    let nowhere = || {
        (
            PrinterId::at(0),
            Err(DoesNotFit {
                excess_mm: f64::INFINITY,
            }),
        )
    };
    let ways: Vec<Vec<Laid>> = solids
        .par_iter()
        .zip(congruent)
        .zip(asked)
        .map(|((solid, first), asked)| {
            if first.is_some() {
                return Vec::new();
            }
            let printers = plan.printer_ids();
            printers
                .map(|k| {
                    (
                        k,
                        place_jointed(solid, plan.printer(k), plan.profile(k), asked),
                    )
                })
                .collect()
        })
        .collect();
    let hours = |k: usize, (printer, placed): &Laid| {
        let height = placed.as_ref().map_or(0.0, |p| p.size_mm[2]);
        let alike = congruent
            .iter()
            .filter(|t| t.is_some_and(|t| t.of == k))
            .count();
        let profile = plan.profile(*printer);
        let one = profile.rough_hours(solids[k].area_mm2(), solids[k].volume_mm3(), height);
        (1 + alike) as f64 * one
    };
    let mut order: Vec<(f64, usize)> = (0..solids.len())
        .filter_map(|k| Some((hours(k, ways[k].iter().find(|w| w.1.is_ok())?), k)))
        .collect();
    order.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    let mut done_at = vec![0.0; plan.printers().len()];
    let mut out: Vec<Laid> = (0..solids.len())
        .map(|k| ways[k].first().cloned().unwrap_or_else(nowhere))
        .collect();
    for (_, k) in order {
        let fitting = ways[k].iter().filter(|w| w.1.is_ok());
        let soonest = fitting
            .map(|way| (done_at[way.0.place()] + hours(k, way), way))
            .min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.0.cmp(&b.1.0)));
        if let Some((until, way)) = soonest {
            done_at[way.0.place()] = until;
            out[k] = way.clone();
        }
    }
    out
}
