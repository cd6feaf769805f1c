//! A tail: the ridge that slides into a socket.
//!
//! Profile, square to the slide, in `(n, u)`: a neck at the seam, flanks that
//! lean outward by half the included angle, and a crest, flat with rounded
//! edges or wholly round. Along the slide both flanks come together by the
//! taper, so that the small end leads and the tail wedges as it goes home. The
//! flanks are planes; rounded edges are lofted between the two end profiles,
//! so their radii stay true.

use serde::de::Error;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use solid::{Frame, Ring, Solid};

use crate::kind::abilities::Form;
use crate::kind::joint_kind::JointKind;
use printing::{BrokenRule, within};

use crate::rules::JointRules;
use crate::shape::joint::{Half, Joint, JointError, Transfer};
use crate::shape::lane::Lane;
use crate::shape::profile::{Corner, rounded};
use crate::sizing::TailSize;

/// How far tail and socket are carried past an open end: the model's surface
/// trims the tail there.
pub(crate) const OVERRUN_MM: f64 = 1.0;

/// The outline of a tail's far end.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Crest {
    /// Flat, with rounded edges.
    Flat,
    /// An arc tangent to both flanks.
    Round,
    /// Flat, and the same again on the near side of the seam: a key.
    Double,
}

/// One tail, fully dimensioned.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(remote = "Self")]
pub struct Tail {
    /// Where it lies on the seam.
    pub lane: Lane,
    /// Depth from the seam to the crest.
    pub depth_mm: f64,
    /// Half-width at the seam, without rounding, where the tail comes in.
    pub half_neck_mm: f64,
    /// Lean of each flank along the slide, in radians.
    pub taper: f64,
    /// Half the included angle, in radians.
    pub half_angle: f64,
    /// The shape of its far end.
    pub crest: Crest,
    /// Gaps, radii and root.
    pub rules: JointRules,
}

impl Serialize for Tail {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        Self::serialize(self, to)
    }
}

/// Numbers from outside keep the rules of those made inside.
impl<'de> Deserialize<'de> for Tail {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let read = Self::deserialize(from)?;
        read.checked().map_err(D::Error::custom)?;
        Ok(read)
    }
}

/// Whose profile: see [`Transfer`].
#[derive(Clone, Copy, PartialEq)]
enum Profile {
    Tail,
    Socket,
    Mouth,
}

impl Tail {
    /// Checks every number: what a record read from a file has to keep.
    ///
    /// # Errors
    ///
    /// The first that breaks a rule, and the rule.
    pub fn checked(&self) -> Result<(), BrokenRule> {
        self.rules.checked()?;
        within("tail.depth_mm", self.depth_mm, 0.1, 200.0)?;
        within("tail.half_neck_mm", self.half_neck_mm, 0.05, 200.0)?;
        within("tail.taper", self.taper, 0.0, 0.15)?;
        within("tail.half_angle", self.half_angle, 0.0, 0.8)
    }

    /// A dovetail (braced or not) or a tongue of a given size in a lane,
    /// tapered by the rules.
    ///
    /// # Errors
    ///
    /// When the run is shorter than the least for this size.
    pub fn sized(
        kind: JointKind,
        lane: &Lane,
        size: &TailSize,
        rules: &JointRules,
    ) -> Result<Self, JointError> {
        let run = lane.run_mm();
        if run < size.least_run_mm {
            return Err(JointError::TooSmall {
                what: "the run of a tail",
                short_mm: run,
                needed_mm: size.least_run_mm,
            });
        }
        let (half_neck_mm, taper, half_angle) = match kind.abilities().form {
            Form::Tongue => (size.width_mm / 2.0, 0.0, 0.0),
            Form::Tail
            | Form::BracedTail
            | Form::Fingers
            | Form::Key
            | Form::Block
            | Form::Flat => (
                size.half_neck_mm(rules),
                size.taper(run, rules),
                rules.half_angle(),
            ),
        };
        Ok(Self {
            lane: *lane,
            depth_mm: size.depth_mm,
            half_neck_mm,
            taper,
            half_angle,
            crest: if kind.is_key() {
                Crest::Double
            } else {
                Crest::Flat
            },
            rules: rules.clone(),
        })
    }

    /// The half-width at the seam, `v` along the slide, without rounding.
    pub fn half_neck_at_mm(&self, v_mm: f64) -> f64 {
        self.half_neck_mm - (v_mm - self.lane.from_mm) * self.taper.tan()
    }

    /// How much further out the socket's flank lies than the tail's, measured
    /// across: the clearance is square to the flank, which leans twice.
    pub fn clearance_across_mm(&self) -> f64 {
        self.rules.clearance_mm
            * (1.0 + self.half_angle.tan().powi(2) + self.taper.tan().powi(2)).sqrt()
    }

    /// How far home the tail is from tight when the shoulders meet: the
    /// clearance over the sine of the taper. `None` without a taper.
    pub fn seat_slack_mm(&self) -> Option<f64> {
        (self.taper > 1e-9).then(|| self.rules.clearance_mm / self.taper.sin())
    }

