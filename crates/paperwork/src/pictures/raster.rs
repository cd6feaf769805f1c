//! A small software rasteriser: orthographic, z-buffered, flat shading, edges.

use nalgebra::{Matrix3, Vector3};
use rayon::prelude::*;
use solid::{Bounds, Point, Solid, Vector};

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

    /// What is drawn.
    pub(crate) fn solid(&self) -> &'a Solid {
        self.solid
    }
}

/// One thing to draw.
pub(crate) struct Item<'a> {
    pub(crate) shape: &'a Shape<'a>,
    pub(crate) shift: Vector,
    pub(crate) colour: [u8; 3],
}

/// A picture in 8-bit RGB.
pub(crate) struct Picture {
    pub(crate) width: usize,
    pub(crate) height: usize,
    pub(crate) rgb: Vec<u8>,
}

/// Where the eye is: turned about z, then raised.
pub(crate) struct View {
    pub(crate) azimuth_deg: f64,
    pub(crate) elevation_deg: f64,
}

impl Default for View {
    fn default() -> Self {
        Self {
            azimuth_deg: -58.0,
            elevation_deg: 24.0,
        }
    }
}

impl View {
    /// The way to the eye.
    pub(crate) fn towards(&self) -> Vector {
        self.axes().row(2).transpose()
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
        Matrix3::from_rows(&[right.transpose(), up.transpose(), towards.transpose()])
    }
}

const BACKGROUND: [u8; 3] = [255, 255, 255];
/// Samples a pixel along each axis.
const SUPER: usize = 2;
/// Faces that meet at more than this are an edge worth a line.
const CREASE_DEG: f64 = 25.0;
/// The cosine of the angle of faces that are one plane.
const FLAT: f64 = 1.0 - 1e-9;

/// How items are brought to the canvas: all of them fill it.
struct Projection {
    axes: Matrix3<f64>,
    scale: f64,
    centre: Point,
    size: Vector,
    canvas: [f64; 2],
}

