//! What a build costs, in minutes of work, and what a slide is worth.

use printing::SCRAPED_MIN_PER_CM2;

use crate::objective::rates::Rates;
use crate::objective::worth::{Term, Worth};

/// What a contact that nothing holds weighs against a piece more.
pub const PLAIN_CONTACT: f64 = 0.75;
/// What a piece that does not fit weighs in a build, in pieces.
const MISFIT: f64 = 20.0;
/// And a part that nothing joins to the rest of its body.
const LOOSE: f64 = 20.0;
/// What a piece weighs that stands only with help while it is printed, and one that
/// does not stand at all, which is an error; in pieces.
const HELPED: f64 = 1.2;
/// What a piece weighs, in pieces, that its supports keep from tipping.
const BORNE: f64 = 1.0 / 3.0;
const FALLING: f64 = 10.0;

/// What a build is judged by when it is held against another.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct BuildMeasures {
    /// Pieces, keys not counted.
    pub pieces: usize,
    /// Seams.
    pub seams: usize,
    /// Hours that all pieces take to print, one after the other, with their supports.
    pub hours: f64,
    /// Plastic that they take, with supports and brims.
    pub plastic_g: f64,
    /// Hours for each piece, squared and summed: the longer one print is, the more is
    /// lost when it is spoilt.
    pub hours_squared: f64,
    /// Faces that support marks, which are to be scraped.
    pub scraped_cm2: f64,
    /// Keys where tails found no room on the pieces.
    pub keys: usize,
    /// Contacts that keys hold because the bed has no room for tails.
    pub keyed: usize,
    /// Contacts that nothing holds.
    pub plain: usize,
    /// Pieces that fit no bed.
    pub misfits: usize,
    /// Parts of a body that no joint and no key links to the rest of it.
    pub loose: usize,
    /// Pieces that stand only with a brim and with their supports.
    pub helped: usize,
    /// Pieces that are broad on the bed and that only their supports keep from tipping.
    pub borne: usize,
    /// Pieces that do not stand at all while they are printed.
    pub falling: usize,
}

impl BuildMeasures {
    /// What it costs, in minutes of work; less is better.
    ///
    /// ```
    /// use design::{BuildMeasures, Rates};
    ///
    /// let ten = BuildMeasures { pieces: 10, hours: 80.0, ..BuildMeasures::default() };
    /// // Of 80 hours two fifths of a print are likely to be spoilt.
    /// assert_eq!(ten.worth(&Rates::default()).total(), (10.0 + 0.4) * 30.0 + 80.0);
    /// ```
    pub fn worth(&self, rates: &Rates) -> Worth {
        let piece = rates.piece_min;
        let count = |n: usize| n as f64;
        Worth::of([
            Term::new(Worth::HOURS, self.hours, rates.print_hour_min),
            Term::new(Worth::PLASTIC_G, self.plastic_g, rates.gram_min),
            Term::new("pieces", count(self.pieces), piece),
            Term::new("seams", count(self.seams), rates.seam_min),
            Term::new(
                "keys where the bed has room for tails",
                count(self.keys),
                rates.key_min,
            ),
            Term::new(
                "contacts keyed for want of bed room",
                count(self.keyed),
                rates.key_min,
            ),
            Term::new(
                "cm² to scrape where support was",
                self.scraped_cm2,
                SCRAPED_MIN_PER_CM2,
            ),
            Term::new(
                "prints likely to be spoilt",
                rates.spoilt_per_hour * self.hours,
                piece,
            ),
            Term::new(
                "hours of print likely to be lost",
                rates.spoilt_per_hour * self.hours_squared,
                rates.print_hour_min + rates.gram_min * self.plastic_g / self.hours.max(1e-9),
            ),
            Term::new(
                "contacts that nothing holds",
                count(self.plain),
                PLAIN_CONTACT * piece,
            ),
            Term::new(
                "pieces that fit no bed",
                count(self.misfits),
                MISFIT * piece,
            ),
            Term::new(
                "parts that nothing joins to the rest",
                count(self.loose),
                LOOSE * piece,
            ),
            Term::new(
                "pieces that stand only with help",
                count(self.helped),
                HELPED * piece,
            ),
            Term::new(
                "pieces that their supports keep from tipping",
                count(self.borne),
                BORNE * piece,
            ),
            Term::new(
                "pieces that do not stand",
                count(self.falling),
                FALLING * piece,
            ),
        ])
    }
}

/// What a way to close a seam is judged by.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct SlideMeasures {
    /// Which share of its contacts it joins, by their number.
    pub joined: f64,
    /// The same by their area, of each as much as lies near its joints.
    pub joined_area: f64,
    /// Which share of the contacts the joints themselves take: more is stronger.
    pub covered: f64,
    /// How far it moves.
    pub travel_mm: f64,
    /// Pairs of pieces that would be in each other's way.
    pub blocked: usize,
    /// Whether tails come from above, which planned pieces have no room for.
    pub from_above: bool,
    /// 1 where weight seats what comes home, -1 where it frees it.
    pub seated: f64,
    /// Of keys: whether they come in from where no hand has room.
    pub shut_in: bool,
}

/// More of the contacts than this the joints need not take.
const MOST_COVERED: f64 = 0.5;
/// What it costs if joints take none of the contacts, and how far a move has to
/// be to cost as much as one contact in a hundred.
const COVERED: f64 = 60.0;
/// What it is worth that a key comes in from above, and what it costs that it comes from within
/// a tube.
const SEATED: f64 = 4.0;
const SHUT_IN: f64 = 40.0;
/// What it is worth that weight seats a slide: it decides between ways that are as good,
/// and never that tails come from above.
const SEATED_SLIDE: f64 = 0.4;
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
            + SEATED_SLIDE * self.seated
    }

    /// How good a way in is for keys of one contact: much covered, a short way, from where a
    /// hand has room, and from above.
    pub fn score_for_keys(&self) -> f64 {
        self.score_of_cover() - TRAVEL * self.travel_mm + SEATED * self.seated
            - if self.shut_in { SHUT_IN } else { 0.0 }
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
            BuildMeasures { loose: 1, ..good },
            BuildMeasures { seams: 1, ..good },
            BuildMeasures { hours: 1.0, ..good },
            BuildMeasures {
                plastic_g: 10.0,
                ..good
            },
            BuildMeasures {
                hours_squared: 1.0,
                ..good
            },
            BuildMeasures {
                scraped_cm2: 1.0,
                ..good
            },
            BuildMeasures { helped: 1, ..good },
            BuildMeasures { borne: 1, ..good },
            BuildMeasures { falling: 1, ..good },
        ] {
            let rates = Rates::default();
            let worth = |m: &BuildMeasures| m.worth(&rates).total();
            assert!(worth(&worse) > worth(&good), "{worse:?}");
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
            seated: 0.0,
            shut_in: false,
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
        let from_above = SlideMeasures {
            seated: 1.0,
            ..base
        };
        assert!(from_above.score_for_keys() > base.score_for_keys());
        let shut_in = SlideMeasures {
            shut_in: true,
            ..base
        };
        assert!(shut_in.score_for_keys() < base.score_for_keys());
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
