//! How a piece lies on a bed: which face down, turned how.

use nalgebra::{Rotation3, Translation3, UnitQuaternion};
use rayon::prelude::*;
use solid::{Hull, Isometry, Point, Solid, Vector};

use crate::lying::flat_fit::{
    convex, enclosing_radius, least_width, rectangle_fits, turn_in_plane,
};
use crate::printer::{Bed, Printer};

/// Whether a block fits a printer on one of its faces, turned in the plane.
pub fn block_fits(size_mm: [f64; 3], printer: &Printer) -> bool {
    let usable = printer.usable_mm();
    (0..3).any(|up| {
        let flat = [size_mm[(up + 1) % 3], size_mm[(up + 2) % 3]];
        size_mm[up] <= usable[2]
            && match printer.bed {
                Bed::Rectangle { .. } => rectangle_fits(flat, [usable[0], usable[1]]),
                Bed::Round { .. } => flat[0].hypot(flat[1]) <= usable[0],
            }
    })
}

/// Whether a piece fits a printer with all that joints add to it, given by how
/// far it would be moved for its shadow to hold them.
///
/// ```
/// use printing::{Printer, fits_grown};
/// use solid::{Point, Solid, Vector};
///
/// let block = Solid::cuboid(Point::origin(), Point::new(210.0, 214.0, 245.0));
/// let printer = Printer::rectangular("bed-1", 220.0, 220.0, 250.0);
/// assert!(fits_grown(&block, &[Vector::x() * 6.0], &printer));
/// assert!(!fits_grown(&block, &[Vector::x() * 8.0], &printer));
/// ```
pub fn fits_grown(piece: &Solid, by: &[Vector], printer: &Printer) -> bool {
    if let Some(bounds) = piece.bounds() {
        let size = by.iter().fold(bounds.size_mm(), |s, b| s + b.abs());
        if block_fits(size.into(), printer) {
            return true;
        }
    }
    let Some(mut faces) = Faces::of(piece) else {
        return false;
    };
    for step in by {
        let moved: Vec<Point> = faces.hull.vertices.iter().map(|p| p + step).collect();
        faces.hull.vertices.extend(moved);
    }
    let flat = |down: &Vector| turned_onto(&faces.hull, down, printer).1 <= TOO_MUCH_MM;
    faces.down.iter().any(flat)
}

/// How a piece lies on the bed.
#[derive(Clone, Debug)]
pub struct Placement {
    /// Takes the model's coordinates to the bed's: the piece rests on z = 0
    /// with its least x and y at zero.
    pub onto_bed: Isometry,
    /// Width, depth and height as printed.
    pub size_mm: [f64; 3],
    /// Height over the least width of what touches the bed.
    pub slenderness: f64,
    /// Area that hangs over by more than 45° and not on the bed.
    pub overhang_mm2: f64,
    /// Joints whose profile does not lie in the layer plane: their run leans
    /// from the vertical by more than 45°.
    pub joints_across: usize,
}

/// A piece that fits on no face.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[error("the piece fits on none of its faces: the best leaves it {excess_mm:.1} mm too large")]
pub struct DoesNotFit {
    /// By how much the best placement is too large.
    pub excess_mm: f64,
}

/// Vertices of the hull and its 2-D shadows, once for all printers.
struct Faces {
    hull: Hull,
    down: Vec<Vector>,
}

/// Faces with less than this share of the largest are not worth standing on.
const WORTH_STANDING_ON: f64 = 0.005;
/// At the most this many faces are tried.
const FACES_TRIED: usize = 14;

impl Faces {
    fn of(piece: &Solid) -> Option<Self> {
        let hull = Hull::of(piece)?;
        let faces = hull.faces();
        let largest = faces.first()?.area_mm2;
        let down = faces
            .iter()
            .take_while(|f| f.area_mm2 >= WORTH_STANDING_ON * largest)
            .take(FACES_TRIED)
            .map(|f| f.normal)
            .collect();
        Some(Self { hull, down })
    }
}

