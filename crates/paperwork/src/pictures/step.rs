//! Pictures of a step: the whole of it, and close-ups of what that does not show.

use design::{Assembly, StepEntry};
use serde::{Deserialize, Serialize};
use solid::{Bounds, Point, Solid, Vector};

use crate::pictures::arrow::arrow;
use crate::pictures::outline::{IN_SIGHT, Outline, outlines};
use crate::pictures::png_file::{PictureError, SMALL, encoded};
use crate::pictures::raster::{InPlace, Item, Shape, Sight, View, Window, draw};

/// The pictures of a step, as PNG.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct StepPicture {
    /// What moves in colour where its move starts, what stands in grey.
    pub whole: Vec<u8>,
    /// Joints and keys of which that shows too little.
    pub close_ups: Vec<CloseUp>,
    /// How much is in sight of the outline of which the pictures show least; of a joint, on
    /// what stands or on what moves, whichever shows more. 1 where there is no outline.
    pub least_in_sight: f64,
}

/// A joint or a key by itself, nearer.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct CloseUp {
    /// The picture.
    pub png: Vec<u8>,
    /// The pieces in it, by their places in the assembly: what stands, what moves, or a key.
    pub of: Vec<usize>,
    /// Of the outline of their joints, how much it shows.
    pub in_sight: f64,
}

/// What stands still in a step.
const STANDING: [u8; 3] = [196, 200, 202];

/// The eye of a step's picture is sought among these, the first of as good ones; more
/// triangles than this are not drawn that often.
const VIEWS: [(f64, f64); 8] = [
    (-58.0, 24.0),
    (-122.0, 24.0),
    (58.0, 24.0),
    (122.0, 24.0),
    (-58.0, -24.0),
    (-122.0, -24.0),
    (58.0, -24.0),
    (122.0, -24.0),
];
/// A close-up may look from further above or below, and along an axis into what is deep.
const NEARER: [(f64, f64); 20] = [
    (-75.0, 12.0),
    (-105.0, 12.0),
    (75.0, 12.0),
    (105.0, 12.0),
    (-75.0, -12.0),
    (-105.0, -12.0),
    (75.0, -12.0),
    (105.0, -12.0),
    (-20.0, 24.0),
    (-160.0, 24.0),
    (20.0, 24.0),
    (160.0, 24.0),
    (-58.0, 60.0),
    (-122.0, 60.0),
    (58.0, 60.0),
    (122.0, 60.0),
    (-58.0, -60.0),
    (-122.0, -60.0),
    (58.0, -60.0),
    (122.0, -60.0),
];
const SOUGHT_UP_TO: usize = 200_000;
/// A view that shows so much of every outline is taken before others are looked at.
const AMPLE: f64 = 0.5;
/// An arrow that points at the eye by more than this is no arrow.
const AT_THE_EYE: f64 = 0.85;
/// Colours of the arrows: of the move, and of right, back and up.
const MOVE: [u8; 3] = [214, 40, 40];
const RIGHT_BACK_UP: [[u8; 3]; 3] = [[200, 60, 50], [60, 140, 60], [50, 90, 190]];

/// Draws a step of an assembly, of which the pieces are `in_place`.
pub(crate) fn one_step<'a>(
    assembly: &Assembly,
    in_place: InPlace<'a, '_>,
    colours: &[[u8; 3]],
    step: &StepEntry,
) -> Result<StepPicture, PictureError> {
    let along = Vector::from(step.direction);
    // A short slide would hardly show beside large pieces: draw it longer.
    let back = -along * step.travel_mm.max(60.0);
    let [onto, moving] = [&step.onto, &step.moving].map(|ids| assembly.places(ids));
    let standing = onto
        .iter()
        .map(|&k| item(in_place, k, Vector::zeros(), STANDING));
    let moved = moving.iter().map(|&k| item(in_place, k, back, colours[k]));
    let items: Vec<Item> = standing.chain(moved).collect();
    let down = step.rests.map_or(-Vector::z(), |rest| rest.on.direction());
    let outlines = outlines(assembly, in_place, step, back);
    let (view, shares) = best_view(&items, down, &along, &outlines);
    let arrows = arrows(&items, onto.len(), &along, &view);
    let shapes: Vec<Shape> = arrows.iter().map(|(a, _)| Shape::of(a)).collect();
    let above = shapes.iter().zip(&arrows);
    let above = above.map(|(shape, (_, colour))| drawn_at(shape, *colour));
    let above: Vec<Item> = above.collect();
    let whole = encoded(&draw(&items, &above, (&view, &Window::All), SMALL))?;
    let close_ups = match shares.iter().all(|share| *share >= IN_SIGHT) {
        true => Vec::new(),
        false => {
            // Nearer, the true move shows, and what is drawn beside it is in nobody's way.
            let back = -along * (step.travel_mm + CLEAR_MM);
            let nearer = self::outlines(assembly, in_place, step, back);
            let hidden = nearer.iter().zip(&shares);
            let hidden = hidden.filter(|(_, share)| **share < IN_SIGHT);
            hidden
                .map(|(outline, _)| close_up(in_place, colours, outline, (back, down)))
                .collect::<Result<_, _>>()?
        }
    };
    let enough = shares.iter().filter(|share| **share >= IN_SIGHT);
    let nearer = close_ups.iter().map(|c: &CloseUp| &c.in_sight);
    let least_in_sight = enough.chain(nearer).copied().fold(1.0, f64::min);
    Ok(StepPicture {
        whole,
        close_ups,
        least_in_sight,
    })
}