impl Projection {
    /// That of some items, and their corners in its axes.
    fn of(items: &[Item], view: &View, [w, h]: [usize; 2]) -> Option<(Self, Vec<Vec<Point>>)> {
        let axes = view.axes();
        let seen: Vec<Vec<Point>> = items
            .par_iter()
            .map(|item| {
                let vertices = item.shape.solid.vertices().iter();
                vertices
                    .map(|p| Point::from(axes * (p.coords + item.shift)))
                    .collect()
            })
            .collect();
        let bounds = Bounds::of(seen.iter().flatten().copied())?;
        let size = bounds.size_mm();
        let (w, h) = (w as f64, h as f64);
        let projection = Self {
            axes,
            scale: 0.94 * (w / size.x.max(1e-9)).min(h / size.y.max(1e-9)),
            centre: bounds.centre(),
            size,
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

    /// Fills the faces of items that look at the eye.
    fn faces(&self, items: &[Item], seen: &[Vec<Point>], canvas: &mut Canvas) {
        for (item, seen) in items.iter().zip(seen) {
            let Shape { solid, normals, .. } = item.shape;
            for (t, n) in solid.triangles().iter().zip(normals) {
                let n = self.axes * n;
                if n.z > 0.0 {
                    let corners = t.map(|i| self.place(&seen[i as usize]));
                    canvas.triangle(corners, shaded(item.colour, &n));
                }
            }
        }
    }
}

/// How many of some points no item covers, but for a hair of depth.
pub(crate) fn in_sight(items: &[Item], view: &View, points: &[Point]) -> usize {
    let Some((projection, seen)) = Projection::of(items, view, PROBED) else {
        return 0;
    };
    let [w, h] = PROBED;
    let mut canvas = Canvas::blank(w, h);
    projection.faces(items, &seen, &mut canvas);
    let hair = 1.5 / projection.scale;
    let open = |p: &&Point| {
        let [x, y, z] = projection.place(&Point::from(projection.axes * p.coords));
        let inside = x >= 0.0 && y >= 0.0 && x < w as f64 && y < h as f64;
        inside && (z + hair) as f32 >= canvas.depth[y as usize * w + x as usize]
    };
    points.iter().filter(open).count()
}

/// Size of the canvas on which points are looked for.
const PROBED: [usize; 2] = [420, 315];

/// Draws items so that all of them fill the picture; those of `above` cover all others.
pub(crate) fn draw(items: &[Item], above: &[Item], view: &View, size: (usize, usize)) -> Picture {
    let (width, height) = size;
    let (w, h) = (width * SUPER, height * SUPER);
    let Some((projection, seen)) = Projection::of(items, view, [w, h]) else {
        return Picture {
            width,
            height,
            rgb: BACKGROUND.repeat(width * height),
        };
    };
    let mut canvas = Canvas::blank(w, h);
    projection.faces(items, &seen, &mut canvas);
    // Lines after all faces, so that nothing behind covers them; lifted by a
    // hair of depth over their own faces.
    let lift = 2.5 / projection.scale + projection.size.z * 1e-4;
    for (item, seen) in items.iter().zip(&seen) {
        for edge in &item.shape.edges {
            if shows(edge, &item.shape.normals, &projection.axes) {
                let [a, b] = edge.ends.map(|i| projection.place(&seen[i as usize]));
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
    projection.faces(above, &seen, &mut canvas);
    canvas.reduced(width, height)
}

/// Light from over the left shoulder, and never quite dark.
fn shaded(colour: [u8; 3], normal: &Vector) -> [u8; 3] {
    let light = Vector::new(-0.35, 0.62, 0.70).normalize();
    let strength = 0.55 + 0.45 * normal.dot(&light).max(0.0);
    colour.map(|c| (f64::from(c) * strength).round() as u8)
}

/// Whether an edge is worth a line: where faces meet at an angle, or where one of
/// them looks away.
fn shows(edge: &Edge, normals: &[Vector], axes: &Matrix3<f64>) -> bool {
    let [m, n] = edge.faces.map(|k| &normals[k as usize]);
    let towards = axes.row(2);
    let [m_z, n_z] = [m, n].map(|n| (towards * n).x);
    let creased = m.dot(n) < CREASE_DEG.to_radians().cos();
    (m_z > 0.0 || n_z > 0.0) && (creased || (m_z > 1e-9) != (n_z > 1e-9))
}

/// A quantity that changes evenly over the picture.
#[derive(Clone, Copy)]
struct Even {
    across: f64,
    down: f64,
    at_origin: f64,
}

impl Even {
    /// The one that has these values at three places.
    fn through([a, b, c]: [[f64; 3]; 3], area: f64, values: [f64; 3]) -> Self {
        let [p, q, r] = values;
        let (qp, rp) = ((q - p) / area, (r - p) / area);
        let across = qp * (c[1] - a[1]) - rp * (b[1] - a[1]);
        let down = rp * (b[0] - a[0]) - qp * (c[0] - a[0]);
        Self {
            across,
            down,
            at_origin: p - across * a[0] - down * a[1],
        }
    }

    fn at(&self, x: f64, y: f64) -> f64 {
        self.at_origin + self.across * x + self.down * y
    }
}

struct Canvas {
    w: usize,
    h: usize,
    colour: Vec<[u8; 3]>,
    depth: Vec<f32>,
}

impl Canvas {
    fn blank(w: usize, h: usize) -> Self {
        Self {
            w,
            h,
            colour: vec![BACKGROUND; w * h],
            depth: vec![f32::NEG_INFINITY; w * h],
        }
    }

    /// Fills the samples whose middle is in a triangle.
    fn triangle(&mut self, corners: [[f64; 3]; 3], colour: [u8; 3]) {
        let [a, b, c] = corners;
        let area = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
        if area.abs() < 1e-12 {
            return;
        }
        // Middles between the least and the greatest corner.
        let range = |k: usize, end: usize| {
            let low = (a[k].min(b[k]).min(c[k]) - 0.5).ceil().max(0.0) as usize;
            let high = (a[k].max(b[k]).max(c[k]) - 0.5).floor() + 1.0;
            low..(high.max(0.0) as usize).min(end)
        };
        let (across, down) = (range(0, self.w), range(1, self.h));
        if across.is_empty() || down.is_empty() {
            return;
        }
        let weights = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]
            .map(|values| Even::through(corners, area, values));
        let depth = Even::through(corners, area, [a[2], b[2], c[2]]);
        for y in down {
            let py = y as f64 + 0.5;
            let (mut from, mut to) = (across.start as f64 + 0.5, across.end as f64 - 0.5);
            for weight in &weights {
                // Where along the row it is zero.
                let at_start = weight.at_origin + weight.down * py;
                let zero = -at_start / weight.across;
                if weight.across > 0.0 {
                    from = from.max(zero);
                } else if weight.across < 0.0 {
                    to = to.min(zero);
                } else if at_start < 0.0 {
                    to = f64::NEG_INFINITY;
                }
            }
            let (from, to) = ((from - 0.5).ceil(), (to - 0.5).floor());
            if from > to {
                continue;
            }
            let row = y * self.w;
            for x in from as usize..=to as usize {
                let z = depth.at(x as f64 + 0.5, py) as f32;
                let at = row + x;
                if z > self.depth[at] {
                    self.depth[at] = z;
                    self.colour[at] = colour;
                }
            }
        }
    }

    /// A line two samples wide, where it is not behind anything.
    fn line(&mut self, a: [f64; 3], b: [f64; 3], lift: f64, colour: [u8; 3]) {
        let steps = ((b[0] - a[0]).abs().max((b[1] - a[1]).abs()).ceil() as usize).clamp(1, 20_000);
        for i in 0..=steps {
            let t = i as f64 / steps as f64;
            let [x, y, z] = [0, 1, 2].map(|k| a[k] + (b[k] - a[k]) * t);
            let z = (z + lift) as f32;
            for (dx, dy) in [(0.0, 0.0), (1.0, 0.0), (0.0, 1.0), (1.0, 1.0)] {
                let (px, py) = (x - 0.5 + dx, y - 0.5 + dy);
                if px < 0.0 || py < 0.0 || px >= self.w as f64 || py >= self.h as f64 {
                    continue;
                }
                let at = py as usize * self.w + px as usize;
                if z >= self.depth[at] {
                    self.colour[at] = colour;
                }
            }
        }
    }

    fn reduced(&self, width: usize, height: usize) -> Picture {
        let mut rgb = Vec::with_capacity(width * height * 3);
        for y in 0..height {
            for x in 0..width {
                for k in 0..3 {
                    let mut sum = 0u32;
                    for dy in 0..SUPER {
                        for dx in 0..SUPER {
                            let at = (y * SUPER + dy) * self.w + x * SUPER + dx;
                            sum += u32::from(self.colour[at][k]);
                        }
                    }
                    rgb.push((sum / (SUPER * SUPER) as u32) as u8);
                }
            }
        }
        Picture { width, height, rgb }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const INK: [u8; 3] = [1, 2, 3];

    /// The samples that a triangle fills, by the definition.
    fn within([a, b, c]: [[f64; 3]; 3], w: usize, h: usize) -> Vec<bool> {
        let side = |p: [f64; 3], q: [f64; 3], x: f64, y: f64| {
            (q[0] - p[0]) * (y - p[1]) - (q[1] - p[1]) * (x - p[0])
        };
        let one = |k: usize| {
            let (x, y) = ((k % w) as f64 + 0.5, (k / w) as f64 + 0.5);
            let sides = [side(a, b, x, y), side(b, c, x, y), side(c, a, x, y)];
            sides.iter().all(|s| *s > 0.0) || sides.iter().all(|s| *s < 0.0)
        };
        (0..w * h).map(one).collect()
    }

    proptest::proptest! {
        #[test]
        fn a_triangle_fills_the_samples_within_it(
            corners in proptest::array::uniform3(proptest::array::uniform3(-10.0..30.0f64)),
        ) {
            let (w, h) = (20, 16);
            let mut canvas = Canvas::blank(w, h);
            canvas.triangle(corners, INK);
            let filled: Vec<bool> = canvas.colour.iter().map(|c| *c == INK).collect();
            proptest::prop_assert_eq!(filled, within(corners, w, h));
        }
    }

    #[test]
    fn what_is_nearer_covers_what_is_behind_in_any_order() {
        let at = |z: f64| [[0.0, 0.0, z], [20.0, 0.0, z], [0.0, 20.0, z]];
        for order in [[1.0, 2.0], [2.0, 1.0]] {
            let mut canvas = Canvas::blank(8, 8);
            for z in order {
                canvas.triangle(at(z), [z as u8; 3]);
            }
            assert_eq!(canvas.colour[0], [2; 3]);
        }
    }
}
