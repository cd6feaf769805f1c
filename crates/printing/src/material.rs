//! The plastic that pieces are printed in, by its numbers.

use serde::{Deserialize, Serialize};

use crate::broken_rule::{BrokenRule, within};

/// What a plastic is counted with. The values that come with the program are
/// from memory; look yours up and write them into the plan.
///
/// ```
/// use printing::Material;
///
/// let petg = Material::named("PETG").unwrap();
/// assert!(petg.checked().is_ok());
/// assert_eq!(Material::default().name, "PLA");
/// assert!(Material::named("oak").is_none());
/// ```
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Material {
    /// Its usual sign.
    pub name: String,
    /// Density.
    pub density_g_cm3: f64,
    /// Tensile strength along the layers.
    pub tensile_mpa: f64,
    /// Friction of the material on itself.
    pub friction: f64,
    /// Strength across layers, as a share of that along them.
    pub across_layers: f64,
}

impl Default for Material {
    /// PLA.
    fn default() -> Self {
        Self::of("PLA", 1.24, 50.0, 0.35, 0.5)
    }
}

impl Material {
    fn of(
        name: &str,
        density_g_cm3: f64,
        tensile_mpa: f64,
        friction: f64,
        across_layers: f64,
    ) -> Self {
        Self {
            name: name.to_owned(),
            density_g_cm3,
            tensile_mpa,
            friction,
            across_layers,
        }
    }

    /// The materials that the program knows, the default first.
    pub fn known() -> [Self; 4] {
        [
            Self::default(),
            Self::of("PETG", 1.27, 42.0, 0.3, 0.5),
            Self::of("ABS", 1.04, 36.0, 0.35, 0.45),
            Self::of("ASA", 1.07, 38.0, 0.35, 0.45),
        ]
    }

    /// A known material by its sign, whatever the case of its letters.
    pub fn named(name: &str) -> Option<Self> {
        let mut known = Self::known().into_iter();
        known.find(|m| m.name.eq_ignore_ascii_case(name))
    }

    /// The mass of a volume, in grams.
    pub fn grams(&self, volume_mm3: f64) -> f64 {
        volume_mm3 / 1000.0 * self.density_g_cm3
    }

    /// Checks every number.
    ///
    /// # Errors
    ///
    /// The first that breaks a rule, and the rule.
    pub fn checked(&self) -> Result<(), BrokenRule> {
        within("material.density_g_cm3", self.density_g_cm3, 0.05, 30.0)?;
        within("material.tensile_mpa", self.tensile_mpa, 0.1, 2000.0)?;
        within("material.friction", self.friction, 0.0, 2.0)?;
        within("material.across_layers", self.across_layers, 0.01, 1.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_that_no_plastic_has_are_named() {
        for (name, bad) in [
            (
                "material.density_g_cm3",
                Material {
                    density_g_cm3: 0.0,
                    ..Material::default()
                },
            ),
            (
                "material.tensile_mpa",
                Material {
                    tensile_mpa: f64::NAN,
                    ..Material::default()
                },
            ),
            (
                "material.friction",
                Material {
                    friction: -0.1,
                    ..Material::default()
                },
            ),
            (
                "material.across_layers",
                Material {
                    across_layers: 1.5,
                    ..Material::default()
                },
            ),
        ] {
            assert_eq!(bad.checked().unwrap_err().name, name);
        }
    }

    #[test]
    fn a_litre_weighs_what_its_density_says() {
        assert!((Material::default().grams(1e6) - 1240.0).abs() < 1e-9);
    }
}
