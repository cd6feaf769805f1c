//! What has to be printed under a piece for it to be printed.

use solid::{Point, Solid, Vector};

use crate::print_profile::PrintProfile;

/// Support under a piece, as it lies.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Support {
    /// Space under what hangs over, down to the bed or to the piece itself.
    pub space_mm3: f64,
    /// What hangs over and rests on it, as its shadow on the bed.
    pub under_mm2: f64,
    /// Of the piece itself, what it stands on.
    pub on_piece_mm2: f64,
    /// What it touches of faces that were to be spared.
    pub clean_mm2: f64,
    /// Where it stands on the bed: the middles of columns.
    pub(crate) on_bed: Vec<[f64; 2]>,
}

/// Width of a column, at the most.
const COLUMN_MM: f64 = 2.0;
/// A small piece has so many along its least side.
const COLUMNS_AT_LEAST: f64 = 24.0;
/// Columns stand beside the round numbers on which faces end.
const OFF_MM: f64 = 0.0173;
/// What lies so near to the bed lies on it.
const ON_BED_MM: f64 = 0.05;
/// A face looks to a side that is to be clean within 45°, so that each looks to one.
const SPARED_COS: f64 = std::f64::consts::FRAC_1_SQRT_2;
/// A ceiling is as flat as this.
const LEVEL_COS: f64 = 0.98;
/// Ceilings at the same height to within this go on.
const SAME_HEIGHT_MM: f64 = 0.3;

/// Where the surface crosses a column.
#[derive(Clone, Copy, Debug)]
struct Crossing {
    column: u32,
    z: f64,
    looks: Looks,
    /// Whether support must not touch it.
    clean: bool,
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Looks {
    Up,
    /// Down, and prints without support.
    Down,
    /// Down by more than prints without support.
    Over,
    /// The same, and level.
    Ceiling,
}

/// The columns of a piece, each with its crossings from below.
struct Columns {
    low: [f64; 2],
    width_mm: f64,
    counts: [usize; 2],
    crossings: Vec<Crossing>,
    /// Where those of each column begin.
    begins: Vec<u32>,
}

impl Columns {
    fn over(piece: &Solid, overhang_deg: f64, clean: &[Vector]) -> Option<Self> {
        let bounds = piece.bounds()?;
        let size = bounds.size_mm();
        let width_mm = COLUMN_MM.min(size.min() / COLUMNS_AT_LEAST).max(0.2);
        let low = [bounds.min.x + OFF_MM, bounds.min.y + OFF_MM];
        let counts = [0, 1].map(|k| (size[k] / width_mm).ceil().max(1.0) as usize);
        let mut columns = Self {
            low,
            width_mm,
            counts,
            crossings: Vec::new(),
            begins: Vec::new(),
        };
        // A face that leans from the vertical by the angle looks down by its sine.
        let over = -overhang_deg.to_radians().sin() - 1e-6;
        for [a, b, c] in piece.triangle_corners() {
            let cross = (b - a).cross(&(c - a));
            let doubled = cross.norm();
            let down = cross.z / doubled.max(f64::MIN_POSITIVE);
            if down.abs() < 1e-9 {
                continue;
            }
            let looks = match down {
                d if d > 0.0 => Looks::Up,
                d if d < -LEVEL_COS => Looks::Ceiling,
                d if d < over => Looks::Over,
                _ => Looks::Down,
            };
            let is_spared = |d: &Vector| cross.dot(d) > SPARED_COS * doubled;
            columns.cross([a, b, c], (looks, clean.iter().any(is_spared)));
        }
        columns
            .crossings
            .sort_by(|a, b| a.column.cmp(&b.column).then(a.z.total_cmp(&b.z)));
        let mut begins = vec![0; counts[0] * counts[1] + 1];
        for crossing in &columns.crossings {
            begins[crossing.column as usize + 1] += 1;
        }
        for k in 1..begins.len() {
            begins[k] += begins[k - 1];
        }
        columns.begins = begins;
        Some(columns)
    }

    fn middle(&self, axis: usize, k: usize) -> f64 {
        self.low[axis] + (k as f64 + 0.5) * self.width_mm
    }

    /// The columns whose middles lie in a stretch along an axis.
    fn within(&self, axis: usize, from: f64, to: f64) -> std::ops::Range<usize> {
        let at = |x: f64| ((x - self.low[axis]) / self.width_mm - 0.5).ceil();
        let clamped = |x: f64| (x.max(0.0) as usize).min(self.counts[axis]);
        clamped(at(from))..clamped(at(to))
    }

