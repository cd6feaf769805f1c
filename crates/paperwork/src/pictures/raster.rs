//! A small software rasteriser: orthographic, z-buffered, flat shading, edges.

use nalgebra::{Matrix3, Rotation3, Vector3};
use rayon::prelude::*;
use solid::{Bounds, Point, Solid, Vector};

use crate::pictures::canvas::{BACKGROUND, Canvas, Picture, SUPER};
use crate::pictures::edges::{Edge, edges};

/// A solid made ready to be drawn any number of times.
pub(crate) struct Shape<'a> {
    solid: &'a Solid,
    normals: Vec<Vector>,
    /// Those that any view may show: faces that are one plane have none between.
    edges: Vec<Edge>,
}

impl<'a> Shape<'a> {
    pub(crate) fn of(solid: &'a Solid) -> Self {
        let each = 0..solid.triangles().len();
        let normals: Vec<Vector> = each.map(|k| solid.normal(k)).collect();
        let mut edges = edges(solid);
        edges.retain(|e| {
            let [m, n] = e.faces.map(|k| &normals[k as usize]);
            m.dot(n) < FLAT
        });
        Self {
            solid,
            normals,
            edges,
        }
    }

    /// The ends of the edges at which its faces meet at an angle.
    pub(crate) fn creases(&self) -> impl Iterator<Item = [u32; 2]> + '_ {
        let sharp = |e: &&Edge| creased(e, &self.normals);
        self.edges.iter().filter(sharp).map(|e| e.ends)
    }

    /// What is drawn.
    pub(crate) fn solid(&self) -> &'a Solid {
        self.solid
    }
}

/// The pieces of an assembly by their places, made ready as they are asked for.
pub(crate) type InPlace<'a, 's> = &'a dyn Fn(usize) -> &'a Shape<'s>;

/// One thing to draw.
pub(crate) struct Item<'a> {
    pub(crate) shape: &'a Shape<'a>,
    pub(crate) shift: Vector,
    pub(crate) colour: [u8; 3],
}

/// Where the eye is: turned about z, then raised; and which side of the furniture lies down.
#[derive(Clone, Copy)]
pub(crate) struct View {
    pub(crate) azimuth_deg: f64,
    pub(crate) elevation_deg: f64,
    pub(crate) down: Vector,
}

impl Default for View {
    fn default() -> Self {
        Self {
            azimuth_deg: -58.0,
            elevation_deg: 24.0,
            down: -Vector::z(),
        }
    }
}

impl View {
    /// The way to the eye.
    pub(crate) fn towards(&self) -> Vector {
        self.axes().row(2).transpose()
    }

    /// The way from the upper left to the lower right of what is seen.
    pub(crate) fn down_right(&self) -> Vector {
        let axes = self.axes();
        (axes.row(0) - axes.row(1)).transpose().normalize()
    }

    /// A point so far from the lower left corner of a box, as it is seen.
    pub(crate) fn lower_left(&self, all: &Bounds, inset_mm: f64) -> Point {
        let axes = self.axes();
        let seen = Bounds::of(all.corners().map(|p| Point::from(axes * p.coords)));
        let corner = seen.map_or_else(Point::origin, |b| b.min);
        let corner = corner + Vector::new(inset_mm, inset_mm, 0.0);
        Point::from(axes.transpose() * corner.coords)
    }

    /// Rows: right, up, towards the eye.
    fn axes(&self) -> Matrix3<f64> {
        let (a, e) = (
            self.azimuth_deg.to_radians(),
            self.elevation_deg.to_radians(),
        );
        let towards = Vector3::new(e.cos() * a.cos(), e.cos() * a.sin(), e.sin());
        let right = Vector3::new(-a.sin(), a.cos(), 0.0);
        let up = towards.cross(&right);
        let standing =
            Matrix3::from_rows(&[right.transpose(), up.transpose(), towards.transpose()]);
        standing * self.laid().matrix()
    }

    /// The least turn that lays the furniture on that side.
    fn laid(&self) -> Rotation3<f64> {
        let half = || Rotation3::from_axis_angle(&Vector::x_axis(), std::f64::consts::PI);
        Rotation3::rotation_between(&self.down, &-Vector::z()).unwrap_or_else(half)
    }
}

/// Faces that meet at more than this are an edge worth a line.
const CREASE_DEG: f64 = 25.0;
/// The cosine of the angle of faces that are one plane.
const FLAT: f64 = 1.0 - 1e-9;

