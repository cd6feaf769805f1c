//! Seams, contacts and steps as they are recorded: once, for the report, for
//! `check` and for the judgement of pieces.

use joinery::JointKind;
use joinery::capacity::{Estimate, Filling};
use printing::{Material, Span};
use serde::{Deserialize, Serialize};
use solid::{Frame, Vector};

use crate::ids::{PieceId, SeamId};

/// One seam.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct SeamEntry {
    /// `S1`, …
    pub id: SeamId,
    /// A point of its plane.
    pub origin_mm: [f64; 3],
    /// Its normal, towards what lies above.
    pub normal: [f64; 3],
    /// The box within which it cuts, where it does not go right through.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub within_mm: Option<[[f64; 3]; 2]>,
    /// The way the half below moves to go home.
    pub slide: [f64; 3],
    /// The way the half with the tails moves to go home, as `slide` has it in a plan; not
    /// known in reports of earlier versions.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tails_slide: Option<[f64; 3]>,
    /// How far.
    #[serde(default)]
    pub travel_mm: f64,
    /// Why it is where it is.
    #[serde(default)]
    pub reason: String,
    /// Where pieces meet.
    pub contacts: Vec<ContactEntry>,
}

impl SeamEntry {
    /// A seam through the origin whose lower half moves so, of which nothing more is known.
    pub fn sliding(id: SeamId, normal: [f64; 3], slide: [f64; 3], travel_mm: f64) -> Self {
        Self {
            id,
            origin_mm: [0.0; 3],
            normal,
            within_mm: None,
            slide,
            tails_slide: None,
            travel_mm,
            reason: String::new(),
            contacts: Vec::new(),
        }
    }

    /// Its plane; `None` where its normal is no direction of length one.
    pub fn frame(&self) -> Option<Frame> {
        let n = Vector::from(self.normal);
        ((n.norm() - 1.0).abs() < 1e-6).then(|| Frame::facing(self.origin_mm.into(), n))
    }
}

/// One contact: a limb of what two pieces share on a seam.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ContactEntry {
    /// The piece below and the piece above.
    pub pieces: [PieceId; 2],
    /// Area that they share there.
    pub area_mm2: f64,
    /// How thick it is: the diameter of the largest circle in it; 0 where that is not
    /// known.
    #[serde(default)]
    pub thick_mm: f64,
    /// How much of it lies within 20 mm of a joint of the seam.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub near_joints_mm2: Option<f64>,
    /// Its middle.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at_mm: Option<[f64; 3]>,
    /// The joint.
    pub joint: JointKind,
    /// How many of it.
    pub count: usize,
    /// The keys that hold it, where it has any.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub keys: Vec<PieceId>,
    /// Its width at its widest.
    #[serde(default)]
    pub width_mm: f64,
    /// Lean of its flanks along the way home.
    #[serde(default)]
    pub taper_deg: f64,
    /// How far along the slide the clearance lets it move before it is tight.
    #[serde(default)]
    pub seat_slack_mm: Option<f64>,
    /// How far along the slide it stops short or runs past flush for 0.05 mm
    /// of error on each flank.
    #[serde(default)]
    pub seat_error_mm: Option<f64>,
    /// What its joints may bear together: an estimate, no load rating.
    #[serde(default)]
    pub estimate: Option<EstimateEntry>,
    /// Why it got this joint.
    #[serde(default)]
    pub reason: String,
    /// Whether it has no joint because none was wished.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub plain_wished: bool,
}

impl ContactEntry {
    /// One joint between two pieces, of which nothing more is known.
    pub fn between(pieces: [PieceId; 2], joint: JointKind) -> Self {
        Self {
            pieces,
            area_mm2: 0.0,
            thick_mm: 0.0,
            near_joints_mm2: None,
            at_mm: None,
            joint,
            count: 1,
            keys: Vec::new(),
            width_mm: 0.0,
            taper_deg: 0.0,
            seat_slack_mm: None,
            seat_error_mm: None,
            estimate: None,
            reason: String::new(),
            plain_wished: false,
        }
    }
}

/// What the joints of a contact may bear, with what that assumes.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct EstimateEntry {
    /// Pull along the normal at which something gives, in kilonewtons, at the least and at
    /// the most, in two digits; 0 in reports of earlier versions.
    #[serde(default)]
    pub pull_kn: [f64; 2],
    /// What gives first.
    pub weakest: String,
    /// Push along the slide to seat the wedge, per newton on each flank.
    pub seat_ratio: f64,
    /// Pull to free it, per newton on each flank; negative where it frees
    /// itself.
    pub free_ratio: f64,
    /// Whether friction holds the wedge.
    pub self_locking: bool,
    /// What the figures assume.
    pub assumes: String,
}

/// Of a row of joints this share bears at the least: they are never drawn alike. Common
/// practice, no published source.
const OF_A_ROW: f64 = 0.5;

impl EstimateEntry {
    /// What is told of the estimate of so many joints, which is counted down for the layers
    /// of the pieces.
    pub fn of(e: &Estimate, count: usize, layers: Span, stock: (&Material, &Filling)) -> Self {
        let (m, filling) = stock;
        let two = |x: f64| two_digits(x);
        let row = if count > 1 { OF_A_ROW } else { 1.0 };
        let pull = e.pull_n * Span::new(row, 1.0);
        Self {
            pull_kn: [pull.low, pull.high].map(|n| two(n / 1000.0)),
            weakest: e.weakest.words().to_owned(),
            seat_ratio: two(e.seat_ratio),
            free_ratio: two(e.free_ratio),
            self_locking: e.self_locking,
            assumes: format!(
                "an estimate for comparing joints, no load rating, from the least to the most: {} \
                 of {} MPa along the layers and {} of that across them; printed with a casing of {} \
                 mm and {} % inside; as the pieces lie, {} of the strength along the layers; at \
                 the least a notch beside the neck halves it and half of a row bears; friction \
                 {}; slow pull at room temperature, flanks without friction",
                m.name,
                m.tensile_mpa,
                m.across_layers,
                two(filling.casing_mm),
                two(100.0 * filling.infill),
                Span::new(two(layers.low), two(layers.high)),
                m.friction,
            ),
        }
    }

    /// The pull in words: `1.2 to 8.5 kN`; a dash in reports of earlier versions.
    pub fn pull(&self) -> String {
        match self.pull_kn {
            [_, high] if high <= 0.0 => "–".to_owned(),
            [low, high] => format!("{low} to {high} kN"),
        }
    }
}

/// A figure in two digits.
///
/// ```
/// use design::two_digits;
///
/// assert_eq!(two_digits(32_075.0), 32_000.0);
/// assert_eq!(two_digits(-0.0512), -0.051);
/// assert_eq!(two_digits(0.0), 0.0);
/// ```
pub fn two_digits(x: f64) -> f64 {
    if x == 0.0 || !x.is_finite() {
        return x;
    }
    // By way of its text, so that no digit is left over.
    format!("{x:.1e}").parse().unwrap_or(x)
}
