//! The numbers that every joint is made from, and the rules they keep.

use printing::{BrokenRule, within};
use serde::{Deserialize, Serialize};

use crate::kind::abilities::Form;
use crate::kind::joint_kind::JointKind;

/// The numbers that every joint is made from. Where no source is named they
/// are common practice, without a published source.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct JointRules {
    /// Angle between the two flanks of a tail.
    pub included_angle_deg: f64,
    /// Width of a full-size tail at its widest.
    pub tail_width_mm: f64,
    /// Depth of a full-size tail; narrower tails are less deep in proportion.
    pub tail_depth_mm: f64,
    /// The narrowest tail worth making, at its widest.
    pub least_tail_width_mm: f64,
    /// How much each flank leans along the slide. It is made smaller where the
    /// run is so long that the narrow end would lose its width.
    pub slide_taper_deg: f64,
    /// Width of a brace at its widest.
    pub brace_width_mm: f64,
    /// Depth of a brace.
    pub brace_depth_mm: f64,
    /// Width of a finger at its base; fingers stand at twice this.
    pub finger_width_mm: f64,
    /// How much each flank of a finger leans along the slide.
    pub finger_taper_deg: f64,
    /// How much each face of a tenon leans along its depth.
    pub tenon_taper_deg: f64,
    /// Depth of a tenon.
    pub tenon_depth_mm: f64,
    /// Gap between the flanks of a tail and its socket.
    pub clearance_mm: f64,
    /// Gap between the crest of a tail and the floor of its socket, so that
    /// the shoulders close first.
    pub crest_relief_mm: f64,
    /// Gap beyond the end of a stopped tail, so that the wedge seats before it
    /// bottoms.
    pub stop_relief_mm: f64,
    /// Radius of convex edges of a profile.
    pub convex_radius_mm: f64,
    /// Radius of concave edges of a profile.
    pub concave_radius_mm: f64,
    /// How far the root of a tail is carried past the seam into its own half.
    pub root_mm: f64,
    /// Land between neighbouring tails, in tail widths.
    pub land_ratio: f64,
    /// Land between neighbouring keys, in key widths: each is a part to print and
    /// to drive in.
    pub key_land_ratio: f64,
    /// The wall beside a tail, in tail widths; never under the least wall.
    pub wall_ratio: f64,
    /// The thinnest wall that a cut may leave.
    pub min_wall_mm: f64,
}

/// A row's fingers are stretched a little to fill their strip: up to this many
/// finger widths.
pub(crate) const LONGEST_FINGER: f64 = 1.25;

impl Default for JointRules {
    fn default() -> Self {
        Self {
            included_angle_deg: 30.0,
            tail_width_mm: 10.5,
            tail_depth_mm: 8.0,
            least_tail_width_mm: 3.0,
            slide_taper_deg: 1.5,
            brace_width_mm: 4.0,
            brace_depth_mm: 3.0,
            finger_width_mm: 8.0,
            finger_taper_deg: 1.0,
            tenon_taper_deg: 1.5,
            tenon_depth_mm: 8.0,
            clearance_mm: 0.05,
            crest_relief_mm: 0.2,
            stop_relief_mm: 4.0,
            convex_radius_mm: 0.3,
            concave_radius_mm: 0.2,
            root_mm: 2.0,
            land_ratio: 1.5,
            key_land_ratio: 4.0,
            wall_ratio: 0.35,
            min_wall_mm: 1.2,
        }
    }
}

impl JointRules {
    /// Half the included angle, in radians.
    pub fn half_angle(&self) -> f64 {
        self.included_angle_deg.to_radians() / 2.0
    }

    /// The wall that stays beside a tail of a given width.
    pub fn wall_beside_mm(&self, tail_width_mm: f64) -> f64 {
        (self.wall_ratio * tail_width_mm).max(self.min_wall_mm + 0.2)
    }

    /// The material that stays beside a row of fingers, measured from the base
    /// of the last: a wall beyond its belly.
    pub fn wall_beside_fingers_mm(&self) -> f64 {
        // The arc that ends a finger as deep as it is wide touches both flanks.
        let base = LONGEST_FINGER * self.finger_width_mm;
        let (sin, cos) = self.half_angle().sin_cos();
        let belly = base * (sin + cos / 2.0) / (1.0 + sin);
        self.wall_beside_mm(self.finger_width_mm) + (belly - base / 2.0).max(0.0)
    }

