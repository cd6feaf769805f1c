//! What a piece costs, a record a term.

use design::Prices;
use printing::SCRAPED_MIN_PER_CM2;

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

/// What it costs to print a piece as it lies, term by term, in minutes of work.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct LyingTerms {
    pub(crate) footing: f64,
    /// Its hours and its plastic.
    pub(crate) print: f64,
    /// What is lost of that because long prints and slender pieces fail.
    pub(crate) spoilt: f64,
    /// Plastic, hours and scraping of its support.
    pub(crate) support: f64,
}

impl LyingTerms {
    /// Of a piece that lies in some way.
    pub(crate) fn of(lie: &Lie, prices: &Prices) -> Self {
        let wobble = (lie.slenderness - STEADY).clamp(0.0, WORST_WOBBLE);
        let print = prices.print.of(lie.plastic_mm3, lie.hours);
        let support = prices.print.of(lie.support_mm3, lie.support_hours);
        let scraped = SCRAPED_MIN_PER_CM2 * lie.hanging_mm2 / 100.0;
        Self {
            footing: match lie.standing {
                Standing::Firmly => 0.0,
                Standing::Leaning => LEANING * prices.footing,
                Standing::Helped => HELPED * prices.footing,
                Standing::Not => prices.footing,
            },
            print,
            spoilt: prices.spoilt * lie.hours * (print + prices.piece)
                + prices.wobble * wobble * print,
            support: prices.support * (support + scraped),
        }
    }

    /// What of it other pieces in its place might not cost.
    pub(crate) fn burden(&self) -> f64 {
        self.footing + self.support
    }

    /// What they come to.
    pub(crate) fn total(&self) -> f64 {
        let Self {
            footing,
            print,
            spoilt,
            support,
        } = *self;
        footing + print + spoilt + support
    }
}

/// What a piece costs, term by term, in minutes of work.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct PieceTerms {
    /// The piece itself.
    pub(crate) piece: f64,
    pub(crate) sliver: f64,
    /// How it lies.
    pub(crate) lying: f64,
    pub(crate) keyed: f64,
}

impl PieceTerms {
    /// Of a piece of a size that is a sliver where its longest side is under
    /// `smallest_mm`, and that keys hold on so many sides.
    pub(crate) fn of(
        size: [f64; 3],
        smallest_mm: f64,
        (lying, keyed): (f64, usize),
        prices: &Prices,
    ) -> Self {
        let mut sorted = size;
        sorted.sort_by(f64::total_cmp);
        let is_sliver = sorted[1] < SLIVER_MM || sorted[2] < smallest_mm;
        Self {
            piece: prices.piece,
            sliver: if is_sliver { prices.sliver } else { 0.0 },
            lying,
            keyed: prices.keyed * keyed as f64,
        }
    }

    /// What they come to.
    pub(crate) fn total(&self) -> f64 {
        let Self {
            piece,
            sliver,
            lying,
            keyed,
        } = *self;
        piece + sliver + lying + keyed
    }
}

#[cfg(test)]
mod tests {
    use design::Settings;

    use super::*;

    fn prices() -> Prices {
        Prices::of(&Settings::default())
    }

    fn of(size: [f64; 3], lying: f64, keyed: usize) -> PieceTerms {
        PieceTerms::of(size, 40.0, (lying, keyed), &prices())
    }

    #[test]
    fn thin_and_short_pieces_are_slivers() {
        assert_eq!(of([200.0, 24.0, 18.0], 0.0, 0).sliver, prices().sliver);
        assert_eq!(of([39.0, 39.0, 39.0], 0.0, 0).sliver, prices().sliver);
        assert_eq!(of([41.0, 30.0, 3.0], 0.0, 0).sliver, 0.0);
    }

    #[test]
    fn keys_and_how_it_lies_add_up() {
        let terms = of([100.0, 100.0, 100.0], 0.7, 2);
        assert_eq!(terms.keyed, 2.0 * prices().keyed);
        let plain = of([100.0, 100.0, 100.0], 0.0, 0);
        assert_eq!(plain.total(), prices().piece);
        assert!((terms.total() - plain.total() - 0.7 - terms.keyed).abs() < 1e-12);
    }

    #[test]
    fn what_stands_steady_costs_its_print_and_its_support_alone() {
        let prices = prices();
        let of = |slenderness, standing| {
            let lie = Lie {
                slenderness,
                standing,
                space_mm3: 2e6,
                hanging_mm2: 3000.0,
                hours: 3.0,
                plastic_mm3: 80_000.0,
                support_mm3: 300_000.0,
                support_hours: 8.0,
            };
            LyingTerms::of(&lie, &prices)
        };
        let steady = of(STEADY, Standing::Firmly);
        let gram = prices.print.cm3_min;
        assert!((steady.print - (80.0 * gram + 3.0)).abs() < 1e-12);
        assert!((steady.support - (300.0 * gram + 8.0 + 1.5)).abs() < 1e-12);
        assert!((steady.spoilt - 0.015 * (steady.print + prices.piece)).abs() < 1e-12);
        assert_eq!(steady.footing, 0.0);
        let slim = of(STEADY + 2.0, Standing::Firmly);
        let wobble = 2.0 * prices.wobble * steady.print;
        assert!((slim.total() - steady.total() - wobble).abs() < 1e-12);
        let slimmest = of(STEADY + 50.0, Standing::Firmly);
        let most = WORST_WOBBLE * prices.wobble * steady.print;
        assert!((slimmest.total() - steady.total() - most).abs() < 1e-9);
        let falling = of(STEADY, Standing::Not);
        assert!((falling.total() - steady.total() - prices.footing).abs() < 1e-12);
        let helped = of(STEADY, Standing::Helped);
        assert!((helped.footing - HELPED * prices.footing).abs() < 1e-12);
    }
}
