//! What a piece costs, a record a term.

use design::Weights;

use crate::cost::kdop_fit::STEADY;
use crate::cost::lie::{Lie, Standing};

/// A piece thinner than this in two directions is a sliver.
const SLIVER_MM: f64 = 25.0;
/// Steadiness beyond which nothing gets worse.
const WORST_WOBBLE: f64 = 5.0;

/// What it costs that a piece perhaps does not stand by itself, and that it needs help
/// to, as shares of what it costs that it does not stand at all.
const LEANING: f64 = 0.1;
const HELPED: f64 = 0.4;

/// What it costs how a piece lies, term by term, in pieces.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct LyingTerms {
    pub(crate) footing: f64,
    pub(crate) wobble: f64,
    pub(crate) support: f64,
    pub(crate) print_hour: f64,
}

impl LyingTerms {
    /// Of a piece that lies in some way.
    pub(crate) fn of(lie: &Lie, weights: &Weights) -> Self {
        let wobble = (lie.slenderness - STEADY).clamp(0.0, WORST_WOBBLE);
        Self {
            footing: match lie.standing {
                Standing::Firmly => 0.0,
                Standing::Leaning => LEANING * weights.footing,
                Standing::Helped => HELPED * weights.footing,
                Standing::Not => weights.footing,
            },
            wobble: weights.wobble * wobble,
            support: weights.support * lie.space_mm3 / 1e6,
            print_hour: weights.print_hour * lie.hours,
        }
    }

    /// What they come to.
    pub(crate) fn total(&self) -> f64 {
        let Self {
            footing,
            wobble,
            support,
            print_hour,
        } = *self;
        footing + wobble + support + print_hour
    }
}

/// What a piece costs, term by term, in pieces.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct PieceTerms {
    /// The piece itself.
    pub(crate) piece: f64,
    pub(crate) unequal: f64,
    pub(crate) sliver: f64,
    /// How it lies.
    pub(crate) lying: f64,
    pub(crate) keyed: f64,
}

impl PieceTerms {
    /// Of a piece of a size beside what a bed takes, that is a sliver where its
    /// longest side is under `smallest_mm`, and that keys hold on so many sides.
    pub(crate) fn of(
        size: [f64; 3],
        usable: [f64; 3],
        smallest_mm: f64,
        (lying, keyed): (f64, usize),
        weights: &Weights,
    ) -> Self {
        let unequal: f64 = (0..3).map(|k| (size[k] / usable[k]).powi(2)).sum();
        let mut sorted = size;
        sorted.sort_by(f64::total_cmp);
        let is_sliver = sorted[1] < SLIVER_MM || sorted[2] < smallest_mm;
        Self {
            piece: 1.0,
            unequal: weights.unequal * unequal,
            sliver: if is_sliver { weights.sliver } else { 0.0 },
            lying,
            keyed: weights.keyed * keyed as f64,
        }
    }

    /// What they come to.
    pub(crate) fn total(&self) -> f64 {
        let Self {
            piece,
            unequal,
            sliver,
            lying,
            keyed,
        } = *self;
        piece + unequal + sliver + lying + keyed
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(size: [f64; 3], lying: f64, keyed: usize) -> PieceTerms {
        let usable = [200.0, 200.0, 250.0];
        PieceTerms::of(size, usable, 40.0, (lying, keyed), &Weights::default())
    }

    #[test]
    fn a_piece_as_large_as_the_bed_costs_three_times_unequal() {
        let terms = of([200.0, 200.0, 250.0], 0.0, 0);
        let weights = Weights::default();
        assert!((terms.unequal - 3.0 * weights.unequal).abs() < 1e-12);
        assert_eq!((terms.sliver, terms.keyed), (0.0, 0.0));
        assert!((terms.total() - 1.0 - terms.unequal).abs() < 1e-12);
    }

    #[test]
    fn thin_and_short_pieces_are_slivers() {
        let weights = Weights::default();
        assert_eq!(of([200.0, 24.0, 18.0], 0.0, 0).sliver, weights.sliver);
        assert_eq!(of([39.0, 39.0, 39.0], 0.0, 0).sliver, weights.sliver);
        assert_eq!(of([41.0, 30.0, 3.0], 0.0, 0).sliver, 0.0);
    }

    #[test]
    fn keys_and_how_it_lies_add_up() {
        let terms = of([100.0, 100.0, 100.0], 0.7, 2);
        assert_eq!(terms.keyed, 2.0 * Weights::default().keyed);
        let plain = of([100.0, 100.0, 100.0], 0.0, 0);
        assert!((terms.total() - plain.total() - 0.7 - terms.keyed).abs() < 1e-12);
    }

    #[test]
    fn what_stands_steady_costs_its_support_and_its_hours_alone() {
        let weights = Weights::default();
        let of = |slenderness, standing| {
            let lie = Lie {
                slenderness,
                standing,
                space_mm3: 2e6,
                hours: 3.0,
            };
            LyingTerms::of(&lie, &weights)
        };
        let steady = of(STEADY, Standing::Firmly);
        assert_eq!((steady.wobble, steady.footing), (0.0, 0.0));
        assert_eq!(steady.support, 2.0 * weights.support);
        assert!((steady.print_hour - 3.0 * weights.print_hour).abs() < 1e-15);
        let slim = of(STEADY + 2.0, Standing::Firmly);
        assert!((slim.total() - steady.total() - 2.0 * weights.wobble).abs() < 1e-12);
        let slimmest = of(STEADY + 50.0, Standing::Firmly);
        assert!((slimmest.wobble - WORST_WOBBLE * weights.wobble).abs() < 1e-12);
        let falling = of(STEADY, Standing::Not);
        assert!((falling.total() - steady.total() - weights.footing).abs() < 1e-12);
        let helped = of(STEADY, Standing::Helped);
        assert!((helped.footing - HELPED * weights.footing).abs() < 1e-12);
    }
}
