//! What pieces are held against.

use design::Wishes;
use printing::{Material, PrintProfile};
use solid::Vector;

/// What pieces are held against.
#[derive(Clone, Debug, PartialEq)]
pub struct Limits {
    /// The thinnest wall that may be.
    pub min_wall_mm: f64,
    /// How pieces are printed, where their printer does not say otherwise.
    pub print: PrintProfile,
    /// Density of the material, for what another way up would take.
    pub density_g_cm3: f64,
    /// Which way is up where the furniture stands.
    pub up: Vector,
    /// How the maker asked pieces to lie.
    pub wishes: Wishes,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            min_wall_mm: 1.2,
            print: PrintProfile::default(),
            density_g_cm3: Material::default().density_g_cm3,
            up: Vector::z(),
            wishes: Wishes::default(),
        }
    }
}
