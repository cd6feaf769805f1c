//! The volume that two solids share.

use crate::bounds::Bounds;
use crate::mesh::solid_type::Solid;
use crate::query::shared::near::{overlapping, touch};
use crate::query::shared::pair::{Degenerate, Facet, meeting};
use crate::query::shared::sides::sides;
use crate::{Point, Vector};

/// A solid made ready to be held against others, any number of times.
pub struct Facets<'a> {
    solid: &'a Solid,
    bounds: Option<Bounds>,
    boxes: Vec<Bounds>,
}

/// What two solids share.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shared {
    /// Its volume.
    pub volume_mm3: f64,
    /// A box about it, where there is any.
    pub bounds: Option<Bounds>,
}

const NOTHING: Shared = Shared {
    volume_mm3: 0.0,
    bounds: None,
};

/// Pieces that were made from one plane lie on each other to the last bit, where
/// inside and outside have no meaning: the first is moved by so much, twenty
/// nanometres and less along each axis, and its faces lie on no other's.
const NUDGE_MM: [f64; 3] = [1.9e-5, 1.3e-5, 0.7e-5];

impl<'a> Facets<'a> {
    /// Makes a solid ready.
    pub fn of(solid: &'a Solid) -> Self {
        let boxes = solid.triangle_corners().map(|[a, b, c]| Bounds {
            min: a.inf(&b).inf(&c),
            max: a.sup(&b).sup(&c),
        });
        Self {
            solid,
            bounds: solid.bounds(),
            boxes: boxes.collect(),
        }
    }

    /// The solid itself.
    pub fn solid(&self) -> &'a Solid {
        self.solid
    }

    /// The box about it, if there is anything.
    pub(crate) fn bounds(&self) -> Option<Bounds> {
        self.bounds
    }

    /// The box about each of its triangles.
    pub(crate) fn boxes(&self) -> &[Bounds] {
        &self.boxes
    }

    /// What the solid shares with another once it is shifted, from the triangles
    /// of both where they come near each other and nowhere else: by the divergence
    /// theorem it is a sum over what is left of each face within the other solid,
    /// and that over the boundary of what is left. `None` where a corner lies in
    /// a face, or an edge on an edge, to the last bit; the boolean kernel has a rule.
    ///
    /// The solid is moved by 2.5e-5 mm besides, so that faces which lie on each
    /// other share no more than that over their area.
    ///
    /// ```
    /// use solid::{Facets, Point, Solid, Vector};
    ///
    /// let block = Solid::cuboid(Point::origin(), Point::new(4.0, 1.0, 1.0));
    /// let facets = Facets::of(&block);
    /// let shared = facets.shared(&(Vector::x() * 3.0), &facets).unwrap();
    /// assert!((shared.volume_mm3 - 1.0).abs() < 1e-4);
    /// assert!(facets.shared(&(Vector::x() * 4.1), &facets).unwrap().volume_mm3 == 0.0);
    /// ```
    pub fn shared(&self, shift: &Vector, other: &Self) -> Option<Shared> {
        let shift = shift + Vector::from(NUDGE_MM);
        let (Some(own), Some(others)) = (self.bounds, other.bounds) else {
            return Some(NOTHING);
        };
        let own = moved(&own, &shift);
        if !touch(&own, &others) {
            return Some(NOTHING);
        }
        let common = Bounds {
            min: own.min.sup(&others.min),
            max: own.max.inf(&others.max),
        };
        // From the middle of what they may share, so that little cancels out.
        let to_middle = -common.centre().coords;
        let a = self.within(&others, &shift, &to_middle);
        let b = other.within(&own, &Vector::zeros(), &to_middle);
        let shared = measured(&a, &b).ok()?;
        Some(Shared {
            bounds: shared.bounds.map(|b| moved(&b, &-to_middle)),
            ..shared
        })
    }

    /// The triangles that reach into a box once they are shifted.
    fn within(&self, limits: &Bounds, shift: &Vector, to_middle: &Vector) -> Near<'_> {
        let by = shift + to_middle;
        let reach_in = |k: &usize| touch(&moved(&self.boxes[*k], shift), limits);
        let near = || (0..self.boxes.len()).filter(reach_in);
        Near {
            solid: self.solid,
            by,
            bounds: self.bounds.map(|b| moved(&b, &by)),
            facets: near().map(|k| facet(self.solid, k, &by)).collect(),
            boxes: near().map(|k| moved(&self.boxes[k], &by)).collect(),
        }
    }
}

