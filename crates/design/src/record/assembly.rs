//! Pieces in place and how they are said to go together.

use std::collections::BTreeMap;

use printing::Printer;
use solid::{Isometry, Solid, Vector};

use crate::ids::{PieceId, PrinterId};
use crate::record::entries::SeamEntry;
use crate::record::step_entry::StepEntry;

/// Pieces in place and what is said of how they go together: what an inspection
/// looks at, whether the pieces were just made or read back from disk. Every id
/// that its seams and steps name is one of its pieces or seams.
///
/// ```
/// use design::{Assembly, PieceId, PieceInPlace, PrinterId};
/// use solid::{Isometry, Point, Solid};
///
/// let block = Solid::cuboid(Point::origin(), Point::new(30.0, 20.0, 20.0));
/// let piece = PieceInPlace {
///     id: PieceId::cut(1, 2),
///     in_place: block.clone(),
///     as_printed: block,
///     placed: Isometry::identity(),
///     printer: PrinterId::at(0),
/// };
/// let printers = vec!["220x220x250".parse().unwrap()];
/// let assembly = Assembly::new(vec![piece], vec![], vec![], printers).unwrap();
/// assert_eq!(assembly.place(&PieceId::cut(1, 2)), 0);
/// ```
#[derive(Clone, Debug)]
pub struct Assembly {
    pieces: Vec<PieceInPlace>,
    seams: Vec<SeamEntry>,
    steps: Vec<StepEntry>,
    printers: Vec<Printer>,
    places: BTreeMap<PieceId, usize>,
}

/// One piece.
#[derive(Clone, Debug)]
pub struct PieceInPlace {
    /// Its id.
    pub id: PieceId,
    /// In the model's coordinates.
    pub in_place: Solid,
    /// In its file's coordinates: as it lies on the bed.
    pub as_printed: Solid,
    /// The motion that takes it from there to its place.
    pub placed: Isometry,
    /// Its printer.
    pub printer: PrinterId,
}

impl PieceInPlace {
    /// What lies as its file has it, taken to its place.
    pub fn placed(id: PieceId, as_printed: Solid, placed: Isometry, printer: PrinterId) -> Self {
        Self {
            id,
            in_place: as_printed.moved(&placed),
            as_printed,
            placed,
            printer,
        }
    }

    /// The direction of the furniture that looks up as it prints.
    ///
    /// ```
    /// use design::{PieceId, PieceInPlace, PrinterId};
    /// use solid::{Isometry, Point, Solid, Vector};
    ///
    /// let block = Solid::cuboid(Point::origin(), Point::new(30.0, 20.0, 20.0));
    /// let turn = Isometry::rotation(Vector::x() * std::f64::consts::FRAC_PI_2);
    /// let piece = PieceInPlace::placed(PieceId::cut(1, 2), block, turn, PrinterId::at(0));
    /// assert!((piece.printed_up() + Vector::y()).norm() < 1e-9);
    /// ```
    pub fn printed_up(&self) -> Vector {
        self.placed.rotation * Vector::z()
    }
}

/// What is said of an assembly does not hold together.
#[derive(Clone, Debug, thiserror::Error, PartialEq, Eq)]
pub enum BadAssembly {
    /// Two pieces have one id.
    #[error("it names two pieces {0}")]
    DoublePiece(PieceId),
    /// A seam or a step names a piece that is not there.
    #[error("it names a piece {0} that it does not list")]
    NoSuchPiece(PieceId),
    /// A step closes a seam that is not there.
    #[error("step {0} names a seam it does not list")]
    NoSuchSeam(usize),
    /// The normal of a seam is no direction.
    #[error("seam {0} has no normal")]
    NoNormal(crate::ids::SeamId),
    /// A piece is for a printer that is not there.
    #[error("piece {0} is for a printer it does not list")]
    NoSuchPrinter(PieceId),
    /// The direction of a step is none.
    #[error("step {0} has no direction of length one, or no travel")]
    NoDirection(usize),
}

