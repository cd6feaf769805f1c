//! Where something is in a model.

use solid::{Point, Solid, Vector};

use crate::pictures::arrow::arrow;
use crate::pictures::png_file::{PictureError, encoded};
use crate::pictures::raster::{Item, Shape, Sight, View, Window, draw};

const SIZE: (usize, usize) = (960, 720);
/// Of the size of the model.
const ARROW: f64 = 0.22;
/// What is seen about the place in the nearer picture.
const NEAR_MM: f64 = 40.0;

/// A place in a model, shown by an arrow on all of it and on what lies about the place, as
/// PNG: from where it is in sight, if there is such a side.
///
/// # Errors
///
/// When encoding fails.
///
/// ```
/// use solid::{Point, Solid};
///
/// let board = Solid::cuboid(Point::origin(), Point::new(300.0, 90.0, 18.0));
/// let [whole, nearer] = paperwork::place_pictures(&board, &Point::new(300.0, 0.0, 18.0)).unwrap();
/// assert!(whole.starts_with(b"\x89PNG") && nearer.starts_with(b"\x89PNG"));
/// ```
pub fn place_pictures(model: &Solid, at: &Point) -> Result<[Vec<u8>; 2], PictureError> {
    let shape = Shape::of(model);
    let items = [Item {
        shape: &shape,
        shift: Vector::zeros(),
        colour: [196, 201, 206],
    }];
    let about = [-1.0, 1.0].map(|sign| at + Vector::repeat(sign * NEAR_MM));
    let size_mm = model.bounds().map_or(NEAR_MM, |b| b.diagonal_mm());
    let shown = |view: &&View| {
        let sight = Sight::of(&items, view, &Window::About(&about));
        sight.is_some_and(|sight| sight.shows(at))
    };
    let views = views();
    let view = views.iter().find(shown).unwrap_or(&views[0]);
    let picture = |window: &Window, length_mm: f64| {
        let way = view.down_right();
        let pointer = arrow(at - way * length_mm, &way, length_mm).ok();
        let pointer = pointer.as_ref().map(Shape::of);
        let above: Vec<Item> = (pointer.iter())
            .map(|shape| Item {
                shape,
                shift: Vector::zeros(),
                colour: [213, 60, 40],
            })
            .collect();
        encoded(&draw(&items, &above, (view, window), SIZE))
    };
    Ok([
        picture(&Window::All, ARROW * size_mm)?,
        picture(&Window::About(&about), NEAR_MM)?,
    ])
}

/// From before and above, then from other sides, then from below.
fn views() -> Vec<View> {
    let heights = [24.0, 60.0, -24.0];
    let each = heights.into_iter().flat_map(|elevation_deg| {
        [-58.0, -122.0, 122.0, 58.0].map(|azimuth_deg| View {
            azimuth_deg,
            elevation_deg,
            ..View::default()
        })
    });
    each.collect()
}