    /// How far a joint of a kind reaches past the seam: from the tails' half
    /// into the other, and the other way.
    ///
    /// ```
    /// use joinery::{JointKind, JointRules};
    ///
    /// let rules = JointRules::default();
    /// assert_eq!(rules.reach_of_mm(JointKind::Dovetail), (8.0, 0.0));
    /// assert_eq!(rules.reach_of_mm(JointKind::BracedDovetail), (8.0, 3.0));
    /// ```
    pub fn reach_of_mm(&self, kind: JointKind) -> (f64, f64) {
        let finger = LONGEST_FINGER * self.finger_width_mm;
        match kind.abilities().form {
            Form::Tail | Form::Tongue => (self.tail_depth_mm, 0.0),
            Form::BracedTail => (self.tail_depth_mm, self.brace_depth_mm),
            Form::Fingers => (finger, finger),
            Form::Key => (self.tail_depth_mm, self.tail_depth_mm),
            Form::Block => (self.tenon_depth_mm, 0.0),
            Form::Flat => (0.0, 0.0),
        }
    }

    /// How far some joints reach at the most, forward and back.
    pub fn reach_of_any_mm(&self, kinds: &[JointKind]) -> (f64, f64) {
        kinds
            .iter()
            .map(|&k| self.reach_of_mm(k))
            .fold((0.0, 0.0), |a: (f64, f64), b| (a.0.max(b.0), a.1.max(b.1)))
    }

    /// How much some joints add to a piece beyond its seams at the most,
    /// forward and back. A key adds to neither half.
    pub fn growth_of_any_mm(&self, kinds: &[JointKind]) -> (f64, f64) {
        let growing: Vec<JointKind> = kinds.iter().copied().filter(|k| !k.is_key()).collect();
        self.reach_of_any_mm(&growing)
    }

    /// How far any joint reaches past its seam at the most.
    pub fn reach_mm(&self) -> f64 {
        self.reach_of_any_mm(&JointKind::ALL).0
    }

    /// Checks every number.
    ///
    /// # Errors
    ///
    /// The first number that breaks a rule, and the rule.
    ///
    /// ```
    /// use joinery::JointRules;
    ///
    /// let rules = JointRules { clearance_mm: -0.1, ..JointRules::default() };
    /// assert_eq!(rules.checked().unwrap_err().name, "clearance_mm");
    /// ```
    pub fn checked(&self) -> Result<(), BrokenRule> {
        within("included_angle_deg", self.included_angle_deg, 4.0, 90.0)?;
        within("tail_width_mm", self.tail_width_mm, 2.0, 200.0)?;
        within("tail_depth_mm", self.tail_depth_mm, 1.0, 100.0)?;
        within(
            "least_tail_width_mm",
            self.least_tail_width_mm,
            2.0,
            self.tail_width_mm,
        )?;
        within("slide_taper_deg", self.slide_taper_deg, 0.0, 8.0)?;
        within("brace_width_mm", self.brace_width_mm, 3.0, 50.0)?;
        within("brace_depth_mm", self.brace_depth_mm, 1.0, 50.0)?;
        within("finger_width_mm", self.finger_width_mm, 3.0, 100.0)?;
        within("finger_taper_deg", self.finger_taper_deg, 0.0, 8.0)?;
        within("tenon_taper_deg", self.tenon_taper_deg, 0.0, 15.0)?;
        within("tenon_depth_mm", self.tenon_depth_mm, 1.0, 100.0)?;
        within("clearance_mm", self.clearance_mm, 0.0, 1.0)?;
        within("crest_relief_mm", self.crest_relief_mm, 0.0, 2.0)?;
        within("stop_relief_mm", self.stop_relief_mm, 0.0, 20.0)?;
        within("convex_radius_mm", self.convex_radius_mm, 0.0, 3.0)?;
        within("concave_radius_mm", self.concave_radius_mm, 0.0, 3.0)?;
        within("root_mm", self.root_mm, 0.5, 20.0)?;
        within("land_ratio", self.land_ratio, 0.3, 20.0)?;
        within("key_land_ratio", self.key_land_ratio, 0.3, 20.0)?;
        within("wall_ratio", self.wall_ratio, 0.0, 5.0)?;
        within("min_wall_mm", self.min_wall_mm, 0.2, 20.0)?;
        let brace = self.brace_width_mm - 2.0 * self.brace_depth_mm * self.half_angle().tan();
        if brace < 0.4 * self.brace_width_mm {
            return Err(BrokenRule {
                name: "brace_depth_mm",
                value: self.brace_depth_mm,
                rule: format!(
                    "with this width and angle the neck of a brace is {brace:.2} mm, under four tenths of its width"
                ),
            });
        }
        let neck = self.tail_width_mm - 2.0 * self.tail_depth_mm * self.half_angle().tan();
        if neck < 0.3 * self.tail_width_mm {
            return Err(BrokenRule {
                name: "tail_depth_mm",
                value: self.tail_depth_mm,
                rule: format!(
                    "with this width and angle the neck is {neck:.2} mm, under three tenths of \
                     the width; make the tail less deep, wider, or its angle smaller"
                ),
            });
        }
        if self.convex_radius_mm < self.concave_radius_mm {
            return Err(BrokenRule {
                name: "convex_radius_mm",
                value: self.convex_radius_mm,
                rule: "it must be at least concave_radius_mm, or edges would bear in corners"
                    .into(),
            });
        }
        Ok(())
    }
}