/// How far apart what is about to meet is drawn.
const CLEAR_MM: f64 = 4.0;

fn item<'a>(in_place: InPlace<'a, '_>, k: usize, shift: Vector, colour: [u8; 3]) -> Item<'a> {
    Item {
        shape: in_place(k),
        shift,
        colour,
    }
}

/// Arrows of the move, and of right, back and up, about items of which the first so many
/// stand.
fn arrows(items: &[Item], standing: usize, along: &Vector, view: &View) -> Vec<(Solid, [u8; 3])> {
    let bounds = |items: &[Item]| {
        let each = items.iter().filter_map(|i| {
            let b = i.shape.solid().bounds()?;
            Some([b.min + i.shift, b.max + i.shift])
        });
        Bounds::of(each.flatten())
    };
    let mut arrows = Vec::new();
    if let (Some(all), Some(moved)) = (bounds(items), bounds(&items[standing..])) {
        let length = 0.16 * all.size_mm().norm();
        // Beside what it would cover, it stands behind.
        let small = moved.size_mm().norm() < length;
        let behind = match small {
            true => length + 0.5 * moved.size_mm().dot(&along.abs()),
            false => 0.5 * length,
        };
        let from = moved.centre() - along * behind;
        arrows.extend(arrow(from, along, length).ok().map(|a| (a, MOVE)));
        arrows.extend(axes(view.lower_left(&all, 0.4 * length), 0.6 * length));
    }
    arrows
}

/// Arrows to the right, to the back and up from a place.
fn axes(from: Point, length_mm: f64) -> Vec<(Solid, [u8; 3])> {
    let ways = [Vector::x(), Vector::y(), Vector::z()];
    let each = ways.iter().zip(RIGHT_BACK_UP);
    each.filter_map(|(way, colour)| Some((arrow(from, way, length_mm).ok()?, colour)))
        .collect()
}

/// An arrow that ends behind what moves, along its way home.
fn arrow_behind(moving: &[Point], home: &Vector) -> Option<Solid> {
    let b = Bounds::of(moving.iter().copied())?;
    let along = home.try_normalize(0.0)?;
    let length = 0.8 * b.diagonal_mm();
    let from = b.centre() - along * (length + 0.5 * b.size_mm().dot(&along.abs()));
    arrow(from, &along, length).ok()
}

/// A shape where it is.
fn drawn_at<'a>(shape: &'a Shape<'a>, colour: [u8; 3]) -> Item<'a> {
    Item {
        shape,
        shift: Vector::zeros(),
        colour,
    }
}

