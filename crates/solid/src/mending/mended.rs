//! Loose triangles mended, step by step.

use crate::Point;
use crate::bounds::Bounds;
use crate::mending::doubles::drop_doubles;
use crate::mending::holes::{close_as_it_seems, close_flat};
use crate::mending::junctions::part_at_junctions;
use crate::mending::loose::Loose;
use crate::mending::orientation::agree;
use crate::mending::remedy::{Mended, Mending, Mends, Remedy};
use crate::mending::sheets::part_sheets;
use crate::mending::thicken::thicken;
use crate::mesh::cavities;
use crate::mesh::defects::Defects;
use crate::mesh::needles::without_needles;
use crate::mesh::solid_type::{Solid, TriangleCorners};
use crate::mesh::weld::{inspect, is_needle, weld_exactly, weld_near};

/// Corners are welded within this share of the size of the whole: about the precision of the
/// numbers in a file.
const PRECISION: f64 = 1e-6;

impl Solid {
    /// Makes loose triangles a solid, mending what has one remedy that is certain: see
    /// [`Remedy`]. A surface that is sound is taken as it is.
    ///
    /// # Errors
    ///
    /// Every defect that is left.
    ///
    /// ```
    /// use solid::{Point, Remedy, Solid};
    ///
    /// // A block without its top.
    /// let block = Solid::cuboid(Point::origin(), Point::new(1.0, 2.0, 3.0));
    /// let open = block.triangle_corners().filter(|t| t.iter().any(|p| p.z == 0.0));
    /// let mended = Solid::mended(open).unwrap();
    /// assert_eq!(mended.solid.volume_mm3(), 6.0);
    /// assert_eq!(mended.done[0].remedy, Remedy::Holes);
    /// ```
    pub fn mended(triangles: impl IntoIterator<Item = TriangleCorners>) -> Result<Mended, Defects> {
        Self::mended_by(triangles, Mends::default())
    }

    /// The same, and mended besides what is not certain, as far as it is asked for.
    ///
    /// # Errors
    ///
    /// As [`Solid::mended`].
    ///
    /// ```
    /// use solid::{Mends, Point, Remedy, Solid};
    ///
    /// // A board drawn as one rectangle.
    /// let corners = [[0.0, 0.0], [300.0, 0.0], [300.0, 200.0], [0.0, 200.0]];
    /// let [a, b, c, d] = corners.map(|[x, y]| Point::new(x, y, 0.0));
    /// let by = Mends { thicken_mm: Some(3.0), ..Mends::default() };
    /// let mended = Solid::mended_by([[a, b, c], [a, c, d]], by).unwrap();
    /// assert!((mended.solid.volume_mm3() - 300.0 * 200.0 * 3.0).abs() < 1e-6);
    /// assert_eq!(mended.done[0].remedy, Remedy::Thickened);
    /// ```
    pub fn mended_by(
        triangles: impl IntoIterator<Item = TriangleCorners>,
        by: Mends,
    ) -> Result<Mended, Defects> {
        let triangles: Vec<TriangleCorners> = triangles.into_iter().collect();
        let (vertices, triangles) = weld_exactly(&triangles);
        let Err(defects) = inspect(&vertices, &triangles) else {
            return Ok(Mended {
                solid: Self::trusted(vertices, triangles),
                done: Vec::new(),
                closed_mm2: 0.0,
            });
        };
        if defects.found.iter().any(|d| d.kind.is_of_numbers()) {
            return Err(defects);
        }
        let mut mending = Course {
            loose: Loose {
                vertices,
                triangles,
            },
            done: Vec::new(),
        };
        let closed_mm2 = mending.surface(by);
        let Course { loose, mut done } = mending;
        let (shells, dropped) = without_films(&loose);
        done.extend(dropped);
        let (shells, turned) = cavities::shells_outward(shells);
        done.extend(turned.map(|(count, at)| Mending {
            remedy: Remedy::Bodies,
            count,
            at,
        }));
        let solid = Self::gathered(&shells);
        match inspect(solid.vertices(), solid.triangles()) {
            Ok(()) => Ok(Mended {
                solid,
                done,
                closed_mm2,
            }),
            // Where nothing is left, what there was says more.
            Err(_) if solid.is_empty() => Err(defects),
            Err(left) => Err(left),
        }
    }
}

