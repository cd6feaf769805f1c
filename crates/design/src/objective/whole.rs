//! What a build and a slide are worth, in the unit of the plans: pieces.

use crate::objective::worth::{Term, Worth};

/// What a contact that nothing holds weighs against a piece more.
pub const PLAIN_CONTACT: f64 = 0.75;
/// What a key weighs, which is small but has to be printed and driven in; and
/// all keys of a contact together where the bed has no room for tails, as they
/// do in a plan.
const KEY: f64 = 0.25;
/// What a piece that does not fit weighs in a build.
const MISFIT: f64 = 20.0;
/// What a piece weighs that stands only with help while it is printed, and one that
/// does not stand at all, which is an error; and a litre of support under pieces. The
/// first and the last weigh as much in a plan by default.
const HELPED: f64 = 1.2;
const FALLING: f64 = 10.0;
const SUPPORT_L: f64 = 0.5;

/// What a build is judged by when it is held against another.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct BuildMeasures {
    /// Pieces, keys not counted.
    pub pieces: usize,
    /// Keys where tails found no room on the pieces.
    pub keys: usize,
    /// Contacts that keys hold because the bed has no room for tails.
    pub keyed: usize,
    /// Contacts that nothing holds.
    pub plain: usize,
    /// Pieces that fit no bed.
    pub misfits: usize,
    /// Pieces that stand only with a brim and with their supports.
    pub helped: usize,
    /// Pieces that do not stand at all while they are printed.
    pub falling: usize,
    /// Litres of space under pieces that support fills.
    pub support_l: f64,
}

impl BuildMeasures {
    /// What it is worth; less is better.
    ///
    /// ```
    /// use design::BuildMeasures;
    ///
    /// let ten = BuildMeasures { pieces: 10, plain: 2, ..BuildMeasures::default() };
    /// assert_eq!(ten.worth().total(), 11.5);
    /// ```
    pub fn worth(&self) -> Worth {
        Worth::of([
            Term::new("pieces", self.pieces as f64, 1.0),
            Term::new(
                "keys where the bed has room for tails",
                self.keys as f64,
                KEY,
            ),
            Term::new(
                "contacts keyed for want of bed room",
                self.keyed as f64,
                KEY,
            ),
            Term::new(
                "contacts that nothing holds",
                self.plain as f64,
                PLAIN_CONTACT,
            ),
            Term::new("pieces that fit no bed", self.misfits as f64, MISFIT),
            Term::new(
                "pieces that stand only with help",
                self.helped as f64,
                HELPED,
            ),
            Term::new("pieces that do not stand", self.falling as f64, FALLING),
            Term::new("litres of support", self.support_l, SUPPORT_L),
        ])
    }
}

/// What a way to close a seam is judged by.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct SlideMeasures {
    /// Which share of its contacts it joins, by their number.
    pub joined: f64,
    /// The same by their area.
    pub joined_area: f64,
    /// Which share of the contacts the joints themselves take: more is stronger.
    pub covered: f64,
    /// How far it moves.
    pub travel_mm: f64,
    /// Pairs of pieces that would be in each other's way.
    pub blocked: usize,
    /// Whether tails come from above, which planned pieces have no room for.
    pub from_above: bool,
}

/// More of the contacts than this the joints need not take.
const MOST_COVERED: f64 = 0.5;
/// What it costs if joints take none of the contacts, and how far a move has to
/// be to cost as much as one contact in a hundred.
const COVERED: f64 = 60.0;
const TRAVEL: f64 = 0.15;

impl SlideMeasures {
    /// How good it is, in hundredths of joining every contact; more is better.
    ///
    /// ```
    /// use design::SlideMeasures;
    ///
    /// let half = SlideMeasures { joined: 0.5, joined_area: 0.5, ..SlideMeasures::default() };
    /// let all = SlideMeasures { joined: 1.0, joined_area: 1.0, ..half };
    /// assert_eq!(all.score() - half.score(), 75.0);
    /// ```
    pub fn score(&self) -> f64 {
        self.score_of_cover() + 100.0 * self.joined + 50.0 * self.joined_area
            - TRAVEL * self.travel_mm
            - 40.0 * self.blocked as f64
            - if self.from_above { 0.5 } else { 0.0 }
    }

    /// How good a way in is for keys of one contact: much covered and a short
    /// way.
    pub fn score_for_keys(&self) -> f64 {
        self.score_of_cover() - TRAVEL * self.travel_mm
    }

    fn score_of_cover(&self) -> f64 {
        COVERED * self.covered.min(MOST_COVERED)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_measure_of_a_build_makes_it_worse() {
        let good = BuildMeasures {
            pieces: 3,
            ..BuildMeasures::default()
        };
        for worse in [
            BuildMeasures { pieces: 4, ..good },
            BuildMeasures { keys: 1, ..good },
            BuildMeasures { keyed: 1, ..good },
            BuildMeasures { plain: 1, ..good },
            BuildMeasures { misfits: 1, ..good },
        ] {
            assert!(worse.worth().total() > good.worth().total(), "{worse:?}");
        }
    }

    #[test]
    fn every_measure_of_a_slide_counts() {
        let base = SlideMeasures {
            joined: 0.5,
            joined_area: 0.5,
            covered: 0.1,
            travel_mm: 50.0,
            blocked: 1,
            from_above: true,
        };
        for better in [
            SlideMeasures {
                joined: 0.6,
                ..base
            },
            SlideMeasures {
                joined_area: 0.6,
                ..base
            },
            SlideMeasures {
                covered: 0.2,
                ..base
            },
            SlideMeasures {
                travel_mm: 40.0,
                ..base
            },
            SlideMeasures { blocked: 0, ..base },
            SlideMeasures {
                from_above: false,
                ..base
            },
        ] {
            assert!(better.score() > base.score(), "{better:?}");
        }
        let covered = SlideMeasures {
            covered: 0.5,
            ..base
        };
        assert_eq!(
            covered.score(),
            SlideMeasures {
                covered: 0.9,
                ..base
            }
            .score()
        );
    }
}
