//! The thinnest walls of pieces.

use std::sync::OnceLock;

use design::{Assembly, Digest, Recall, Recalled, Tally};
use rayon::prelude::*;
use serde::{Deserialize, Serialize};
use solid::{Bounds, Point, RayCaster, Solid, Vector};

/// The thinnest wall of a piece, of one kind.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub(crate) struct ThinWall {
    /// Its thickness.
    pub(crate) thickness_mm: f64,
    /// A point on one of its faces, in the model's coordinates.
    pub(crate) at: Point,
    /// In how many sampled places the wall is under the limit.
    pub(crate) places: usize,
}

/// The thinnest walls of a piece: those that the split made, with a joint or
/// a seam on at least one face, and those between two outer faces of the
/// furniture, which the model had.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub(crate) struct ThinnestWalls {
    /// The thinnest that the split made, under the limit.
    pub(crate) made: Option<ThinWall>,
    /// The thinnest that the model had, under the limit.
    pub(crate) models: Option<ThinWall>,
    /// The thinnest of all: under the limit only where one of the other two is.
    pub(crate) thinnest_mm: Option<f64>,
}

/// Faces that lean towards each other by more than this are an edge, not a
/// wall.
const FACING_DEG: f64 = 20.0;
/// Spacing of samples on large faces.
const SPACING_MM: f64 = 4.0;
/// A neighbour nearer than this to a face makes it a seam or joint face: more
/// than any clearance or relief, less than a gap that a model has on purpose.
const NEIGHBOUR_MM: f64 = 0.5;
/// A thin place narrower than twice this is the lip of a step or the ridge
/// between two engraved strokes: less than two lines of a common nozzle.
const LIP_MM: f64 = 0.45;
/// How far inside the surface the ray starts.
const INSIDE_MM: f64 = 1e-4;

/// Measures the walls of every piece: rays from samples on each face inward
/// to the first exit, counted as a wall where the two faces look in opposite
/// directions.
pub(crate) fn thinnest_walls(
    assembly: &Assembly,
    limit_mm: f64,
    recall: &Recall,
) -> Vec<ThinnestWalls> {
    let pieces: Vec<&Solid> = assembly.pieces().iter().map(|p| &p.in_place).collect();
    let bounds: Vec<Option<Bounds>> = pieces.iter().map(|p| p.bounds()).collect();
    let casters: Vec<OnceLock<Option<RayCaster>>> =
        pieces.iter().map(|_| OnceLock::new()).collect();
    let caster = |k: usize| {
        casters[k]
            .get_or_init(|| RayCaster::new(pieces[k]))
            .as_ref()
    };
    let digests: Vec<Option<Digest>> = pieces.par_iter().map(|p| recall.digest(p)).collect();
    let neighbours = |k: usize| -> Vec<usize> {
        let Some(near) = bounds[k].map(|b| b.grown(NEIGHBOUR_MM)) else {
            return Vec::new();
        };
        let meets = |j: &usize| *j != k && bounds[*j].is_some_and(|b| b.overlaps(&near, 0.0));
        (0..pieces.len()).filter(meets).collect()
    };
    (0..pieces.len())
        .into_par_iter()
        .map(|k| {
            let beside = neighbours(k);
            let of_beside: Vec<_> = beside.iter().map(|&j| digests[j]).collect();
            let walls = recall.of(Recalled::Walls, &(digests[k], of_beside, limit_mm), || {
                let beside: Vec<&RayCaster> = beside.iter().filter_map(|&j| caster(j)).collect();
                let own = caster(k);
                own.map(|own| of_piece(pieces[k], own, &beside, limit_mm))
                    .unwrap_or_default()
            });
            Tally::LooksTaken.did(1);
            walls
        })
        .collect()
}

fn of_piece(
    piece: &Solid,
    own: &RayCaster,
    neighbours: &[&RayCaster],
    limit_mm: f64,
) -> ThinnestWalls {
    let facing = -FACING_DEG.to_radians().cos();
    let mut out = ThinnestWalls::default();
    for triangle in 0..piece.triangles().len() {
        let normal = piece.normal(triangle);
        if normal == Vector::zeros() {
            continue;
        }
        for p in samples(piece.corners(triangle)) {
            let start = p - normal * INSIDE_MM;
            let Some(hit) = own.first_exit(&start, &-normal, f64::INFINITY) else {
                continue;
            };
            if piece.normal(hit.triangle).dot(&normal) > facing {
                continue;
            }
            let thickness_mm = hit.distance_mm + INSIDE_MM;
            // A thousandth for the rounding of files.
            let is_thin = thickness_mm < limit_mm - 1e-3;
            if is_thin && !is_broad(piece, own, &start, &normal, limit_mm) {
                continue;
            }
            if out.thinnest_mm.is_none_or(|t| thickness_mm < t) {
                out.thinnest_mm = Some(thickness_mm);
            }
            if !is_thin {
                continue;
            }
            let far = start - normal * hit.distance_mm;
            let joined = |at: &Point, out: &Vector| {
                let from = at - out * 0.02;
                neighbours.iter().any(|n| {
                    n.first_entry(&from, out, NEIGHBOUR_MM).is_some()
                        || n.contains(&(at + out * 0.01))
                })
            };
            let made = joined(&p, &normal) || joined(&far, &-normal);
            let slot = if made { &mut out.made } else { &mut out.models };
            match slot {
                Some(held) => {
                    held.places += 1;
                    if thickness_mm < held.thickness_mm {
                        held.thickness_mm = thickness_mm;
                        held.at = p;
                    }
                }
                None => {
                    *slot = Some(ThinWall {
                        thickness_mm,
                        at: p,
                        places: 1,
                    })
                }
            }
        }
    }
    out
}

