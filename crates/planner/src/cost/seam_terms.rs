//! What a seam costs, a record a term.

use design::Weights;

use crate::lattice::face_areas::FaceAreas;

/// With this section that has room for joints, a square bar of 20 mm, a seam
/// counts as half as strong as can be.
const WEAK_MM2: f64 = 400.0;

/// What a seam is measured by.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct SeamMeasures {
    /// What it meets.
    pub(crate) areas: FaceAreas,
    /// The largest section of the model along any axis.
    pub(crate) largest_mm2: f64,
    /// Whether its line shows on a hidden side.
    pub(crate) shown: bool,
    /// Whether it lies flush with a panel.
    pub(crate) flush: bool,
    /// 1 in the middle of the model's length, 0 at its ends.
    pub(crate) middle: f64,
}

/// What a seam costs, term by term, in pieces.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct SeamTerms {
    pub(crate) seam: f64,
    pub(crate) unsound: f64,
    pub(crate) roomless: f64,
    pub(crate) weak: f64,
    pub(crate) shallow: f64,
    pub(crate) feather: f64,
    pub(crate) area: f64,
    pub(crate) shown: f64,
    pub(crate) housed: f64,
    pub(crate) mid_span: f64,
}

impl SeamTerms {
    /// The terms of a seam that meets something.
    pub(crate) fn of(m: &SeamMeasures, weights: &Weights) -> Self {
        let FaceAreas {
            all_mm2,
            sound_mm2,
            roomy_mm2,
            deep_mm2,
            feather_mm,
        } = m.areas;
        let roomless = if sound_mm2 > 0.0 {
            (1.0 - roomy_mm2 / sound_mm2).max(0.0)
        } else {
            1.0
        };
        let where_so = |is: bool, weight: f64| if is { weight } else { 0.0 };
        Self {
            seam: weights.seam,
            unsound: weights.unsound * (1.0 - sound_mm2 / all_mm2),
            roomless: weights.roomless * roomless,
            weak: weights.weak / (1.0 + roomy_mm2 / WEAK_MM2),
            shallow: weights.shallow * (1.0 - deep_mm2 / all_mm2).max(0.0),
            feather: weights.feather * (feather_mm / 100.0).max(0.0),
            area: weights.area * all_mm2 / m.largest_mm2,
            shown: where_so(m.shown, weights.shown),
            housed: where_so(m.flush, weights.housed),
            mid_span: weights.mid_span * m.middle,
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
            area,
            shown,
            housed,
            mid_span,
        } = *self;
        seam + unsound + roomless + weak + shallow + feather + area + shown + housed + mid_span
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A sound seam of 2,000 mm² through a bar, with nothing against it.
    fn good() -> SeamMeasures {
        SeamMeasures {
            areas: FaceAreas {
                all_mm2: 2000.0,
                sound_mm2: 2000.0,
                roomy_mm2: 2000.0,
                deep_mm2: 2000.0,
                feather_mm: 0.0,
            },
            largest_mm2: 8000.0,
            shown: false,
            flush: false,
            middle: 0.0,
        }
    }

    fn with(change: impl FnOnce(&mut SeamMeasures)) -> SeamTerms {
        let mut measures = good();
        change(&mut measures);
        SeamTerms::of(&measures, &Weights::default())
    }

    #[test]
    fn a_good_seam_costs_itself_its_weakness_and_its_area() {
        let terms = with(|_| ());
        let weights = Weights::default();
        assert_eq!(terms.seam, weights.seam);
        assert_eq!(terms.weak, weights.weak / 6.0);
        assert_eq!(terms.area, weights.area / 4.0);
        let sum = terms.seam + terms.weak + terms.area;
        assert!((terms.total() - sum).abs() < 1e-15);
    }

    #[test]
    fn each_fault_raises_its_term() {
        let weights = Weights::default();
        let close = |a: f64, b: f64| assert!((a - b).abs() < 1e-12, "{a} and {b}");
        close(
            with(|m| m.areas.sound_mm2 = 500.0).unsound,
            0.75 * weights.unsound,
        );
        close(
            with(|m| m.areas.roomy_mm2 = 1500.0).roomless,
            0.25 * weights.roomless,
        );
        close(with(|m| m.areas.roomy_mm2 = 400.0).weak, 0.5 * weights.weak);
        close(
            with(|m| m.areas.deep_mm2 = 1000.0).shallow,
            0.5 * weights.shallow,
        );
        close(
            with(|m| m.areas.feather_mm = 50.0).feather,
            0.5 * weights.feather,
        );
        close(with(|m| m.areas.all_mm2 = 4000.0).area, 0.5 * weights.area);
        close(with(|m| m.shown = true).shown, weights.shown);
        close(with(|m| m.flush = true).housed, weights.housed);
        close(with(|m| m.middle = 0.5).mid_span, 0.5 * weights.mid_span);
    }

    #[test]
    fn without_sound_material_there_is_no_room_at_all() {
        let terms = with(|m| {
            m.areas.sound_mm2 = 0.0;
            m.areas.roomy_mm2 = 0.0;
        });
        assert_eq!(terms.roomless, Weights::default().roomless);
    }
}
