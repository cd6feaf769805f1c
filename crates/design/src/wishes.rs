//! What the maker wants of the cuts.

use printing::{BrokenRule, PlateCap, within};
use serde::{Deserialize, Serialize};

use solid::{Bounds, Isometry, Point, Vector};

use crate::lying_wish::LyingWish;
use crate::wished::{Axis, LEAST_BOX_MM, SeamAt, Whole, thinnest};

/// What the maker wants of the cuts. Boxes and places are in the model's
/// coordinates.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Wishes {
    /// Boxes through which no seam goes, by two opposite corners: features to
    /// spare.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub keep_out_mm: Vec<[[f64; 3]; 2]>,
    /// Parts that must each be in one piece.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub whole: Vec<Whole>,
    /// Seams that must be.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub seam_at: Vec<SeamAt>,
    /// Axes that no seam is square to.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub no_cut: Vec<Axis>,
    /// The longest that a piece may be along any axis, without its joints.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub largest_mm: Option<f64>,
    /// A piece whose longest side is under this is to be avoided.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub smallest_mm: Option<f64>,
    /// What a spool holds, where that is not 1000 g: no piece and no plate of several
    /// takes more, less a twentieth, if that can be.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub spool_g: Option<f64>,
    /// The longest that a piece or a plate of several prints, if that can be.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub longest_print_h: Option<f64>,
    /// Whether pieces are to print without support.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub no_supports: bool,
    /// Whether it is to be parted where boards and legs meet, and only what does not fit a
    /// printer cut further.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub by_members: bool,
    /// Whether bodies that stand apart are cut by the same planes, not each by itself.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub together: bool,
    /// How single pieces are to lie.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub lying: Vec<LyingWish>,
}

/// What a spool holds unless told.
const SPOOL_G: f64 = 1000.0;
/// No furniture reaches further from the origin of its model.
const FAR_MM: f64 = 1e6;
impl Wishes {
    /// What of it concerns a part of the model that lies in a box.
    ///
    /// ```
    /// use design::Wishes;
    /// use solid::{Bounds, Point};
    ///
    /// let mut wishes = Wishes::default();
    /// wishes.keep_out_mm.push([[0.0; 3], [10.0; 3]]);
    /// let about = |x| Bounds::between(Point::new(x, 0.0, 0.0), Point::new(x + 50.0, 50.0, 50.0));
    /// assert_eq!(wishes.within(&about(5.0)), wishes);
    /// assert!(wishes.within(&about(60.0)).is_empty());
    /// ```
    #[must_use]
    pub fn within(&self, part: &Bounds) -> Self {
        let mut out = self.clone();
        out.seam_at.retain(|s| {
            let k = s.axis.index();
            part.min[k] < s.at_mm && s.at_mm < part.max[k]
        });
        let meets =
            |[a, b]: &[[f64; 3]; 2]| Bounds::between((*a).into(), (*b).into()).overlaps(part, 0.0);
        out.keep_out_mm.retain(meets);
        out.whole.retain(|w| w.bounds().overlaps(part, 0.0));
        out
    }

    /// Whether nothing is wished.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// The most plastic that a piece or a plate of several may take.
    ///
    /// ```
    /// use design::Wishes;
    ///
    /// let wishes = Wishes { spool_g: Some(750.0), ..Wishes::default() };
    /// assert_eq!(wishes.most_plastic_g(), 712.5);
    /// assert_eq!(Wishes::default().most_plastic_g(), 950.0);
    /// ```
    pub fn most_plastic_g(&self) -> f64 {
        PlateCap::of_spool(self.spool_g.unwrap_or(SPOOL_G)).plastic_g
    }

