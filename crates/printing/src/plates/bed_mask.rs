//! Outlines as seen from above, in cells of a millimetre.

use solid::Solid;

/// Which cells of a millimetre something covers, row after row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct BedMask {
    pub(crate) width: usize,
    pub(crate) height: usize,
    words: usize,
    rows: Vec<u64>,
}

impl BedMask {
    pub(crate) fn empty(width: usize, height: usize) -> Self {
        let words = width.div_ceil(64);
        Self {
            width,
            height,
            words,
            rows: vec![0; words * height],
        }
    }

    pub(crate) fn set(&mut self, x: usize, y: usize) {
        self.rows[y * self.words + x / 64] |= 1 << (x % 64);
    }

    pub(crate) fn has(&self, x: usize, y: usize) -> bool {
        self.rows[y * self.words + x / 64] >> (x % 64) & 1 == 1
    }

    pub(crate) fn count(&self) -> usize {
        self.rows.iter().map(|w| w.count_ones() as usize).sum()
    }

    /// Every cell that a solid, which stands with its least x and y at zero,
    /// covers even in part, seen from above.
    pub(crate) fn shadow(solid: &Solid) -> Self {
        let size = solid.bounds().map_or([0.0; 2], |b| {
            let s = b.max.coords;
            [s.x, s.y]
        });
        // What rounding adds to a side is no cell more.
        let cells = |mm: f64| ((mm - 1e-3).ceil().max(1.0)) as usize;
        let mut out = Self::empty(cells(size[0]), cells(size[1]));
        for [a, b, c] in solid.triangle_corners() {
            out.cover([a, b, c].map(|p| [p.x, p.y]));
        }
        out
    }

    /// Sets the cells that a triangle touches (separating axes: Gottschalk,
    /// Lin & Manocha 1996, in the plane).
    fn cover(&mut self, t: [[f64; 2]; 3]) {
        let low = |k: usize| t.iter().map(|p| p[k]).fold(f64::INFINITY, f64::min);
        let high = |k: usize| t.iter().map(|p| p[k]).fold(f64::NEG_INFINITY, f64::max);
        let range = |k: usize, most: usize| {
            let a = low(k).floor().max(0.0) as usize;
            let b = (high(k).ceil().max(1.0) as usize).min(most);
            a..b
        };
        let edges = [(0, 1, 2), (1, 2, 0), (2, 0, 1)].map(|(i, j, k)| {
            let n = [t[j][1] - t[i][1], t[i][0] - t[j][0]];
            let at = n[0] * t[i][0] + n[1] * t[i][1];
            let inside = n[0] * t[k][0] + n[1] * t[k][1];
            if inside >= at {
                (n, at)
            } else {
                ([-n[0], -n[1]], -at)
            }
        });
        for y in range(1, self.height) {
            for x in range(0, self.width) {
                let (cx, cy) = (x as f64 + 0.5, y as f64 + 0.5);
                let apart = edges.iter().any(|(n, at)| {
                    let reach = 0.5 * (n[0].abs() + n[1].abs());
                    n[0] * cx + n[1] * cy + reach < at - 1e-9
                });
                if !apart {
                    self.set(x, y);
                }
            }
        }
    }

    /// A quarter turn to the left.
    pub(crate) fn turned(&self) -> Self {
        let mut out = Self::empty(self.height, self.width);
        for y in 0..self.height {
            for x in 0..self.width {
                if self.has(x, y) {
                    out.set(self.height - 1 - y, x);
                }
            }
        }
        out
    }

    /// Grown by some cells on every side; its origin moves by as many.
    pub(crate) fn grown(&self, by: usize) -> Self {
        self.grown_by([by, by])
    }

    /// Grown by some cells to the left and the right, and by others to the front and the
    /// back.
    pub(crate) fn grown_by(&self, [across, by]: [usize; 2]) -> Self {
        let mut wide = Self::empty(self.width + 2 * across, self.height + 2 * by);
        for y in 0..self.height {
            for x in 0..self.width {
                if self.has(x, y) {
                    for gx in x..=x + 2 * across {
                        wide.set(gx, y + by);
                    }
                }
            }
        }
        let mut out = wide.clone();
        for y in 0..wide.height {
            for near in y.saturating_sub(by)..(y + by + 1).min(wide.height) {
                for w in 0..wide.words {
                    out.rows[y * wide.words + w] |= wide.rows[near * wide.words + w];
                }
            }
        }
        out
    }

    /// With room for some cells on every side, and discs about places of it as far as they lie
    /// in that room; its origin moves by as many.
    pub(crate) fn with_discs(
        &self,
        places_mm: &[[f64; 2]],
        radius_mm: f64,
        [across, by]: [usize; 2],
    ) -> Self {
        let mut out = Self::empty(self.width + 2 * across, self.height + 2 * by);
        out.put(self, across as isize, by as isize);
        // What a disc covers in part counts.
        let reach = radius_mm + std::f64::consts::FRAC_1_SQRT_2;
        for [px, py] in places_mm {
            let (cx, cy) = (px + across as f64, py + by as f64);
            for y in 0..out.height {
                for x in 0..out.width {
                    if (x as f64 + 0.5 - cx).hypot(y as f64 + 0.5 - cy) <= reach {
                        out.set(x, y);
                    }
                }
            }
        }
        out
    }

    /// Whether another mask, put with its corner at a cell, lies within this
    /// one's size and covers nothing that is covered.
    pub(crate) fn is_free(&self, other: &Self, x: usize, y: usize) -> bool {
        x + other.width <= self.width
            && y + other.height <= self.height
            && (0..other.height).all(|row| {
                (0..other.words).all(|w| {
                    let bits = other.rows[row * other.words + w];
                    self.bits_at(x + 64 * w, y + row) & bits == 0
                })
            })
    }

    /// 64 cells from a place on, those beyond the end free.
    fn bits_at(&self, x: usize, y: usize) -> u64 {
        let row = &self.rows[y * self.words..(y + 1) * self.words];
        let (word, shift) = (x / 64, x % 64);
        let low = row.get(word).copied().unwrap_or(0) >> shift;
        match shift {
            0 => low,
            _ => low | row.get(word + 1).copied().unwrap_or(0) << (64 - shift),
        }
    }

    /// Covers what another mask does, its corner at a cell that may lie before
    /// the first.
    pub(crate) fn put(&mut self, other: &Self, x: isize, y: isize) {
        for oy in 0..other.height {
            for ox in 0..other.width {
                let (at_x, at_y) = (x + ox as isize, y + oy as isize);
                let inside = (0..self.width as isize).contains(&at_x)
                    && (0..self.height as isize).contains(&at_y);
                if inside && other.has(ox, oy) {
                    self.set(at_x as usize, at_y as usize);
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use solid::Point;

    use super::*;

    #[test]
    fn discs_about_corners_take_room_there_and_leave_it_along_the_sides() {
        let square = Solid::cuboid(Point::origin(), Point::new(40.0, 40.0, 5.0));
        let square = BedMask::shadow(&square);
        let corners = [[0.0, 0.0], [40.0, 0.0], [40.0, 40.0], [0.0, 40.0]];
        let eared = square.with_discs(&corners, 8.0, [8, 8]);
        assert_eq!((eared.width, eared.height), (56, 56));
        assert!(eared.has(8, 2) && eared.has(2, 8) && eared.has(28, 28));
        assert!(!eared.has(28, 4) && !eared.has(0, 0));
        let outside = eared.count() - square.count();
        let exact = 4.0 * 0.75 * std::f64::consts::PI * 64.0;
        assert!((outside as f64 / exact - 1.0).abs() < 0.25, "{outside}");
    }
}
