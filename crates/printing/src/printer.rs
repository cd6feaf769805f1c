//! Printers: what they can build.

use std::fmt;
use std::str::FromStr;

use crate::broken_rule::BrokenRule;
use crate::no_go::{BedArea, largest_free};
use crate::print_profile::PrintProfile;
use serde::{Deserialize, Serialize};

/// The outline of a printer's bed.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Bed {
    /// Width and depth.
    Rectangle {
        /// Along x.
        width_mm: f64,
        /// Along y.
        depth_mm: f64,
    },
    /// A round bed.
    Round {
        /// Across.
        diameter_mm: f64,
    },
}

/// A printer: what it can build, and how much of its bed's rim stays free.
///
/// ```
/// use printing::Printer;
///
/// let p: Printer = "220x220x250".parse().unwrap();
/// assert_eq!(p.usable_mm(), [216.0, 216.0, 250.0]);
/// let r: Printer = "round200x300".parse().unwrap();
/// assert_eq!(r.size_mm(), [200.0, 200.0, 300.0]);
/// assert!("0x10x10".parse::<Printer>().is_err());
/// ```
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Printer {
    /// What the cut list calls it.
    pub name: String,
    /// Its bed.
    pub bed: Bed,
    /// How high it builds.
    pub height_mm: f64,
    /// Rim of the bed that stays free.
    pub margin_mm: f64,
    /// What stays free below its full height.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub top_margin_mm: f64,
    /// Rectangles of the bed on which nothing may be printed, by two corners from its
    /// front left one: clips, a purge line.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub no_go_mm: Vec<BedArea>,
    /// The clearance a flank that its coupons showed to be right, where that is not the plan's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clearance_mm: Option<f64>,
    /// How it prints, where that is otherwise than the plan says for all.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub print: Option<PrintProfile>,
}

fn is_zero(x: &f64) -> bool {
    *x == 0.0
}

/// The most rectangles that a bed may have on which nothing is printed.
const MOST_NO_GO: usize = 32;

/// The rim that stays free unless another is asked for.
pub const MARGIN_MM: f64 = 2.0;

/// A word that describes no bed.
#[derive(Clone, Debug, thiserror::Error, PartialEq)]
pub enum BadBed {
    /// It has another form.
    #[error(
        "'{0}' is not a bed; write WIDTHxDEPTHxHEIGHT in mm, such as 220x220x250, or roundDIAMETERxHEIGHT, such as round200x300"
    )]
    Form(String),
    /// It has no name to be told by.
    #[error(
        "the name of a printer is empty; give it the word that is to stand in the cut list, such as bed-1"
    )]
    Nameless,
    /// The rim that is to stay free is none.
    #[error("a margin of {0} mm is out of range; it must lie from 0 to 1000")]
    Margin(f64),
    /// What is to stay free at the top is not there.
    #[error("a top margin of {0} mm is out of range; it must lie from 0 to 1000")]
    TopMargin(f64),
    /// A place where nothing may be printed is none.
    #[error(
        "no_go_mm holds no rectangle at {0:?}: write two corners in mm from the front left corner \
         of a rectangular bed, the lesser numbers first, such as [[0, 0], [220, 10]], and at the \
         most 32 of them"
    )]
    NoGo(BedArea),
    /// A place where nothing may be printed is not on the bed.
    #[error(
        "no_go_mm has {area:?}, which lies beside a bed of {word}: its corners are in mm from the \
         front left corner"
    )]
    BesideBed {
        /// The printer's sizes.
        word: String,
        /// The rectangle.
        area: BedArea,
    },
    /// The rim that is to stay free leaves nothing of the bed.
    #[error(
        "a margin of {margin_mm} mm on each side leaves less than 10 mm of a bed of {word}; give \
         it a smaller margin_mm"
    )]
    NothingLeft {
        /// The printer's sizes.
        word: String,
        /// The margin.
        margin_mm: f64,
    },
    /// The clearance is no gap between flanks.
    #[error("a clearance_mm of {0} is out of range; it must lie from 0 to 1")]
    Clearance(f64),
    /// A number of its print profile breaks a rule.
    #[error(transparent)]
    Profile(#[from] BrokenRule),
    /// A size is too small or too large to be meant.
    #[error(
        "a bed of '{word}' is out of range: {what} is {value} mm, and must lie from {low} to {high}"
    )]
    Size {
        /// The word.
        word: String,
        /// Which size.
        what: &'static str,
        /// Its value.
        value: f64,
        /// Least sensible value.
        low: f64,
        /// Greatest sensible value.
        high: f64,
    },
}