/// Lays a piece on a printer's bed: on each face of its convex hull worth
/// standing on, turned in the plane until it fits. Among the placements that
/// fit the steadier wins (slenderness, in classes), then the one with less
/// overhang, then the lower.
///
/// # Errors
///
/// When it fits on none of its faces.
///
/// ```
/// use printing::{Printer, place};
/// use solid::{Point, Solid};
///
/// let board = Solid::cuboid(Point::origin(), Point::new(18.0, 260.0, 40.0));
/// let printer = Printer::rectangular("bed-1", 220.0, 220.0, 250.0);
/// // Too long for the bed, but its diagonal takes it.
/// let placed = place(&board, &printer).unwrap();
/// assert_eq!(placed.size_mm[2].round(), 18.0);
/// ```
pub fn place(piece: &Solid, printer: &Printer) -> Result<Placement, DoesNotFit> {
    place_jointed(piece, printer, &[])
}

/// Like [`place`], for a piece whose joints run along given directions: among
/// placements as steady, one in which their profiles lie in the layer plane is
/// worth some overhang elsewhere, for there they need no support and no layer
/// line crosses a neck.
///
/// # Errors
///
/// When it fits on none of its faces.
pub fn place_jointed(
    piece: &Solid,
    printer: &Printer,
    runs: &[Vector],
) -> Result<Placement, DoesNotFit> {
    let Some(faces) = Faces::of(piece) else {
        return Err(DoesNotFit {
            excess_mm: f64::INFINITY,
        });
    };
    let tried: Vec<Result<Placement, f64>> = faces
        .down
        .par_iter()
        .map(|down| on_face(piece, &faces.hull, down, printer, runs))
        .collect();
    let mut best: Option<Placement> = None;
    let mut excess = f64::INFINITY;
    for outcome in tried {
        match outcome {
            Ok(placed) => {
                if best.as_ref().is_none_or(|b| rank(&placed) < rank(b)) {
                    best = Some(placed);
                }
            }
            Err(by) => excess = excess.min(by),
        }
    }
    best.ok_or(DoesNotFit { excess_mm: excess })
}

/// How far a piece, lying as it does, stands out of what a printer can use:
/// not at all where the answer is zero or less. It may be shifted on the bed,
/// not turned, and must rest on z = 0.
pub fn excess_as_it_lies(piece: &Solid, printer: &Printer) -> f64 {
    // Single-precision files round sizes by hundredths of a micrometre.
    const ROUNDING_MM: f64 = 1e-3;
    let Some(bounds) = piece.bounds() else {
        return 0.0;
    };
    let (size, usable) = (bounds.size_mm(), printer.usable_mm());
    let flat = match printer.bed {
        Bed::Rectangle { .. } => (size.x - usable[0]).max(size.y - usable[1]),
        Bed::Round { .. } => {
            let shadow = convex(piece.vertices().iter().map(|p| [p.x, p.y]));
            2.0 * enclosing_radius(&shadow) - usable[0]
        }
    };
    flat.max(size.z - usable[2]).max(bounds.min.z.abs()) - ROUNDING_MM
}

/// Overhang that a joint with its profile in the layer plane is worth: the
/// crest of a full-size tail that runs through a board of 18 mm.
const ACROSS_MM2: f64 = 190.0;

/// What is compared, in micrometres and the like, so that noise decides
/// nothing.
fn rank(p: &Placement) -> (i64, i64, i64) {
    // Up to as high as it is wide everything stands well.
    let class = (p.slenderness.max(1.0).log2() * 2.0).floor() as i64;
    (
        class,
        ((p.overhang_mm2 + ACROSS_MM2 * p.joints_across as f64) / 25.0).round() as i64,
        (p.size_mm[2] * 10.0).round() as i64,
    )
}

/// What is larger by less fits.
const TOO_MUCH_MM: f64 = 1e-6;

/// A hull turned onto a face.
struct Turned {
    turn: Rotation3<f64>,
    vertices: Vec<Vector>,
    /// The further turn in the plane with which it fits best.
    angle: f64,
    low: f64,
    height: f64,
}

/// A hull turned onto a face, and by how much it is too large for a printer.
fn turned_onto(hull: &Hull, down: &Vector, printer: &Printer) -> (Turned, f64) {
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
    let turned = Turned {
        turn,
        vertices,
        angle,
        low,
        height,
    };
    (turned, excess.max(height - printer.usable_mm()[2]))
}

