//! The tapered mortise and tenon, pushed in along the seam's normal.
//!
//! A block with rounded edges whose four faces lean inward. It holds by the
//! friction of its taper only: nothing but friction stops it being pulled out
//! the way it came.

use serde::de::Error;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use solid::{Frame, Ring, Solid};

use printing::{BrokenRule, within};

use crate::rules::JointRules;
use crate::shape::joint::{Joint, JointError};
use crate::shape::profile::{Corner, rounded};

/// One tenon, fully dimensioned.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(remote = "Self")]
pub struct Tenon {
    /// Middle of its foot on the seam, `(u, v)`.
    pub centre_mm: [f64; 2],
    /// Sizes of its foot along `u` and `v`.
    pub foot_mm: [f64; 2],
    /// Depth from the seam to its end.
    pub depth_mm: f64,
    /// Lean of each face along the depth, in radians.
    pub taper: f64,
    rules: JointRules,
}

impl Serialize for Tenon {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        Self::serialize(self, to)
    }
}

/// Numbers from outside keep the rules of those made inside.
impl<'de> Deserialize<'de> for Tenon {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let read = Self::deserialize(from)?;
        read.checked().map_err(D::Error::custom)?;
        Ok(read)
    }
}

impl Tenon {
    /// Checks every number: what a record read from a file has to keep.
    ///
    /// # Errors
    ///
    /// The first that breaks a rule, and the rule.
    pub fn checked(&self) -> Result<(), BrokenRule> {
        self.rules.checked()?;
        for centre in self.centre_mm {
            within("tenon.centre_mm", centre, -1e5, 1e5)?;
        }
        for foot in self.foot_mm {
            within("tenon.foot_mm", foot, 0.5, 1000.0)?;
        }
        within("tenon.depth_mm", self.depth_mm, 0.1, 200.0)?;
        within("tenon.taper", self.taper, 0.0, 0.3)
    }

    /// A tenon with a given foot; its depth is that of the rules, less where
    /// the foot is narrow.
    ///
    /// # Errors
    ///
    /// When the foot is narrower than the least tail.
    pub fn sized(
        centre_mm: [f64; 2],
        foot_mm: [f64; 2],
        rules: &JointRules,
    ) -> Result<Self, JointError> {
        let least = foot_mm[0].min(foot_mm[1]);
        if least < rules.least_tail_width_mm {
            return Err(JointError::TooSmall {
                what: "the foot of a tenon",
                short_mm: least,
                needed_mm: rules.least_tail_width_mm,
            });
        }
        let depth_mm = rules.tenon_depth_mm.min(2.0 * least);
        let taper = rules
            .tenon_taper_deg
            .to_radians()
            .min((0.15 * least / depth_mm).atan());
        Ok(Self {
            centre_mm,
            foot_mm,
            depth_mm,
            taper,
            rules: rules.clone(),
        })
    }

    /// The play on each of its faces.
    pub fn clearance_mm(&self) -> f64 {
        self.rules.clearance_mm
    }

    /// The tenon and its mortise on a seam.
    ///
    /// # Errors
    ///
    /// When the solids do not close.
    pub fn joint(&self, seam: &Frame) -> Result<Joint, JointError> {
        let r = &self.rules;
        let across = r.clearance_mm * (1.0 + self.taper.tan().powi(2)).sqrt();
        let at = |n: f64, grown: f64, radius: f64| (n, self.ring(n, grown, radius));
        let rings = |depth: f64, grown: f64, radius: f64| {
            [at(-r.root_mm, grown, radius), at(depth, grown, radius)]
        };
        Ok(Joint::of_tail(
            Solid::loft(seam, &rings(self.depth_mm, 0.0, r.convex_radius_mm))?,
            Solid::loft(
                seam,
                &rings(
                    self.depth_mm + r.crest_relief_mm,
                    across,
                    r.concave_radius_mm,
                ),
            )?,
        ))
    }

    fn ring(&self, n: f64, grown: f64, radius: f64) -> Ring {
        let [hu, hv] = self.foot_mm.map(|s| s / 2.0 - n * self.taper.tan() + grown);
        let [cu, cv] = self.centre_mm;
        rounded(&[
            Corner::round(cu - hu, cv - hv, radius),
            Corner::round(cu + hu, cv - hv, radius),
            Corner::round(cu + hu, cv + hv, radius),
            Corner::round(cu - hu, cv + hv, radius),
        ])
    }
}