/// Whether a thin place is a wall and not the lip of a tiny step: most places
/// a little to either side of it are thin too.
fn is_broad(piece: &Solid, own: &RayCaster, start: &Point, normal: &Vector, limit_mm: f64) -> bool {
    let frame = solid::Frame::facing(*start, *normal);
    let facing = -FACING_DEG.to_radians().cos();
    let aside = [(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)];
    let thin = aside.iter().filter(|(u, v)| {
        let p = frame.place(u * LIP_MM, v * LIP_MM, 0.0);
        // The whole way through: beside a step the surface lies further out.
        let before = own
            .first_exit(&p, normal, 1.5 * limit_mm)
            .map(|hit| hit.distance_mm);
        let after = own
            .first_exit(&p, &-normal, 1.5 * limit_mm)
            .filter(|hit| piece.normal(hit.triangle).dot(normal) <= facing)
            .map(|hit| hit.distance_mm);
        matches!((before, after), (Some(b), Some(a)) if a + b < 1.5 * limit_mm)
    });
    thin.count() >= 3
}

/// Points spread over a triangle: its middle, and on large ones a grid in
/// barycentric coordinates.
fn samples([a, b, c]: [Point; 3]) -> Vec<Point> {
    let longest = (b - a).norm().max((c - b).norm()).max((a - c).norm());
    let area = (b - a).cross(&(c - a)).norm() / 2.0;
    if area < 1e-4 {
        return Vec::new();
    }
    let n = ((longest / SPACING_MM).ceil() as usize).clamp(1, 48);
    // Long needles need samples along, not across.
    let rows = (((2.0 * area / longest) / SPACING_MM).ceil() as usize).clamp(1, n);
    let stride = n.div_ceil(rows);
    let mut out = Vec::new();
    for i in 0..n {
        for j in (0..n - i).step_by(stride) {
            // The middle of each little upright triangle of the grid.
            let (u, v) = (
                (i as f64 + 1.0 / 3.0) / n as f64,
                (j as f64 + 1.0 / 3.0) / n as f64,
            );
            out.push(a + (b - a) * u + (c - a) * v);
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use design::{PieceId, PieceInPlace, PrinterId};

    use super::*;

    fn assembly(solids: &[&Solid]) -> Assembly {
        let piece = |(k, solid): (usize, &&Solid)| PieceInPlace {
            id: PieceId::cut(k + 1, 2),
            in_place: (*solid).clone(),
            as_printed: (*solid).clone(),
            placed: solid::Isometry::identity(),
            printer: PrinterId::at(0),
        };
        let pieces = solids.iter().enumerate().map(piece).collect();
        let printers = vec!["220x220x250".parse().unwrap()];
        Assembly::new(pieces, vec![], vec![], printers).unwrap()
    }

    fn alone(solid: Solid) -> Assembly {
        assembly(&[&solid])
    }

    #[test]
    fn a_thin_plate_is_the_models_own() {
        let plate = Solid::cuboid(Point::origin(), Point::new(50.0, 50.0, 0.8));
        let walls = thinnest_walls(&alone(plate), 1.2, &Recall::none())[0];
        assert!(walls.made.is_none());
        assert!((walls.models.unwrap().thickness_mm - 0.8).abs() < 1e-6);
    }

    #[test]
    fn a_sharp_edge_is_no_thin_wall() {
        // A wedge of 45°.
        let frame = solid::Frame::facing(Point::origin(), Vector::z());
        let ring = vec![[0.0, 0.0], [40.0, 0.0], [0.0, 40.0]];
        let wedge = Solid::prism(&frame, &ring, 0.0, 30.0).unwrap();
        assert!(
            thinnest_walls(&alone(wedge), 1.2, &Recall::none())[0]
                .models
                .is_none()
        );
    }

    #[test]
    fn a_wall_against_a_neighbour_is_the_splits() {
        let thin = Solid::cuboid(Point::origin(), Point::new(50.0, 50.0, 0.8));
        let thick = Solid::cuboid(Point::new(0.0, 0.0, 0.85), Point::new(50.0, 50.0, 20.0));
        let assembly = assembly(&[&thin, &thick]);
        let walls = thinnest_walls(&assembly, 1.2, &Recall::none());
        assert!((walls[0].made.unwrap().thickness_mm - 0.8).abs() < 1e-6);
        assert!(walls[1].made.is_none() && walls[1].models.is_none());
    }

    #[test]
    fn the_lip_of_a_tiny_step_is_no_wall() {
        let block = Solid::cuboid(Point::origin(), Point::new(40.0, 40.0, 20.0));
        let lip = Solid::cuboid(Point::new(20.0, -1.0, 19.0), Point::new(20.6, 41.0, 20.1));
        let both = block
            .union(
                &lip.intersection(&Solid::cuboid(
                    Point::origin(),
                    Point::new(40.0, 40.0, 30.0),
                ))
                .unwrap(),
            )
            .unwrap();
        let walls = thinnest_walls(&alone(both), 1.2, &Recall::none())[0];
        assert!(walls.models.is_none());
        assert!(walls.thinnest_mm.is_some_and(|t| t >= 1.2));
    }
}