fn on_face(
    piece: &Solid,
    hull: &Hull,
    down: &Vector,
    printer: &Printer,
    runs: &[Vector],
) -> Result<Placement, f64> {
    let (lying, excess) = turned_onto(hull, down, printer);
    if excess > TOO_MUCH_MM {
        return Err(excess);
    }
    let Turned {
        turn,
        vertices: turned,
        angle,
        low,
        height,
    } = lying;
    let base = convex(
        turned
            .iter()
            .filter(|p| p.z < low + 0.02)
            .map(|p| [p.x, p.y]),
    );
    let spin = Rotation3::from_axis_angle(&Vector::z_axis(), angle) * turn;
    let placed: Vec<Vector> = hull.vertices.iter().map(|p| spin * p.coords).collect();
    let bounds = solid::Bounds::of(placed.into_iter().map(Point::from)).unwrap_or(solid::Bounds {
        min: Point::origin(),
        max: Point::origin(),
    });
    let size = bounds.size_mm();
    Ok(Placement {
        onto_bed: Isometry::from_parts(
            Translation3::from(-bounds.min.coords),
            UnitQuaternion::from_rotation_matrix(&spin),
        ),
        size_mm: [size.x, size.y, size.z],
        slenderness: height / least_width(&base).max(1e-3),
        overhang_mm2: overhang(piece, &turn, low),
        joints_across: runs
            .iter()
            .filter(|run| run.dot(down).abs() < std::f64::consts::FRAC_1_SQRT_2)
            .count(),
    })
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

/// Area of faces that look down by more than 45° and do not lie on the bed,
/// projected on it (45° is common practice, no published source).
fn overhang(piece: &Solid, turn: &Rotation3<f64>, low: f64) -> f64 {
    let up = turn.matrix().row(2).transpose();
    let steep = -std::f64::consts::FRAC_1_SQRT_2 - 1e-6;
    piece
        .triangle_corners()
        .map(|[a, b, c]| {
            let cross = (b - a).cross(&(c - a));
            let doubled = cross.norm();
            let facing = cross.dot(&up);
            if doubled <= 0.0 || facing / doubled > steep {
                return 0.0;
            }
            let highest = [a, b, c]
                .map(|p| p.coords.dot(&up))
                .into_iter()
                .fold(f64::MIN, f64::max);
            if highest < low + 0.02 {
                0.0
            } else {
                -facing / 2.0
            }
        })
        .sum()
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        /// The sampled turn agrees with Carver's exact condition for boxes.
        #[test]
        fn turning_agrees_with_the_exact_condition(
            p in 10.0f64..400.0, q in 10.0f64..400.0, a in 50.0f64..300.0, b in 50.0f64..300.0,
        ) {
            let printer = Printer { margin_mm: 0.0, ..Printer::rectangular("x", a, b, 100.0) };
            let ring = [[0.0, 0.0], [p, 0.0], [p, q], [0.0, q]];
            let excess = turn_in_plane(&ring, &printer).1;
            // Right at the limit either answer is right.
            if excess.abs() > 1e-3 {
                prop_assert_eq!(excess <= 0.0, rectangle_fits([p, q], [a, b]));
            }
        }

        #[test]
        fn what_is_placed_lies_in_the_bed(
            x in 5.0f64..300.0, y in 5.0f64..300.0, z in 5.0f64..300.0, lean in -1.0f64..1.0,
        ) {
            let block = Solid::cuboid(Point::origin(), Point::new(x, y, z))
                .moved(&Isometry::rotation(Vector::new(lean, 0.3, -lean)));
            let printer = Printer::rectangular("bed-1", 220.0, 220.0, 250.0);
            match place(&block, &printer) {
                Ok(placed) => {
                    let b = block.moved(&placed.onto_bed).bounds().unwrap();
                    prop_assert!(b.min.coords.norm() < 1e-6);
                    prop_assert!(b.max.x <= 216.0 + 1e-6 && b.max.y <= 216.0 + 1e-6 && b.max.z <= 250.0 + 1e-6);
                    let looser = Printer { margin_mm: 2.0 - 1e-3, height_mm: 250.001, ..printer };
                    prop_assert!(block_fits([x, y, z], &looser));
                }
                Err(_) => {
                    let tighter = Printer { margin_mm: 2.0 + 1e-3, height_mm: 249.999, ..printer };
                    prop_assert!(!block_fits([x, y, z], &tighter));
                }
            }
        }
    }

    #[test]
    fn a_round_bed_takes_a_square_by_its_diagonal() {
        let round: Printer = "round204x100".parse().unwrap();
        assert!(block_fits([141.0, 141.0, 50.0], &round));
        assert!(!block_fits([142.0, 142.0, 50.0], &round));
        let plate = Solid::cuboid(Point::origin(), Point::new(141.0, 141.0, 5.0));
        assert!(place(&plate, &round).is_ok());
    }
}
