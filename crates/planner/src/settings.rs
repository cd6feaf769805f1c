use joinery::{BrokenRule, JointRules};
use serde::{Deserialize, Serialize};

use crate::{JointChoice, PrintProfile, Side, Weights, Wishes};

/// What applies to every seam unless the seam says otherwise.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Settings {
    /// The joints to use, in order of preference.
    pub joint: JointChoice,
    /// Sides whose faces must not show a joint.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub hide: Vec<Side>,
    /// How far seams through boards are tilted off square; 0 leaves them
    /// square.
    #[serde(skip_serializing_if = "is_zero")]
    pub scarf_deg: f64,
    /// Density of the material, for the masses in the cut list.
    pub density_g_cm3: f64,
    /// Whether ids and seams are engraved in hidden faces of the pieces.
    pub labels: bool,
    /// How pieces are printed, for estimates.
    pub print: PrintProfile,
    /// What the maker wants of the cuts.
    #[serde(skip_serializing_if = "Wishes::is_empty")]
    pub wishes: Wishes,
    /// What makes one plan better than another.
    pub weights: Weights,
    /// The numbers that joints are made from.
    pub joints: JointRules,
}

fn is_zero(x: &f64) -> bool {
    *x == 0.0
}

/// The steepest scarf: beyond it the feather edges are too thin to print, and
/// a joint square to the seam comes out of the face.
const STEEPEST_SCARF_DEG: f64 = 45.0;

impl Settings {
    /// Checks every number.
    ///
    /// # Errors
    ///
    /// The first that breaks a rule, and the rule.
    pub fn checked(&self) -> Result<(), BrokenRule> {
        self.joints.checked()?;
        self.weights.checked()?;
        self.print.checked()?;
        self.wishes.checked()?;
        let within = |name, value: f64, low: f64, high: f64| {
            if value >= low && value <= high {
                return Ok(());
            }
            Err(BrokenRule {
                name,
                value,
                rule: format!("it must lie from {low} to {high}"),
            })
        };
        within("scarf_deg", self.scarf_deg, 0.0, STEEPEST_SCARF_DEG)?;
        within("density_g_cm3", self.density_g_cm3, 0.05, 30.0)
    }
}

impl Default for Settings {
    fn default() -> Self {
        // PLA, from memory.
        Self {
            joint: JointChoice::default(),
            hide: Vec::new(),
            scarf_deg: 0.0,
            density_g_cm3: 1.24,
            print: PrintProfile::default(),
            wishes: Wishes::default(),
            labels: true,
            weights: Weights::default(),
            joints: JointRules::default(),
        }
    }
}