/// The eye that sees enough of most outlines, and of those the one that sees most; with how
/// much it sees of each.
fn best_view(
    items: &[Item],
    down: Vector,
    along: &Vector,
    outlines: &[Outline],
) -> (View, Vec<f64>) {
    let triangles = items.iter().map(|i| i.shape.solid().triangles().len());
    let too_many = triangles.sum::<usize>() > SOUGHT_UP_TO;
    let views = views(&VIEWS, down);
    let mut best: Option<(f64, View, Vec<f64>)> = None;
    for view in &views {
        if best.is_some() && (too_many || outlines.is_empty()) {
            break;
        }
        if view.towards().dot(along).abs() >= AT_THE_EYE {
            continue;
        }
        let Some(sight) = Sight::of(items, view, &Window::All) else {
            continue;
        };
        let shares: Vec<f64> = outlines.iter().map(|o| o.share(&sight)).collect();
        let worth = |share: &f64| share + if *share < IN_SIGHT { 0.0 } else { 2.0 };
        let worth: f64 = shares.iter().map(worth).sum();
        let enough = shares.iter().all(|share| *share >= AMPLE);
        if best.as_ref().is_none_or(|(most, ..)| worth > *most) {
            best = Some((worth, *view, shares));
        }
        // The eye moves from step to step no more than it has to.
        if enough {
            break;
        }
    }
    let none = || (views[0], vec![0.0; outlines.len()]);
    best.map_or_else(none, |(_, view, shares)| (view, shares))
}

fn views(angles: &[(f64, f64)], down: Vector) -> Vec<View> {
    let each = angles.iter().map(|&(azimuth_deg, elevation_deg)| View {
        azimuth_deg,
        elevation_deg,
        down,
    });
    each.collect()
}

/// What a joint joins, by itself, where that shows enough of it, and else what moves or
/// stands alone, whichever shows most.
fn close_up<'a>(
    in_place: InPlace<'a, '_>,
    colours: &[[u8; 3]],
    outline: &Outline,
    (back, down): (Vector, Vector),
) -> Result<CloseUp, PictureError> {
    let [of_standing, of_moving] = &outline.halves;
    let both: Vec<usize> = outline
        .standing
        .iter()
        .copied()
        .chain([outline.moving])
        .collect();
    // Who is drawn, and about which points.
    let mut of_both = outline.halves.concat();
    if of_standing.is_empty() {
        // And where a key goes.
        of_both.extend(of_moving.iter().map(|p| p - back));
    }
    let mut scenes = vec![(both, of_both), (vec![outline.moving], of_moving.clone())];
    if !of_standing.is_empty() {
        scenes.push((outline.standing.clone(), of_standing.clone()));
    }
    let drawn = |of: &[usize]| -> Vec<Item<'a>> {
        let each = of.iter().map(|&k| match k == outline.moving {
            true => item(in_place, k, back, colours[k]),
            false => item(in_place, k, Vector::zeros(), STANDING),
        });
        each.collect()
    };
    let triangles = |of: &[usize]| -> usize {
        let each = of.iter().map(|&k| in_place(k).solid().triangles().len());
        each.sum()
    };
    let angles = match triangles(&scenes[0].0) > SOUGHT_UP_TO {
        true => VIEWS.to_vec(),
        false => [&VIEWS[..], &NEARER[..]].concat(),
    };
    let mut best: Option<(f64, View, usize)> = None;
    for (k, (of, points)) in scenes.iter().enumerate() {
        let items = drawn(of);
        for view in views(&angles, down) {
            let sight = Sight::of(&items, &view, &Window::About(points));
            let share = sight.map_or(0.0, |s| outline.share(&s));
            if best.is_none_or(|(most, ..)| share > most) {
                best = Some((share, view, k));
            }
        }
        if best.is_some_and(|(most, ..)| most >= IN_SIGHT) {
            break;
        }
    }
    let first = || (0.0, View::default(), 0);
    let (in_sight, view, k) = best.unwrap_or_else(first);
    let (of, points) = &scenes[k];
    let (mut points, mut arrows) = (points.clone(), Vec::new());
    if of_standing.is_empty() {
        arrows.extend(arrow_behind(of_moving, &-back).map(|a| (a, MOVE)));
        points.extend(arrows.iter().flat_map(|(a, _)| a.vertices()));
    }
    if let Some(b) = Bounds::of(points.iter().copied()) {
        let length = 0.12 * b.diagonal_mm();
        arrows.extend(axes(view.lower_left(&b, -0.5 * length), length));
    }
    let above: Vec<(Shape, [u8; 3])> = arrows.iter().map(|(a, c)| (Shape::of(a), *c)).collect();
    let above: Vec<Item> = above
        .iter()
        .map(|(shape, colour)| drawn_at(shape, *colour))
        .collect();
    let picture = draw(&drawn(of), &above, (&view, &Window::About(&points)), SMALL);
    Ok(CloseUp {
        png: encoded(&picture)?,
        of: of.clone(),
        in_sight,
    })
}