    /// The tail and its socket on a seam, the tail going over to `to`.
    ///
    /// # Errors
    ///
    /// When the neck vanishes before the end of the run.
    pub fn transfer(&self, seam: &Frame, to: Half) -> Result<Transfer, JointError> {
        let narrow = self.half_neck_at_mm(self.lane.to_mm + OVERRUN_MM);
        if narrow < self.rules.concave_radius_mm.max(0.1) {
            return Err(JointError::TooSmall {
                what: "the neck at the narrow end",
                short_mm: 2.0 * narrow,
                needed_mm: 2.0 * self.rules.concave_radius_mm.max(0.1),
            });
        }
        let start = self.lane.from_mm - OVERRUN_MM;
        let (tail_end, socket_end) = if self.lane.blind {
            (self.lane.to_mm, self.lane.to_mm + self.rules.stop_relief_mm)
        } else {
            (self.lane.to_mm + OVERRUN_MM, self.lane.to_mm + OVERRUN_MM)
        };
        let solid = |what: Profile, end: f64| {
            along_slide(seam, &[start, end].map(|v| (v, self.profile(v, what))))
        };
        let mouth = match self.crest {
            Crest::Round => Some(solid(Profile::Mouth, socket_end)?),
            Crest::Flat | Crest::Double => None,
        };
        Ok(Transfer {
            to,
            tail: solid(Profile::Tail, tail_end)?,
            socket: solid(Profile::Socket, socket_end)?,
            mouth,
        })
    }

    /// The joint of this tail alone.
    ///
    /// # Errors
    ///
    /// When the neck vanishes before the end of the run.
    pub fn joint(&self, seam: &Frame) -> Result<Joint, JointError> {
        let to = match self.crest {
            Crest::Double => Half::Key,
            _ => Half::Tails,
        };
        Ok(Joint {
            transfers: vec![self.transfer(seam, to)?],
        })
    }

    /// Radii of convex and of concave edges: those of the rules, or smaller in
    /// proportion where the flank or the narrow end has no length for both.
    fn radii_mm(&self) -> (f64, f64) {
        let r = &self.rules;
        let narrow = self.half_neck_at_mm(self.lane.to_mm + OVERRUN_MM).max(0.0);
        let room = (0.6 * self.depth_mm).min(narrow);
        let both = r.convex_radius_mm + r.concave_radius_mm;
        let share = if both > room { room / both } else { 1.0 };
        (share * r.convex_radius_mm, share * r.concave_radius_mm)
    }

    /// A profile at `v` in `(n, u)`, counter-clockwise.
    fn profile(&self, v_mm: f64, what: Profile) -> Ring {
        let r = &self.rules;
        let socket = what != Profile::Tail;
        let grown = if socket {
            self.clearance_across_mm()
        } else {
            0.0
        };
        let half_neck = self.half_neck_at_mm(v_mm) + grown;
        let (convex, concave) = self.radii_mm();
        // A convex edge of the tail lies in a concave one of the socket.
        let (depth, neck_radius, crest_radius) = if socket {
            (self.depth_mm + r.crest_relief_mm, convex, concave)
        } else {
            (self.depth_mm, concave, convex)
        };
        let ring = match self.crest {
            Crest::Flat => self.flat(half_neck, depth, neck_radius, crest_radius),
            Crest::Double => self.double(half_neck, depth, neck_radius, crest_radius),
            Crest::Round => {
                let depth = self.depth_mm + if socket { r.clearance_mm } else { 0.0 };
                // A socket ends at the seam: beyond it the next finger of
                // its own half begins, which it must not shave.
                let root = match what {
                    Profile::Socket => 0.0,
                    Profile::Tail | Profile::Mouth => r.root_mm,
                };
                self.round(half_neck, depth, root)
            }
        };
        ring.into_iter()
            .map(|[n, u]| [n, u + self.lane.across_mm])
            .collect()
    }

    fn flat(&self, half_neck: f64, depth: f64, neck_radius: f64, crest_radius: f64) -> Ring {
        let half_crest = half_neck + depth * self.half_angle.tan();
        let root = self.rules.root_mm;
        // Where the fillet at the neck runs out on the shoulder.
        let flare = neck_radius / ((std::f64::consts::FRAC_PI_2 - self.half_angle) / 2.0).tan();
        let shoulder = half_neck + flare + 0.05;
        rounded(&[
            Corner::sharp(-root, -shoulder),
            Corner::sharp(0.0, -shoulder),
            Corner::round(0.0, -half_neck, neck_radius),
            Corner::round(depth, -half_crest, crest_radius),
            Corner::round(depth, half_crest, crest_radius),
            Corner::round(0.0, half_neck, neck_radius),
            Corner::sharp(0.0, shoulder),
            Corner::sharp(-root, shoulder),
        ])
    }