/// What of the items is shown.
pub(crate) enum Window<'a> {
    /// All of them.
    All,
    /// What lies about some points.
    About(&'a [Point]),
}

/// How much is seen around the points of a window, in sizes of what they span.
const AROUND: f64 = 0.25;
/// No closer than this.
const CLOSEST_MM: f64 = 30.0;

/// How items are brought to the canvas: all of them fill it, or what a window asks.
struct Projection {
    axes: Matrix3<f64>,
    scale: f64,
    centre: Point,
    size: Vector,
    canvas: [f64; 2],
}

impl Projection {
    /// That of some items, with room for others, and the corners of the first in its axes.
    fn of(
        items: &[Item],
        others: &[Item],
        (view, window): (&View, &Window),
        [w, h]: [usize; 2],
    ) -> Option<(Self, Vec<Vec<Point>>)> {
        let axes = view.axes();
        let corners = |item: &Item| -> Vec<Point> {
            let vertices = item.shape.solid.vertices().iter();
            vertices
                .map(|p| Point::from(axes * (p.coords + item.shift)))
                .collect()
        };
        let seen: Vec<Vec<Point>> = items.par_iter().map(corners).collect();
        let beside = others.iter().flat_map(corners);
        let all = Bounds::of(seen.iter().flatten().copied().chain(beside))?;
        let bounds = match window {
            Window::All => all,
            Window::About(points) => {
                let seen = points.iter().map(|p| Point::from(axes * p.coords));
                let b = Bounds::of(seen)?;
                let size = b.size_mm();
                let short = (CLOSEST_MM - size.x.max(size.y)).max(0.0) / 2.0;
                b.grown(short + AROUND * size.x.max(size.y))
            }
        };
        let size = bounds.size_mm();
        let (w, h) = (w as f64, h as f64);
        let projection = Self {
            axes,
            scale: 0.94 * (w / size.x.max(1e-9)).min(h / size.y.max(1e-9)),
            centre: bounds.centre(),
            size: all.size_mm(),
            canvas: [w, h],
        };
        Some((projection, seen))
    }

    /// Where a point, in the projection's axes, comes to lie.
    fn place(&self, p: &Point) -> [f64; 3] {
        let [w, h] = self.canvas;
        [
            (p.x - self.centre.x) * self.scale + w / 2.0,
            h / 2.0 - (p.y - self.centre.y) * self.scale,
            p.z,
        ]
    }

    /// Fills the faces of items that look at the eye; `seen` are their corners as they come
    /// to lie.
    fn faces(&self, items: &[Item], seen: &[Vec<[f64; 3]>], canvas: &mut Canvas) {
        let towards = self.axes.row(2).transpose();
        let light = self.axes.transpose() * Vector::new(-0.35, 0.62, 0.70).normalize();
        for (item, seen) in items.iter().zip(seen) {
            let Shape { solid, normals, .. } = item.shape;
            for (t, n) in solid.triangles().iter().zip(normals) {
                if n.dot(&towards) > 0.0 {
                    let corners = t.map(|i| seen[i as usize]);
                    canvas.triangle(corners, shaded(item.colour, n.dot(&light)));
                }
            }
        }
    }

    /// Where corners come to lie.
    fn places(&self, seen: &[Vec<Point>]) -> Vec<Vec<[f64; 3]>> {
        let each = seen.par_iter();
        each.map(|corners| corners.iter().map(|p| self.place(p)).collect())
            .collect()
    }
}

/// What a view shows of some items, to ask for points.
pub(crate) struct Sight {
    projection: Projection,
    depth: Vec<f32>,
}

impl Sight {
    /// Of items, from a view, through a window; `None` where there is nothing.
    pub(crate) fn of(items: &[Item], view: &View, window: &Window) -> Option<Self> {
        let [w, h] = PROBED;
        let (projection, seen) = Projection::of(items, &[], (view, window), PROBED)?;
        let mut canvas = Canvas::colourless(w, h);
        projection.faces(items, &projection.places(&seen), &mut canvas);
        Some(Self {
            projection,
            depth: canvas.depth,
        })
    }

