//! Whether one solid is mostly within another, from a few points.

use crate::Point;
use crate::mesh::solid_type::Solid;
use crate::query::rays::RayCaster;

/// How many triangles are asked.
const ASKED: usize = 9;

/// Whether most points just under the surface of a body, `under_mm` deep, lie in
/// a solid: so they do where the body is that solid but for what was cut out of
/// it or added here and there.
///
/// ```
/// use solid::{Point, RayCaster, Solid, Vector, mostly_inside};
///
/// let plank = Solid::cuboid(Point::origin(), Point::new(300.0, 90.0, 18.0));
/// let caster = RayCaster::new(&plank).unwrap();
/// assert!(mostly_inside(&plank, &caster, 0.4));
/// assert!(!mostly_inside(&plank.shifted(Vector::x() * 400.0), &caster, 0.4));
/// ```
pub fn mostly_inside(body: &Solid, within: &RayCaster, under_mm: f64) -> bool {
    let corners: Vec<_> = body.triangle_corners().collect();
    let step = corners.len().div_ceil(ASKED).max(1);
    let asked = (0..corners.len()).step_by(step);
    let held = asked.clone().filter(|&t| {
        let [a, b, c] = corners[t];
        let middle = Point::from((a.coords + b.coords + c.coords) / 3.0);
        within.contains(&(middle - body.normal(t) * under_mm))
    });
    2 * held.count() > asked.count()
}
