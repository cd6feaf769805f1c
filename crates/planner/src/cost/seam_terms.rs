//! What a seam costs, a record a term.

use design::Prices;

use crate::lattice::face_areas::FaceAreas;

/// With this section that has room for joints, a square bar of 20 mm, a seam
/// counts as half as strong as can be.
const WEAK_MM2: f64 = 400.0;

/// What a seam is measured by.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct SeamMeasures {
    /// What it meets.
    pub(crate) areas: FaceAreas,
    /// Whether it lies flush with a panel.
    pub(crate) flush: bool,
    /// 1 in the middle of the model's length, 0 at its ends.
    pub(crate) middle: f64,
}

/// What a seam costs, term by term, in minutes of work. Its size costs nothing by
/// itself: it is walls on two pieces, and those cost plastic and hours.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct SeamTerms {
    pub(crate) seam: f64,
    pub(crate) unsound: f64,
    pub(crate) roomless: f64,
    pub(crate) weak: f64,
    pub(crate) shallow: f64,
    pub(crate) feather: f64,
    pub(crate) shown: f64,
    pub(crate) ripped: f64,
    pub(crate) housed: f64,
    pub(crate) mid_span: f64,
}

impl SeamTerms {
    /// The terms of a seam that meets something.
    pub(crate) fn of(m: &SeamMeasures, prices: &Prices) -> Self {
        let FaceAreas {
            all_mm2,
            sound_mm2,
            roomy_mm2,
            deep_mm2,
            feather_mm,
            shown_mm,
            ripped_mm2,
        } = m.areas;
        let roomless = if sound_mm2 > 0.0 {
            (1.0 - roomy_mm2 / sound_mm2).max(0.0)
        } else {
            1.0
        };
        Self {
            seam: prices.seam,
            unsound: prices.unsound * (1.0 - sound_mm2 / all_mm2),
            roomless: prices.roomless * roomless,
            weak: prices.weak / (1.0 + roomy_mm2 / WEAK_MM2),
            shallow: prices.shallow * (1.0 - deep_mm2 / all_mm2).max(0.0),
            feather: prices.feather * (feather_mm / 100.0).max(0.0),
            shown: prices.shown * (shown_mm / 100.0).max(0.0),
            ripped: prices.ripped * (ripped_mm2 / 1000.0).max(0.0),
            housed: if m.flush { prices.housed } else { 0.0 },
            mid_span: prices.mid_span * m.middle,
        }
    }

    /// What they come to.
    pub(crate) fn total(&self) -> f64 {
        let Self {
            seam,
            unsound,
            roomless,
            weak,
            shallow,
            feather,
            shown,
            ripped,
            housed,
            mid_span,
        } = *self;
        seam + unsound + roomless + weak + shallow + feather + shown + ripped + housed + mid_span
    }
}

#[cfg(test)]
mod tests {
    use design::Settings;

    use super::*;

    fn prices() -> Prices {
        Prices::of(&Settings::default())
    }

    /// A sound seam of 2,000 mm² through a bar, with nothing against it.
    fn good() -> SeamMeasures {
        SeamMeasures {
            areas: FaceAreas {
                all_mm2: 2000.0,
                sound_mm2: 2000.0,
                roomy_mm2: 2000.0,
                deep_mm2: 2000.0,
                feather_mm: 0.0,
                shown_mm: 0.0,
                ripped_mm2: 0.0,
            },
            flush: false,
            middle: 0.0,
        }
    }

    fn with(change: impl FnOnce(&mut SeamMeasures)) -> SeamTerms {
        let mut measures = good();
        change(&mut measures);
        SeamTerms::of(&measures, &prices())
    }

    #[test]
    fn a_good_seam_costs_itself_and_its_weakness() {
        let terms = with(|_| ());
        let prices = prices();
        assert_eq!(terms.seam, prices.seam);
        assert_eq!(terms.weak, prices.weak / 6.0);
        assert!((terms.total() - terms.seam - terms.weak).abs() < 1e-15);
    }

    #[test]
    fn each_fault_raises_its_term() {
        let prices = prices();
        let close = |a: f64, b: f64| assert!((a - b).abs() < 1e-12, "{a} and {b}");
        close(
            with(|m| m.areas.sound_mm2 = 500.0).unsound,
            0.75 * prices.unsound,
        );
        close(
            with(|m| m.areas.roomy_mm2 = 1500.0).roomless,
            0.25 * prices.roomless,
        );
        close(with(|m| m.areas.roomy_mm2 = 400.0).weak, 0.5 * prices.weak);
        close(
            with(|m| m.areas.deep_mm2 = 1000.0).shallow,
            0.5 * prices.shallow,
        );
        close(
            with(|m| m.areas.feather_mm = 50.0).feather,
            0.5 * prices.feather,
        );
        close(with(|m| m.areas.shown_mm = 250.0).shown, 2.5 * prices.shown);
        close(
            with(|m| m.areas.ripped_mm2 = 2500.0).ripped,
            2.5 * prices.ripped,
        );
        close(with(|m| m.flush = true).housed, prices.housed);
        close(with(|m| m.middle = 0.5).mid_span, 0.5 * prices.mid_span);
    }

    #[test]
    fn without_sound_material_there_is_no_room_at_all() {
        let terms = with(|m| {
            m.areas.sound_mm2 = 0.0;
            m.areas.roomy_mm2 = 0.0;
        });
        assert_eq!(terms.roomless, prices().roomless);
    }
}
