//! The axes along which a model stands, where that is askew.

use nalgebra::{Matrix3, Rotation3, UnitQuaternion};
use solid::{Bounds, Isometry, Solid, Vector};

/// The turn that brings the model's own axes to x, y, z: the identity unless
/// the model stands askew, that is, unless its box along its own axes is at
/// least a twentieth smaller than along the axes it came in.
///
/// Its own axes are the direction to which most of its surface is square, and
/// the next such direction at a right angle; where there is none, the
/// principal axes of its volume.
pub(crate) fn own_axes(model: &Solid) -> Isometry {
    let Some(given) = model.bounds() else {
        return Isometry::identity();
    };
    let volume = |b: &Bounds| b.size_mm().product();
    let mut best = (Isometry::identity(), 0.95 * volume(&given));
    for axes in [faced_axes(model), model.principal_axes()]
        .into_iter()
        .flatten()
    {
        let rows = Matrix3::from_rows(&axes.map(|a| a.transpose()));
        let turn = UnitQuaternion::from_rotation_matrix(&Rotation3::from_matrix_unchecked(rows));
        let turned = Bounds::of(model.vertices().iter().map(|p| turn * p));
        if let Some(v) = turned.as_ref().map(volume).filter(|&v| v < best.1) {
            best = (
                Isometry::from_parts(nalgebra::Translation3::identity(), turn),
                v,
            );
        }
    }
    best.0
}

fn faced_axes(model: &Solid) -> Option<[Vector; 3]> {
    let mut lines: Vec<(Vector, f64)> = Vec::new();
    for [a, b, c] in model.triangle_corners() {
        let cross = (b - a).cross(&(c - a));
        let area = cross.norm();
        if area <= 0.0 {
            continue;
        }
        let n = cross / area;
        match lines.iter().position(|l| l.0.dot(&n).abs() > 0.9999) {
            Some(k) => lines[k].1 += area,
            // Curved surfaces would fill the list without end.
            None if lines.len() < 256 => lines.push((n, area)),
            None => {}
        }
    }
    let first = lines.iter().max_by(|a, b| a.1.total_cmp(&b.1))?.0;
    let second = lines
        .iter()
        .filter(|l| l.0.dot(&first).abs() < 1e-3)
        .max_by(|a, b| a.1.total_cmp(&b.1))?
        .0;
    let second = (second - first * first.dot(&second)).normalize();
    // Nearest to the axes it came in, so that names like "above" stay true.
    let third = first.cross(&second);
    let mut axes: [Option<Vector>; 3] = [None; 3];
    for candidate in [first, second, third] {
        let free = (0..3).filter(|&k| axes[k].is_none());
        let k = free.max_by(|&a, &b| candidate[a].abs().total_cmp(&candidate[b].abs()))?;
        axes[k] = Some(candidate * candidate[k].signum());
    }
    let [u, v, w] = [axes[0]?, axes[1]?, axes[2]?];
    let w = if u.cross(&v).dot(&w) < 0.0 { -w } else { w };
    Some([u, v, w])
}

#[cfg(test)]
mod tests {
    use solid::Point;

    use super::*;

    #[test]
    fn a_turned_board_is_found_and_a_straight_one_left() {
        let board = Solid::cuboid(Point::origin(), Point::new(600.0, 200.0, 18.0));
        assert_eq!(own_axes(&board), Isometry::identity());
        let askew = board.moved(&Isometry::rotation(Vector::new(0.2, -0.1, 0.5)));
        let back = own_axes(&askew);
        let size = askew.moved(&back).bounds().unwrap().size_mm();
        assert!((size.product() - 600.0 * 200.0 * 18.0).abs() < 1.0);
    }
}
