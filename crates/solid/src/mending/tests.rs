//! Surfaces broken in one way or another, mended.

use geo::BooleanOps;
use proptest::prelude::*;

use crate::frame::Frame;
use crate::polygon::outline::rectangle;
use crate::{Mended, Point, Remedy, Solid, TriangleCorners, Vector};

fn block(low: [f64; 3], high: [f64; 3]) -> Vec<TriangleCorners> {
    Solid::cuboid(low.into(), high.into())
        .triangle_corners()
        .collect()
}

/// What was done, without how often.
fn remedies(mended: &Mended) -> Vec<Remedy> {
    mended.done.iter().map(|m| m.remedy).collect()
}

fn comes_out(soup: Vec<TriangleCorners>, volume: f64, done: &[Remedy]) {
    let mended = Solid::mended(soup).unwrap();
    assert_eq!(remedies(&mended), done);
    let found = mended.solid.volume_mm3();
    assert!(
        (found - volume).abs() < 1e-6 * volume,
        "{found} of {volume}"
    );
}

#[test]
fn a_sound_surface_keeps_every_bit() {
    let soup = block([0.1, 0.2, 0.3], [1.0, 2.0, 3.0]);
    let mended = Solid::mended(soup.clone()).unwrap();
    assert!(mended.done.is_empty());
    assert_eq!(mended.solid.triangle_corners().collect::<Vec<_>>(), soup);
}

#[test]
fn flat_holes_are_closed_together() {
    let mut open = block([0., 0., 0.], [1., 2., 3.]);
    open.retain(|t| !t.iter().all(|p| p.z == 3.0));
    comes_out(open.clone(), 6.0, &[Remedy::Holes]);
    // Both ends gone.
    open.retain(|t| !t.iter().all(|p| p.z == 0.0));
    comes_out(open, 6.0, &[Remedy::Holes]);
    // The end of a tube lies between two rims.
    let [outer, inner] = [4.0, 2.0].map(|r| rectangle([-r, -r], [r, r]));
    let frame = Frame::facing(Point::origin(), Vector::z());
    let tube = Solid::extruded(&frame, &outer.difference(&inner), 0.0, 10.0).unwrap();
    let mut open: Vec<TriangleCorners> = tube.triangle_corners().collect();
    open.retain(|t| !t.iter().all(|p| p.z > 9.0));
    comes_out(open, 480.0, &[Remedy::Holes]);
}

#[test]
fn holes_that_meet_at_a_corner_are_closed_each() {
    // A lid of eight triangles about its middle, of which two that touch there are gone.
    let mut open = block([0., 0., 0.], [2., 2., 3.]);
    open.retain(|t| !t.iter().all(|p| p.z == 3.0));
    let round = [
        [0., 0.],
        [1., 0.],
        [2., 0.],
        [2., 1.],
        [2., 2.],
        [1., 2.],
        [0., 2.],
        [0., 1.],
    ];
    let at = |k: usize| Point::new(round[k % 8][0], round[k % 8][1], 3.0);
    let lid = (0..8).filter(|k| ![1, 5].contains(k));
    open.extend(lid.map(|k| [Point::new(1., 1., 3.), at(k), at(k + 1)]));
    comes_out(open, 12.0, &[Remedy::Junctions, Remedy::Holes]);
}

#[test]
fn a_hole_about_a_corner_is_refused() {
    let mut open = block([0., 0., 0.], [1., 2., 3.]);
    open.retain(|t| !t.iter().all(|p| p.z == 3.0) && !t.iter().all(|p| p.x == 1.0));
    assert!(
        Solid::mended(open)
            .unwrap_err()
            .has(crate::DefectKind::OpenEdge)
    );
}

