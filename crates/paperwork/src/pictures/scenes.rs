//! Pictures of the furniture, of pieces, steps and plates.

use std::sync::OnceLock;

use design::{Assembly, Digest, PieceId, Recall, Recalled, StepEntry, Tally};
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
    /// Draws all of them, and what the model is made of; what is to be seen in a picture
    /// that an earlier run drew is not drawn again.
    ///
    /// # Errors
    ///
    /// When encoding fails.
    pub fn of(
        assembly: &Assembly,
        made_of: Option<&MadeOf>,
        recall: &Recall,
    ) -> Result<Self, PictureError> {
        let pieces = assembly.pieces();
        let colours = piece_colours(pieces.len());
        let scene = Scene::of(assembly, &colours, recall);
        Tally::PicturesDrawn.expect(pieces.len() + assembly.steps().len());
        let ((whole, exploded), (lying, steps)) = rayon::join(
            || rayon::join(|| scene.together(0.0), || scene.together(APART)),
            || {
                rayon::join(
                    || {
                        let each = pieces.par_iter().zip(&colours);
                        each.map(|(p, &colour)| {
                            let ears = Ears::of(&p.as_printed, assembly.printer(p));
                            counted(on_its_bed(&p.as_printed, colour, &ears, recall))
                        })
                        .collect::<Result<_, _>>()
                    },
                    || {
                        let each = assembly.steps().par_iter();
                        each.map(|step| counted(scene.step(step)))
                            .collect::<Result<_, _>>()
                    },
                )
            },
        );
        Ok(Self {
            whole: whole?,
            exploded: exploded?,
            members: made_of.map(|of| members(of, recall)).transpose()?,
            pieces: lying?,
            steps: steps?,
        })
    }
}

/// The pieces in place, in their colours.
struct Scene<'a> {
    assembly: &'a Assembly,
    shapes: Vec<OnceLock<Shape<'a>>>,
    digests: Vec<Option<Digest>>,
    colours: &'a [[u8; 3]],
    recall: &'a Recall,
}

impl<'a> Scene<'a> {
    fn of(assembly: &'a Assembly, colours: &'a [[u8; 3]], recall: &'a Recall) -> Self {
        let pieces = assembly.pieces();
        Self {
            assembly,
            shapes: pieces.iter().map(|_| OnceLock::new()).collect(),
            digests: pieces
                .par_iter()
                .map(|p| recall.digest(&p.in_place))
                .collect(),
            colours,
            recall,
        }
    }

    fn shape(&self, k: usize) -> &Shape<'a> {
        self.shapes[k].get_or_init(|| Shape::of(&self.assembly.pieces()[k].in_place))
    }

    /// All pieces, drawn so far apart from the middle of the whole, in sizes of it.
    fn together(&self, apart: f64) -> Result<Vec<u8>, PictureError> {
        let from = ("together", &self.digests, self.colours, apart);
        self.recall.of_fallible(Recalled::Picture, &from, || {
            let pieces = 0..self.shapes.len();
            let shapes: Vec<&Shape> = pieces.map(|k| self.shape(k)).collect();
            together(&shapes, self.colours, apart)
        })
    }

    /// A step: it shows what stands and what moves, and looks for the joints of its seam.
    fn step(&self, step: &StepEntry) -> Result<StepPicture, PictureError> {
        let seams = self.assembly.seams().iter();
        let seam = seams.filter(|s| Some(&s.id) == step.seam());
        let of_seam: Vec<_> = seam.map(|s| (s.normal, s.origin_mm, &s.contacts)).collect();
        let at_seam = of_seam.iter().flat_map(|s| s.2);
        let at_seam = at_seam.flat_map(|c| c.pieces.iter().chain(&c.keys));
        let shown = [
            step.moving.iter().collect(),
            step.onto.iter().collect(),
            at_seam.collect(),
        ];
        let shown = shown.map(|ids: Vec<&PieceId>| -> Vec<_> {
            let places = ids.into_iter().map(|id| (id, self.assembly.place(id)));
            places
                .map(|(id, k)| (id, k, self.digests[k], self.colours[k]))
                .collect()
        });
        let from = (step.direction, step.travel_mm, step.rests, of_seam, shown);
        self.recall
            .of_fallible(Recalled::Picture, &("step", from), || {
                one_step(self.assembly, &|k| self.shape(k), self.colours, step)
            })
    }
}

/// A piece as it lies, and the ears about its corners.
fn on_its_bed(
    piece: &Solid,
    colour: [u8; 3],
    about: &Ears,
    recall: &Recall,
) -> Result<Vec<u8>, PictureError> {
    let from = ("bed", recall.digest(piece), colour, about.laid());
    recall.of_fallible(Recalled::Picture, &from, || {
        let ears = ears(about);
        let solids: Vec<&Solid> = std::iter::once(piece).chain(&ears).collect();
        let colours = std::iter::once(colour).chain(ears.iter().map(|_| EAR));
        lying(&solids, &colours.collect::<Vec<_>>())
    })
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

fn together(pieces: &[&Shape], colours: &[[u8; 3]], apart: f64) -> Result<Vec<u8>, PictureError> {
    let bounds: Vec<Option<Bounds>> = pieces.iter().map(|s| s.solid().bounds()).collect();
    let all = bounds.iter().flatten().copied().reduce(|a, b| a.joined(&b));
    let centre = all.map(|b| b.centre());
    let items: Vec<Item> = pieces
        .iter()
        .zip(&bounds)
        .zip(colours)
        .map(|((&shape, bounds), &colour)| Item {
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
fn members(made_of: &MadeOf, recall: &Recall) -> Result<Vec<u8>, PictureError> {
    recall.of_fallible(Recalled::Picture, &("members", made_of), || {
        let colours = piece_colours(made_of.members.len());
        let about = made_of.members.iter().zip(colours);
        let about = about.filter_map(|(m, colour)| Some((m.member().about()?, colour)));
        let (solids, colours): (Vec<Solid>, Vec<[u8; 3]>) = about.unzip();
        let solids: Vec<&Solid> = solids.iter().collect();
        standing(&solids, &colours, (MEMBERS_WIDTH, MEMBERS_HEIGHT))
    })
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