struct Course {
    loose: Loose,
    done: Vec<Mending>,
}

impl Course {
    fn did(&mut self, remedy: Remedy, what: Option<(usize, Point)>) {
        let each = what.map(|(count, at)| Mending { remedy, count, at });
        self.done.extend(each);
    }

    /// Mends the surface edge by edge; the area that came in.
    fn surface(&mut self, by: Mends) -> f64 {
        let bounds = Bounds::of(self.loose.vertices.iter().copied());
        let within_mm = bounds.map_or(0.0, |b| b.diagonal_mm()) * PRECISION;
        if !self.loose.open_edges().is_empty() {
            self.weld(within_mm);
        }
        self.drop_no_area();
        if let Some(thickness_mm) = by.thicken_mm {
            let what = agree(&mut self.loose);
            self.did(Remedy::Turned, what);
            let what = part_at_junctions(&mut self.loose, within_mm);
            self.did(Remedy::Junctions, what);
            let what = thicken(&mut self.loose, thickness_mm);
            self.did(Remedy::Thickened, what);
        }
        let what = drop_doubles(&mut self.loose);
        self.did(Remedy::Doubled, what);
        let what = agree(&mut self.loose);
        self.did(Remedy::Turned, what);
        // What is parted may have corners in line with others.
        for _ in 0..3 {
            let what = part_at_junctions(&mut self.loose, within_mm);
            self.did(Remedy::Junctions, what);
            self.drop_no_area();
            if what.is_none() {
                break;
            }
        }
        let what = drop_doubles(&mut self.loose);
        self.did(Remedy::Doubled, what);
        let what = agree(&mut self.loose);
        self.did(Remedy::Turned, what);
        let holes = close_flat(&mut self.loose);
        self.did(Remedy::Holes, holes.map(|(count, at, _)| (count, at)));
        let guessed = by
            .guess
            .then(|| close_as_it_seems(&mut self.loose))
            .flatten();
        self.did(Remedy::Guessed, guessed.map(|(count, at, _)| (count, at)));
        let what = part_sheets(&mut self.loose);
        self.did(Remedy::Sheets, what);
        [holes, guessed]
            .into_iter()
            .flatten()
            .map(|(_, _, area)| area)
            .sum()
    }

    fn weld(&mut self, within_mm: f64) {
        let open = self.loose.open_edges();
        let vertices = std::mem::take(&mut self.loose.vertices);
        let triangles = std::mem::take(&mut self.loose.triangles);
        let near = weld_near(vertices.clone(), triangles.clone(), within_mm);
        let count = vertices.len() - near.0.len();
        let welded = Loose {
            vertices: near.0,
            triangles: near.1,
        };
        let first = open.first().map(|e| vertices[e[0] as usize]);
        self.loose = match welded.open_edges().len() < open.len() {
            true => welded,
            false => {
                self.loose = Loose {
                    vertices,
                    triangles,
                };
                return;
            }
        };
        self.did(Remedy::Welded, first.map(|at| (count, at)));
    }

    fn drop_no_area(&mut self) {
        let Loose {
            vertices,
            triangles,
        } = &mut self.loose;
        let places = |t: &[u32; 3]| t.map(|v| vertices[v as usize]);
        let flat: Vec<Point> = triangles
            .iter()
            .filter(|t| is_needle(places(t)))
            .map(|t| places(t)[0])
            .collect();
        let Some(first) = flat.first() else { return };
        *triangles = without_needles(vertices, std::mem::take(triangles));
        self.did(Remedy::NoArea, Some((flat.len(), *first)));
    }
}

/// The shells that enclose something, and what was done to the others.
fn without_films(loose: &Loose) -> (Vec<Solid>, Option<Mending>) {
    let whole = Solid::trusted(loose.vertices.clone(), loose.triangles.clone());
    let (kept, films): (Vec<Solid>, Vec<Solid>) = whole.shells().into_iter().partition(encloses);
    let mending = films.first().map(|film| Mending {
        remedy: Remedy::Films,
        count: films.len(),
        at: film.vertices()[0],
    });
    (kept, mending)
}

/// Thinner than this on the whole, a shell encloses nothing.
const FILM_MM: f64 = 1e-6;

fn encloses(shell: &Solid) -> bool {
    let area: f64 = shell.area_mm2();
    shell.volume_mm3().abs() > FILM_MM * area
}