impl Printer {
    /// A printer with a rectangular bed and the usual margin.
    pub fn rectangular(name: &str, width_mm: f64, depth_mm: f64, height_mm: f64) -> Self {
        Self {
            name: name.to_owned(),
            bed: Bed::Rectangle { width_mm, depth_mm },
            height_mm,
            margin_mm: MARGIN_MM,
            top_margin_mm: 0.0,
            no_go_mm: Vec::new(),
            clearance_mm: None,
            print: None,
        }
    }

    /// Width, depth and height.
    pub fn size_mm(&self) -> [f64; 3] {
        match self.bed {
            Bed::Rectangle { width_mm, depth_mm } => [width_mm, depth_mm, self.height_mm],
            Bed::Round { diameter_mm } => [diameter_mm, diameter_mm, self.height_mm],
        }
    }

    /// Width, depth and height of what a piece may take: within the margins, of the
    /// largest rectangle of the bed that is free of all others.
    pub fn usable_mm(&self) -> [f64; 3] {
        let [low, high] = self.free_mm();
        let height = self.height_mm - self.top_margin_mm;
        [high[0] - low[0], high[1] - low[1], height]
    }

    /// The bed within its margin, by two corners from its front left one.
    pub fn within_margin_mm(&self) -> BedArea {
        let [w, d, _] = self.size_mm();
        let m = self.margin_mm;
        [[m, m], [w - m, d - m]]
    }

    /// The largest rectangle of it that nothing else takes; all of a round bed.
    pub(crate) fn free_mm(&self) -> BedArea {
        match self.no_go_mm.as_slice() {
            [] => self.within_margin_mm(),
            taken => {
                let bed = self.within_margin_mm();
                // Whole millimetres from the margin, as plates are packed.
                let whole = |r: &BedArea| {
                    let at = |c: usize, k: usize| r[c][k] - bed[0][k];
                    let low = |k: usize| bed[0][k] + (at(0, k) + 1e-6).floor();
                    let high = |k: usize| bed[0][k] + (at(1, k) - 1e-6).ceil();
                    [[low(0), low(1)], [high(0), high(1)]]
                };
                let taken: Vec<BedArea> = taken.iter().map(whole).collect();
                largest_free(bed, &taken)
            }
        }
    }

    /// Checks the sizes, the margin and how it prints.
    ///
    /// # Errors
    ///
    /// When a size is not positive, a margin is less than nothing or leaves less than
    /// 10 mm, places where nothing may be printed are none or leave less than that, or a
    /// number of the profile breaks a rule.
    pub fn checked(&self) -> Result<(), BadBed> {
        if self.name.trim().is_empty() {
            return Err(BadBed::Nameless);
        }
        if !(0.0..=1000.0).contains(&self.margin_mm) {
            return Err(BadBed::Margin(self.margin_mm));
        }
        if !(0.0..=1000.0).contains(&self.top_margin_mm) {
            return Err(BadBed::TopMargin(self.top_margin_mm));
        }
        let is_rectangle = |r: &&BedArea| {
            let [low, high] = r;
            r.iter().flatten().all(|x| x.is_finite()) && low[0] < high[0] && low[1] < high[1]
        };
        let bad = self.no_go_mm.iter().find(|r| !is_rectangle(r));
        let misplaced = match self.bed {
            Bed::Rectangle { .. } => self.no_go_mm.get(MOST_NO_GO),
            Bed::Round { .. } => self.no_go_mm.first(),
        };
        if let Some(area) = bad.or(misplaced) {
            return Err(BadBed::NoGo(*area));
        }
        if let Some(print) = &self.print {
            print.checked()?;
        }
        let not_so = self.clearance_mm.filter(|c| !(0.0..=1.0).contains(c));
        if let Some(clearance_mm) = not_so {
            return Err(BadBed::Clearance(clearance_mm));
        }
        let [w, d, h] = self.size_mm();
        let is_beside =
            |[low, high]: &&BedArea| low[0] >= w || low[1] >= d || high[0] <= 0.0 || high[1] <= 0.0;
        if let Some(area) = self.no_go_mm.iter().find(is_beside) {
            return Err(BadBed::BesideBed {
                word: self.to_string(),
                area: *area,
            });
        }
        // What is too small without a margin is told as that.
        let narrow = w.min(d);
        if narrow >= 10.0 && narrow < 2.0 * self.margin_mm + 10.0 && self.margin_mm > MARGIN_MM {
            return Err(BadBed::NothingLeft {
                word: self.to_string(),
                margin_mm: self.margin_mm,
            });
        }
        let least = 2.0 * self.margin_mm + 10.0;
        for (what, value, low) in [
            ("the width", w, least),
            ("the depth", d, least),
            ("the height", h, self.top_margin_mm + 10.0),
            ("what is free of its width", self.usable_mm()[0], 10.0),
            ("what is free of its depth", self.usable_mm()[1], 10.0),
        ] {
            if !(value >= low && value <= 20_000.0) {
                return Err(BadBed::Size {
                    word: self.to_string(),
                    what,
                    value,
                    low,
                    high: 20_000.0,
                });
            }
        }
        Ok(())
    }
}

