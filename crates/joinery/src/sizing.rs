use crate::JointRules;

/// The size of a tail before it is tapered.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TailSize {
    /// Width at its widest: at the crest, at the end it comes in from.
    pub width_mm: f64,
    /// Depth from the seam to the crest.
    pub depth_mm: f64,
    /// The wall that stays beside it.
    pub wall_mm: f64,
    /// The shortest run worth a tail of this size.
    pub least_run_mm: f64,
}

impl TailSize {
    /// The size of a tail of a given width, by the rules: as deep in
    /// proportion as the full-size tail.
    pub fn of_width(width_mm: f64, rules: &JointRules) -> Self {
        Self {
            width_mm,
            depth_mm: rules.tail_depth_mm * (width_mm / rules.tail_width_mm).min(1.0),
            wall_mm: rules.wall_beside_mm(width_mm),
            least_run_mm: (0.4 * width_mm).max(2.5),
        }
    }

    /// The strip of material it needs: itself and a wall either side.
    pub fn strip_mm(&self) -> f64 {
        self.width_mm + 2.0 * self.wall_mm
    }

    /// The half-width at the seam, at the wide end.
    pub fn half_neck_mm(&self, rules: &JointRules) -> f64 {
        self.width_mm / 2.0 - self.depth_mm * rules.half_angle().tan()
    }

    /// The taper for a run: that of the rules, or less where the neck would
    /// lose more than half of its width or become thinner than the least wall.
    /// In radians.
    pub fn taper(&self, run_mm: f64, rules: &JointRules) -> f64 {
        let neck = self.half_neck_mm(rules);
        let kept = (0.5 * neck).max(0.6 * rules.min_wall_mm).min(0.95 * neck);
        rules
            .slide_taper_deg
            .to_radians()
            .min(((neck - kept) / run_mm).atan())
    }
}

/// The sizes to try, largest first: full size, then smaller by an eighth of
/// it a step, down to the least.
///
/// ```
/// let sizes = joinery::tail_sizes(&joinery::JointRules::default());
/// assert_eq!(sizes[0].width_mm, 10.5);
/// assert_eq!(sizes.last().unwrap().width_mm, 3.0);
/// ```
pub fn tail_sizes(rules: &JointRules) -> Vec<TailSize> {
    let step = rules.tail_width_mm / 8.0;
    let mut widths: Vec<f64> = (0..8)
        .map(|k| rules.tail_width_mm - step * f64::from(k))
        .filter(|&w| w > rules.least_tail_width_mm)
        .collect();
    widths.push(rules.least_tail_width_mm);
    widths
        .into_iter()
        .map(|w| TailSize::of_width(w, rules))
        .collect()
}
