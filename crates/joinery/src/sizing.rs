//! Sizes of tails.

use crate::kind::abilities::Form;
use crate::kind::joint_kind::JointKind;
use crate::rules::JointRules;

/// The size of a sliding tail before it is tapered.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TailSize {
    /// Width at its widest: at the crest, at the end it comes in from.
    pub width_mm: f64,
    /// Depth from the seam to the crest.
    pub depth_mm: f64,
    /// The wall that stays beside it, braces included.
    pub wall_mm: f64,
    /// The shortest run worth a tail of this size.
    pub least_run_mm: f64,
}

impl TailSize {
    /// The size of a tail of a given width, by the rules:
    ///
    /// - a dovetail is as deep in proportion as the full-size tail;
    /// - a braced one keeps room beside it for the brace and a wall beyond;
    /// - a tongue is a third of what it stands in and as deep as it is wide
    ///   (common practice in joinery, no published source).
    pub fn of_width(kind: JointKind, width_mm: f64, rules: &JointRules) -> Self {
        let wall = rules.wall_beside_mm(width_mm);
        let size = Self {
            width_mm,
            depth_mm: rules.tail_depth_mm * (width_mm / rules.tail_width_mm).min(1.0),
            wall_mm: wall,
            least_run_mm: (0.4 * width_mm).max(2.5),
        };
        match kind.abilities().form {
            Form::Tongue => Self {
                depth_mm: width_mm.min(rules.tail_depth_mm),
                wall_mm: width_mm.max(rules.min_wall_mm + 0.2),
                ..size
            },
            Form::BracedTail => {
                let outer = size.brace_centre_mm(rules) + rules.brace_width_mm / 2.0;
                Self {
                    wall_mm: wall.max(outer + rules.min_wall_mm + 0.2 - width_mm / 2.0),
                    ..size
                }
            }
            Form::Tail | Form::Fingers | Form::Key | Form::Block | Form::Flat => size,
        }
    }

    /// The strip of material it needs: itself and a wall either side.
    pub fn strip_mm(&self) -> f64 {
        self.width_mm + 2.0 * self.wall_mm
    }

    /// The half-width at the seam of a dovetail, at the wide end.
    pub fn half_neck_mm(&self, rules: &JointRules) -> f64 {
        self.width_mm / 2.0 - self.depth_mm * rules.half_angle().tan()
    }

    /// How far a brace's middle is from the tail's: a wall from the neck.
    pub fn brace_centre_mm(&self, rules: &JointRules) -> f64 {
        self.half_neck_mm(rules) + rules.min_wall_mm + 0.2 + rules.brace_width_mm / 2.0
    }

    /// The taper for a run: that of the rules, or less where the neck would
    /// lose more than half of its width or become thinner than the least wall.
    /// In radians.
    pub fn taper(&self, run_mm: f64, rules: &JointRules) -> f64 {
        taper(
            self.half_neck_mm(rules),
            run_mm,
            rules.slide_taper_deg.to_radians(),
            rules,
        )
    }
}

/// The wanted taper, or less where a half-width would lose more than half of
/// itself over a run.
pub(crate) fn taper(half_neck_mm: f64, run_mm: f64, wanted: f64, rules: &JointRules) -> f64 {
    let kept = (0.5 * half_neck_mm)
        .max(0.6 * rules.min_wall_mm)
        .min(0.95 * half_neck_mm);
    wanted.min(((half_neck_mm - kept) / run_mm).atan())
}

/// The sizes to try, largest first: full size, then smaller by an eighth of
/// it a step, down to the least.
///
/// ```
/// use joinery::{JointKind, JointRules, tail_sizes};
///
/// let sizes = tail_sizes(JointKind::Dovetail, &JointRules::default());
/// assert_eq!(sizes[0].width_mm, 10.5);
/// assert_eq!(sizes.last().unwrap().width_mm, 3.0);
/// ```
pub fn tail_sizes(kind: JointKind, rules: &JointRules) -> Vec<TailSize> {
    let step = rules.tail_width_mm / 8.0;
    let mut widths: Vec<f64> = (0..8)
        .map(|k| rules.tail_width_mm - step * f64::from(k))
        .filter(|&w| w > rules.least_tail_width_mm)
        .collect();
    widths.push(rules.least_tail_width_mm);
    widths
        .into_iter()
        .map(|w| TailSize::of_width(kind, w, rules))
        .collect()
}