    /// Checks every number.
    ///
    /// # Errors
    ///
    /// The first that breaks a rule, and the rule.
    pub fn checked(&self) -> Result<(), BrokenRule> {
        let fail = |name, value, rule: &str| {
            Err(BrokenRule {
                name,
                value,
                rule: rule.into(),
            })
        };
        let keep_out = self.keep_out_mm.iter().map(|b| ("wishes.keep_out_mm", b));
        let whole = self.whole.iter().map(|w| ("wishes.whole", &w.box_mm));
        for (name, corners) in keep_out.chain(whole) {
            if let Some(x) = corners
                .iter()
                .flatten()
                .find(|x| x.is_nan() || x.abs() > FAR_MM)
            {
                return fail(
                    name,
                    *x,
                    "it must be a number of millimetres, under a kilometre",
                );
            }
            if let Some(thin) = thinnest(corners).filter(|thin| *thin < LEAST_BOX_MM) {
                return fail(
                    name,
                    thin,
                    "a box must be at least 0.001 mm long along each axis",
                );
            }
        }
        for (name, value) in [
            ("wishes.largest_mm", self.largest_mm),
            ("wishes.smallest_mm", self.smallest_mm),
        ] {
            if let Some(x) = value.filter(|x| !(1.0..=20_000.0).contains(x)) {
                return fail(name, x, "it must lie from 1 to 20000");
            }
        }
        for (name, value, low, high) in [
            ("wishes.spool_g", self.spool_g, 10.0, 100_000.0),
            (
                "wishes.longest_print_h",
                self.longest_print_h,
                0.1,
                10_000.0,
            ),
        ] {
            if let Some(x) = value {
                within(name, x, low, high)?;
            }
        }
        if self.no_cut.len() >= 3
            && [Axis::X, Axis::Y, Axis::Z]
                .iter()
                .all(|a| self.no_cut.contains(a))
        {
            return fail("wishes.no_cut", 3.0, "one axis must be left to cut across");
        }
        if let Some(mm) = self.smallest_mm
            && self.largest_mm.is_some_and(|largest| mm > largest)
        {
            let rule = "it must be no more than wishes.largest_mm";
            return fail("wishes.smallest_mm", mm, rule);
        }
        if let Some(seam) = self.seam_at.iter().find(|s| self.no_cut.contains(&s.axis)) {
            let rule = format!("wishes.no_cut lets no seam be square to {}", seam.axis);
            return fail("wishes.seam_at", seam.at_mm, &rule);
        }
        self.lying.iter().try_for_each(LyingWish::checked)?;
        match self.seam_at.iter().find(|s| !s.at_mm.is_finite()) {
            Some(s) => fail("wishes.seam_at", s.at_mm, "it must be a number"),
            None => Ok(()),
        }
    }

    /// The first wish that has nothing to do with a model that lies in a box: its
    /// name.
    ///
    /// ```
    /// use design::Wishes;
    /// use solid::{Bounds, Point};
    ///
    /// let model = Bounds::between(Point::origin(), Point::new(600.0, 90.0, 18.0));
    /// let mut wishes = Wishes { seam_at: vec!["x=300".parse().unwrap()], ..Wishes::default() };
    /// assert_eq!(wishes.astray(&model), None);
    /// wishes.seam_at.push("x=600".parse().unwrap());
    /// assert_eq!(wishes.astray(&model).unwrap(), "a seam at x = 600 mm");
    /// ```
    pub fn astray(&self, model: &Bounds) -> Option<String> {
        let beside = |corners: &[[f64; 3]; 2]| {
            let [a, b] = corners.map(Point::from);
            !Bounds::between(a, b).overlaps(model, 0.0)
        };
        let spared = self.keep_out_mm.iter().filter(|b| beside(b));
        let spared = spared.map(|[a, b]| format!("no seam in the box {a:?} to {b:?}"));
        let whole = self.whole.iter().filter(|w| beside(&w.box_mm));
        let whole = whole.map(|w| format!("{} in one piece", w.name));
        let cuts = |s: &SeamAt| {
            let k = s.axis.index();
            model.min[k] < s.at_mm && s.at_mm < model.max[k]
        };
        let seams = self.seam_at.iter().filter(|s| !cuts(s));
        let seams = seams.map(|s| format!("a seam at {} = {} mm", s.axis, s.at_mm));
        let beside = |w: &&LyingWish| !model.contains(&Point::from(w.at_mm), 0.0);
        let lying = self.lying.iter().filter(beside);
        let lying = lying.map(|w| format!("how the piece at {:?} lies", w.at_mm));
        spared.chain(whole).chain(seams).chain(lying).next()
    }