#[test]
fn faces_are_turned_dropped_and_parted() {
    let sound = block([0., 0., 0.], [1., 2., 3.]);
    let mut flipped = sound.clone();
    flipped[5].swap(0, 1);
    comes_out(flipped, 6.0, &[Remedy::Turned]);
    let mut doubled = sound.clone();
    doubled.push(sound[3]);
    comes_out(doubled, 6.0, &[Remedy::Doubled]);
    // A corner in an edge that only one of its faces knows.
    let mut parted = sound.clone();
    let [a, b, c] = parted.remove(7);
    let between = nalgebra::center(&a, &b);
    parted.extend([[a, between, c], [between, b, c]]);
    comes_out(parted, 6.0, &[Remedy::Junctions]);
    // A sheet of no thickness beside the block.
    let mut film = sound.clone();
    let [a, b, c] = [[5., 0., 0.], [6., 0., 0.], [5., 1., 0.]].map(Point::from);
    let d = Point::new(6., 1., 0.);
    film.extend([[a, b, c], [a, c, b], [b, d, c], [b, c, d]]);
    comes_out(film, 6.0, &[Remedy::Doubled]);
    // Both sides of every face.
    let mut both = sound.clone();
    both.extend(sound.iter().map(|[a, b, c]| [*a, *c, *b]));
    let mended = Solid::mended(both).unwrap();
    assert!((mended.solid.volume_mm3() - 6.0).abs() < 1e-9);
    let mut near = sound;
    near[4][1].x += 1e-7;
    comes_out(near, 6.0, &[Remedy::Welded]);
}

#[test]
fn boards_that_touch_come_apart() {
    // Face to face with the same triangles: what lies between them goes.
    let mut against = block([0., 0., 0.], [1., 2., 3.]);
    against.extend(block([1., 0., 0.], [2., 2., 3.]));
    let mended = Solid::mended(against).unwrap();
    assert!((mended.solid.volume_mm3() - 12.0).abs() < 1e-9);
    // One of them inside out: both have the face the same way round.
    let mut against = block([0., 0., 0.], [1., 2., 3.]);
    let other = block([1., 0., 0.], [2., 2., 3.]);
    against.extend(other.iter().map(|[a, b, c]| [*a, *c, *b]));
    let mended = Solid::mended(against).unwrap();
    assert!((mended.solid.volume_mm3() - 12.0).abs() < 1e-9);
    // Along an edge.
    let mut along = block([0., 0., 0.], [1., 2., 3.]);
    along.extend(block([1., 2., 0.], [2., 3., 3.]));
    let mended = Solid::mended(along).unwrap();
    assert_eq!(remedies(&mended), [Remedy::Sheets]);
    assert_eq!(mended.solid.bodies().len(), 2);
    // One of them inside out, whichever comes first.
    let (one, other) = (
        block([0., 0., 0.], [1., 2., 3.]),
        block([1., 2., 0.], [2., 3., 3.]),
    );
    let turned = one.iter().map(|[a, b, c]| [*a, *c, *b]);
    let turned: Vec<TriangleCorners> = turned.collect();
    for soup in [[turned.clone(), other.clone()], [other, turned]] {
        let mended = Solid::mended(soup.concat()).unwrap();
        assert!((mended.solid.volume_mm3() - 9.0).abs() < 1e-9);
    }
    // An edge that lies in a face, and edges with the same ends.
    let mut on_top = block([0., 0., 0.], [4., 4., 1.]);
    on_top.extend(block([0., 0., 1.], [4., 1., 2.]));
    let mended = Solid::mended(on_top).unwrap();
    assert!((mended.solid.volume_mm3() - 20.0).abs() < 1e-9);
}

proptest! {
    /// A board with legs, broken in one way, comes out with the volume of the sound one,
    /// in whatever order its triangles come.
    #[test]
    fn one_defect_is_mended(
        which in 0..4usize,
        face in 0..24usize,
        order in Just(()).prop_perturb(|(), mut rng| {
            let mut order: Vec<usize> = (0..24).collect();
            for k in (1..24).rev() {
                order.swap(k, rng.random_range(0..=k));
            }
            order
        }),
    ) {
        let mut sound = block([0., 0., 9.], [40., 30., 11.]);
        sound.extend(block([50., 0., 0.], [53., 3., 9.]));
        let mut soup: Vec<TriangleCorners> = order.iter().map(|&k| sound[k]).collect();
        match which {
            0 => soup[face].swap(1, 2),
            1 => soup.push(sound[face]),
            2 => {
                let [a, b, c] = soup.remove(face);
                let middle = nalgebra::center(&b, &c);
                soup.extend([[a, b, middle], [a, middle, c]]);
            }
            _ => {
                soup.remove(face);
            }
        }
        let mended = Solid::mended(soup).unwrap();
        prop_assert_eq!(mended.done.len(), 1);
        let volume = mended.solid.volume_mm3();
        prop_assert!((volume - 2481.0).abs() < 1e-6, "{}", volume);
    }
}