impl Assembly {
    /// An assembly of its parts.
    ///
    /// # Errors
    ///
    /// When something is named that is not there.
    pub fn new(
        pieces: Vec<PieceInPlace>,
        seams: Vec<SeamEntry>,
        steps: Vec<StepEntry>,
        printers: Vec<Printer>,
    ) -> Result<Self, BadAssembly> {
        let mut places = BTreeMap::new();
        for (k, piece) in pieces.iter().enumerate() {
            if places.insert(piece.id.clone(), k).is_some() {
                return Err(BadAssembly::DoublePiece(piece.id.clone()));
            }
            if piece.printer.place() >= printers.len() {
                return Err(BadAssembly::NoSuchPrinter(piece.id.clone()));
            }
        }
        let known = |id: &PieceId| match places.contains_key(id) {
            true => Ok(()),
            false => Err(BadAssembly::NoSuchPiece(id.clone())),
        };
        for seam in &seams {
            if seam.frame().is_none() {
                return Err(BadAssembly::NoNormal(seam.id.clone()));
            }
            for contact in &seam.contacts {
                contact
                    .pieces
                    .iter()
                    .chain(&contact.keys)
                    .try_for_each(known)?;
            }
        }
        for step in &steps {
            step.moving.iter().chain(&step.onto).try_for_each(known)?;
            if let Some(seam) = step.seam()
                && !seams.iter().any(|s| s.id == *seam)
            {
                return Err(BadAssembly::NoSuchSeam(step.step));
            }
            let length = solid::Vector::from(step.direction).norm();
            if !((length - 1.0).abs() < 1e-6 && step.travel_mm.is_finite()) {
                return Err(BadAssembly::NoDirection(step.step));
            }
        }
        Ok(Self {
            pieces,
            seams,
            steps,
            printers,
            places,
        })
    }

    /// The pieces.
    pub fn pieces(&self) -> &[PieceInPlace] {
        &self.pieces
    }

    /// The seams.
    pub fn seams(&self) -> &[SeamEntry] {
        &self.seams
    }

    /// The steps, first step first.
    pub fn steps(&self) -> &[StepEntry] {
        &self.steps
    }

    /// The printers.
    pub fn printers(&self) -> &[Printer] {
        &self.printers
    }

    /// The place of a piece that a seam or a step of this assembly names.
    ///
    /// # Panics
    ///
    /// When there is no such piece.
    pub fn place(&self, id: &PieceId) -> usize {
        self.places[id]
    }

    /// The places of some pieces.
    ///
    /// # Panics
    ///
    /// As [`Assembly::place`].
    pub fn places(&self, ids: &[PieceId]) -> Vec<usize> {
        ids.iter().map(|id| self.place(id)).collect()
    }

    /// The printer of a piece.
    pub fn printer(&self, piece: &PieceInPlace) -> &Printer {
        &self.printers[piece.printer.place()]
    }
}

#[cfg(test)]
mod tests {
    use solid::Point;

    use super::*;
    use crate::ids::SeamId;
    use crate::record::step_entry::Closes;

    fn piece(number: usize) -> PieceInPlace {
        let block = Solid::cuboid(Point::origin(), Point::new(30.0, 20.0, 20.0));
        PieceInPlace {
            id: PieceId::cut(number, 2),
            in_place: block.clone(),
            as_printed: block,
            placed: Isometry::identity(),
            printer: PrinterId::at(0),
        }
    }

    fn step(moving: usize) -> StepEntry {
        StepEntry {
            step: 1,
            moving: vec![PieceId::cut(moving, 2)],
            onto: vec![PieceId::cut(2, 2)],
            closes: Closes::Seam(SeamId::numbered(1)),
            direction: [1.0, 0.0, 0.0],
            travel_mm: 10.0,
            rests: None,
            play: Vec::new(),
        }
    }

    fn seam() -> SeamEntry {
        SeamEntry::sliding(SeamId::numbered(1), [1.0, 0.0, 0.0], [0.0, 1.0, 0.0], 10.0)
    }

    #[test]
    fn what_is_named_and_not_there_is_refused() {
        let printers = || vec!["220x220x250".parse::<Printer>().unwrap()];
        let two = || vec![piece(1), piece(2)];
        let of = |pieces, seams, steps| Assembly::new(pieces, seams, steps, printers()).err();
        assert_eq!(of(two(), vec![seam()], vec![step(1)]), None);
        let twice = of(vec![piece(1), piece(1)], vec![], vec![]);
        assert_eq!(twice, Some(BadAssembly::DoublePiece(PieceId::cut(1, 2))));
        let stranger = of(two(), vec![seam()], vec![step(7)]);
        assert_eq!(stranger, Some(BadAssembly::NoSuchPiece(PieceId::cut(7, 2))));
        assert_eq!(
            of(two(), vec![], vec![step(1)]),
            Some(BadAssembly::NoSuchSeam(1))
        );
        let still = StepEntry {
            direction: [0.0; 3],
            ..step(1)
        };
        assert_eq!(
            of(two(), vec![seam()], vec![still]),
            Some(BadAssembly::NoDirection(1))
        );
        let askew = SeamEntry {
            normal: [0.0; 3],
            ..seam()
        };
        assert_eq!(
            of(two(), vec![askew], vec![]),
            Some(BadAssembly::NoNormal(SeamId::numbered(1)))
        );
        let elsewhere = PieceInPlace {
            printer: PrinterId::at(3),
            ..piece(1)
        };
        assert_eq!(
            of(vec![elsewhere], vec![], vec![]),
            Some(BadAssembly::NoSuchPrinter(PieceId::cut(1, 2)))
        );
    }
}
