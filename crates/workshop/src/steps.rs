use solid::{Bounds, Vector};

use crate::Seam;
use crate::keys::Key;

/// One straight move of the assembly.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// The pieces that move, as one.
    pub moving: Vec<usize>,
    /// The pieces that stand.
    pub onto: Vec<usize>,
    /// The seam that it closes, by index.
    pub seam: usize,
    /// The way they move.
    pub direction: Vector,
    /// How far.
    pub travel_mm: f64,
}

/// Free way before a key.
const AFTER_KEY_MM: f64 = 2.0;

/// Reads the assembly order off the tree: seams nearest the leaves first. At
/// each seam the sub-assemblies that touch there are put together one at a
/// time, the largest standing still, each by the seam's slide; then its keys
/// are dropped in. Keys stand after all other pieces. `parted` tells of a seam
/// and two pieces whether it goes right through between them: then they can not
/// meet as it closes, whatever their boxes do.
pub(crate) fn steps(
    seams: &[Seam],
    bounds: &[Bounds],
    volumes: &[f64],
    keys: &[Key],
    parted: impl Fn(usize, usize, usize) -> bool,
) -> Vec<Step> {
    let mut group: Vec<usize> = (0..bounds.len()).collect();
    let mut steps = Vec::new();
    // Seams stand before those that hang from them.
    for (index, seam) in seams.iter().enumerate().rev() {
        loop {
            let links: Vec<(usize, usize)> = seam
                .contacts
                .iter()
                .map(|c| (c.pieces[0], c.pieces[1]))
                .filter(|&(a, b)| group[a] != group[b])
                .collect();
            let volume = |g: usize| -> f64 {
                (0..group.len())
                    .filter(|&i| group[i] == g)
                    .map(|i| volumes[i])
                    .sum()
            };
            // The group to build on: of those with an open contact, the largest.
            let mut open: Vec<usize> = links
                .iter()
                .flat_map(|&(a, b)| [group[a], group[b]])
                .collect();
            open.sort_unstable();
            open.dedup();
            let Some(base) = open
                .iter()
                .copied()
                .max_by(|&a, &b| volume(a).total_cmp(&volume(b)))
            else {
                break;
            };
            let mut candidates: Vec<(usize, bool)> = links
                .iter()
                .filter_map(|&(below, above)| {
                    if group[above] == base {
                        Some((group[below], true))
                    } else if group[below] == base {
                        Some((group[above], false))
                    } else {
                        None
                    }
                })
                .collect();
            candidates.sort_unstable();
            candidates.dedup();
            let members = |g: usize| {
                (0..group.len())
                    .filter(|&i| group[i] == g)
                    .collect::<Vec<_>>()
            };
            let standing = members(base);
            let travel = |from_below: bool| if from_below { seam.slide } else { -seam.slide };
            let passes = |g: usize, from_below: bool, others: &[usize]| {
                let back = -travel(from_below) * seam.travel_mm;
                members(g).iter().all(|&i| {
                    let start = Bounds {
                        min: bounds[i].min + back,
                        max: bounds[i].max + back,
                    };
                    let swept = bounds[i].joined(&start);
                    others.iter().all(|&j| {
                        parted(index, i, j)
                            || bounds[i].overlaps(&bounds[j], 0.05)
                            || !swept.overlaps(&bounds[j], 0.05)
                    })
                })
            };
            let free = |c: &&(usize, bool)| passes(c.0, c.1, &standing);
            // One that, once home, is in the way of none that is still to come.
            let considerate = |c: &&(usize, bool)| {
                let own = members(c.0);
                candidates
                    .iter()
                    .all(|d| d.0 == c.0 || passes(d.0, d.1, &own))
            };
            let Some(&(next, from_below)) = candidates
                .iter()
                .find(|c| free(c) && considerate(c))
                .or_else(|| candidates.iter().find(free))
                .or_else(|| candidates.first())
            else {
                break;
            };
            steps.push(Step {
                moving: members(next),
                onto: standing.clone(),
                seam: index,
                direction: travel(from_below),
                travel_mm: seam.travel_mm,
            });
            for g in &mut group {
                if *g == next {
                    *g = base;
                }
            }
        }
        let mut own: Vec<(usize, &Key)> = keys
            .iter()
            .enumerate()
            .filter(|(_, key)| key.seam == index)
            .collect();
        // Of keys that share a joint the one furthest in goes first.
        own.sort_by(|(_, a), (_, b)| {
            let end = |k: &Key| k.reach_mm().1;
            a.joint.cmp(&b.joint).then(end(b).total_cmp(&end(a)))
        });
        for (k, key) in own {
            let piece = bounds.len() - keys.len() + k;
            let home = group[seam.contacts[key.contact].pieces[0]];
            steps.push(Step {
                moving: vec![piece],
                onto: (0..group.len()).filter(|&i| group[i] == home).collect(),
                seam: index,
                direction: key.way_in,
                travel_mm: key.run_mm + AFTER_KEY_MM,
            });
            group[piece] = home;
        }
    }
    steps
}
