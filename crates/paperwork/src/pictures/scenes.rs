//! Pictures of the furniture, of pieces, steps and plates.

use design::{Assembly, PieceInPlace, Tally};
use printing::{EAR_MM, Ears};
use rayon::prelude::*;
use solid::{Bounds, Point, Solid, Vector};

use crate::pictures::colours::piece_colours;
use crate::pictures::png_file::{PictureError, SMALL, encoded};
use crate::pictures::raster::{Item, Shape, View, Window, draw};
use crate::pictures::step::{StepPicture, one_step};
use crate::record::made_of::MadeOf;

/// All pictures of an assembly, as PNG.
#[derive(Clone, Debug)]
pub struct Pictures {
    /// The furniture together, one colour a piece.
    pub whole: Vec<u8>,
    /// The pieces drawn apart from the middle of the whole.
    pub exploded: Vec<u8>,
    /// What the model is made of, one colour a member, where it is made of members.
    pub members: Option<Vec<u8>>,
    /// Each piece as it lies on its bed.
    pub pieces: Vec<Vec<u8>>,
    /// Each step.
    pub steps: Vec<StepPicture>,
}

impl Pictures {
    /// Draws all of them, and what the model is made of.
    ///
    /// # Errors
    ///
    /// When encoding fails.
    pub fn of(assembly: &Assembly, made_of: Option<&MadeOf>) -> Result<Self, PictureError> {
        let pieces = assembly.pieces();
        let colours = piece_colours(pieces.len());
        let in_place: Vec<Shape> = pieces.par_iter().map(|p| Shape::of(&p.in_place)).collect();
        Tally::PicturesDrawn.expect(pieces.len() + assembly.steps().len());
        let ((whole, exploded), (lying, steps)) = rayon::join(
            || {
                rayon::join(
                    || together(&in_place, &colours, 0.0),
                    || together(&in_place, &colours, APART),
                )
            },
            || {
                rayon::join(
                    || {
                        let each = pieces.par_iter().zip(&colours);
                        let drawn = |(p, &colour): (&PieceInPlace, &[u8; 3])| {
                            let ears = ears(&Ears::of(&p.as_printed, assembly.printer(p)));
                            let solids = std::iter::once(&p.as_printed).chain(&ears);
                            let colours = std::iter::once(colour).chain(ears.iter().map(|_| EAR));
                            let solids: Vec<&Solid> = solids.collect();
                            counted(lying(&solids, &colours.collect::<Vec<_>>()))
                        };
                        each.map(drawn).collect::<Result<_, _>>()
                    },
                    || {
                        let each = assembly.steps().par_iter();
                        each.map(|step| counted(one_step(assembly, &in_place, &colours, step)))
                            .collect::<Result<_, _>>()
                    },
                )
            },
        );
        Ok(Self {
            whole: whole?,
            exploded: exploded?,
            members: made_of.map(members).transpose()?,
            pieces: lying?,
            steps: steps?,
        })
    }
}

/// A picture that was drawn, counted.
fn counted<T>(picture: T) -> T {
    Tally::PicturesDrawn.did(1);
    picture
}

const WIDTH: usize = 1280;
const HEIGHT: usize = 960;
/// How far pieces are drawn apart, in sizes of the whole.
const APART: f64 = 0.55;

fn together(pieces: &[Shape], colours: &[[u8; 3]], apart: f64) -> Result<Vec<u8>, PictureError> {
    let bounds: Vec<Option<Bounds>> = pieces.iter().map(|s| s.solid().bounds()).collect();
    let all = bounds.iter().flatten().copied().reduce(|a, b| a.joined(&b));
    let centre = all.map(|b| b.centre());
    let items: Vec<Item> = pieces
        .iter()
        .zip(&bounds)
        .zip(colours)
        .map(|((shape, bounds), &colour)| Item {
            shape,
            shift: match (bounds, centre) {
                (Some(b), Some(c)) => (b.centre() - c) * apart,
                _ => Vector::zeros(),
            },
            colour,
        })
        .collect();
    encoded(&draw(
        &items,
        &[],
        (&View::default(), &Window::All),
        (WIDTH, HEIGHT),
    ))
}

const MEMBERS_WIDTH: usize = 840;
const MEMBERS_HEIGHT: usize = 630;

/// Members, each in the box in which it lies.
fn members(made_of: &MadeOf) -> Result<Vec<u8>, PictureError> {
    let colours = piece_colours(made_of.members.len());
    let about = made_of.members.iter().zip(colours);
    let about = about.filter_map(|(m, colour)| Some((m.member().about()?, colour)));
    let (solids, colours): (Vec<Solid>, Vec<[u8; 3]>) = about.unzip();
    let solids: Vec<&Solid> = solids.iter().collect();
    standing(&solids, &colours, (MEMBERS_WIDTH, MEMBERS_HEIGHT))
}

/// Ears are drawn as high as can be seen.
const EAR_DRAWN_MM: f64 = 1.0;
const EAR: [u8; 3] = [90, 96, 100];

/// Discs about the corners that lift, where the bed has room for them.
fn ears(ears: &Ears) -> Vec<Solid> {
    let disc = |[x, y]: &[f64; 2]| {
        let base = Point::new(*x, *y, 0.0);
        Solid::cylinder(base, Vector::z() * EAR_DRAWN_MM, EAR_MM, 24).ok()
    };
    ears.laid().iter().filter_map(disc).collect()
}

/// Pieces on a bed, as PNG.
///
/// # Errors
///
/// When encoding fails.
pub fn plate_picture(on_bed: &[Solid], colours: &[[u8; 3]]) -> Result<Vec<u8>, PictureError> {
    let on_bed: Vec<&Solid> = on_bed.iter().collect();
    lying(&on_bed, colours)
}

/// Solids as they stand, small.
fn lying(solids: &[&Solid], colours: &[[u8; 3]]) -> Result<Vec<u8>, PictureError> {
    standing(solids, colours, SMALL)
}

/// Solids as they stand.
fn standing(
    solids: &[&Solid],
    colours: &[[u8; 3]],
    size: (usize, usize),
) -> Result<Vec<u8>, PictureError> {
    let shapes: Vec<Shape> = solids.iter().map(|s| Shape::of(s)).collect();
    let items: Vec<Item> = shapes
        .iter()
        .zip(colours)
        .map(|(shape, &colour)| Item {
            shape,
            shift: Vector::zeros(),
            colour,
        })
        .collect();
    encoded(&draw(&items, &[], (&View::default(), &Window::All), size))
}
