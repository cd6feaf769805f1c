//! What a tail may bear, estimated from handbook formulas.
//!
//! The figures are for comparing joints. They are no load rating: they assume slow
//! loading at room temperature, flanks without friction and a profile that lies in the
//! layer plane.

use crate::kind::abilities::Form;
use crate::kind::joint_kind::JointKind;
use crate::shape::tail::Tail;

use printing::{Material, Span};

pub use crate::strength::filling::Filling;

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
    /// Pull along the seam's normal at which something gives, at the least and at the most.
    pub pull_n: Span,
    /// What gives first at the least.
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

impl Estimate {
    /// That of joints that share a load: their pulls add up, as far as all are drawn alike.
    pub fn with(self, other: Self) -> Self {
        Self {
            pull_n: self.pull_n + other.pull_n,
            ..self
        }
    }
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
/// assert_eq!(layer_share(0.0, &Material::default()).low, 1.0);
/// ```
pub fn layer_share(angle: f64, material: &Material) -> Span {
    let of = |across: f64| layers_at(angle, across);
    let Span { low, high } = material.across_layers;
    Span::new(of(low), of(high))
}

fn layers_at(angle: f64, across: f64) -> f64 {
    across / (angle.sin().powi(2) + across * angle.cos().powi(2))
}

/// Push along a wedge per newton on each of its two flanks: `2 (μ cos τ + sin
/// τ)` to drive it in, `2 (μ cos τ - sin τ)` to draw it out (equilibrium of a
/// wedge with Coulomb friction).
pub fn wedge_ratios(taper: f64, friction: f64) -> (f64, f64) {
    let (sin, cos) = taper.sin_cos();
    (2.0 * (friction * cos + sin), 2.0 * (friction * cos - sin))
}

/// By what the corners beside a neck raise the stress there at the most: a flat bar in
/// tension with shoulders half as wide again and fillets of 0.16 of its width (Peterson's
/// *Stress Concentration Factors*, by the fit for shouldered flat bars; the test below).
/// Tests of printed bars showed less (Boztepe & Haskul 2026).
const NOTCH: f64 = 2.0;

/// The estimate for one tail with a wall beside it, of which some of its run bears: a long
/// tail may run through gaps. The least takes the weaker plastic, the weaker infill and the
/// notch beside the neck; the most the stronger, and no notch.
pub fn estimate(
    kind: JointKind,
    tail: &Tail,
    (bears_mm, wall_mm): (f64, f64),
    material: &Material,
    filling: &Filling,
) -> Estimate {
    let run = bears_mm.min(tail.lane.run_mm());
    let neck = 2.0 * tail.half_neck_at_mm((tail.lane.from_mm + tail.lane.to_mm) / 2.0);
    let Span { low, high } = material.tensile_mpa;
    let braced = kind.abilities().form == Form::BracedTail;
    let depth = tail.depth_mm;
    let walls = |mpa: f64| walls_n(mpa, run, wall_mm, depth, tail.half_angle, braced);
    let ways = [
        (
            [
                net_section_n(low / NOTCH, neck * run),
                net_section_n(high, neck * run),
            ],
            filling.of_area(neck, run),
            Weakest::Neck,
        ),
        (
            [low, high].map(|mpa| shear_n(mpa, 2.0 * depth * run)),
            filling.of_area(depth, run),
            Weakest::Edges,
        ),
        (
            [low, high].map(walls),
            filling.of_bending(run, wall_mm),
            Weakest::Walls,
        ),
    ];
    let ways = ways.map(|(solid, share, what)| ([0, 1].map(|k| solid[k] * share[k]), what));
    let least = |k: usize| ways.iter().min_by(|a, b| a.0[k].total_cmp(&b.0[k]));
    let (low, high) = (least(0).unwrap_or(&ways[0]), least(1).unwrap_or(&ways[0]));
    let (seat_ratio, free_ratio) = wedge_ratios(tail.taper, material.friction.low);
    Estimate {
        pull_n: Span::new(low.0[0], high.0[1]),
        weakest: low.1,
        seat_ratio,
        free_ratio,
        self_locking: tail.taper.tan() < material.friction.low,
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

    /// The stress concentration of a shouldered flat bar in tension, by the fit of Peterson's
    /// *Stress Concentration Factors* for a shoulder of `t` and a fillet of `r`, 0.1 ≤ t/r ≤ 2
    /// (`h` the whole width, stress of the narrow part).
    fn shouldered(t: f64, r: f64, h: f64) -> f64 {
        let (q, s, x) = (t / r, (t / r).sqrt(), 2.0 * t / h);
        let c = [
            1.006 + 1.008 * s - 0.044 * q,
            -0.115 - 0.584 * s + 0.315 * q,
            0.245 - 1.006 * s - 0.257 * q,
            -0.135 + 0.582 * s - 0.017 * q,
        ];
        c[0] + c[1] * x + c[2] * x * x + c[3] * x * x * x
    }

    #[test]
    fn the_notch_is_that_of_a_shouldered_bar() {
        let narrow = 1.0;
        let factor = shouldered(0.25 * narrow, 0.16 * narrow, 1.5 * narrow);
        assert!((factor - NOTCH).abs() < 0.1, "{factor}");
    }

    #[test]
    fn an_estimate_lies_between_weak_and_strong_plastic_and_fillings() {
        let rules = crate::JointRules::default();
        let lane = crate::Lane {
            across_mm: 0.0,
            from_mm: -9.0,
            to_mm: 9.0,
            blind: false,
        };
        let tail = crate::Sliding::full_size(JointKind::Dovetail, &lane, &rules).unwrap();
        let of = |mpa: Span, filling: Filling| {
            let material = Material {
                tensile_mpa: mpa,
                ..Material::default()
            };
            tail.estimate(18.0, &material, &filling).unwrap()
        };
        let solid = of(Span::from(50.0), Filling::SOLID);
        let quarter = Filling {
            casing_mm: 1.8,
            infill: 0.25,
        };
        let printed = of(Span::new(40.0, 50.0), quarter);
        // Solid, of one strength and without a notch, it is what the handbooks' formulas say.
        let neck = 2.0 * tail.main.half_neck_at_mm(0.0);
        let ways = [
            net_section_n(50.0, neck * 18.0),
            shear_n(50.0, 2.0 * tail.main.depth_mm * 18.0),
            walls_n(
                50.0,
                18.0,
                tail.wall_mm,
                tail.main.depth_mm,
                tail.main.half_angle,
                false,
            ),
        ];
        let least = ways.into_iter().fold(f64::INFINITY, f64::min);
        assert!((solid.pull_n.high - least).abs() < 1e-9);
        assert!(printed.pull_n.low < printed.pull_n.high);
        assert!(printed.pull_n.high <= solid.pull_n.high && printed.pull_n.low < solid.pull_n.low);
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
            across_layers: Span::new(0.25, 1.0),
            ..Material::default()
        };
        let half = layer_share(std::f64::consts::FRAC_PI_4, &material);
        assert!((half.low - 0.4).abs() < 1e-12 && half.high == 1.0);
        let upright = layer_share(std::f64::consts::FRAC_PI_2, &material).low;
        assert!((upright - 0.25).abs() < 1e-12);
    }

    #[test]
    fn a_wedge_locks_below_the_friction_angle() {
        let angle = 0.3f64.atan();
        assert!(wedge_ratios(angle, 0.3).1.abs() < 1e-12);
        assert!(wedge_ratios(0.9 * angle, 0.3).1 > 0.0);
        assert!(wedge_ratios(1.1 * angle, 0.3).1 < 0.0);
    }
}
