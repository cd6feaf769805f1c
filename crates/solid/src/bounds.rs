//! Boxes along the axes.

use crate::{Isometry, Point, Vector};

/// An axis-aligned box in millimetres.
///
/// ```
/// use solid::{Bounds, Point};
///
/// let b = Bounds::of([Point::new(0.0, 1.0, 2.0), Point::new(4.0, 0.0, 2.5)]).unwrap();
/// assert_eq!(b.size_mm().x, 4.0);
/// assert!(b.overlaps(&b, 0.0));
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bounds {
    /// The corner with the least coordinates.
    pub min: Point,
    /// The corner with the greatest coordinates.
    pub max: Point,
}

impl Bounds {
    /// The box between two opposite corners, whichever way round they are.
    pub fn between(a: Point, b: Point) -> Self {
        Self {
            min: a.inf(&b),
            max: a.sup(&b),
        }
    }

    /// The least box around some points, or `None` without points.
    pub fn of(points: impl IntoIterator<Item = Point>) -> Option<Self> {
        points.into_iter().fold(None, |held: Option<Self>, p| {
            Some(held.map_or(Self { min: p, max: p }, |b| Self {
                min: b.min.inf(&p),
                max: b.max.sup(&p),
            }))
        })
    }

    /// Edge lengths.
    pub fn size_mm(&self) -> Vector {
        self.max - self.min
    }

    /// The middle.
    pub fn centre(&self) -> Point {
        nalgebra::center(&self.min, &self.max)
    }

    /// Length of the space diagonal.
    pub fn diagonal_mm(&self) -> f64 {
        self.size_mm().norm()
    }

    /// The box moved outward by `by_mm` on every side.
    pub fn grown(&self, by_mm: f64) -> Self {
        let by = Vector::repeat(by_mm);
        Self {
            min: self.min - by,
            max: self.max + by,
        }
    }

    /// The least box around both.
    pub fn joined(&self, other: &Self) -> Self {
        Self {
            min: self.min.inf(&other.min),
            max: self.max.sup(&other.max),
        }
    }

    /// Whether the boxes share more than `slack_mm` along every axis.
    pub fn overlaps(&self, other: &Self, slack_mm: f64) -> bool {
        (0..3)
            .all(|i| self.min[i] + slack_mm < other.max[i] && other.min[i] + slack_mm < self.max[i])
    }

    /// Whether a point lies in the box or within `slack_mm` of it.
    pub fn contains(&self, p: &Point, slack_mm: f64) -> bool {
        (0..3).all(|i| p[i] >= self.min[i] - slack_mm && p[i] <= self.max[i] + slack_mm)
    }

    /// The least box around this one once it is moved.
    ///
    /// ```
    /// use solid::{Bounds, Isometry, Point, Vector};
    ///
    /// let b = Bounds::between(Point::origin(), Point::new(4.0, 2.0, 1.0));
    /// let quarter = Isometry::rotation(Vector::z() * std::f64::consts::FRAC_PI_2);
    /// let turned = b.moved(&quarter);
    /// assert!((turned.size_mm() - Vector::new(2.0, 4.0, 1.0)).norm() < 1e-12);
    /// ```
    pub fn moved(&self, motion: &Isometry) -> Self {
        Self::of(self.corners().map(|p| motion * p)).unwrap_or(*self)
    }

    /// The eight corners.
    pub fn corners(&self) -> [Point; 8] {
        std::array::from_fn(|k| {
            let pick = |axis: usize| {
                if k >> axis & 1 == 0 {
                    self.min[axis]
                } else {
                    self.max[axis]
                }
            };
            Point::new(pick(0), pick(1), pick(2))
        })
    }
}
