use joinery::JointRules;
use serde::{Deserialize, Serialize};
use solid::{Bounds, Frame, KernelError, Point, Solid, Vector};

use crate::{JointChoice, Region, RuleChanges, Settings};

/// One plane of the cut tree.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PlannedSeam {
    /// `S1`, `S2`, …
    pub id: String,
    /// What it cuts: `whole`, or one side of an earlier seam: `S1 above` or
    /// `S1 below`; above is where the normal points.
    pub cuts: Region,
    /// The plane's normal, of length one.
    pub normal: [f64; 3],
    /// The plane's place along its normal, from the model's origin.
    pub at_mm: f64,
    /// The box, by two opposite corners, within which it cuts, where it does not
    /// go right through: what lies below the plane outside the box counts as
    /// above it. The box's sides must stand in the air.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub within_mm: Option<[[f64; 3]; 2]>,
    /// The joints for this seam, where they differ from the settings.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub joint: Option<JointChoice>,
    /// The way the tails' half moves to go home, where it is prescribed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub slide: Option<[f64; 3]>,
    /// Why it is here. Not read.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub reason: String,
    /// Numbers of the joints that differ from the settings on this seam.
    #[serde(default, skip_serializing_if = "RuleChanges::is_empty")]
    pub joints: RuleChanges,
    /// Contacts of this seam that have terms of their own.
    #[serde(rename = "contact", default, skip_serializing_if = "Vec::is_empty")]
    pub contacts: Vec<PlannedContact>,
}

/// What one contact has of its own.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PlannedContact {
    /// The two pieces that meet, in either order.
    pub pieces: [String; 2],
    /// The joints for this contact, where they differ from the seam's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub joint: Option<JointChoice>,
    /// Numbers of the joints that differ from the seam's.
    #[serde(default, skip_serializing_if = "RuleChanges::is_empty")]
    pub joints: RuleChanges,
}

/// What the joints of one contact are made from.
#[derive(Clone, Debug, PartialEq)]
pub struct Terms {
    /// The joints to try, in order.
    pub choice: JointChoice,
    /// The numbers.
    pub rules: JointRules,
}

impl PlannedSeam {
    /// The seam's plane; the normal is the plane's positive side.
    pub fn frame(&self) -> Frame {
        let n = Vector::from(self.normal);
        Frame::facing(Point::from(n * self.at_mm), n)
    }

    /// A seam without terms of its own.
    pub fn at(id: &str, cuts: Region, normal: [f64; 3], at_mm: f64) -> Self {
        Self {
            id: id.to_owned(),
            cuts,
            normal,
            at_mm,
            within_mm: None,
            joint: None,
            slide: None,
            reason: String::new(),
            joints: RuleChanges::default(),
            contacts: Vec::new(),
        }
    }

    /// The same with seams called otherwise.
    pub fn renamed(&self, name: impl Fn(&str) -> String) -> Self {
        Self {
            id: name(&self.id),
            cuts: self.cuts.renamed(name),
            ..self.clone()
        }
    }

    /// The box within which it cuts, where it does not go right through.
    pub fn within(&self) -> Option<Bounds> {
        let [a, b] = self.within_mm?;
        Some(Bounds::between(a.into(), b.into()))
    }

    /// What lies on one side of it.
    ///
    /// # Errors
    ///
    /// When the kernel refuses the solid.
    ///
    /// ```
    /// use planner::{PlannedSeam, Region};
    /// use solid::{Point, Solid};
    ///
    /// // Two posts on a plate; the seam cuts the one at the left.
    /// let block = |a: [f64; 3], b: [f64; 3]| Solid::cuboid(Point::from(a), Point::from(b));
    /// let left = block([0.0, 0.0, 0.0], [20.0, 20.0, 100.0]);
    /// let right = block([80.0, 0.0, 0.0], [100.0, 20.0, 100.0]);
    /// let plate = block([0.0, 0.0, 100.0], [100.0, 20.0, 110.0]);
    /// let stool = Solid::union_of([&left, &right, &plate]).unwrap();
    /// let seam = PlannedSeam {
    ///     within_mm: Some([[-5.0, -5.0, -5.0], [25.0, 25.0, 120.0]]),
    ///     ..PlannedSeam::at("S1", Region::Whole, [0.0, 0.0, 1.0], 40.0)
    /// };
    /// let below = seam.side_of(&stool, false).unwrap();
    /// assert!((below.volume_mm3() - 20.0 * 20.0 * 40.0).abs() < 1e-6);
    /// let above = seam.side_of(&stool, true).unwrap();
    /// assert_eq!(above.bodies().len(), 1);
    /// assert!((above.volume_mm3() + below.volume_mm3() - stool.volume_mm3()).abs() < 1e-6);
    /// ```
    pub fn side_of(&self, solid: &Solid, above: bool) -> Result<Solid, KernelError> {
        let frame = self.frame();
        match self.within() {
            None if above => solid.trimmed(&frame),
            None => solid.trimmed(&frame.flipped()),
            Some(b) => {
                let below = Solid::cuboid(b.min, b.max).trimmed(&frame.flipped())?;
                if above {
                    solid.difference(&below)
                } else {
                    solid.intersection(&below)
                }
            }
        }
    }

    /// Whether a point lies above it, by the same measure.
    pub fn is_above(&self, p: &Point) -> bool {
        let outside = self.within().is_some_and(|b| !b.contains(p, 0.0));
        outside || self.frame().height(p) > 0.0
    }

    /// The terms that hold where no contact has its own. Changes that a
    /// checked plan would not have count as none.
    pub fn terms(&self, settings: &Settings) -> Terms {
        let base = &settings.joints;
        Terms {
            choice: self.joint.as_ref().unwrap_or(&settings.joint).clone(),
            rules: self.joints.applied(base).unwrap_or_else(|_| base.clone()),
        }
    }

    /// The terms for the contact of two pieces.
    pub fn terms_between(&self, settings: &Settings, pieces: [&str; 2]) -> Terms {
        let terms = self.terms(settings);
        let [a, b] = pieces;
        let own = self
            .contacts
            .iter()
            .find(|c| c.pieces == [a, b] || c.pieces == [b, a]);
        match own {
            None => terms,
            Some(own) => Terms {
                choice: own.joint.clone().unwrap_or(terms.choice),
                rules: own.joints.applied(&terms.rules).unwrap_or(terms.rules),
            },
        }
    }

    /// The terms of the seam and of all contacts that have their own.
    pub fn all_terms(&self, settings: &Settings) -> Vec<Terms> {
        let own = self
            .contacts
            .iter()
            .map(|c| self.terms_between(settings, [&c.pieces[0], &c.pieces[1]]));
        std::iter::once(self.terms(settings)).chain(own).collect()
    }
}
