//! What a tail may bear, estimated from handbook formulas.
//!
//! The figures are for comparing joints. They are no load rating: they assume
//! solid plastic, slow loading at room temperature, flanks without friction
//! and a profile that lies in the layer plane.

use crate::kind::abilities::Form;
use crate::kind::joint_kind::JointKind;
use crate::shape::tail::Tail;

use printing::Material;

/// What gives first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Weakest {
    /// The neck is pulled off.
    Neck,
    /// The leaning edges of the tail are sheared off.
    Edges,
    /// The walls beside the tail bend outward.
    Walls,
}

impl Weakest {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Neck => "tension in the neck",
            Self::Edges => "shear of the tail's edges",
            Self::Walls => "bending of the walls beside it",
        }
    }
}

/// The estimate for one tail.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// Pull along the seam's normal at which something gives.
    pub pull_n: f64,
    /// What gives.
    pub weakest: Weakest,
    /// Push along the slide to seat the wedge, per newton that each flank is
    /// pressed with.
    pub seat_ratio: f64,
    /// Pull along the slide to free it again, per newton of the same; negative
    /// where it frees itself.
    pub free_ratio: f64,
    /// Whether friction holds the wedge: tan τ < μ.
    pub self_locking: bool,
}

/// Tension that a net section bears: `σ A` (the definition of stress).
pub fn net_section_n(tensile_mpa: f64, area_mm2: f64) -> f64 {
    tensile_mpa * area_mm2
}

/// Shear that an area bears, with the shear strength of the distortion-energy
/// hypothesis, `σ/√3` (Huber 1904, von Mises 1913, Hencky 1924).
pub fn shear_n(tensile_mpa: f64, area_mm2: f64) -> f64 {
    tensile_mpa / 3f64.sqrt() * area_mm2
}

/// The largest moment in a beam of length `length_mm` under an even load of
/// `total_n`: at the root, `W l / 2` for a cantilever and `W l / 8` when its
/// tip is propped (Roark's *Formulas for Stress and Strain*, beam table, from
/// memory; the second is checked against a numerical solution of the beam
/// equation in the tests).
pub fn root_moment_nmm(total_n: f64, length_mm: f64, propped: bool) -> f64 {
    total_n * length_mm / if propped { 8.0 } else { 2.0 }
}

/// The pull at which the walls beside a tail give: the flanks turn half of the
/// pull into `F / (2 tan α)` outward on each wall, a beam as long as the tail
/// is deep.
pub fn walls_n(
    tensile_mpa: f64,
    run_mm: f64,
    wall_mm: f64,
    depth_mm: f64,
    half_angle: f64,
    propped: bool,
) -> f64 {
    // σ = 6 M / (b t²) for a rectangle.
    let moment = tensile_mpa * run_mm * wall_mm.powi(2) / 6.0;
    let outward = moment / root_moment_nmm(1.0, depth_mm, propped);
    2.0 * outward * half_angle.tan()
}

/// What is left of the strength along the layers under a load that leans from
/// the layer plane by an angle in radians: `N = P Q / (P sin²θ + Q cos²θ)` with
/// `P` along and `Q` across (Hankinson 1921, *Investigation of crushing
/// strength of spruce at varying angles of grain*; layers stand for grain).
///
/// ```
/// use joinery::capacity::layer_share;
/// use printing::Material;
///
/// assert_eq!(layer_share(0.0, &Material::default()), 1.0);
/// ```
pub fn layer_share(angle: f64, material: &Material) -> f64 {
    let across = material.across_layers;
    across / (angle.sin().powi(2) + across * angle.cos().powi(2))
}

/// Push along a wedge per newton on each of its two flanks: `2 (μ cos τ + sin
/// τ)` to drive it in, `2 (μ cos τ - sin τ)` to draw it out (equilibrium of a
/// wedge with Coulomb friction).
pub fn wedge_ratios(taper: f64, friction: f64) -> (f64, f64) {
    let (sin, cos) = taper.sin_cos();
    (2.0 * (friction * cos + sin), 2.0 * (friction * cos - sin))
}

