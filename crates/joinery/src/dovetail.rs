//! The tapered sliding dovetail.
//!
//! Profile, square to the slide, in `(n, u)`: a neck at the seam, flanks that
//! lean outward by half the included angle, a flat crest. Along the slide both
//! flanks come together by the taper, so that the small end leads and the
//! tail wedges as it goes home. The flanks are planes; the rounded edges are
//! lofted between the two end profiles, so their radii stay true.

use solid::{Frame, Ring, Solid};

use crate::profile::{Corner, rounded};
use crate::{Joint, JointError, JointRules, Lane, TailSize};

/// How far tail and socket are carried past an open end: the model's surface
/// trims the tail there.
pub(crate) const OVERRUN_MM: f64 = 1.0;

/// One dovetail, fully dimensioned.
#[derive(Clone, Debug, PartialEq)]
pub struct Tail {
    /// Where it lies on the seam.
    pub lane: Lane,
    /// Its size at the wide end.
    pub size: TailSize,
    /// Lean of each flank along the slide, in radians.
    pub taper: f64,
    /// Half the included angle, in radians.
    pub half_angle: f64,
    rules: JointRules,
}

impl Tail {
    /// A tail of a given width in a lane, tapered by the rules.
    ///
    /// # Errors
    ///
    /// When the run is shorter than the least for this width.
    pub fn sized(lane: &Lane, width_mm: f64, rules: &JointRules) -> Result<Self, JointError> {
        let size = TailSize::of_width(width_mm, rules);
        let run = lane.run_mm();
        if run < size.least_run_mm {
            return Err(JointError::TooSmall {
                what: "the run of a tail",
                short_mm: run,
                needed_mm: size.least_run_mm,
            });
        }
        Ok(Self {
            lane: *lane,
            size,
            taper: size.taper(run, rules),
            half_angle: rules.half_angle(),
            rules: rules.clone(),
        })
    }

    /// The half-width at the seam, `v` along the slide, without rounding.
    pub fn half_neck_mm(&self, v_mm: f64) -> f64 {
        self.size.half_neck_mm(&self.rules) - (v_mm - self.lane.from_mm) * self.taper.tan()
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

    /// The tail and its socket on a seam.
    ///
    /// # Errors
    ///
    /// When the neck vanishes before the end of the run.
    pub fn joint(&self, seam: &Frame) -> Result<Joint, JointError> {
        let narrow = self.half_neck_mm(self.lane.to_mm + OVERRUN_MM);
        if narrow < self.rules.concave_radius_mm {
            return Err(JointError::TooSmall {
                what: "the neck at the narrow end",
                short_mm: 2.0 * narrow,
                needed_mm: 2.0 * self.rules.concave_radius_mm,
            });
        }
        let r = &self.rules;
        let start = self.lane.from_mm - OVERRUN_MM;
        let (tail_end, socket_end) = if self.lane.blind {
            (self.lane.to_mm, self.lane.to_mm + r.stop_relief_mm)
        } else {
            (self.lane.to_mm + OVERRUN_MM, self.lane.to_mm + OVERRUN_MM)
        };
        let tail = |v: f64| {
            self.profile(
                self.half_neck_mm(v),
                self.size.depth_mm,
                r.root_mm,
                r.concave_radius_mm,
                r.convex_radius_mm,
            )
        };
        let grown = self.clearance_across_mm();
        let socket = |v: f64| {
            self.profile(
                self.half_neck_mm(v) + grown,
                self.size.depth_mm + r.crest_relief_mm,
                // Past the seam on its own side, where the socket's half has
                // nothing.
                r.root_mm,
                r.convex_radius_mm,
                r.concave_radius_mm,
            )
        };
        Ok(Joint {
            tail: along_slide(seam, &[(start, tail(start)), (tail_end, tail(tail_end))])?,
            socket: along_slide(
                seam,
                &[(start, socket(start)), (socket_end, socket(socket_end))],
            )?,
        })
    }

    /// The profile in `(n, u)`, counter-clockwise.
    fn profile(
        &self,
        half_neck: f64,
        depth: f64,
        root: f64,
        neck_radius: f64,
        crest_radius: f64,
    ) -> Ring {
        let half_crest = half_neck + depth * self.half_angle.tan();
        // Where the fillet at the neck runs out on the shoulder.
        let flare = neck_radius / ((std::f64::consts::FRAC_PI_2 - self.half_angle) / 2.0).tan();
        let foot = half_neck + flare;
        let shoulder = foot + 0.05;
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
        .into_iter()
        .map(|[n, u]| [n, u + self.lane.across_mm])
        .collect()
    }
}

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

    #[test]
    fn the_volume_is_that_of_the_tapered_trapezium() {
        let rules = JointRules {
            convex_radius_mm: 0.0,
            concave_radius_mm: 0.0,
            ..JointRules::default()
        };
        let tail = Tail::sized(&lane(18.0), 10.5, &rules).unwrap();
        let solid = tail.joint(&seam()).unwrap().tail;
        // Above the seam, the mean trapezium times the run with its overruns;
        // below it the root.
        let (_, run) = (0, 20.0);
        let neck = 2.0 * tail.half_neck_mm(9.0);
        let crest = neck + 2.0 * 8.0 * 15f64.to_radians().tan();
        let above = (neck + crest) / 2.0 * 8.0 * run;
        let root = (neck + 0.1) * 2.0 * run;
        assert!((solid.volume_mm3() - above - root).abs() < 1e-6);
    }

    #[test]
    fn a_long_run_tapers_less() {
        let rules = JointRules::default();
        let short = Tail::sized(&lane(18.0), 10.5, &rules).unwrap();
        let long = Tail::sized(&lane(300.0), 10.5, &rules).unwrap();
        assert!((short.taper.to_degrees() - 1.5).abs() < 1e-12);
        assert!(long.taper.to_degrees() < 0.5);
        assert!(long.half_neck_mm(300.0) > 0.49 * long.half_neck_mm(0.0));
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
            let tail = Tail::sized(&lane(run), width, &rules).unwrap();
            let joint = tail.joint(&seam()).unwrap();
            let outside = joint.tail.difference(&joint.socket).unwrap();
            // All of the tail beyond the seam is inside its socket.
            let beyond = outside.trimmed(&seam().raised(1e-6)).unwrap();
            prop_assert!(beyond.volume_mm3() < 1e-4 * joint.tail.volume_mm3() , "{}", beyond.volume_mm3());
        }
    }
}