impl fmt::Display for Printer {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.bed {
            Bed::Rectangle { width_mm, depth_mm } => {
                write!(f, "{width_mm}x{depth_mm}x{}", self.height_mm)
            }
            Bed::Round { diameter_mm } => write!(f, "round{diameter_mm}x{}", self.height_mm),
        }
    }
}

impl FromStr for Printer {
    type Err = BadBed;

    fn from_str(word: &str) -> Result<Self, BadBed> {
        let form = || BadBed::Form(word.to_owned());
        let (round, sizes) = match word.strip_prefix("round") {
            Some(rest) => (true, rest),
            None => (false, word),
        };
        let numbers: Vec<f64> = sizes
            .split(['x', 'X', '×'])
            .map(|s| {
                s.trim()
                    .parse::<f64>()
                    .ok()
                    .filter(|v| v.is_finite())
                    .ok_or_else(form)
            })
            .collect::<Result<_, _>>()?;
        let (bed, height_mm) = match (round, &numbers[..]) {
            (false, &[width_mm, depth_mm, h]) => (Bed::Rectangle { width_mm, depth_mm }, h),
            (true, &[diameter_mm, h]) => (Bed::Round { diameter_mm }, h),
            _ => return Err(form()),
        };
        let printer = Self {
            name: "bed-1".to_owned(),
            bed,
            height_mm,
            margin_mm: MARGIN_MM,
            top_margin_mm: 0.0,
            no_go_mm: Vec::new(),
            clearance_mm: None,
            print: None,
        };
        printer.checked()?;
        Ok(printer)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_margin_that_enlarges_the_bed_is_refused() {
        let mut printer = Printer::rectangular("bed-1", 220.0, 220.0, 250.0);
        for margin_mm in [-40.0, f64::NAN, 2000.0] {
            printer.margin_mm = margin_mm;
            assert!(
                matches!(printer.checked(), Err(BadBed::Margin(_))),
                "{margin_mm}"
            );
        }
    }

    #[test]
    fn a_margin_that_takes_the_bed_and_places_beside_it_are_told() {
        let given = Printer::rectangular("bed-1", 220.0, 220.0, 250.0);
        let told = |change: &dyn Fn(&mut Printer)| {
            let mut printer = given.clone();
            change(&mut printer);
            printer.checked().unwrap_err().to_string()
        };
        let margin = told(&|p| p.margin_mm = 200.0);
        assert!(
            margin.starts_with("a margin of 200 mm on each side"),
            "{margin}"
        );
        let beside = told(&|p| p.no_go_mm = vec![[[300.0, 300.0], [400.0, 400.0]]]);
        assert!(beside.contains("beside a bed of 220x220x250"), "{beside}");
        let gap = told(&|p| p.clearance_mm = Some(f64::NAN));
        assert!(gap.starts_with("a clearance_mm of NaN"), "{gap}");
    }

    #[test]
    fn what_may_not_be_printed_on_is_not_usable() {
        let mut printer = Printer::rectangular("bed-1", 220.0, 220.0, 250.0);
        printer.no_go_mm = vec![[[0.0, 0.0], [220.0, 12.0]]];
        printer.top_margin_mm = 5.0;
        assert!(printer.checked().is_ok());
        assert_eq!(printer.usable_mm(), [216.0, 206.0, 245.0]);
        printer.no_go_mm.push([[0.0, 20.0], [220.0, 10.0]]);
        assert!(matches!(printer.checked(), Err(BadBed::NoGo(_))));
        printer.no_go_mm = vec![[[0.0, 0.0], [220.0, 220.0]]];
        assert!(matches!(printer.checked(), Err(BadBed::Size { .. })));
        let mut round: Printer = "round200x300".parse().unwrap();
        round.no_go_mm = vec![[[0.0, 0.0], [20.0, 20.0]]];
        assert!(matches!(round.checked(), Err(BadBed::NoGo(_))));
        round.no_go_mm.clear();
        round.top_margin_mm = -1.0;
        assert!(matches!(round.checked(), Err(BadBed::TopMargin(_))));
    }

    #[test]
    fn a_wrong_print_profile_is_refused_with_its_printer() {
        let mut printer = Printer::rectangular("bed-1", 220.0, 220.0, 250.0);
        printer.print = Some(PrintProfile {
            layer_mm: 0.0,
            ..PrintProfile::default()
        });
        assert!(matches!(printer.checked(), Err(BadBed::Profile(_))));
    }
}
