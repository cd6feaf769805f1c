//! A look at two pieces in some position, and what they share there.

use design::{Assembly, Digest, Recall, Recalled};
use rayon::prelude::*;
use solid::{Facets, Point, Solid, Vector};

/// Shared volume that is rounding: faces that lie on each other, each rounded
/// to single precision, over the area where they may.
pub(crate) const TOUCH_MM: f64 = 2e-4;
/// And a little for edges.
pub(crate) const TOUCH_MM3: f64 = 0.02;

/// One look: two pieces, the first shifted.
pub(crate) struct Look {
    pub(crate) pieces: [usize; 2],
    pub(crate) shift: Vector,
    pub(crate) subject: Subject,
}

#[derive(Clone, Copy)]
pub(crate) enum Subject {
    InPlace,
    Step { step: usize, back_mm: f64 },
    Pull { seam: usize },
}

/// What two pieces share, and a place where they do; or why that could not be told.
pub(crate) type SharedVolume = Result<(f64, Option<Point>), String>;

/// The pieces of an assembly, ready to be held against each other.
pub(crate) struct Ready<'a> {
    facets: Vec<Facets<'a>>,
    digests: Vec<Option<Digest>>,
    recall: &'a Recall,
}

impl<'a> Ready<'a> {
    pub(crate) fn of(assembly: &'a Assembly, recall: &'a Recall) -> Self {
        let pieces = assembly.pieces().par_iter();
        let ready = pieces.map(|p| (Facets::of(&p.in_place), recall.digest(&p.in_place)));
        let (facets, digests) = ready.unzip();
        Self {
            facets,
            digests,
            recall,
        }
    }

    fn solids(&self, pieces: [usize; 2]) -> [&'a Solid; 2] {
        pieces.map(|k| self.facets[k].solid())
    }

    pub(crate) fn shared_volume(&self, look: &Look) -> SharedVolume {
        let from = (look.pieces.map(|k| self.digests[k]), look.shift);
        self.recall.of(Recalled::Look, &from, || {
            let [a, b] = look.pieces.map(|k| &self.facets[k]);
            if let Some(shared) = a.shared(&look.shift, b) {
                return Ok((shared.volume_mm3, shared.bounds.map(|b| b.centre())));
            }
            // Corners lie on edges to the last bit: the kernel has a rule for each case.
            let [a, b] = self.solids(look.pieces);
            let shared = (a.shared_when_shifted(&look.shift, b)).map_err(|e| e.to_string())?;
            let at = shared.bounds().map(|b| b.centre());
            Ok((shared.volume_mm3(), at))
        })
    }

    /// Where on a move of the first that ends at home, so far back, it goes through the other.
    pub(crate) fn pass_through(
        &self,
        pieces: [usize; 2],
        way: &Vector,
        travel_mm: f64,
    ) -> Vec<f64> {
        let from = (pieces.map(|k| self.digests[k]), way, travel_mm);
        self.recall.of(Recalled::Passage, &from, || {
            let [a, b] = pieces.map(|k| &self.facets[k]);
            a.passes_through(b, way, travel_mm, TOUCH_MM)
        })
    }
}

/// What two pieces share but for films where they only touch: faces that lie on each other,
/// each rounded to single precision. Moved a hair apart they share none of these, and still
/// what stands in the way. What is more than all films could be is taken as it is.
pub(crate) fn without_films(pieces: &Ready, look: &Look, volume: f64, films: f64) -> f64 {
    if volume <= TOUCH_MM3 || volume > films {
        return volume;
    }
    let centres = (pieces.solids(look.pieces)).map(|solid| solid.bounds().map(|b| b.centre()));
    let away = match centres {
        [Some(a), Some(b)] => a + look.shift - b,
        _ => Vector::x(),
    };
    let mut least = volume;
    for way in hairs(&away) {
        let moved = Look {
            shift: look.shift + way * TOUCH_MM,
            ..*look
        };
        if let Ok((shared, _)) = pieces.shared_volume(&moved) {
            least = least.min(shared);
        }
        if least <= TOUCH_MM3 {
            break;
        }
    }
    least
}

/// Along every axis, and between all three: whichever way faces look on which two pieces
/// lie, one of these parts them; most likely the one that leads away.
fn hairs(away: &Vector) -> Vec<Vector> {
    let along = (0..3).flat_map(|k| [Vector::ith(k, 1.0), Vector::ith(k, -1.0)]);
    let between = (0..8).map(|k| {
        let sign = |bit: i32| if k & bit == 0 { 1.0 } else { -1.0 };
        Vector::new(sign(1), sign(2), sign(4))
    });
    let mut all: Vec<Vector> = along.chain(between).collect();
    all.sort_by(|a, b| b.dot(away).total_cmp(&a.dot(away)));
    all
}

/// How much two pieces may seem to share where they only touch: by the area
/// of the largest face of the box that both lie in.
pub(crate) fn touch_allowance(assembly: &Assembly, look: &Look) -> f64 {
    let [a, b] = look.pieces.map(|i| assembly.pieces()[i].in_place.bounds());
    let (Some(a), Some(b)) = (a, b) else {
        return TOUCH_MM3;
    };
    let low = (a.min + look.shift).sup(&b.min);
    let high = (a.max + look.shift).inf(&b.max);
    let s = (high - low).map(|x| x.max(0.0));
    TOUCH_MM3 + TOUCH_MM * (s.x * s.y).max(s.y * s.z).max(s.z * s.x)
}
