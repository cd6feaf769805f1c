//! In which order plates are best printed.

/// Two pieces that meet, by index, and how uncertain it is that their joint holds and
/// fits: more is worth knowing earlier.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct ToTry {
    pub(crate) pieces: [usize; 2],
    pub(crate) uncertain: f64,
}

/// The order of plates, given by their pieces, in which joints can be tried early: next
/// comes always the plate with which the most uncertain of those joints that no plate
/// before completes can be tried, then the one that completes most; so sub-assemblies
/// come together while the rest is still to be printed. The first is half of a plate pair
/// with the most uncertain joint where no plate has both of its pieces.
///
/// Returns the plates' places, and for each the joints, by their places, that can be
/// tried once it is printed.
pub(crate) fn print_order(
    plates: &[Vec<usize>],
    printed: impl Fn(usize) -> bool,
    joints: &[ToTry],
) -> Vec<(usize, Vec<usize>)> {
    let plate_of = |piece: usize| plates.iter().position(|p| p.contains(&piece));
    // The plates that each joint needs; none for pieces that are there already.
    let needs: Vec<Option<Vec<usize>>> = joints
        .iter()
        .map(|joint| {
            let needed = joint.pieces.map(|piece| match printed(piece) {
                true => Some(None),
                false => plate_of(piece).map(Some),
            });
            let [a, b] = needed;
            let mut plates: Vec<usize> = [a?, b?].into_iter().flatten().collect();
            plates.dedup();
            Some(plates)
        })
        .collect();
    let mut left: Vec<usize> = (0..plates.len()).collect();
    let mut done = vec![false; plates.len()];
    let mut out = Vec::with_capacity(plates.len());
    while !left.is_empty() {
        // What a plate completes, and what it begins, each by its gravest and its sum.
        let worth = |plate: usize| {
            let mut completes = [0.0f64; 2];
            let mut begins = [0.0f64; 2];
            for (joint, needs) in joints.iter().zip(&needs) {
                let Some(needs) = needs.as_ref().filter(|n| n.contains(&plate)) else {
                    continue;
                };
                let is_last = needs.iter().all(|&p| p == plate || done[p]);
                let sum = if is_last { &mut completes } else { &mut begins };
                sum[0] = sum[0].max(joint.uncertain);
                sum[1] += joint.uncertain;
            }
            [completes[0], completes[1], begins[0], begins[1]]
        };
        let better = |a: &usize, b: &usize| {
            let (x, y) = (worth(*a), worth(*b));
            let order = x.iter().zip(&y).map(|(x, y)| x.total_cmp(y));
            let first = order.into_iter().find(|o| o.is_ne());
            // Of equals the one that comes first.
            first.unwrap_or_else(|| b.cmp(a))
        };
        let Some(next) = left.iter().copied().max_by(better) else {
            break;
        };
        left.retain(|&p| p != next);
        done[next] = true;
        let can_be_tried = |k: &usize| {
            let needs = needs[*k].as_ref();
            needs.is_some_and(|n| n.contains(&next) && n.iter().all(|&p| done[p]))
        };
        out.push((next, (0..joints.len()).filter(can_be_tried).collect()));
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn joint(a: usize, b: usize, uncertain: f64) -> ToTry {
        ToTry {
            pieces: [a, b],
            uncertain,
        }
    }

    #[test]
    fn the_least_certain_joint_can_be_tried_first() {
        // A chain of four pieces, each on its own plate; the last joint is a tenon.
        let plates: Vec<Vec<usize>> = (0..4).map(|k| vec![k]).collect();
        let joints = [joint(0, 1, 1.0), joint(1, 2, 1.0), joint(2, 3, 3.0)];
        let order = print_order(&plates, |_| false, &joints);
        let plates_in_order: Vec<usize> = order.iter().map(|o| o.0).collect();
        assert_eq!(plates_in_order, [2, 3, 1, 0]);
        let tried: Vec<&[usize]> = order.iter().map(|o| o.1.as_slice()).collect();
        assert_eq!(tried, [&[][..], &[2], &[1], &[0]]);
    }

    #[test]
    fn what_is_printed_already_can_be_tried_with_at_once() {
        let joints = [joint(0, 1, 1.0), joint(2, 3, 1.0)];
        let order = print_order(&[vec![2], vec![3], vec![1]], |k| k == 0, &joints);
        assert_eq!(order[0], (2, vec![0]));
    }

    #[test]
    fn every_plate_comes_once_and_every_joint_can_be_tried_in_the_end() {
        let plates = vec![vec![0, 1], vec![2], vec![3, 4]];
        let joints = [joint(0, 1, 1.0), joint(1, 2, 1.0), joint(3, 2, 1.0)];
        let order = print_order(&plates, |_| false, &joints);
        let mut all: Vec<usize> = order.iter().map(|o| o.0).collect();
        all.sort_unstable();
        assert_eq!(all, [0, 1, 2]);
        assert_eq!(order.iter().map(|o| o.1.len()).sum::<usize>(), 3);
    }
}