    /// The crossings of a triangle.
    fn cross(&mut self, [a, b, c]: [Point; 3], (looks, clean): (Looks, bool)) {
        let spread = |k: usize| {
            let (p, q, r) = (a[k], b[k], c[k]);
            (p.min(q).min(r), p.max(q).max(r))
        };
        let doubled = (b.x - a.x) * (c.y - a.y) - (c.x - a.x) * (b.y - a.y);
        let ((x0, x1), (y0, y1)) = (spread(0), spread(1));
        for i in self.within(0, x0, x1) {
            for j in self.within(1, y0, y1) {
                let (x, y) = (self.middle(0, i), self.middle(1, j));
                let u = ((x - a.x) * (c.y - a.y) - (c.x - a.x) * (y - a.y)) / doubled;
                let v = ((b.x - a.x) * (y - a.y) - (x - a.x) * (b.y - a.y)) / doubled;
                if u < 0.0 || v < 0.0 || u + v > 1.0 {
                    continue;
                }
                self.crossings.push(Crossing {
                    column: (i * self.counts[1] + j) as u32,
                    z: a.z + u * (b.z - a.z) + v * (c.z - a.z),
                    looks,
                    clean,
                });
            }
        }
    }

    fn of(&self, column: usize) -> &[Crossing] {
        &self.crossings[self.begins[column] as usize..self.begins[column + 1] as usize]
    }

    /// Whether a ceiling ends here: there is material just below it.
    fn is_wall(&self, column: usize, z: f64) -> bool {
        let below = self.of(column).iter().rev();
        below
            .skip_while(|c| c.z > z - SAME_HEIGHT_MM)
            .map(|c| c.looks != Looks::Up)
            .next()
            .unwrap_or(false)
    }

    fn has_ceiling(&self, column: usize, z: f64) -> bool {
        let mut near = self.of(column).iter();
        near.any(|c| c.looks == Looks::Ceiling && (c.z - z).abs() < SAME_HEIGHT_MM)
    }

    /// Whether a ceiling can be printed as a bridge: between two walls no further
    /// from each other than a bridge is long, along either side of the bed.
    fn is_bridged(&self, column: usize, z: f64, bridge_mm: f64) -> bool {
        let most = (bridge_mm / self.width_mm).floor() as usize;
        let at = [column / self.counts[1], column % self.counts[1]];
        (0..2).any(|axis| {
            let mut spanned = 1;
            [-1isize, 1].into_iter().all(|way| {
                let mut here = at;
                loop {
                    let Some(next) = here[axis]
                        .checked_add_signed(way)
                        .filter(|&n| n < self.counts[axis])
                    else {
                        return false;
                    };
                    here[axis] = next;
                    let there = here[0] * self.counts[1] + here[1];
                    if self.is_wall(there, z) {
                        return true;
                    }
                    spanned += 1;
                    if spanned > most || !self.has_ceiling(there, z) {
                        return false;
                    }
                }
            })
        })
    }
}

impl Support {
    /// Support under a piece that lies as it is printed, its lowest point at z = 0,
    /// column by column: under each face that leans from the vertical by more than
    /// the profile's overhang, unless it is the ceiling between two walls that a
    /// bridge of the profile's length joins.
    ///
    /// ```
    /// use printing::{PrintProfile, Support};
    /// use solid::{Point, Solid};
    ///
    /// // A table, 60 mm square and high, on one leg of 20 × 20 mm.
    /// let top = Solid::cuboid(Point::new(0.0, 0.0, 50.0), Point::new(60.0, 60.0, 60.0));
    /// let leg = Solid::cuboid(Point::new(20.0, 20.0, 0.0), Point::new(40.0, 40.0, 50.0));
    /// let table = top.union(&leg).unwrap();
    /// let support = Support::under(&table, &PrintProfile::default());
    /// let exact = (60.0 * 60.0 - 20.0 * 20.0) * 50.0;
    /// assert!((support.space_mm3 / exact - 1.0).abs() < 0.02);
    /// ```
    pub fn under(as_printed: &Solid, profile: &PrintProfile) -> Self {
        Self::sparing(as_printed, profile, &[])
    }