    /// Two tails back to back.
    fn double(&self, half_neck: f64, depth: f64, neck_radius: f64, crest_radius: f64) -> Ring {
        let half_crest = half_neck + depth * self.half_angle.tan();
        rounded(&[
            Corner::round(-depth, -half_crest, crest_radius),
            Corner::round(0.0, -half_neck, neck_radius),
            Corner::round(depth, -half_crest, crest_radius),
            Corner::round(depth, half_crest, crest_radius),
            Corner::round(0.0, half_neck, neck_radius),
            Corner::round(-depth, half_crest, crest_radius),
        ])
    }

    /// Flanks carried straight on below the seam, an arc tangent to both at
    /// the far end.
    fn round(&self, half_neck: f64, depth: f64, root: f64) -> Ring {
        let (sin, cos) = self.half_angle.sin_cos();
        // The circle touches both flanks and the depth.
        let centre = (depth - half_neck * cos) / (1.0 + sin);
        let radius = depth - centre;
        // Steep flanks would meet below the seam: a root that ends before.
        let root = root.min(0.7 * half_neck / self.half_angle.tan().max(1e-9));
        let low = half_neck - root * self.half_angle.tan();
        let mut ring = vec![[-root, -low]];
        let from = -std::f64::consts::FRAC_PI_2 - self.half_angle;
        ring.extend((0..=ARC_CHORDS).map(|k| {
            let a = from - 2.0 * from * k as f64 / ARC_CHORDS as f64;
            [centre + radius * a.cos(), radius * a.sin()]
        }));
        ring.push([-root, low]);
        ring
    }
}

/// Chords of a round crest: the arc of a finger 8 mm wide is off by 6 µm.
const ARC_CHORDS: usize = 48;

/// Profiles in `(n, u)` carried along the slide of a seam.
pub(crate) fn along_slide(seam: &Frame, rings: &[(f64, Ring)]) -> Result<Solid, JointError> {
    // n × u = v, so this frame's plane holds the profile and faces the slide.
    let slide = Frame {
        origin: seam.origin,
        u: seam.n,
        v: seam.u,
        n: seam.v,
    };
    Ok(Solid::loft(&slide, rings)?)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use solid::{Point, Vector};

    use super::*;

    fn seam() -> Frame {
        Frame::with_axes(Point::origin(), Vector::x(), Vector::y())
    }

    fn lane(run: f64) -> Lane {
        Lane {
            across_mm: 1.0,
            from_mm: 0.0,
            to_mm: run,
            blind: false,
        }
    }

    fn dovetail(run: f64, width: f64, rules: &JointRules) -> Result<Tail, JointError> {
        let size = TailSize::of_width(JointKind::Dovetail, width, rules);
        Tail::sized(JointKind::Dovetail, &lane(run), &size, rules)
    }

    #[test]
    fn the_volume_is_that_of_the_tapered_trapezium() {
        let rules = JointRules {
            convex_radius_mm: 0.0,
            concave_radius_mm: 0.0,
            ..JointRules::default()
        };
        let tail = dovetail(18.0, 10.5, &rules).unwrap();
        let solid = tail.joint(&seam()).unwrap().transfers.remove(0).tail;
        // Above the seam, the mean trapezium times the run with its overruns;
        // below it the root.
        let (_, run) = (0, 20.0);
        let neck = 2.0 * tail.half_neck_at_mm(9.0);
        let crest = neck + 2.0 * 8.0 * 15f64.to_radians().tan();
        let above = (neck + crest) / 2.0 * 8.0 * run;
        let root = (neck + 0.1) * 2.0 * run;
        assert!((solid.volume_mm3() - above - root).abs() < 1e-6);
    }

    #[test]
    fn a_long_run_tapers_less() {
        let rules = JointRules::default();
        let short = dovetail(18.0, 10.5, &rules).unwrap();
        let long = dovetail(300.0, 10.5, &rules).unwrap();
        assert!((short.taper.to_degrees() - 1.5).abs() < 1e-12);
        assert!(long.taper.to_degrees() < 0.5);
        assert!(long.half_neck_at_mm(300.0) > 0.49 * long.half_neck_at_mm(0.0));
    }

    proptest! {
        #[test]
        fn tails_within_the_rules_are_solids_that_fit_their_sockets(
            width in 3.0f64..14.0, run in 6.0f64..400.0, clearance in 0.0f64..0.3, angle in 10.0f64..36.0,
        ) {
            let rules = JointRules {
                clearance_mm: clearance,
                included_angle_deg: angle,
                tail_width_mm: 14.0,
                ..JointRules::default()
            };
            prop_assert!(rules.checked().is_ok());
            let tail = dovetail(run, width, &rules).unwrap();
            let joint = tail.transfer(&seam(), Half::Tails).unwrap();
            let outside = joint.tail.difference(&joint.socket).unwrap();
            // All of the tail beyond the seam is inside its socket.
            let beyond = outside.trimmed(&seam().raised(1e-6)).unwrap();
            prop_assert!(beyond.volume_mm3() < 1e-4 * joint.tail.volume_mm3() , "{}", beyond.volume_mm3());
        }
    }
}