/// A shifted solid, and those of its triangles that may matter.
struct Near<'a> {
    solid: &'a Solid,
    by: Vector,
    bounds: Option<Bounds>,
    facets: Vec<Facet>,
    boxes: Vec<Bounds>,
}

impl Near<'_> {
    fn all(&self) -> impl Iterator<Item = Facet> {
        let all = 0..self.solid.triangles().len();
        all.map(|k| facet(self.solid, k, &self.by))
    }
}

fn facet(solid: &Solid, triangle: usize, by: &Vector) -> Facet {
    let ids = solid.triangles()[triangle];
    Facet {
        ids,
        corners: ids.map(|v| solid.vertices()[v as usize] + by),
    }
}

fn moved(b: &Bounds, by: &Vector) -> Bounds {
    Bounds {
        min: b.min + by,
        max: b.max + by,
    }
}

/// Six times the volume that three places span with the middle.
fn spanned(a: &Point, b: &Point, c: &Point) -> f64 {
    a.coords.dot(&b.coords.cross(&c.coords))
}

fn measured(a: &Near, b: &Near) -> Result<Shared, Degenerate> {
    let mut six_volumes = 0.0;
    let mut places: Vec<Point> = Vec::new();
    let mut through = [a, b].map(|near| vec![[0; 3]; near.facets.len()]);
    let mut failed = None;
    overlapping(&a.boxes, &b.boxes, |i, j| {
        let (t, u) = (&a.facets[i], &b.facets[j]);
        let met = match meeting(t, u) {
            Ok(None) => return,
            Ok(Some(met)) => met,
            Err(degenerate) => {
                failed = Some(degenerate);
                return;
            }
        };
        // Of an edge that goes in, the rest is within; of one that comes out, what
        // was thought to be.
        let sides = [(t, &met.first, i), (u, &met.second, j)];
        for (side, (facet, piercings, at)) in sides.into_iter().enumerate() {
            for p in piercings {
                let change = if p.enters { 1 } else { -1 };
                let [_, to] = facet.edge(p.edge);
                six_volumes += f64::from(change) * spanned(&facet.corners[0], &p.at, &to);
                through[side][at][p.edge] += change;
            }
        }
        let [from, to] = met.line;
        six_volumes += spanned(&t.corners[0], &from, &to);
        six_volumes += spanned(&u.corners[0], &to, &from);
        places.extend([from, to]);
    });
    if let Some(degenerate) = failed {
        return Err(degenerate);
    }
    for (near, through, other) in [(a, &through[0], b), (b, &through[1], a)] {
        let Some(limits) = &other.bounds else {
            continue;
        };
        let inside = sides(&near.facets, through, || other.all(), limits)?;
        for (facet, inside) in near.facets.iter().zip(inside) {
            for k in (0..3).filter(|&k| inside[k]) {
                let [from, to] = facet.edge(k);
                six_volumes += spanned(&facet.corners[0], &from, &to);
                places.push(from);
            }
        }
    }
    Ok(Shared {
        volume_mm3: (six_volumes / 6.0).max(0.0),
        bounds: Bounds::of(places),
    })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::Frame;

    /// A block with a hole, a leaning tail, a rod: what furniture is made of.
    fn shapes() -> Vec<Solid> {
        let block = Solid::cuboid(Point::origin(), Point::new(10.0, 8.0, 6.0));
        let hole = Solid::cuboid(Point::new(3.0, 2.0, -1.0), Point::new(7.0, 5.0, 7.0));
        let rod = Solid::cylinder(Point::new(5.0, 4.0, -2.0), Vector::z() * 9.0, 2.5, 24).unwrap();
        let ring = |w: f64| vec![[-w, 0.0], [w, 0.0], [w + 1.5, 4.0], [-w - 1.5, 4.0]];
        let frame = Frame::facing(Point::new(5.0, 4.0, 0.0), Vector::new(0.2, 0.9, 0.3));
        let tail = Solid::loft(&frame, &[(0.0, ring(2.0)), (5.0, ring(1.2))]).unwrap();
        let holed = block.difference(&hole).unwrap();
        let cavity = Solid::cuboid(Point::new(1.0, 1.0, 1.0), Point::new(9.0, 7.0, 5.0));
        let hollow = block.difference(&cavity).unwrap();
        let two = Solid::gathered([&block, &rod.shifted(Vector::x() * 20.0)]);
        vec![block, holed, rod, tail, hollow, two]
    }

    proptest! {
        #[test]
        fn it_is_what_the_kernel_says(
            a in 0usize..6,
            b in 0usize..6,
            shift in prop::array::uniform3(-9.0..9.0f64),
            whole_numbers in any::<bool>(),
        ) {
            let shapes = shapes();
            // On whole numbers faces, edges and corners lie on each other.
            let shift = Vector::from(shift).map(|x| if whole_numbers { x.round() } else { x });
            let [a, b] = [&shapes[a], &shapes[b]];
            let kernel = a.shared_when_shifted(&shift, b).unwrap().volume_mm3();
            let own = Facets::of(a).shared(&shift, &Facets::of(b)).unwrap();
            let touching = 3e-5 * (a.area_mm2() + b.area_mm2());
            prop_assert!((own.volume_mm3 - kernel).abs() < touching, "{} {kernel}", own.volume_mm3);
        }
    }

    #[test]
    fn where_corners_lie_on_corners_it_says_nothing() {
        let nudged_back = -Vector::from(NUDGE_MM);
        for solid in shapes() {
            let facets = Facets::of(&solid);
            assert_eq!(facets.shared(&nudged_back, &facets), None, "{solid:?}");
        }
    }

    #[test]
    fn a_body_within_another_is_shared_whole() {
        let block = Solid::cuboid(Point::origin(), Point::new(10.0, 10.0, 10.0));
        let small = Solid::cuboid(Point::new(4.0, 4.0, 4.0), Point::new(5.0, 5.0, 5.0));
        let (large, small) = (Facets::of(&block), Facets::of(&small));
        for (one, other) in [(&large, &small), (&small, &large)] {
            let shared = one.shared(&Vector::zeros(), other).unwrap();
            assert!((shared.volume_mm3 - 1.0).abs() < 1e-12);
            assert!(shared.bounds.unwrap().size_mm().norm() < 2.0);
        }
    }

    #[test]
    fn a_body_in_a_cavity_shares_nothing() {
        let block = Solid::cuboid(Point::origin(), Point::new(10.0, 10.0, 10.0));
        let cavity = Solid::cuboid(Point::new(2.0, 2.0, 2.0), Point::new(8.0, 8.0, 8.0));
        let hollow = block.difference(&cavity).unwrap();
        let small = Solid::cuboid(Point::new(4.0, 4.0, 4.0), Point::new(5.0, 5.0, 5.0));
        let shared = Facets::of(&small).shared(&Vector::zeros(), &Facets::of(&hollow));
        assert_eq!(shared.unwrap().volume_mm3, 0.0);
    }

    #[test]
    fn a_solid_shares_all_of_itself_with_itself() {
        for solid in shapes() {
            let facets = Facets::of(&solid);
            let shared = facets.shared(&Vector::zeros(), &facets).unwrap();
            let missing = solid.volume_mm3() - shared.volume_mm3;
            assert!(missing.abs() < 3e-5 * solid.area_mm2(), "{missing}");
        }
    }
}
