//! Slides so long and so slender that a print's usual error stops them short of home.

use design::{Assembly, SeamEntry};

use crate::code::Code;
use crate::finding::Finding;

/// What stops so far from home for 0.05 mm of error on each of two flanks that meet is not
/// pushed home by hand (our choice, without a source: a finger's breadth).
const SHORT_MM: f64 = 15.0;

/// Seams with such slides, one finding each, of the joint that stops furthest from home.
pub(crate) fn long_slides(assembly: &Assembly) -> Vec<Finding> {
    assembly.seams().iter().filter_map(long_slide).collect()
}

fn long_slide(seam: &SeamEntry) -> Option<Finding> {
    let errors = seam.contacts.iter();
    let errors = errors.filter(|c| !c.joint.is_key());
    // Both flanks err, and the clearance makes up for as much as it is.
    let errors = errors.filter_map(|c| {
        let error_mm = c.seat_error_mm?;
        Some((c, 2.0 * error_mm - c.seat_slack_mm.unwrap_or(error_mm)))
    });
    let (contact, short_mm) = errors.max_by(|a, b| a.1.total_cmp(&b.1))?;
    let [a, b] = &contact.pieces;
    (short_mm > SHORT_MM).then(|| {
        let message = format!(
            "{a} and {b} slide {:.0} mm together at {} along flanks that lean by {:.2}° only: 0.05 \
             mm of error on each stops them {short_mm:.0} mm short of home; print a coupon first, \
             give this seam more clearance ([seam.joints], clearance_mm) or another slide in \
             plan.toml, and keep a file at hand",
            seam.travel_mm, seam.id, contact.taper_deg
        );
        Finding::new(Code::LongSlide, message)
            .seam(&seam.id)
            .measured(short_mm, SHORT_MM)
    })
}

#[cfg(test)]
mod tests {
    use design::{ContactEntry, PieceId, SeamId};
    use joinery::JointKind;

    use super::*;

    #[test]
    fn a_slide_that_an_error_stops_a_finger_short_is_told_with_the_worst_of_its_joints() {
        let contact = |short_mm: f64| ContactEntry {
            seat_error_mm: Some(short_mm),
            taper_deg: 0.085,
            ..ContactEntry::between(
                [PieceId::cut(1, 2), PieceId::cut(2, 2)],
                JointKind::Dovetail,
            )
        };
        let seam = |errors: &[f64]| SeamEntry {
            contacts: errors.iter().map(|mm| contact(*mm)).collect(),
            ..SeamEntry::sliding(SeamId::numbered(1), [1.0, 0.0, 0.0], [0.0, 0.0, 1.0], 302.0)
        };
        assert!(long_slide(&seam(&[1.9, 14.9])).is_none());
        // With three times the clearance it comes home.
        let mut loose = seam(&[33.7]);
        loose.contacts[0].seat_slack_mm = Some(3.0 * 33.7);
        assert!(long_slide(&loose).is_none());
        let found = long_slide(&seam(&[1.9, 33.7, 20.0])).unwrap();
        assert_eq!(found.code, Code::LongSlide);
        let told = &found.message;
        assert!(
            told.contains("slide 302 mm") && told.contains("34 mm short"),
            "{told}"
        );
    }
}
