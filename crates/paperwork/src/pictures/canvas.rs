//! What a picture is drawn on: samples with depths, filled by triangles and lines.

/// A picture in 8-bit RGB.
pub(crate) struct Picture {
    pub(crate) width: usize,
    pub(crate) height: usize,
    pub(crate) rgb: Vec<u8>,
}

/// What nothing covers.
pub(crate) const BACKGROUND: [u8; 3] = [255, 255, 255];
/// Samples a pixel along each axis.
pub(crate) const SUPER: usize = 2;

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

/// Samples with their depths.
pub(crate) struct Canvas {
    w: usize,
    h: usize,
    /// Empty where only depths are asked for.
    colour: Vec<[u8; 3]>,
    pub(crate) depth: Vec<f32>,
}

impl Canvas {
    pub(crate) fn blank(w: usize, h: usize) -> Self {
        Self {
            w,
            h,
            colour: vec![BACKGROUND; w * h],
            depth: vec![f32::NEG_INFINITY; w * h],
        }
    }

    /// One of depths alone.
    pub(crate) fn colourless(w: usize, h: usize) -> Self {
        Self {
            w,
            h,
            colour: Vec::new(),
            depth: vec![f32::NEG_INFINITY; w * h],
        }
    }

    /// Fills the samples whose middle is in a triangle.
    pub(crate) fn triangle(&mut self, corners: [[f64; 3]; 3], colour: [u8; 3]) {
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
            let (from, to) = (from as usize, to as usize);
            let row = y * self.w + from..y * self.w + to + 1;
            let at_start = depth.at(from as f64 + 0.5, py);
            let z = |k: usize| (at_start + depth.across * k as f64) as f32;
            let depths = self.depth[row.clone()].iter_mut().enumerate();
            if self.colour.is_empty() {
                depths.for_each(|(k, before)| *before = before.max(z(k)));
                continue;
            }
            for ((k, before), painted) in depths.zip(&mut self.colour[row]) {
                if z(k) > *before {
                    (*before, *painted) = (z(k), colour);
                }
            }
        }
    }

    /// A line two samples wide, where it is not behind anything.
    pub(crate) fn line(&mut self, a: [f64; 3], b: [f64; 3], lift: f64, colour: [u8; 3]) {
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

    pub(crate) fn reduced(&self, width: usize, height: usize) -> Picture {
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
