//! The clearance of each seam, where printers differ in theirs.

use design::{Plan, PrinterId};
use printing::Printer;
use solid::Solid;

use crate::build::{Build, build};
use crate::build_error::BuildError;
use crate::layout::seam::Seam;
use crate::measure::measured;

const NAME: &str = "clearance_mm";
/// Clearances that differ by less are one.
const SAME_MM: f64 = 1e-6;

/// A plan whose printers need different clearances, with each seam's as wide as the printers
/// need on which what meets there is printed, and the reason in words; and what comes of it.
/// Which piece goes to which printer is known only once a plan is carried out: it is carried
/// out again, and where that fares worse or other printers print its pieces, all seams keep
/// the widest clearance.
///
/// # Errors
///
/// As [`build()`].
pub(crate) fn with_own_clearances(
    model: &Solid,
    plan: Plan,
    made: Build,
) -> Result<(Plan, Build), BuildError> {
    let general = plan.settings().joints.clearance_mm;
    let needs = |p: &Printer| p.clearance_mm.unwrap_or(general);
    let widest = plan.printers().iter().map(needs).fold(0.0, f64::max);
    let tighter = |p: &Printer| needs(p) < widest - SAME_MM;
    if !plan.printers().iter().any(tighter) {
        return Ok((plan, made));
    }
    let mut tree = plan.tree().clone();
    for seam in made.seams.iter().filter(|s| !s.contacts.is_empty()) {
        let printers = printers_of(seam, &made);
        let by_need = printers.iter().max_by(|a, b| {
            let [a, b] = [a, b].map(|id| needs(plan.printer(**id)));
            a.total_cmp(&b)
        });
        let Some(printer) = by_need.map(|id| plan.printer(*id)) else {
            continue;
        };
        let gap = needs(printer);
        let why = match printers.len() {
            1 => "which prints all that meets here".to_owned(),
            count => format!("the widest of the {count} printers of what meets here"),
        };
        let planned = tree.seam_mut(seam.planned);
        planned.reason = format!(
            "{}{}clearance {gap} mm a flank for {}, {why}",
            planned.reason,
            if planned.reason.is_empty() { "" } else { "; " },
            printer.name
        );
        if (gap - general).abs() > SAME_MM {
            planned.joints = planned.joints.clone().and(NAME, gap);
        }
    }
    let own = plan
        .remade(plan.printers().to_vec(), tree)?
        .found_by(plan.found().cloned());
    let again = build(model, &own)?;
    let printed_by = |b: &Build| -> Vec<PrinterId> { b.pieces.iter().map(|p| p.printer).collect() };
    let faults = |b: &Build| {
        let measures = measured(b, |_| false);
        (measures.misfits, measures.plain)
    };
    let holds = printed_by(&again) == printed_by(&made) && faults(&again) <= faults(&made);
    Ok(if holds { (own, again) } else { (plan, made) })
}

/// The printers of what meets at a seam, keys among it.
fn printers_of(seam: &Seam, made: &Build) -> Vec<PrinterId> {
    let contacts = seam.contacts.iter();
    let pieces = contacts.flat_map(|c| c.contact.pieces.iter().chain(c.keys()));
    let mut printers: Vec<PrinterId> = pieces.map(|&k| made.pieces[k].printer).collect();
    printers.sort_unstable();
    printers.dedup();
    printers
}

#[cfg(test)]
mod tests {
    use design::{ModelReference, Settings};
    use solid::Point;

    use super::*;
    use crate::split::split;
    use crate::tried::Split;

    /// A plank too long for both printers, the second of which is looser.
    fn clearances(sizes: [(f64, f64); 2]) -> (f64, Vec<(f64, String)>) {
        let plank = Solid::cuboid(Point::origin(), Point::new(500.0, 60.0, 18.0));
        let printers = sizes.map(|(size, clearance_mm)| Printer {
            clearance_mm: Some(clearance_mm),
            ..Printer::rectangular(&format!("bed-{size}"), size, size, 100.0)
        });
        let mut settings = Settings::default();
        settings.joints.clearance_mm = 0.2;
        let Split { plan, build, .. } =
            split(&plank, &printers, &settings, ModelReference::default(), &[]).unwrap();
        let each = build.seams.iter().map(|s| {
            let gap = plan.terms(s.planned).common().rules.clearance_mm;
            (gap, plan.tree().seam(s.planned).reason.clone())
        });
        (plan.settings().joints.clearance_mm, each.collect())
    }

    #[test]
    fn a_seam_whose_pieces_one_printer_prints_has_its_clearance() {
        let (general, seams) = clearances([(300.0, 0.05), (60.0, 0.2)]);
        assert_eq!(general, 0.2);
        assert!(!seams.is_empty());
        for (gap, why) in seams {
            assert_eq!(gap, 0.05);
            assert!(
                why.contains("clearance 0.05 mm a flank for bed-300"),
                "{why}"
            );
        }
    }

    #[test]
    fn printers_of_one_clearance_change_nothing() {
        let (_, seams) = clearances([(300.0, 0.2), (280.0, 0.2)]);
        for (gap, why) in seams {
            assert_eq!(gap, 0.2);
            assert!(!why.contains("a flank for"), "{why}");
        }
    }
}
