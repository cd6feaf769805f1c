//! The plastic that pieces are printed in, by its numbers.

use serde::{Deserialize, Serialize};

use crate::broken_rule::{BrokenRule, within};
use crate::span::Span;

/// What a plastic is counted with. The values that come with the program are bounds of
/// what was published, or remembered; look yours up and write them into the plan.
///
/// | | along the layers, MPa | across them, of that along |
/// |---|---|---|
/// | PLA | 41 (Boztepe & Haskul 2026, *Mechanical characterization of PLA+ specimens with different geometries*, Polymers 18:243: 41 to 43) to 57 (Tymrak, Kreiger & Pearce 2014, *Mechanical properties of components fabricated with open-source 3-D printers under realistic environmental conditions*, from memory: 56.6 in the mean) | 0.5 to 0.8 (doi 10.1089/3dp.2020.0109: 22.8 MPa whole and 33.75 MPa at the interface, 48 % and 22 % below the filament) |
/// | PETG | 35 (Hernández-Alvarez et al., J. Manuf. Mater. Process. 10:64: 35.06 and 36.99) to 52 (the same, of others: 47 to 52) | 0.4 (Amza et al. 2021, *Enhancing mechanical properties of polymer 3D printed parts*, Polymers 13:562, untreated) to 0.8 (from memory) |
/// | ABS | 28 (Tymrak et al. 2014, from memory) to 35 (Alvarez, Lagos & Aizpun 2016, *Investigating the influence of infill percentage on the mechanical properties of fused deposition modelled ABS parts*: 34.57) | 0.4 to 0.8, from memory |
/// | ASA | 28 to 40, from memory | 0.4 to 0.8, from memory |
///
/// Friction of each on itself: 0.2 (Shackelford 2001, *CRC Materials Science and
/// Engineering Handbook*, an alloy of ABS against itself) to 0.5 (the same, polycarbonate:
/// 0.52); none was found for printed faces. Density: from memory.
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
    /// Tensile strength of solid prints along the layers.
    pub tensile_mpa: Span,
    /// Friction of the material on itself.
    pub friction: Span,
    /// Strength across layers, as a share of that along them.
    pub across_layers: Span,
}

impl Default for Material {
    /// PLA.
    fn default() -> Self {
        Self::of("PLA", 1.24, [41.0, 57.0], [0.2, 0.5], [0.5, 0.8])
    }
}

impl Material {
    fn of(
        name: &str,
        density_g_cm3: f64,
        tensile_mpa: [f64; 2],
        friction: [f64; 2],
        across_layers: [f64; 2],
    ) -> Self {
        let span = |[low, high]: [f64; 2]| Span::new(low, high);
        Self {
            name: name.to_owned(),
            density_g_cm3,
            tensile_mpa: span(tensile_mpa),
            friction: span(friction),
            across_layers: span(across_layers),
        }
    }

    /// The materials that the program knows, the default first.
    pub fn known() -> [Self; 4] {
        [
            Self::default(),
            Self::of("PETG", 1.27, [35.0, 52.0], [0.2, 0.5], [0.4, 0.8]),
            Self::of("ABS", 1.04, [28.0, 35.0], [0.2, 0.5], [0.4, 0.8]),
            Self::of("ASA", 1.07, [28.0, 40.0], [0.2, 0.5], [0.4, 0.8]),
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
        self.tensile_mpa
            .checked("material.tensile_mpa", 0.1, 2000.0)?;
        self.friction.checked("material.friction", 0.0, 2.0)?;
        self.across_layers
            .checked("material.across_layers", 0.01, 1.0)
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
                    tensile_mpa: f64::NAN.into(),
                    ..Material::default()
                },
            ),
            (
                "material.friction",
                Material {
                    friction: Span::from(-0.1),
                    ..Material::default()
                },
            ),
            (
                "material.across_layers",
                Material {
                    across_layers: Span::new(0.5, 1.5),
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
