//! Whether two sections are one: booleans of them need not be asked then.

use geo::{BoundingRect, Euclidean, Length, LineString};
use solid::Outline;

/// Whether two sections are the same, as far as the box, the area and the length
/// of each of their rings tell.
pub(crate) fn same(a: &Outline, b: &Outline) -> bool {
    fn rings(outline: &Outline) -> impl Iterator<Item = &LineString> {
        outline
            .iter()
            .flat_map(|p| std::iter::once(p.exterior()).chain(p.interiors()))
    }
    let like = |(a, b): (&LineString, &LineString)| {
        let (Some(one), Some(other)) = (a.bounding_rect(), b.bounding_rect()) else {
            return false;
        };
        let near = |x: f64, y: f64| (x - y).abs() < 1e-6;
        let area = |r: &LineString| r.lines().map(|l| l.determinant()).sum::<f64>() / 2.0;
        near(one.min().x, other.min().x)
            && near(one.min().y, other.min().y)
            && near(one.max().x, other.max().x)
            && near(one.max().y, other.max().y)
            && near(area(a), area(b))
            && near(Euclidean.length(a), Euclidean.length(b))
    };
    rings(a).count() == rings(b).count() && rings(a).zip(rings(b)).all(like)
}