#[cfg(test)]
mod tests {
    use geo::BooleanOps;
    use proptest::prelude::*;

    use super::*;
    use crate::Vector;
    use crate::frame::Frame;
    use crate::polygon::outline::rectangle;

    fn block(low: [f64; 3], high: [f64; 3]) -> Vec<TriangleCorners> {
        Solid::cuboid(low.into(), high.into())
            .triangle_corners()
            .collect()
    }

    /// What was done, without how often.
    fn remedies(mended: &Mended) -> Vec<Remedy> {
        mended.done.iter().map(|m| m.remedy).collect()
    }

    fn comes_out(soup: Vec<TriangleCorners>, volume: f64, done: &[Remedy]) {
        let mended = Solid::mended(soup).unwrap();
        assert_eq!(remedies(&mended), done);
        let found = mended.solid.volume_mm3();
        assert!(
            (found - volume).abs() < 1e-6 * volume,
            "{found} of {volume}"
        );
    }

    #[test]
    fn a_sound_surface_keeps_every_bit() {
        let soup = block([0.1, 0.2, 0.3], [1.0, 2.0, 3.0]);
        let mended = Solid::mended(soup.clone()).unwrap();
        assert!(mended.done.is_empty());
        assert_eq!(mended.solid.triangle_corners().collect::<Vec<_>>(), soup);
    }

    #[test]
    fn flat_holes_are_closed_together() {
        let mut open = block([0., 0., 0.], [1., 2., 3.]);
        open.retain(|t| !t.iter().all(|p| p.z == 3.0));
        comes_out(open.clone(), 6.0, &[Remedy::Holes]);
        // Both ends gone.
        open.retain(|t| !t.iter().all(|p| p.z == 0.0));
        comes_out(open, 6.0, &[Remedy::Holes]);
        // The end of a tube lies between two rims.
        let [outer, inner] = [4.0, 2.0].map(|r| rectangle([-r, -r], [r, r]));
        let frame = Frame::facing(Point::origin(), Vector::z());
        let tube = Solid::extruded(&frame, &outer.difference(&inner), 0.0, 10.0).unwrap();
        let mut open: Vec<TriangleCorners> = tube.triangle_corners().collect();
        open.retain(|t| !t.iter().all(|p| p.z > 9.0));
        comes_out(open, 480.0, &[Remedy::Holes]);
    }

    #[test]
    fn holes_that_meet_at_a_corner_are_closed_each() {
        // A lid of eight triangles about its middle, of which two that touch there are gone.
        let mut open = block([0., 0., 0.], [2., 2., 3.]);
        open.retain(|t| !t.iter().all(|p| p.z == 3.0));
        let round = [
            [0., 0.],
            [1., 0.],
            [2., 0.],
            [2., 1.],
            [2., 2.],
            [1., 2.],
            [0., 2.],
            [0., 1.],
        ];
        let at = |k: usize| Point::new(round[k % 8][0], round[k % 8][1], 3.0);
        let lid = (0..8).filter(|k| ![1, 5].contains(k));
        open.extend(lid.map(|k| [Point::new(1., 1., 3.), at(k), at(k + 1)]));
        comes_out(open, 12.0, &[Remedy::Junctions, Remedy::Holes]);
    }

    #[test]
    fn a_hole_about_a_corner_is_refused() {
        let mut open = block([0., 0., 0.], [1., 2., 3.]);
        open.retain(|t| !t.iter().all(|p| p.z == 3.0) && !t.iter().all(|p| p.x == 1.0));
        assert!(
            Solid::mended(open)
                .unwrap_err()
                .has(crate::DefectKind::OpenEdge)
        );
    }

