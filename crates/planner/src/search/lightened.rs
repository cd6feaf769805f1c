//! A plan whose parts go home one after the other, where they can, and not many at once.

use crate::candidates::section_profile::Cut;
use crate::search::solution::Solution;

/// What moves has to get lighter by this share, or the tree stays as it was sought.
const LEAST_GAIN: f64 = 0.1;

/// A cut of a row, with the rest of what it costs.
type Between = (Box<Cut>, f64);

impl Solution {
    /// The same cuts with those that lie in a row, each square to the same axis, nested so
    /// that the heaviest part that moves as they are closed, last cut first, is as light as
    /// can be; where none is lighter, all that moves together. Pieces and contacts stay
    /// what they are: of planes in a row each meets only its neighbours.
    pub(crate) fn lightened(self) -> Self {
        let Self::Cut { axis, .. } = &self else {
            return self;
        };
        let axis = *axis;
        let (mut slabs, mut cuts) = (Vec::new(), Vec::new());
        let kept = self.row(axis, &mut slabs, &mut cuts);
        let nested = nested(axis, &slabs, &cuts);
        let [now, before] = [&nested, &kept].map(|tree| tree.moved_mm3(axis)[0]);
        if now < (1.0 - LEAST_GAIN) * before {
            nested
        } else {
            kept
        }
    }

    /// The volume of its pieces.
    fn volume_mm3(&self) -> f64 {
        self.shapes().iter().map(|shape| shape[3].powi(3)).sum()
    }

    /// The most that moves as the cuts of a row are closed, and all that does.
    fn moved_mm3(&self, along: usize) -> [f64; 2] {
        match self {
            Self::Cut {
                axis, below, above, ..
            } if *axis == along => {
                let own = below.volume_mm3().min(above.volume_mm3());
                let [a, b] = [below, above].map(|side| side.moved_mm3(along));
                [own.max(a[0]).max(b[0]), own + a[1] + b[1]]
            }
            _ => [0.0; 2],
        }
    }

    /// The same row with what lies between its cuts lightened: that is told too, and the cuts.
    fn row(self, along: usize, slabs: &mut Vec<Self>, cuts: &mut Vec<Between>) -> Self {
        match self {
            Self::Cut {
                axis,
                cut,
                cost,
                below,
                above,
            } if axis == along => {
                let below = Box::new(below.row(along, slabs, cuts));
                cuts.push((cut.clone(), cost));
                let above = Box::new(above.row(along, slabs, cuts));
                Self::Cut {
                    axis,
                    cut,
                    cost,
                    below,
                    above,
                }
            }
            slab => {
                let slab = slab.lightened();
                slabs.push(slab.clone());
                slab
            }
        }
    }
}

/// Slabs of a row put together: from one of them on, its neighbours come one after the
/// other, the lighter of the two first; the best to begin with is sought.
fn nested(axis: usize, slabs: &[Solution], cuts: &[Between]) -> Solution {
    let from = |first: usize| {
        let mut whole = slabs[first].clone();
        let (mut low, mut high) = (first, first + 1);
        while low > 0 || high < slabs.len() {
            let weight = |k: usize| slabs[k].volume_mm3();
            let down = low > 0 && (high == slabs.len() || weight(low - 1) <= weight(high));
            let (at, below, above) = if down {
                low -= 1;
                (low, slabs[low].clone(), whole)
            } else {
                high += 1;
                (high - 2, whole, slabs[high - 1].clone())
            };
            let (cut, cost) = cuts[at].clone();
            whole = Solution::Cut {
                axis,
                cut,
                cost,
                below: Box::new(below),
                above: Box::new(above),
            };
        }
        whole
    };
    let all = (0..slabs.len()).map(from);
    let best = all.min_by(|a, b| {
        let [a, b] = [a, b].map(|tree| tree.moved_mm3(axis));
        a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1]))
    });
    best.unwrap_or_else(|| Solution::Left {
        pieces: Vec::new(),
        cost: 0.0,
    })
}

#[cfg(test)]
mod tests {
    use joinery::JointRules;
    use solid::{Point, Solid};

    use super::*;
    use crate::candidates::section_profile::Profiler;
    use crate::lattice::part::Part;

    fn slab(volume_mm3: f64) -> Solution {
        Solution::Left {
            pieces: vec![[1.0, 1.0, 1.0, volume_mm3.cbrt()]],
            cost: 1.0,
        }
    }

    /// Eight slabs halved, and halved again: four move at once. One by one, one does.
    #[test]
    fn slabs_in_a_row_come_one_by_one_to_the_heaviest() {
        let bar = Solid::cuboid(Point::origin(), Point::new(800.0, 40.0, 40.0));
        let at: Vec<f64> = (1..8).map(|k| 100.0 * f64::from(k)).collect();
        let cuts = Profiler::new(&bar, 0, &JointRules::default(), 8.0).cuts(&at);
        let volumes = [4.0, 5.0, 6.0, 9.0, 7.0, 3.0, 2.0, 1.0];
        fn halved(low: usize, high: usize, volumes: &[f64], cuts: &[Cut]) -> Solution {
            if high - low == 1 {
                return slab(volumes[low]);
            }
            let middle = low.midpoint(high);
            Solution::Cut {
                axis: 0,
                cut: Box::new(cuts[middle - 1].clone()),
                cost: 0.5,
                below: Box::new(halved(low, middle, volumes, cuts)),
                above: Box::new(halved(middle, high, volumes, cuts)),
            }
        }
        let tree = halved(0, 8, &volumes, &cuts);
        let close = |a: f64, b: f64| (a - b).abs() < 1e-6;
        assert!(close(tree.moved_mm3(0)[0], 13.0));
        let lighter = tree.clone().lightened();
        assert!(close(lighter.moved_mm3(0)[0], 7.0));
        // The same pieces in the same order, and the same cuts.
        assert_eq!(lighter.shapes(), tree.shapes());
        assert!(close(lighter.cost(), tree.cost()));
        let places = |tree: &Solution| {
            let mut out = Vec::new();
            tree.each_cut(Part::WHOLE, &mut |_, cut, _| out.push(cut.at_mm));
            out.sort_by(f64::total_cmp);
            out
        };
        assert_eq!(places(&lighter), at);
        // What gains nothing stays.
        let again = lighter.clone().lightened();
        assert_eq!(format!("{again:?}"), format!("{lighter:?}"));
    }
}
