//! What hangs together in ranges of boxes.
//!
//! Ranges that differ only in where they end along one axis are looked at one
//! after the other: each takes in the components of one more layer, instead of
//! all its bodies. What hangs together within a layer is found once for all
//! the ranges that have it.

use solid::DisjointSets;

use crate::lattice::box_lattice::Lattice;
use crate::lattice::box_range::BoxRange;
use crate::lattice::kdop::Kdop;
use crate::lattice::skin::Skin;

/// The layers of a block of boxes, one for each box along an axis.
pub(crate) struct Layers {
    along: usize,
    layers: Vec<Layer>,
}

/// What the boxes of one layer hold.
struct Layer {
    /// What hangs together within the layer.
    components: Vec<Kdop>,
    /// A component of this layer, one of the next to which it joins, and the area over
    /// which it does.
    up: Vec<(usize, usize, f64)>,
}

/// The bodies of a layer: ids follow each other in a box, so they differ from
/// places in the layer by the same there.
struct Places {
    /// For each box of the layer, that difference.
    less: Vec<usize>,
    ids: Vec<usize>,
}

impl Places {
    fn of(lattice: &Lattice, layer: BoxRange) -> Self {
        let mut out = Self {
            less: Vec::with_capacity(layer.boxes().count()),
            ids: Vec::new(),
        };
        for at in layer.boxes() {
            let ids = lattice.ids(at);
            // Both rise along the lattice, the layer's the slower.
            out.less.push(ids.start - out.ids.len());
            out.ids.extend(ids);
        }
        out
    }
}

/// Bodies that hang together, joined into one k-dop each, and for each body which
/// of these it is in.
fn joined<'b>(
    bodies: impl Iterator<Item = (&'b Kdop, &'b Skin)>,
    sets: &mut DisjointSets,
) -> (Vec<Kdop>, Vec<usize>) {
    let mut components: Vec<Kdop> = Vec::new();
    let mut component_of: Vec<usize> = Vec::new();
    for (k, (body, skin)) in bodies.enumerate() {
        let first = sets.find(k);
        let component = if first == k {
            components.push(Kdop {
                skin: *skin,
                ..*body
            });
            components.len() - 1
        } else {
            let component = component_of[first];
            components[component].join(body, skin);
            component
        };
        component_of.push(component);
    }
    (components, component_of)
}

impl Layers {
    /// The layers of a block along an axis.
    pub(crate) fn of(lattice: &Lattice, block: BoxRange, along: usize) -> Self {
        let layer = |k: u8| {
            let mut layer = block;
            (layer.low[along], layer.high[along]) = (k, k + 1);
            layer
        };
        let [across, down] = match along {
            0 => [1, 2],
            1 => [0, 2],
            _ => [0, 1],
        };
        // Which box of its layer one is, and how far on the next of an axis is.
        let nth = |at: [u8; 3]| {
            usize::from(at[across] - block.low[across]) * block.span(down)
                + usize::from(at[down] - block.low[down])
        };
        let further = |axis: usize| if axis == across { block.span(down) } else { 1 };
        let mut layers: Vec<Layer> = Vec::with_capacity(block.span(along));
        // Where the joins of the layer before end, as places in this one.
        let mut ups: Vec<(usize, usize, f64)> = Vec::new();
        let mut places = Places::of(lattice, layer(block.low[along]));
        for k in block.low[along]..block.high[along] {
            let above = (k + 1 < block.high[along]).then(|| Places::of(lattice, layer(k + 1)));
            let mut skins: Vec<_> = places
                .ids
                .iter()
                .map(|&id| lattice.bodies[id].reach.skin)
                .collect();
            let mut sets = DisjointSets::of(places.ids.len());
            let mut up = Vec::new();
            for (k, &id) in places.ids.iter().enumerate() {
                let at = lattice.bodies[id].at;
                for join in lattice.joins(id) {
                    if join.axis == along {
                        if let Some(above) = &above {
                            let to = join.to - above.less[nth(at)];
                            up.push((k, to, join.area_mm2));
                        }
                    } else if at[join.axis] + 1 < block.high[join.axis] {
                        let to = join.to - places.less[nth(at) + further(join.axis)];
                        let at_mm = lattice.bodies[id].reach.high[join.axis];
                        skins[k].take_face(join.axis, true, (at_mm, join.area_mm2));
                        skins[to].take_face(join.axis, false, (at_mm, join.area_mm2));
                        sets.unite(k, to);
                    }
                }
            }
            let bodies = places.ids.iter().map(|&id| &lattice.bodies[id].reach);
            let (components, component_of) = joined(bodies.zip(&skins), &mut sets);
            if let Some(below) = layers.last_mut() {
                below.up = ups
                    .iter()
                    .map(|&(from, to, area)| (from, component_of[to], area))
                    .collect();
            }
            ups = up
                .into_iter()
                .map(|(k, to, area): (usize, usize, f64)| (component_of[k], to, area))
                .collect();
            layers.push(Layer {
                components,
                up: Vec::new(),
            });
            if let Some(above) = above {
                places = above;
            }
        }
        Self { along, layers }
    }

    /// Nothing yet, before a layer, counted from the block's first.
    pub(crate) fn from(&self, layer: usize) -> Growing<'_> {
        Growing {
            along: self.along,
            layers: &self.layers,
            next: layer,
            last: Vec::new(),
            sets: DisjointSets::default(),
            held: Vec::new(),
        }
    }
}