    #[test]
    fn faces_are_turned_dropped_and_parted() {
        let sound = block([0., 0., 0.], [1., 2., 3.]);
        let mut flipped = sound.clone();
        flipped[5].swap(0, 1);
        comes_out(flipped, 6.0, &[Remedy::Turned]);
        let mut doubled = sound.clone();
        doubled.push(sound[3]);
        comes_out(doubled, 6.0, &[Remedy::Doubled]);
        // A corner in an edge that only one of its faces knows.
        let mut parted = sound.clone();
        let [a, b, c] = parted.remove(7);
        let between = nalgebra::center(&a, &b);
        parted.extend([[a, between, c], [between, b, c]]);
        comes_out(parted, 6.0, &[Remedy::Junctions]);
        // A sheet of no thickness beside the block.
        let mut film = sound.clone();
        let [a, b, c] = [[5., 0., 0.], [6., 0., 0.], [5., 1., 0.]].map(Point::from);
        let d = Point::new(6., 1., 0.);
        film.extend([[a, b, c], [a, c, b], [b, d, c], [b, c, d]]);
        comes_out(film, 6.0, &[Remedy::Doubled]);
        // Both sides of every face.
        let mut both = sound.clone();
        both.extend(sound.iter().map(|[a, b, c]| [*a, *c, *b]));
        let mended = Solid::mended(both).unwrap();
        assert!((mended.solid.volume_mm3() - 6.0).abs() < 1e-9);
        let mut near = sound;
        near[4][1].x += 1e-7;
        comes_out(near, 6.0, &[Remedy::Welded]);
    }

    #[test]
    fn boards_that_touch_come_apart() {
        // Face to face with the same triangles: what lies between them goes.
        let mut against = block([0., 0., 0.], [1., 2., 3.]);
        against.extend(block([1., 0., 0.], [2., 2., 3.]));
        let mended = Solid::mended(against).unwrap();
        assert!((mended.solid.volume_mm3() - 12.0).abs() < 1e-9);
        // One of them inside out: both have the face the same way round.
        let mut against = block([0., 0., 0.], [1., 2., 3.]);
        let other = block([1., 0., 0.], [2., 2., 3.]);
        against.extend(other.iter().map(|[a, b, c]| [*a, *c, *b]));
        let mended = Solid::mended(against).unwrap();
        assert!((mended.solid.volume_mm3() - 12.0).abs() < 1e-9);
        // Along an edge.
        let mut along = block([0., 0., 0.], [1., 2., 3.]);
        along.extend(block([1., 2., 0.], [2., 3., 3.]));
        let mended = Solid::mended(along).unwrap();
        assert_eq!(remedies(&mended), [Remedy::Sheets]);
        assert_eq!(mended.solid.bodies().len(), 2);
        // One of them inside out, whichever comes first.
        let (one, other) = (
            block([0., 0., 0.], [1., 2., 3.]),
            block([1., 2., 0.], [2., 3., 3.]),
        );
        let turned = one.iter().map(|[a, b, c]| [*a, *c, *b]);
        let turned: Vec<TriangleCorners> = turned.collect();
        for soup in [[turned.clone(), other.clone()], [other, turned]] {
            let mended = Solid::mended(soup.concat()).unwrap();
            assert!((mended.solid.volume_mm3() - 9.0).abs() < 1e-9);
        }
        // An edge that lies in a face, and edges with the same ends.
        let mut on_top = block([0., 0., 0.], [4., 4., 1.]);
        on_top.extend(block([0., 0., 1.], [4., 1., 2.]));
        let mended = Solid::mended(on_top).unwrap();
        assert!((mended.solid.volume_mm3() - 20.0).abs() < 1e-9);
    }

    proptest! {
        /// A board with legs, broken in one way, comes out with the volume of the sound one,
        /// in whatever order its triangles come.
        #[test]
        fn one_defect_is_mended(
            which in 0..4usize,
            face in 0..24usize,
            order in Just(()).prop_perturb(|(), mut rng| {
                let mut order: Vec<usize> = (0..24).collect();
                for k in (1..24).rev() {
                    order.swap(k, rng.random_range(0..=k));
                }
                order
            }),
        ) {
            let mut sound = block([0., 0., 9.], [40., 30., 11.]);
            sound.extend(block([50., 0., 0.], [53., 3., 9.]));
            let mut soup: Vec<TriangleCorners> = order.iter().map(|&k| sound[k]).collect();
            match which {
                0 => soup[face].swap(1, 2),
                1 => soup.push(sound[face]),
                2 => {
                    let [a, b, c] = soup.remove(face);
                    let middle = nalgebra::center(&b, &c);
                    soup.extend([[a, b, middle], [a, middle, c]]);
                }
                _ => {
                    soup.remove(face);
                }
            }
            let mended = Solid::mended(soup).unwrap();
            prop_assert_eq!(mended.done.len(), 1);
            let volume = mended.solid.volume_mm3();
            prop_assert!((volume - 2481.0).abs() < 1e-6, "{}", volume);
        }
    }
}