    /// Each wish alone left out, with its name: to find which one stands in
    /// the way.
    pub fn each_left_out(&self) -> Vec<(String, Self)> {
        let mut out = Vec::new();
        for (k, [a, b]) in self.keep_out_mm.iter().enumerate() {
            let mut less = self.clone();
            less.keep_out_mm.remove(k);
            out.push((format!("no seam in the box {a:?} to {b:?}"), less));
        }
        for (k, whole) in self.whole.iter().enumerate() {
            let mut less = self.clone();
            less.whole.remove(k);
            out.push((format!("{} in one piece", whole.name), less));
        }
        for (k, seam) in self.seam_at.iter().enumerate() {
            let mut less = self.clone();
            less.seam_at.remove(k);
            out.push((format!("a seam at {} = {} mm", seam.axis, seam.at_mm), less));
        }
        for (k, axis) in self.no_cut.iter().enumerate() {
            let mut less = self.clone();
            less.no_cut.remove(k);
            out.push((format!("no cut across {axis}"), less));
        }
        if let Some(mm) = self.largest_mm {
            let less = Self {
                largest_mm: None,
                ..self.clone()
            };
            out.push((format!("no piece longer than {mm} mm"), less));
        }
        out
    }

    /// Whether no seam is to look along a direction.
    ///
    /// ```
    /// use design::{Axis, Wishes};
    /// use solid::Vector;
    ///
    /// let wishes = Wishes { no_cut: vec![Axis::Z], ..Wishes::default() };
    /// assert!(wishes.closes(&-Vector::z()) && !wishes.closes(&Vector::x()));
    /// ```
    pub fn closes(&self, direction: &Vector) -> bool {
        let nearest = direction.map(f64::abs).imax();
        self.no_cut.iter().any(|axis| axis.index() == nearest)
    }

    /// The boxes that no seam goes through, in the coordinates that a turn takes
    /// the model to.
    pub fn boxes(&self, turn: &Isometry) -> Vec<Bounds> {
        let spared = self.keep_out_mm.iter();
        spared
            .map(|[a, b]| Bounds::between(Point::from(*a), Point::from(*b)))
            .chain(self.whole.iter().map(Whole::bounds))
            .map(|given| given.moved(turn))
            .collect()
    }

    /// The axes not to cut and the seams that must be, in the coordinates that
    /// a turn takes the model to; where that stands askew, by the nearest axis.
    pub fn on_axes(&self, turn: &Isometry) -> ([bool; 3], [Vec<f64>; 3]) {
        let (mut closed, mut forced) = ([false; 3], [Vec::new(), Vec::new(), Vec::new()]);
        for axis in &self.no_cut {
            let d: Vector = turn.rotation * Vector::ith(axis.index(), 1.0);
            closed[d.map(f64::abs).imax()] = true;
        }
        for seam in &self.seam_at {
            let d: Vector = turn.rotation * Vector::ith(seam.axis.index(), 1.0);
            let k = d.map(f64::abs).imax();
            forced[k].push(seam.at_mm * d[k].signum());
        }
        (closed, forced)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wished::corners;

    #[test]
    fn a_flat_box_is_refused_on_the_command_line_and_in_a_plan() {
        let flat = "0,0,0:0,50,18";
        assert!(corners(flat).unwrap_err().to_string().contains("flat"));
        assert!(format!("arm={flat}").parse::<Whole>().is_err());
        let whole = Whole {
            name: "arm".into(),
            box_mm: [[0.0; 3], [0.0, 50.0, 18.0]],
        };
        let wishes = Wishes {
            whole: vec![whole],
            ..Wishes::default()
        };
        assert_eq!(wishes.checked().unwrap_err().name, "wishes.whole");
        let wishes = Wishes {
            keep_out_mm: vec![[[0.0; 3], [1e300, 1.0, 1.0]]],
            ..Wishes::default()
        };
        assert_eq!(wishes.checked().unwrap_err().name, "wishes.keep_out_mm");
    }

    #[test]
    fn wishes_that_contradict_each_other_are_refused() {
        let mut wishes = Wishes {
            seam_at: vec!["x=100".parse().unwrap()],
            no_cut: vec![Axis::Y],
            largest_mm: Some(60.0),
            smallest_mm: Some(60.0),
            ..Wishes::default()
        };
        assert_eq!(wishes.checked(), Ok(()));
        wishes.smallest_mm = Some(61.0);
        assert_eq!(wishes.checked().unwrap_err().name, "wishes.smallest_mm");
        wishes.smallest_mm = None;
        wishes.no_cut.push(Axis::X);
        let told = wishes.checked().unwrap_err().to_string();
        assert!(
            told.contains("seam_at = 100") && told.ends_with("square to x"),
            "{told}"
        );
    }
}
