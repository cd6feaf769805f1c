//! What has to come apart so that a piece comes free, and what need not.

use std::collections::BTreeSet;

use design::{Assembly, PieceId, StepEntry};
use serde::{Deserialize, Serialize};
use solid::{Bounds, DisjointSets, Vector};

use crate::words::{counted, listed};

/// What has to be undone so that some pieces come free.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Undoing {
    /// The pieces for which it is the same.
    pub pieces: Vec<PieceId>,
    /// The steps, the first to be undone first.
    pub steps: Vec<usize>,
}

impl Undoing {
    /// In a sentence.
    pub fn words(&self) -> String {
        match &self.steps[..] {
            [] => format!("{}: nothing holds it.", listed(&self.pieces, ", ")),
            [one] => format!("{}: undo step {one}.", listed(&self.pieces, ", ")),
            steps => format!(
                "{}: undo {}, in this order: {}.",
                listed(&self.pieces, ", "),
                counted(steps.len(), "step"),
                listed(steps, ", ")
            ),
        }
    }
}

/// What has to be undone for each piece, pieces with the same steps together. What a step
/// parted is put together by no other path through what stays; and what comes out has its
/// way free, by boxes, of what stays and is not joined to it. Where it has not, all steps are undone that had
/// anything to do with the piece.
pub(crate) fn undoing(assembly: &Assembly) -> Vec<Undoing> {
    let built = Built::of(assembly);
    let mut out: Vec<Undoing> = Vec::new();
    for (k, piece) in assembly.pieces().iter().enumerate() {
        let steps: Vec<usize> = built.undone_for(k).into_iter().map(|s| s + 1).collect();
        match out.iter_mut().find(|u| u.steps == steps) {
            Some(undoing) => undoing.pieces.push(piece.id.clone()),
            None => out.push(Undoing {
                pieces: vec![piece.id.clone()],
                steps,
            }),
        }
    }
    out
}

/// What holds what, once all is put together.
struct Built<'a> {
    steps: &'a [StepEntry],
    /// The sides of each step, by the places of their pieces: what moves, what stands.
    sides: Vec<[Vec<usize>; 2]>,
    /// Pairs that touch, with the step that brought them together.
    links: Vec<(usize, [usize; 2])>,
    bounds: Vec<Option<Bounds>>,
}

impl<'a> Built<'a> {
    fn of(assembly: &'a Assembly) -> Self {
        let steps = assembly.steps();
        let side = |s: &StepEntry| [&s.moving, &s.onto].map(|ids| assembly.places(ids));
        let sides: Vec<[Vec<usize>; 2]> = steps.iter().map(side).collect();
        let met = |[a, b]: [usize; 2]| {
            sides.iter().position(|[moving, onto]| {
                moving.contains(&a) && onto.contains(&b) || moving.contains(&b) && onto.contains(&a)
            })
        };
        let contacts = assembly.seams().iter().flat_map(|s| &s.contacts);
        let pairs = contacts.flat_map(|c| {
            let [a, b] = c.pieces.each_ref().map(|id| assembly.place(id));
            let keys = assembly.places(&c.keys).into_iter();
            let keyed = keys.flat_map(move |k| [[a, k], [k, b]]);
            std::iter::once([a, b]).chain(keyed)
        });
        Self {
            links: pairs.filter_map(|pair| Some((met(pair)?, pair))).collect(),
            bounds: assembly
                .pieces()
                .iter()
                .map(|p| p.in_place.bounds())
                .collect(),
            steps,
            sides,
        }
    }

    /// The steps to be undone for a piece, the last that was made first.
    fn undone_for(&self, piece: usize) -> Vec<usize> {
        let own = self.links.iter().filter(|(_, pair)| pair.contains(&piece));
        let mut own: BTreeSet<usize> = own.map(|(step, _)| *step).collect();
        // What is in a body comes out with it first.
        own.extend(
            (0..self.steps.len()).filter(|&s| self.is_home(s) && self.sides[s][0].contains(&piece)),
        );
        let mut undone = own.clone();
        while let Some(step) = self.still_held(&undone) {
            undone.insert(step);
        }
        // What was taken on the way to the one that held, and held nothing.
        for step in undone.clone().difference(&own) {
            undone.remove(step);
            if self.still_held(&undone).is_some() {
                undone.insert(*step);
            }
        }
        let order: Vec<usize> = undone.iter().rev().copied().collect();
        if self.has_free_way(piece, &order) {
            return order;
        }
        let with_it = |s: &usize| self.sides[*s].iter().any(|side| side.contains(&piece));
        (0..self.steps.len()).rev().filter(with_it).collect()
    }

    /// Whether a step brings a body home.
    fn is_home(&self, step: usize) -> bool {
        self.steps[step].seam().is_none()
    }

    /// The pieces that hang together but for what some steps made.
    fn without(&self, undone: &BTreeSet<usize>) -> DisjointSets {
        let mut parts = DisjointSets::of(self.bounds.len());
        for (step, [a, b]) in &self.links {
            if !undone.contains(step) {
                parts.unite(*a, *b);
            }
        }
        parts
    }

    /// The latest step by which the two sides of one that is to be undone hang together
    /// all the same.
    fn still_held(&self, undone: &BTreeSet<usize>) -> Option<usize> {
        let mut parts = self.without(undone);
        for &step in undone {
            let [moving, onto] = &self.sides[step];
            let moving: BTreeSet<usize> = moving.iter().map(|&k| parts.find(k)).collect();
            let shared: BTreeSet<usize> = onto
                .iter()
                .map(|&k| parts.find(k))
                .filter(|k| moving.contains(k))
                .collect();
            let mut through = self
                .links
                .iter()
                .filter(|(_, [a, _])| shared.contains(&parts.find(*a)));
            let later = through
                .by_ref()
                .filter(|(s, _)| *s > step && !undone.contains(s))
                .map(|(s, _)| *s)
                .max();
            if later.is_some() {
                return later;
            }
        }
        None
    }

