//! What applies to every seam unless the seam says otherwise.

use std::fmt;

use joinery::JointRules;
use printing::{BrokenRule, Material, PrintProfile, within};
use serde::de::value::MapAccessDeserializer;
use serde::de::{Error, MapAccess, Visitor};
use serde::{Deserialize, Deserializer, Serialize};

use crate::joint_choice::JointChoice;
use crate::objective::rates::{FormerWeights, Rates};
use crate::side::Side;
use crate::wishes::Wishes;

/// What applies to every seam unless the seam says otherwise.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Settings {
    /// The joints to use, in order of preference.
    pub joint: JointChoice,
    /// Sides whose faces must not show a joint.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub hide: Vec<Side>,
    /// Which way is up where the furniture stands.
    #[serde(skip_serializing_if = "is_top")]
    pub up: Side,
    /// How far seams through boards are tilted off square; 0 leaves them
    /// square.
    #[serde(skip_serializing_if = "is_zero")]
    pub scarf_deg: f64,
    /// What pieces are printed in. Plans of earlier versions have its density
    /// alone.
    #[serde(alias = "density_g_cm3", deserialize_with = "material_or_density")]
    pub material: Material,
    /// Whether ids and seams are engraved in hidden faces of the pieces.
    pub labels: bool,
    /// How pieces are printed, for estimates.
    pub print: PrintProfile,
    /// What the maker wants of the cuts.
    #[serde(skip_serializing_if = "Wishes::is_empty")]
    pub wishes: Wishes,
    /// What makes one plan better than another.
    pub rates: Rates,
    /// What plans of earlier versions had instead; it is read so that those still are,
    /// kept, and does nothing.
    #[serde(rename = "weights", skip_serializing_if = "FormerWeights::is_empty")]
    pub former_weights: FormerWeights,
    /// The numbers that joints are made from.
    pub joints: JointRules,
}

/// A material by its fields, or by its density alone.
fn material_or_density<'de, D: Deserializer<'de>>(from: D) -> Result<Material, D::Error> {
    struct Either;

    impl<'de> Visitor<'de> for Either {
        type Value = Material;

        fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
            f.write_str("a table with the numbers of a material, or its density")
        }

        fn visit_f64<E: Error>(self, density_g_cm3: f64) -> Result<Material, E> {
            Ok(Material {
                density_g_cm3,
                ..Material::default()
            })
        }

        fn visit_i64<E: Error>(self, density: i64) -> Result<Material, E> {
            self.visit_f64(density as f64)
        }

        fn visit_map<A: MapAccess<'de>>(self, fields: A) -> Result<Material, A::Error> {
            Material::deserialize(MapAccessDeserializer::new(fields))
        }
    }

    from.deserialize_any(Either)
}

fn is_top(side: &Side) -> bool {
    *side == Side::TOP
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
        self.rates.checked()?;
        for value in self.former_weights.values() {
            within("weights", *value, 0.0, 100.0)?;
        }
        self.print.checked()?;
        self.wishes.checked()?;
        self.material.checked()?;
        within("scarf_deg", self.scarf_deg, 0.0, STEEPEST_SCARF_DEG)
    }
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            joint: JointChoice::default(),
            hide: Vec::new(),
            up: Side::TOP,
            scarf_deg: 0.0,
            material: Material::default(),
            print: PrintProfile::default(),
            wishes: Wishes::default(),
            labels: true,
            rates: Rates::default(),
            former_weights: FormerWeights::new(),
            joints: JointRules::default(),
        }
    }
}
