//! A model split: as one, or each of its bodies by itself.

use design::{ModelReference, Settings};
use planner::KeepOut;
use printing::Printer;
use solid::Solid;

use crate::apart::{bodies_apart, split_apart};
use crate::clearances::with_own_clearances;
use crate::tried::{NoSplit, Split, split_as_one};

/// Plans a split and carries it out. The planner only guesses at joints from
/// sections. Where a contact turns out to get none, or only keys although the
/// bed has room for tails, or a piece with its joints does not fit or does not stand
/// while it is printed, other plans are carried out too: with seams that are not
/// staggered, with none where the faults were, with more room on the bed, with more
/// care for what pieces stand on. The one is taken that costs least by the maker's
/// [rates](design::Rates), its prints estimated from sections; a contact without a joint
/// counts as three quarters of a piece, and what stands only with help or falls as more
/// pieces. No seam goes through boxes that are `spared`. Bodies that stand apart are each
/// planned so, alike ones once, unless all are wished to be cut together. Where printers differ
/// in their clearance each seam has that of its own.
///
/// # Errors
///
/// When no plan has fitting pieces, or the kernel refuses the model.
///
/// ```
/// use design::{ModelReference, Settings};
/// use printing::{Printer, Standing};
/// use solid::{Point, Solid};
///
/// let plank = Solid::cuboid(Point::origin(), Point::new(300.0, 90.0, 18.0));
/// let printers = [Printer::rectangular("bed-1", 220.0, 220.0, 250.0)];
/// let (settings, model) = (Settings::default(), ModelReference::default());
/// let split = workshop::split(&plank, &printers, &settings, model, &[]).unwrap();
/// assert_eq!(split.build.pieces.len(), 2);
/// ```
pub fn split(
    model: &Solid,
    printers: &[Printer],
    settings: &Settings,
    reference: ModelReference,
    spared: &[KeepOut],
) -> Result<Split, NoSplit> {
    let apart = bodies_apart(model, settings);
    let Split {
        plan,
        build,
        certificate,
    } = match apart.is_empty() {
        true => split_as_one((model, true), printers, settings, reference, spared)?,
        false => split_apart((model, &apart), printers, settings, reference, spared)?,
    };
    let (plan, build) = with_own_clearances(model, plan, build)?;
    Ok(Split {
        plan,
        build,
        certificate,
    })
}