/// The estimate for one tail with a wall beside it.
pub fn estimate(kind: JointKind, tail: &Tail, wall_mm: f64, material: &Material) -> Estimate {
    let run = tail.lane.run_mm();
    let neck = 2.0 * tail.half_neck_at_mm((tail.lane.from_mm + tail.lane.to_mm) / 2.0);
    let strength = material.tensile_mpa;
    let braced = kind.abilities().form == Form::BracedTail;
    let ways = [
        (net_section_n(strength, neck * run), Weakest::Neck),
        (shear_n(strength, 2.0 * tail.depth_mm * run), Weakest::Edges),
        (
            walls_n(
                strength,
                run,
                wall_mm,
                tail.depth_mm,
                tail.half_angle,
                braced,
            ),
            Weakest::Walls,
        ),
    ];
    let (pull_n, weakest) = ways
        .into_iter()
        .reduce(|a, b| if b.0 < a.0 { b } else { a })
        .unwrap_or(ways[0]);
    let (seat_ratio, free_ratio) = wedge_ratios(tail.taper, material.friction);
    Estimate {
        pull_n,
        weakest,
        seat_ratio,
        free_ratio,
        self_locking: tail.taper.tan() < material.friction,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The root moment of a propped cantilever by integrating `EI y'' = M`
    /// twice and choosing the prop's force so that its tip does not move.
    fn propped_by_integration(load: f64, length: f64) -> f64 {
        let steps = 20_000;
        let dx = length / steps as f64;
        let tip = |moment: &dyn Fn(f64) -> f64| {
            let (mut slope, mut y) = (0.0, 0.0);
            for k in 0..steps {
                let x = (k as f64 + 0.5) * dx;
                slope += moment(x) * dx;
                y += slope * dx;
            }
            y
        };
        let w = load / length;
        let by_load = tip(&|x| w * (length - x).powi(2) / 2.0);
        let by_unit_prop = tip(&|x| length - x);
        let prop = by_load / by_unit_prop;
        load * length / 2.0 - prop * length
    }

    #[test]
    fn the_propped_moment_is_that_of_the_beam_equation() {
        let numerical = propped_by_integration(120.0, 8.0);
        assert!((numerical / root_moment_nmm(120.0, 8.0, true) - 1.0).abs() < 1e-3);
    }

    #[test]
    fn a_brace_quadruples_what_the_walls_bear() {
        let n = |propped| walls_n(50.0, 18.0, 3.7, 8.0, 15f64.to_radians(), propped);
        assert!((n(true) / n(false) - 4.0).abs() < 1e-12);
    }

    /// A screw is a wedge wound about a cylinder. The worked example of a
    /// double square thread (Shigley's *Mechanical Engineering Design*, power
    /// screws, from memory): mean diameter 30 mm, lead 8 mm, friction 0.08,
    /// load 6.4 kN: 15.94 N·m to raise, without the collar, -0.466 N·m to
    /// lower.
    #[test]
    fn the_wedge_raises_a_handbooks_screw() {
        let (load, mean, lead, friction) = (6400.0, 30.0, 8.0, 0.08f64);
        let slope = (lead / (std::f64::consts::PI * mean)).atan();
        let (drive, release) = wedge_ratios(slope, friction);
        // The ratios are per newton on each of two flanks; the load along the
        // axis is what that newton bears.
        let (sin, cos) = slope.sin_cos();
        let raise = load / (cos - friction * sin) * drive / 2.0 * mean / 2.0 / 1000.0;
        let lower = load / (cos + friction * sin) * release / 2.0 * mean / 2.0 / 1000.0;
        assert!((raise - 15.94).abs() < 0.005, "{raise}");
        assert!((lower + 0.466).abs() < 0.001, "{lower}");
    }

    /// Timoshenko, *Strength of Materials*, the beam built in at one end and
    /// supported at the other under an even load (from memory): the support
    /// bears three eighths of it.
    #[test]
    fn the_propped_moment_follows_from_the_handbooks_reaction() {
        let (load, length) = (800.0, 2.0);
        let from_reaction = load * length / 2.0 - 3.0 / 8.0 * load * length;
        assert!((root_moment_nmm(load, length, true) - from_reaction).abs() < 1e-9);
    }

    /// Net section and shear area of a plate with holes, the way handbooks
    /// work it (Shigley, bolted joints, from memory): 60 mm less two holes of
    /// 11 mm, 10 mm thick, at 250 MPa bear 95 kN; the distortion-energy
    /// hypothesis gives 0.577 of the strength in shear.
    #[test]
    fn areas_bear_what_the_handbook_says() {
        assert!((net_section_n(250.0, (60.0 - 2.0 * 11.0) * 10.0) - 95_000.0).abs() < 1e-9);
        assert!((shear_n(370.0, 1.0) / 370.0 - 0.577).abs() < 5e-4);
    }

    /// At 45° Hankinson's formula is the harmonic mean of both strengths.
    #[test]
    fn layers_count_as_grain_does() {
        let material = Material {
            across_layers: 0.25,
            ..Material::default()
        };
        let half = layer_share(std::f64::consts::FRAC_PI_4, &material);
        assert!((half - 0.4).abs() < 1e-12);
        assert!((layer_share(std::f64::consts::FRAC_PI_2, &material) - 0.25).abs() < 1e-12);
    }

    #[test]
    fn a_wedge_locks_below_the_friction_angle() {
        let angle = 0.3f64.atan();
        assert!(wedge_ratios(angle, 0.3).1.abs() < 1e-12);
        assert!(wedge_ratios(0.9 * angle, 0.3).1 > 0.0);
        assert!(wedge_ratios(1.1 * angle, 0.3).1 < 0.0);
    }
}
