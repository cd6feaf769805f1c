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
