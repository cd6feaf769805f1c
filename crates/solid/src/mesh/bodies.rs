//! The connected bodies of a solid.

use nalgebra::Vector3;
use rayon::prelude::*;

use crate::Point;
use crate::boolean::kernel_error::KernelError;
use crate::bounds::Bounds;
use crate::disjoint_sets::DisjointSets;
use crate::mesh::solid_type::Solid;
use crate::query::rays::RayCaster;
use crate::query::shared::near::overlapping_within;

impl Solid {
    /// The connected bodies, each with its cavities, in the order of their
    /// first triangle.
    ///
    /// ```
    /// use solid::{Point, Solid};
    ///
    /// let a = Solid::cuboid(Point::origin(), Point::new(1.0, 1.0, 1.0));
    /// let b = Solid::cuboid(Point::new(5.0, 0.0, 0.0), Point::new(6.0, 1.0, 1.0));
    /// assert_eq!(a.union(&b).unwrap().bodies().len(), 2);
    /// ```
    pub fn bodies(&self) -> Vec<Self> {
        let shells = self.shells();
        if shells.len() <= 1 {
            return if self.is_empty() {
                Vec::new()
            } else {
                vec![self.clone()]
            };
        }
        let (outer, cavities): (Vec<_>, Vec<_>) =
            shells.into_iter().partition(|s| s.volume_mm3() > 0.0);
        let mut owned: Vec<Vec<Self>> = vec![Vec::new(); outer.len()];
        let casters: Vec<Option<RayCaster>> = if cavities.is_empty() {
            Vec::new()
        } else {
            outer.iter().map(RayCaster::new).collect()
        };
        for cavity in cavities {
            let probe = cavity.vertices()[0];
            let home = (0..outer.len())
                .filter(|&i| casters[i].as_ref().is_some_and(|c| c.contains(&probe)))
                .min_by(|&a, &b| outer[a].volume_mm3().total_cmp(&outer[b].volume_mm3()));
            if let Some(i) = home {
                owned[i].push(cavity);
            }
        }
        outer
            .into_iter()
            .zip(owned)
            .map(|(shell, cavities)| {
                if cavities.is_empty() {
                    shell
                } else {
                    Self::gathered(std::iter::once(&shell).chain(&cavities))
                }
            })
            .collect()
    }

    /// The solid with bodies made one that touch, overlap or lie in each other, and how many
    /// went into others. Bodies that are apart stay as they are, to the last bit.
    ///
    /// # Errors
    ///
    /// When the kernel refuses an operand.
    ///
    /// ```
    /// use solid::{Point, Solid};
    ///
    /// let block = |x: f64| Solid::cuboid(Point::new(x, 0.0, 0.0), Point::new(x + 2.0, 1.0, 1.0));
    /// let row = Solid::gathered([&block(0.0), &block(2.0), &block(5.0)]);
    /// let (united, gone) = row.united().unwrap();
    /// assert_eq!((gone, united.bodies().len()), (1, 2));
    /// ```
    pub fn united(&self) -> Result<(Self, usize), KernelError> {
        let bodies = self.bodies();
        let boxes: Vec<Bounds> = bodies.iter().filter_map(Self::bounds).collect();
        let mut sets = DisjointSets::of(bodies.len());
        overlapping_within(&boxes, |a, b| {
            sets.unite(a, b);
        });
        let mut gone = 0;
        let mut out = Vec::new();
        for root in 0..bodies.len() {
            let members = (0..bodies.len()).filter(|&k| sets.find(k) == root);
            let group: Vec<&Self> = members.map(|k| &bodies[k]).collect();
            let together = match group.len() {
                0 | 1 => None,
                _ => Some(Self::union_of(group.iter().copied())?),
            };
            let left = together.as_ref().map_or(group.len(), |t| t.bodies().len());
            gone += group.len().saturating_sub(left);
            match together.filter(|_| left < group.len()) {
                Some(united) => out.push(united),
                None => out.extend(group.into_iter().cloned()),
            }
        }
        match gone {
            0 => Ok((self.clone(), 0)),
            _ => Ok((Self::gathered(&out), gone)),
        }
    }

    /// Edge-connected surfaces, each a closed mesh; a cavity has a negative
    /// volume. Those that share no more than a corner are two.
    pub(crate) fn shells(&self) -> Vec<Self> {
        let triangles = self.triangles();
        let mut edges: Vec<[u32; 3]> = Vec::with_capacity(triangles.len() * 3);
        for (k, &[a, b, c]) in triangles.iter().enumerate() {
            let sides = [[a, b], [b, c], [c, a]];
            edges.extend(sides.map(|[p, q]| [p.min(q), p.max(q), k as u32]));
        }
        edges.par_sort_unstable();
        let mut sets = DisjointSets::of(triangles.len());
        for pair in edges.windows(2).filter(|w| w[0][..2] == w[1][..2]) {
            sets.unite(pair[0][2] as usize, pair[1][2] as usize);
        }
        drop(edges);
        let mut members: Vec<Vec<u32>> = Vec::new();
        let mut shell_of = vec![u32::MAX; triangles.len()];
        for k in 0..triangles.len() {
            let root = sets.find(k);
            if shell_of[root] == u32::MAX {
                shell_of[root] = members.len() as u32;
                members.push(Vec::new());
            }
            members[shell_of[root] as usize].push(k as u32);
        }
        // Where each vertex went in the shell that it was last met in.
        let mut place = vec![(u32::MAX, 0u32); self.vertices().len()];
        let each = members.iter().zip(0..);
        each.map(|(members, shell)| {
            let mut vertices = Vec::new();
            let triangles = members.iter().map(|&k| {
                triangles[k as usize].map(|i| {
                    let slot = &mut place[i as usize];
                    if slot.0 != shell {
                        *slot = (shell, vertices.len() as u32);
                        vertices.push(self.vertices()[i as usize]);
                    }
                    slot.1
                })
            });
            let triangles = triangles.collect();
            Self::trusted(vertices, triangles)
        })
        .collect()
    }

    /// The meshes side by side in one solid. They must not overlap.
    pub fn gathered<'a>(parts: impl IntoIterator<Item = &'a Self>) -> Self {
        let (mut vertices, mut triangles) = (Vec::new(), Vec::new());
        for part in parts {
            let base = vertices.len() as u32;
            vertices.extend_from_slice(part.vertices());
            triangles.extend(part.triangles().iter().map(|t| t.map(|i| i + base)));
        }
        Self::trusted(vertices, triangles)
    }

    /// A point well inside the solid, if it is not empty: the middle of the
    /// first stretch of material met by a ray inward from its largest triangle.
    pub fn point_inside(&self) -> Option<Point> {
        let caster = RayCaster::new(self)?;
        let area = |t: usize| {
            let [a, b, c] = self.corners(t);
            (b - a).cross(&(c - a)).norm()
        };
        let largest = (0..self.triangles().len()).max_by(|&a, &b| area(a).total_cmp(&area(b)))?;
        let [a, b, c] = self.corners(largest);
        let start = Point::from((a.coords + b.coords + c.coords) / 3.0);
        let inward: Vector3<f64> = -self.normal(largest);
        let hit = caster.first_exit(&start, &inward, f64::INFINITY)?;
        Some(start + inward * (hit.distance_mm / 2.0))
    }
}
