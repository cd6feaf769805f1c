//! How pieces are printed: layers, lines, walls, speed.

use crate::broken_rule::{BrokenRule, within};
use serde::{Deserialize, Serialize};

/// How pieces are printed, for estimates of time and material. The defaults
/// are common practice, without a published source.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct PrintProfile {
    /// Height of a layer.
    pub layer_mm: f64,
    /// Width of a line.
    pub line_mm: f64,
    /// Lines in a wall.
    pub walls: u32,
    /// Solid layers at the top and at the bottom.
    pub solid_layers: u32,
    /// Share of the inside that is filled.
    pub infill: f64,
    /// Plastic that the printer melts at the most.
    pub flow_mm3_s: f64,
    /// Time lost on each layer of a plate: travel, change of height.
    pub layer_s: f64,
    /// How fast the first layer is laid down, as a share of all others.
    pub first_layer_speed: f64,
    /// The least time that the plastic of a layer is laid down in, so that it cools before
    /// the next.
    pub least_layer_s: f64,
    /// Time before the first layer of a plate: heating, levelling.
    pub start_s: f64,
    /// What leans from the vertical by more needs support.
    pub overhang_deg: f64,
    /// A ceiling between two walls no further apart needs none.
    pub bridge_mm: f64,
    /// Share of the space under an overhang that support fills.
    pub support_share: f64,
    /// Width of a brim, where a piece needs one.
    pub brim_mm: f64,
}

impl Default for PrintProfile {
    fn default() -> Self {
        Self {
            layer_mm: 0.2,
            line_mm: 0.45,
            walls: 4,
            solid_layers: 5,
            infill: 0.25,
            flow_mm3_s: 10.0,
            layer_s: 4.0,
            first_layer_speed: 0.5,
            least_layer_s: 8.0,
            start_s: 300.0,
            overhang_deg: 45.0,
            bridge_mm: 10.0,
            support_share: 0.15,
            brim_mm: 5.0,
        }
    }
}

impl PrintProfile {
    /// Hours to print something of this surface, volume and height, roughly:
    /// its surface in walls, its inside filled, a moment for each layer. For
    /// choosing; what is told to people is estimated from sections.
    ///
    /// ```
    /// use printing::PrintProfile;
    ///
    /// let block = PrintProfile::default().rough_hours(2400.0, 8000.0, 20.0);
    /// assert!((0.2..0.4).contains(&block));
    /// ```
    pub fn rough_hours(&self, area_mm2: f64, volume_mm3: f64, height_mm: f64) -> f64 {
        self.hours_with_layers(self.rough_plastic_mm3(area_mm2, volume_mm3), height_mm)
    }

    /// Hours to lay some plastic down in layers up to a height.
    pub fn hours_with_layers(&self, plastic_mm3: f64, height_mm: f64) -> f64 {
        self.hours_of(plastic_mm3) + height_mm / self.layer_mm * self.layer_s / 3600.0
    }

    /// Plastic in something of this surface and volume, roughly: its surface in walls,
    /// its inside filled.
    pub fn rough_plastic_mm3(&self, area_mm2: f64, volume_mm3: f64) -> f64 {
        self.filled_mm3(area_mm2.max(0.0) * self.casing_mm(0.0), volume_mm3)
    }

    /// How thick the casing is, which is printed solid, behind a face and across it; `level` is the cosine of its
    /// slope: 1 where solid layers close it, 0 where lines of wall do.
    ///
    /// ```
    /// use printing::PrintProfile;
    ///
    /// let profile = PrintProfile::default();
    /// assert!((profile.casing_mm(1.0) - 1.0).abs() < 1e-12);
    /// assert!((profile.casing_mm(0.0) - 1.8).abs() < 1e-12);
    /// ```
    pub fn casing_mm(&self, level: f64) -> f64 {
        let upright = (1.0 - level * level).max(0.0).sqrt();
        let walls = f64::from(self.walls) * self.line_mm * upright;
        let layers = f64::from(self.solid_layers) * self.layer_mm * level.abs();
        walls.max(layers)
    }

    /// Plastic in something with so much in its casing.
    pub fn filled_mm3(&self, casing_mm3: f64, volume_mm3: f64) -> f64 {
        let casing = casing_mm3.min(volume_mm3);
        casing + self.infill * (volume_mm3 - casing)
    }

    /// Hours to lay some plastic down.
    pub fn hours_of(&self, plastic_mm3: f64) -> f64 {
        plastic_mm3 / self.flow_mm3_s / 3600.0
    }

    /// Checks every number.
    ///
    /// # Errors
    ///
    /// The first that breaks a rule, and the rule.
    pub fn checked(&self) -> Result<(), BrokenRule> {
        let Self {
            layer_mm,
            line_mm,
            walls,
            solid_layers,
            infill,
            flow_mm3_s,
            layer_s,
            first_layer_speed,
            least_layer_s,
            start_s,
            overhang_deg,
            bridge_mm,
            support_share,
            brim_mm,
        } = *self;
        for (name, value, low, high) in [
            ("print.layer_mm", layer_mm, 0.02, 2.0),
            ("print.line_mm", line_mm, 0.1, 5.0),
            ("print.walls", f64::from(walls), 1.0, 100.0),
            ("print.solid_layers", f64::from(solid_layers), 0.0, 1000.0),
            ("print.infill", infill, 0.0, 1.0),
            ("print.flow_mm3_s", flow_mm3_s, 0.1, 1000.0),
            ("print.layer_s", layer_s, 0.0, 600.0),
            ("print.first_layer_speed", first_layer_speed, 0.05, 1.0),
            ("print.least_layer_s", least_layer_s, 0.0, 600.0),
            ("print.start_s", start_s, 0.0, 36_000.0),
            ("print.overhang_deg", overhang_deg, 0.0, 89.0),
            ("print.bridge_mm", bridge_mm, 0.0, 1000.0),
            ("print.support_share", support_share, 0.0, 1.0),
            ("print.brim_mm", brim_mm, 0.0, 100.0),
        ] {
            within(name, value, low, high)?;
        }
        Ok(())
    }
}
