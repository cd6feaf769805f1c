//! A small software rasteriser: orthographic, z-buffered, flat shading, edges.

use nalgebra::{Matrix3, Vector3};
use rayon::prelude::*;
use solid::{Bounds, Point, Solid, Vector};

/// One thing to draw.
pub(crate) struct Item {
    pub(crate) solid: Solid,
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

/// Draws items so that all of them fill the picture.
pub(crate) fn draw(items: &[Item], view: &View, width: usize, height: usize) -> Picture {
    let axes = view.axes();
    let (w, h) = (width * SUPER, height * SUPER);
    let seen: Vec<Vec<Point>> = items
        .par_iter()
        .map(|item| {
            item.solid
                .vertices()
                .iter()
                .map(|p| Point::from(axes * (p.coords + item.shift)))
                .collect()
        })
        .collect();
    let Some(bounds) = Bounds::of(seen.iter().flatten().copied()) else {
        return Picture {
            width,
            height,
            rgb: [BACKGROUND; 1].concat().repeat(width * height),
        };
    };
    let size = bounds.size_mm();
    let scale = 0.94 * (w as f64 / size.x.max(1e-9)).min(h as f64 / size.y.max(1e-9));
    let centre = bounds.centre();
    let place = |p: &Point| {
        [
            (p.x - centre.x) * scale + w as f64 / 2.0,
            h as f64 / 2.0 - (p.y - centre.y) * scale,
            p.z,
        ]
    };
    let mut canvas = Canvas {
        w,
        h,
        colour: vec![BACKGROUND; w * h],
        depth: vec![f64::NEG_INFINITY; w * h],
    };
    for (item, seen) in items.iter().zip(&seen) {
        let at: Vec<[f64; 3]> = seen.iter().map(place).collect();
        for t in item.solid.triangles() {
            let [a, b, c] = t.map(|i| seen[i as usize]);
            let n = (b - a).cross(&(c - a));
            if n.z <= 0.0 {
                continue;
            }
            canvas.triangle(
                t.map(|i| at[i as usize]),
                shaded(item.colour, &n.normalize()),
            );
        }
    }
    // Lines after all faces, so that nothing behind covers them; lifted by a
    // hair of depth over their own faces.
    let lift = 2.5 / scale + size.z * 1e-4;
    for (item, seen) in items.iter().zip(&seen) {
        let at: Vec<[f64; 3]> = seen.iter().map(place).collect();
        for [i, j] in creases(&item.solid, seen) {
            canvas.line(at[i as usize], at[j as usize], lift, [38, 38, 38]);
        }
    }
    canvas.reduced(width, height)
}

/// Light from over the left shoulder, and never quite dark.
fn shaded(colour: [u8; 3], normal: &Vector) -> [u8; 3] {
    let light = Vector::new(-0.35, 0.62, 0.70).normalize();
    let strength = 0.55 + 0.45 * normal.dot(&light).max(0.0);
    colour.map(|c| (f64::from(c) * strength).round() as u8)
}

/// Edges where faces meet at an angle, or where one of them looks away.
fn creases(solid: &Solid, seen: &[Point]) -> Vec<[u32; 2]> {
    let normal = |t: &[u32; 3]| {
        let [a, b, c] = t.map(|i| seen[i as usize]);
        (b - a)
            .cross(&(c - a))
            .try_normalize(0.0)
            .unwrap_or_else(Vector::zeros)
    };
    let mut edges: Vec<([u32; 2], Vector)> = Vec::with_capacity(solid.triangles().len() * 3);
    for t in solid.triangles() {
        let n = normal(t);
        for k in 0..3 {
            let (a, b) = (t[k], t[(k + 1) % 3]);
            edges.push(([a.min(b), a.max(b)], n));
        }
    }
    edges.sort_by_key(|e| e.0);
    let limit = CREASE_DEG.to_radians().cos();
    edges
        .chunk_by(|a, b| a.0 == b.0)
        .filter(|run| match run {
            [(_, m), (_, n)] => {
                (m.z > 0.0 || n.z > 0.0) && (m.dot(n) < limit || (m.z > 1e-9) != (n.z > 1e-9))
            }
            _ => true,
        })
        .map(|run| run[0].0)
        .collect()
}

/// Where in a row none of the weights of a triangle's corners is negative, to the
/// sample and one more on either side; the weights are given at the first two
/// samples of the row.
fn inside(
    row: &std::ops::Range<usize>,
    first: [f64; 3],
    second: [f64; 3],
) -> std::ops::Range<usize> {
    let (mut from, mut to) = (row.start as f64, row.end as f64);
    for k in 0..3 {
        let rise = second[k] - first[k];
        let zero = -first[k] / rise;
        if rise > 0.0 {
            from = from.max(zero.floor() - 1.0);
        } else if rise < 0.0 {
            to = to.min(zero.ceil() + 2.0);
        }
    }
    from as usize..(to.max(from) as usize)
}

struct Canvas {
    w: usize,
    h: usize,
    colour: Vec<[u8; 3]>,
    depth: Vec<f64>,
}

impl Canvas {
    fn triangle(&mut self, [a, b, c]: [[f64; 3]; 3], colour: [u8; 3]) {
        let area = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
        if area.abs() < 1e-12 {
            return;
        }
        let range = |k: usize, end: usize| {
            let low = a[k].min(b[k]).min(c[k]).floor().max(0.0) as usize;
            let high = (a[k].max(b[k]).max(c[k]).ceil().max(0.0) as usize).min(end);
            low..high
        };
        let across = range(0, self.w);
        for y in range(1, self.h) {
            let py = y as f64 + 0.5;
            let weights = |px: f64| {
                let u = ((c[0] - b[0]) * (py - b[1]) - (c[1] - b[1]) * (px - b[0])) / area;
                let v = ((a[0] - c[0]) * (py - c[1]) - (a[1] - c[1]) * (px - c[0])) / area;
                [u, v, 1.0 - u - v]
            };
            for x in inside(&across, weights(0.5), weights(1.5)) {
                let [u, v, w] = weights(x as f64 + 0.5);
                if u < 0.0 || v < 0.0 || w < 0.0 {
                    continue;
                }
                let z = u * a[2] + v * b[2] + w * c[2];
                let at = y * self.w + x;
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
            for (dx, dy) in [(0.0, 0.0), (1.0, 0.0), (0.0, 1.0), (1.0, 1.0)] {
                let (px, py) = (x - 0.5 + dx, y - 0.5 + dy);
                if px < 0.0 || py < 0.0 || px >= self.w as f64 || py >= self.h as f64 {
                    continue;
                }
                let at = py as usize * self.w + px as usize;
                if z + lift >= self.depth[at] {
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