/// What hangs together in layers that are taken in one after the other.
pub(crate) struct Growing<'a> {
    along: usize,
    layers: &'a [Layer],
    /// The layer that is taken in next.
    next: usize,
    /// Which of all components those of the last layer are.
    last: Vec<usize>,
    sets: DisjointSets,
    /// For the first component of each set what the set is.
    held: Vec<Option<Kdop>>,
}

impl Growing<'_> {
    /// Takes one more layer in; whether there was one and it holds something.
    pub(crate) fn grow(&mut self) -> bool {
        let Some(layer) = self.layers.get(self.next) else {
            return false;
        };
        let first = self.held.len();
        self.held.extend(layer.components.iter().copied().map(Some));
        self.sets.extend_to(self.held.len());
        if !self.last.is_empty() {
            let joins = &self.layers[self.next - 1].up;
            for &(from, to, area) in joins {
                let below = self.sets.find(self.last[from]);
                for (component, looks_up) in [(below, true), (first + to, false)] {
                    if let Some(reach) = &mut self.held[component] {
                        let at_mm = reach.end(self.along, looks_up);
                        let face = (at_mm, area);
                        reach.skin.take_face(self.along, looks_up, face);
                    }
                }
            }
            for &(from, to, _) in joins {
                let Some((one, other)) = self.sets.unite(self.last[from], first + to) else {
                    continue;
                };
                if let Some(other) = self.held[other].take()
                    && let Some(one) = &mut self.held[one]
                {
                    one.join(&other, &other.skin);
                }
            }
        }
        self.last = (first..self.held.len()).collect();
        self.next += 1;
        !layer.components.is_empty()
    }

    /// What hangs together in the layers that were taken in.
    pub(crate) fn components(&self) -> impl Iterator<Item = &Kdop> {
        self.held.iter().flatten()
    }
}

#[cfg(test)]
mod tests {
    use joinery::JointRules;
    use proptest::prelude::*;
    use solid::{Bounds, Point, Solid};

    use super::*;
    use crate::candidates::section_profile::Profiler;
    use crate::constraint::constraints::Constraints;

    /// A frame that goes round a hole, and a post that touches nothing.
    fn model(rail: f64, post: f64) -> Solid {
        let block = |a: [f64; 3], b: [f64; 3]| Solid::cuboid(Point::from(a), Point::from(b));
        Solid::union_of([
            &block([0.0, 0.0, 0.0], [rail, 40.0, 200.0]),
            &block([300.0 - rail, 0.0, 0.0], [300.0, 40.0, 200.0]),
            &block([0.0, 0.0, 0.0], [300.0, 40.0, rail]),
            &block([0.0, 0.0, 200.0 - rail], [300.0, 40.0, 200.0]),
            &block([140.0, 60.0, 0.0], [160.0, 60.0 + post, 180.0]),
        ])
        .unwrap()
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 16, ..ProptestConfig::default() })]

        /// The kernel says what hangs together in a part of the model; see there.
        #[test]
        fn components_are_the_bodies_of_a_part(
            rail in 15.0f64..60.0,
            post in 10.0f64..80.0,
            places in proptest::collection::vec(0.05f64..0.95, 9),
            ends in proptest::collection::vec(0usize..6, 3),
            along in 0usize..3,
        ) {
            let model = model(rail, post);
            let bounds = model.bounds().unwrap();
            let cuts = [0, 1, 2].map(|axis| {
                let (low, high) = (bounds.min[axis], bounds.max[axis]);
                let mut at: Vec<f64> = places[3 * axis..3 * axis + 3]
                    .iter()
                    .map(|p| low + p * (high - low))
                    .collect();
                at.sort_by(f64::total_cmp);
                at.dedup_by(|a, b| (*a - *b).abs() < 2.0);
                Profiler::new(&model, axis, &JointRules::default(), 8.0).cuts(&at)
            });
            let lattice = Lattice::over(&model, cuts, &Constraints::default()).unwrap();
            let counts = lattice.counts();
            let mut block = BoxRange::all(counts);
            for axis in (0..3).filter(|&axis| axis != along) {
                let one = (ends[axis] % counts[axis]) as u8;
                block.low[axis] = one.min(block.high[axis] - 1);
                block.high[axis] = (one + 1 + (ends[along] % 3) as u8).min(block.high[axis]);
            }
            let layers = Layers::of(&lattice, block, along);
            for first in 0..counts[along] {
                let mut growing = layers.from(first);
                for last in first..counts[along] {
                    growing.grow();
                    let mut range = block;
                    (range.low[along], range.high[along]) = (first as u8, last as u8 + 1);
                    let part = lattice.part(range).within(&bounds.grown(1.0));
                    let content = model.intersection(&Solid::cuboid(part.min, part.max)).unwrap();
                    let mut bodies: Vec<(Bounds, [f64; 2])> = content
                        .bodies()
                        .iter()
                        .filter(|b| b.volume_mm3() > 1e-3)
                        .map(|b| (b.bounds().unwrap(), [b.volume_mm3(), b.area_mm2()]))
                        .collect();
                    prop_assert_eq!(growing.components().count(), bodies.len());
                    for reach in growing.components() {
                        let like = |(b, [volume, area]): &(Bounds, [f64; 2])| {
                            (0..3).all(|k| {
                                (b.min[k] - reach.low[k]).abs() < 1e-6
                                    && (b.max[k] - reach.high[k]).abs() < 1e-6
                            }) && (volume - reach.volume_mm3).abs() < 1e-3
                                && (area - reach.skin.area_mm2).abs() < 1e-3
                        };
                        let found = bodies.iter().position(like);
                        prop_assert!(found.is_some(), "{:?} among {:?}", reach, bodies);
                        bodies.swap_remove(found.unwrap());
                    }
                }
            }
        }
    }
}