    /// Whether no item covers a point, but for a hair of depth.
    pub(crate) fn shows(&self, p: &Point) -> bool {
        let [w, h] = PROBED;
        let hair = 1.5 / self.projection.scale;
        let p = Point::from(self.projection.axes * p.coords);
        let [x, y, z] = self.projection.place(&p);
        let inside = x >= 0.0 && y >= 0.0 && x < w as f64 && y < h as f64;
        inside && (z + hair) as f32 >= self.depth[y as usize * w + x as usize]
    }
}

/// Size of the canvas on which points are looked for.
const PROBED: [usize; 2] = [420, 315];

/// Draws items so that all of them fill the picture; those of `above` cover all others.
pub(crate) fn draw(
    items: &[Item],
    above: &[Item],
    (view, window): (&View, &Window),
    size: (usize, usize),
) -> Picture {
    let (width, height) = size;
    let (w, h) = (width * SUPER, height * SUPER);
    let Some((projection, seen)) = Projection::of(items, above, (view, window), [w, h]) else {
        return Picture {
            width,
            height,
            rgb: BACKGROUND.repeat(width * height),
        };
    };
    let mut canvas = Canvas::blank(w, h);
    let seen = projection.places(&seen);
    projection.faces(items, &seen, &mut canvas);
    // Lines after all faces, so that nothing behind covers them; lifted by a
    // hair of depth over their own faces.
    let lift = 2.5 / projection.scale + projection.size.z * 1e-4;
    for (item, seen) in items.iter().zip(&seen) {
        for edge in &item.shape.edges {
            if shows(edge, &item.shape.normals, &projection.axes) {
                let [a, b] = edge.ends.map(|i| seen[i as usize]);
                canvas.line(a, b, lift, [38, 38, 38]);
            }
        }
    }
    let nearest = Vector::z() * (2.0 * projection.size.norm());
    let corners = |item: &Item| -> Vec<Point> {
        let vertices = item.shape.solid.vertices().iter();
        let seen = vertices.map(|p| projection.axes * (p.coords + item.shift) + nearest);
        seen.map(Point::from).collect()
    };
    let seen: Vec<Vec<Point>> = above.iter().map(corners).collect();
    projection.faces(above, &projection.places(&seen), &mut canvas);
    canvas.reduced(width, height)
}

/// Light from over the left shoulder, which falls on a face so straight, and never quite
/// dark.
fn shaded(colour: [u8; 3], light: f64) -> [u8; 3] {
    let strength = 0.55 + 0.45 * light.max(0.0);
    colour.map(|c| (f64::from(c) * strength).round() as u8)
}

fn creased(edge: &Edge, normals: &[Vector]) -> bool {
    let [m, n] = edge.faces.map(|k| &normals[k as usize]);
    m.dot(n) < CREASE_DEG.to_radians().cos()
}

/// Whether an edge is worth a line: where faces meet at an angle, or where one of
/// them looks away.
fn shows(edge: &Edge, normals: &[Vector], axes: &Matrix3<f64>) -> bool {
    let [m, n] = edge.faces.map(|k| &normals[k as usize]);
    let towards = axes.row(2);
    let [m_z, n_z] = [m, n].map(|n| (towards * n).x);
    let creased = creased(edge, normals);
    (m_z > 0.0 || n_z > 0.0) && (creased || (m_z > 1e-9) != (n_z > 1e-9))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_stands_before_a_point_hides_it() {
        let block = Solid::cuboid(Point::origin(), Point::new(40.0, 20.0, 30.0));
        let shape = Shape::of(&block);
        let items = [Item {
            shape: &shape,
            shift: Vector::zeros(),
            colour: [0; 3],
        }];
        // From the front, level.
        let view = View {
            azimuth_deg: -90.0,
            elevation_deg: 0.0,
            ..View::default()
        };
        let [front, back] = [Point::new(20.0, 0.0, 15.0), Point::new(20.0, 20.0, 15.0)];
        let all = Sight::of(&items, &view, &Window::All).unwrap();
        assert!(all.shows(&front) && !all.shows(&back));
        assert!(
            !all.shows(&Point::new(500.0, 0.0, 15.0)),
            "beside the picture"
        );
        // What a window leaves out is not shown, though nothing stands before it.
        let corner = [Point::origin(), Point::new(1.0, 0.0, 1.0)];
        let near = Sight::of(&items, &view, &Window::About(&corner)).unwrap();
        assert!(near.shows(&corner[0]) && !near.shows(&Point::new(39.0, 0.0, 29.0)));
    }
}
