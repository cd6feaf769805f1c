//! The transforms of 3MF.

use threemf2::model::domain::transform::Transform;

/// Rows of the standard's matrix: images of the axes, then the shift.
pub(crate) type Affine = [[f64; 3]; 4];

pub(crate) const UNMOVED: Affine = [
    [1.0, 0.0, 0.0],
    [0.0, 1.0, 0.0],
    [0.0, 0.0, 1.0],
    [0.0, 0.0, 0.0],
];

pub(crate) fn affine(t: &Transform) -> Affine {
    std::array::from_fn(|row| std::array::from_fn(|k| t.0[3 * row + k]))
}

pub(crate) fn applied(m: &Affine, p: [f64; 3]) -> [f64; 3] {
    std::array::from_fn(|k| p[0] * m[0][k] + p[1] * m[1][k] + p[2] * m[2][k] + m[3][k])
}

/// By what it scales volumes; negative where it mirrors.
pub(crate) fn determinant([x, y, z, _]: &Affine) -> f64 {
    let [x, y, z] = [x, y, z].map(|row| solid::Vector::from(*row));
    x.cross(&y).dot(&z)
}

/// First one, then the other.
pub(crate) fn then(first: &Affine, second: &Affine) -> Affine {
    let origin = applied(second, first[3]);
    let shift = second[3];
    let turned = |row: [f64; 3]| {
        let p = applied(second, row);
        std::array::from_fn(|k| p[k] - shift[k])
    };
    [turned(first[0]), turned(first[1]), turned(first[2]), origin]
}