    /// The same, with what it touches of faces that look to some directions, within
    /// 45°.
    pub fn sparing(as_printed: &Solid, profile: &PrintProfile, clean: &[Vector]) -> Self {
        let Some(columns) = Columns::over(as_printed, profile.overhang_deg, clean) else {
            return Self::default();
        };
        let each_mm2 = columns.width_mm * columns.width_mm;
        let mut out = Self::default();
        for column in 0..columns.counts[0] * columns.counts[1] {
            let (mut floor, mut inside): (Option<&Crossing>, bool) = (None, false);
            for crossing in columns.of(column) {
                if crossing.looks == Looks::Up {
                    (floor, inside) = (Some(crossing), false);
                    continue;
                }
                // A column on an edge may cross both of its faces.
                if std::mem::replace(&mut inside, true)
                    || crossing.looks == Looks::Down
                    || crossing.z < ON_BED_MM
                {
                    continue;
                }
                let bridge_mm = profile.bridge_mm;
                if crossing.looks == Looks::Ceiling
                    && columns.is_bridged(column, crossing.z, bridge_mm)
                {
                    continue;
                }
                out.space_mm3 += (crossing.z - floor.map_or(0.0, |f| f.z)) * each_mm2;
                let touched = [Some(crossing), floor].into_iter().flatten();
                out.clean_mm2 += touched.filter(|c| c.clean).count() as f64 * each_mm2;
                out.under_mm2 += each_mm2;
                match floor {
                    Some(_) => out.on_piece_mm2 += each_mm2,
                    None => out.on_bed.push([
                        columns.middle(0, column / columns.counts[1]),
                        columns.middle(1, column % columns.counts[1]),
                    ]),
                }
            }
        }
        out
    }

    /// Surface of the piece that it marks, above it and below.
    pub fn marked_mm2(&self) -> f64 {
        self.under_mm2 + self.on_piece_mm2
    }

    /// The plastic in it.
    pub fn plastic_mm3(&self, profile: &PrintProfile) -> f64 {
        self.space_mm3 * profile.support_share
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn under(solid: &Solid) -> Support {
        Support::under(solid, &PrintProfile::default())
    }

    #[test]
    fn what_stands_on_its_face_needs_none() {
        let block = Solid::cuboid(Point::origin(), Point::new(60.0, 40.0, 30.0));
        assert_eq!(under(&block), Support::default());
        // A cone on its foot, at less than 45° from the vertical.
        let cone = Solid::cylinder(Point::origin(), Vector::z() * 30.0, 20.0, 64).unwrap();
        assert_eq!(under(&cone).space_mm3, 0.0);
    }

    /// A tunnel through a block: a bridge spans it as long as it is narrow.
    #[test]
    fn a_narrow_tunnel_is_bridged_and_a_wide_one_is_filled() {
        let tunnel = |wide: f64| {
            let block = Solid::cuboid(Point::origin(), Point::new(80.0, 60.0, 30.0));
            let hole = Solid::cuboid(
                Point::new(40.0 - wide / 2.0, -1.0, 10.0),
                Point::new(40.0 + wide / 2.0, 61.0, 20.0),
            );
            under(&block.difference(&hole).unwrap())
        };
        assert_eq!(tunnel(8.0).space_mm3, 0.0);
        let wide = tunnel(30.0);
        assert!((wide.space_mm3 / (30.0 * 60.0 * 10.0) - 1.0).abs() < 0.03);
        assert!(wide.on_bed.is_empty() && wide.on_piece_mm2 == wide.under_mm2);
    }

    /// A slab on one foot hangs free: no bridge without a second wall.
    #[test]
    fn what_ends_in_the_air_is_no_bridge() {
        let foot = Solid::cuboid(Point::origin(), Point::new(40.0, 40.0, 20.0));
        let slab = Solid::cuboid(Point::new(0.0, 0.0, 20.0), Point::new(48.0, 40.0, 30.0));
        let support = under(&foot.union(&slab).unwrap());
        assert!((support.space_mm3 / (8.0 * 40.0 * 20.0) - 1.0).abs() < 0.15);
        assert_eq!(support.on_piece_mm2, 0.0);
    }

    /// A slope of 40° from the bed hangs over by 50° and needs support, one of 50°
    /// from the bed needs none.
    #[test]
    fn only_what_leans_by_more_than_the_overhang_is_held() {
        let leaning = |angle: f64| {
            let block = Solid::cuboid(Point::origin(), Point::new(100.0, 30.0, 40.0));
            let out = Vector::new(-1.0, 0.0, angle.to_radians().tan());
            let face = solid::Frame::facing(Point::new(40.0, 0.0, 0.0), out.normalize());
            under(&block.trimmed(&face).unwrap()).space_mm3
        };
        // The triangle under the slope.
        let exact = 30.0 * 40.0 * 40.0 * 50f64.to_radians().tan() / 2.0;
        assert!((leaning(50.0) / exact - 1.0).abs() < 0.02);
        assert_eq!(leaning(40.0), 0.0);
    }
}
