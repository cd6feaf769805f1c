//! The ways in which a piece can be laid down.

use nalgebra::Rotation3;
use solid::{Hull, Isometry, Point, Solid, Vector};

use crate::lying::flat_fit::{convex, turn_in_plane};
use crate::lying::footing::{Footing, LEAST_FIRST_LAYER_MM2};
use crate::printer::Printer;

/// Faces with less than this share of the largest are not worth standing on.
const WORTH_STANDING_ON: f64 = 0.005;
/// At the most this many faces are tried.
const FACES_TRIED: usize = 14;
/// Of the smaller faces so many are looked at, and those tried on which most of the piece's
/// own surface lies: a round piece has many, and the large ones often span hollows.
const FACES_LOOKED_AT: usize = 240;
const FLATTEST_TRIED: usize = 4;
/// Surface that is no further above a face lies on it, if it leans from it by less.
const ON_FACE_MM: f64 = 0.05;
const ON_FACE_COS: f64 = 0.9999;
/// What is larger by less fits.
pub(crate) const TOO_MUCH_MM: f64 = 1e-6;
/// Directions closer to each other than this are one: a quarter of a degree.
pub(crate) const SAME_WAY_COS: f64 = 0.99999;

/// The hull of a piece and which of its sides can be down, once for all printers:
/// the six of its box, and every flat side of the hull worth standing on.
pub(crate) struct WaysDown {
    pub(crate) hull: Hull,
    pub(crate) down: Vec<Vector>,
}

impl WaysDown {
    pub(crate) fn of(piece: &Solid) -> Option<Self> {
        let hull = Hull::of(piece)?;
        let faces = hull.faces();
        let largest = faces.first()?.area_mm2;
        let mut down: Vec<Vector> = faces
            .iter()
            .take_while(|f| f.area_mm2 >= WORTH_STANDING_ON * largest)
            .take(FACES_TRIED)
            .map(|f| f.normal)
            .collect();
        let others = faces[down.len()..].iter().take(FACES_LOOKED_AT);
        down.extend(flattest(piece, &hull, others.map(|f| f.normal)));
        for axis in [Vector::x(), Vector::y(), Vector::z()] {
            for side in [-axis, axis] {
                if down.iter().all(|d| d.dot(&side) < SAME_WAY_COS) {
                    down.push(side);
                }
            }
        }
        Some(Self { hull, down })
    }

    /// What the piece stands on with a side down.
    pub(crate) fn footing(&self, piece: &Solid, centre: Point, down: &Vector) -> Footing {
        let turn = facing_down(down);
        let lowest = self
            .hull
            .vertices
            .iter()
            .map(|p| (turn * p.coords).z)
            .fold(f64::INFINITY, f64::min);
        let motion = Isometry::from_parts(
            nalgebra::Translation3::new(0.0, 0.0, -lowest),
            nalgebra::UnitQuaternion::from_rotation_matrix(&turn),
        );
        Footing::of(&piece.moved(&motion), motion * centre)
    }
}

/// The faces of a hull on which most of the piece's surface lies, if it could hold.
fn flattest(piece: &Solid, hull: &Hull, normals: impl Iterator<Item = Vector>) -> Vec<Vector> {
    let surface: Vec<(Vector, f64, f64)> = piece
        .triangle_corners()
        .enumerate()
        .map(|(k, corners)| {
            let [a, b, c] = corners;
            let normal = piece.normal(k);
            let area = (b - a).cross(&(c - a)).norm() / 2.0;
            (normal, normal.dot(&a.coords), area)
        })
        .collect();
    let lies_on = |normal: &Vector| -> f64 {
        let heights = hull.vertices.iter().map(|p| normal.dot(&p.coords));
        let face_mm = heights.fold(f64::NEG_INFINITY, f64::max);
        let on_it = surface.iter().filter(|(n, height, _)| {
            n.dot(normal) > ON_FACE_COS && (face_mm - height).abs() < ON_FACE_MM
        });
        on_it.map(|(.., area)| area).sum()
    };
    let mut flat: Vec<(f64, Vector)> = normals
        .map(|normal| (lies_on(&normal), normal))
        .filter(|(area, _)| *area >= LEAST_FIRST_LAYER_MM2)
        .collect();
    flat.sort_by(|a, b| b.0.total_cmp(&a.0));
    flat.truncate(FLATTEST_TRIED);
    flat.into_iter().map(|(_, normal)| normal).collect()
}

/// A hull turned onto a face.
pub(crate) struct Turned {
    pub(crate) turn: Rotation3<f64>,
    /// The further turn in the plane with which it fits best.
    pub(crate) angle: f64,
}

/// A hull turned onto a face, and by how much it is too large for a printer.
pub(crate) fn turned_onto(hull: &Hull, down: &Vector, printer: &Printer) -> (Turned, f64) {
    let turn = facing_down(down);
    let vertices: Vec<Vector> = hull.vertices.iter().map(|p| turn * p.coords).collect();
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    for p in &vertices {
        low = low.min(p.z);
        high = high.max(p.z);
    }
    let height = high - low;
    let shadow = convex(vertices.iter().map(|p| [p.x, p.y]));
    let (angle, excess) = turn_in_plane(&shadow, printer);
    (
        Turned { turn, angle },
        excess.max(height - printer.usable_mm()[2]),
    )
}

/// The turn that brings a direction to -z. Directions along an axis are
/// turned by quarter turns, exactly.
fn facing_down(down: &Vector) -> Rotation3<f64> {
    let largest = down.map(f64::abs).imax();
    let snapped = (0..3).all(|k| k == largest || down[k].abs() < 1e-9);
    let n = if snapped {
        let mut n = Vector::zeros();
        n[largest] = down[largest].signum();
        n
    } else {
        *down
    };
    let frame = solid::Frame::facing(Point::origin(), -n);
    // Rows are the frame's axes: it takes the frame to x, y, z.
    Rotation3::from_matrix_unchecked(nalgebra::Matrix3::from_rows(&[
        frame.u.transpose(),
        frame.v.transpose(),
        frame.n.transpose(),
    ]))
}