    /// Whether, as steps are undone in this order, what moves meets nothing but what it is
    /// joined to; what does not come along with the piece is laid aside.
    fn has_free_way(&self, piece: usize, order: &[usize]) -> bool {
        let mut undone = BTreeSet::new();
        let mut aside = vec![false; self.bounds.len()];
        order.iter().all(|&step| {
            undone.insert(step);
            let mut parts = self.without(&undone);
            let moving: BTreeSet<usize> =
                self.sides[step][0].iter().map(|&k| parts.find(k)).collect();
            let away = -Vector::from(self.steps[step].direction) * self.steps[step].travel_mm;
            // A body comes out as it came in, whole and alone.
            let is_home = self.is_home(step);
            let mut along = |k: usize| match is_home {
                true => self.sides[step][0].contains(&k),
                false => moving.contains(&parts.find(k)),
            };
            let comes_along: Vec<bool> = (0..self.bounds.len()).map(&mut along).collect();
            let stays = self.sides[step][1].iter().all(|&k| !comes_along[k]);
            // Its way in among what was there is free whatever boxes say.
            let known: &[usize] = if is_home { &self.sides[step][1] } else { &[] };
            let free = stays && self.sweeps_free(&comes_along, (&aside, known), &away);
            for (k, aside) in aside.iter_mut().enumerate() {
                *aside |= comes_along[k] != comes_along[piece];
            }
            free
        })
    }

    /// Whether what moves meets nothing but what it is joined to, what is laid aside, or what
    /// is known to be out of its way.
    fn sweeps_free(
        &self,
        moves: &[bool],
        (aside, known): (&[bool], &[usize]),
        away: &Vector,
    ) -> bool {
        let there = |k: &usize| !aside[*k] && self.bounds[*k].is_some();
        let all = || (0..self.bounds.len()).filter(there);
        all().filter(|k| moves[*k]).all(|mine| {
            let Some(own) = self.bounds[mine] else {
                return true;
            };
            let swept = own.joined(&Bounds {
                min: own.min + away,
                max: own.max + away,
            });
            let joined = |k: usize| {
                let pair = [mine, k];
                self.links
                    .iter()
                    .any(|(_, p)| pair.iter().all(|x| p.contains(x)))
            };
            all().filter(|k| !moves[*k]).all(|other| {
                let meets = self.bounds[other].is_some_and(|b| swept.overlaps(&b, BESIDE_MM));
                !meets || known.contains(&other) || joined(other)
            })
        })
    }
}

/// What overlaps by less lies beside.
const BESIDE_MM: f64 = 0.05;

#[cfg(test)]
mod tests {
    use design::{Closes, ContactEntry, PieceInPlace, PrinterId, SeamEntry, SeamId};
    use joinery::JointKind;
    use solid::{Point, Solid};

    use super::*;

    /// Blocks in a row along x, each 10 mm long, put together along y one after the other
    /// onto the first, but for pairs that meet besides.
    fn row(count: usize, besides: &[[usize; 2]]) -> Vec<Undoing> {
        let id = |k: usize| PieceId::cut(k + 1, 2);
        let pieces = (0..count).map(|k| {
            let x = 10.0 * k as f64;
            let block = Solid::cuboid(Point::new(x, 0.0, 0.0), Point::new(x + 10.0, 10.0, 10.0));
            PieceInPlace {
                id: id(k),
                in_place: block.clone(),
                as_printed: block,
                placed: solid::Isometry::identity(),
                printer: PrinterId::at(0),
            }
        });
        let pairs = (1..count)
            .map(|k| [k - 1, k])
            .chain(besides.iter().copied());
        let contact = |pair: [usize; 2]| ContactEntry::between(pair.map(id), JointKind::Dovetail);
        let seam = SeamEntry {
            contacts: pairs.map(contact).collect(),
            ..SeamEntry::sliding(SeamId::numbered(1), [1.0, 0.0, 0.0], [0.0, 1.0, 0.0], 20.0)
        };
        let steps = (1..count).map(|k| StepEntry {
            step: k,
            moving: vec![id(k)],
            onto: (0..k).map(id).collect(),
            closes: Closes::Seam(SeamId::numbered(1)),
            direction: [0.0, 1.0, 0.0],
            travel_mm: 20.0,
            rests: None,
            play: Vec::new(),
        });
        let printers = vec!["220x220x250".parse().unwrap()];
        let assembly = Assembly::new(pieces.collect(), vec![seam], steps.collect(), printers);
        undoing(&assembly.unwrap())
    }

    fn steps_for(all: &[Undoing], piece: usize) -> &[usize] {
        let id = format!("P{:02}", piece + 1);
        let of = all
            .iter()
            .find(|u| u.pieces.iter().any(|p| p.as_str() == id));
        &of.unwrap().steps
    }

    #[test]
    fn what_hangs_on_the_other_side_stays_together() {
        let all = row(4, &[]);
        assert_eq!(steps_for(&all, 0), [1]);
        assert_eq!(steps_for(&all, 1), [2, 1]);
        assert_eq!(steps_for(&all, 3), [3]);
    }

    #[test]
    fn what_holds_both_sides_is_undone_before() {
        // The last block meets the first as well.
        let all = row(3, &[[0, 2]]);
        assert_eq!(steps_for(&all, 0), [2, 1]);
        assert_eq!(steps_for(&all, 1), [2, 1]);
        assert_eq!(steps_for(&all, 2), [2]);
    }
}
