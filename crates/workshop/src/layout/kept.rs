//! What is kept of an earlier split.

use design::{PieceId, SeamRecord};
use joinery::JointError;
use solid::{RayCaster, Solid, mostly_inside};

use crate::layout::earlier::Obstacle;

/// What is kept of an earlier split.
#[derive(Clone, Debug, Default)]
pub struct Kept {
    /// Seams with the joints that they had.
    pub records: Vec<SeamRecord>,
    /// What must not change.
    pub fixed: FixedPieces,
}

/// A piece that is printed already and stays as it is.
#[derive(Clone, Debug)]
pub struct FixedPiece {
    /// Its id.
    pub id: PieceId,
    /// In place, with its joints or without.
    pub solid: Solid,
}

/// Which pieces must not change.
#[derive(Clone, Debug)]
pub enum FixedPieces {
    /// These.
    These(Vec<FixedPiece>),
    /// All: no contact gets a joint that it did not have.
    All,
}

impl Default for FixedPieces {
    fn default() -> Self {
        Self::These(Vec::new())
    }
}

/// How deep under a body's surface it is asked where it lies.
const UNDER_MM: f64 = 0.4;
/// Boxes that differ by less are the same.
const SAME_MM: f64 = 0.01;

impl Kept {
    /// Its joints, which seams that are laid out before theirs must not meet.
    pub(crate) fn obstacles(&self) -> Result<Vec<Obstacle>, JointError> {
        let mut out = Vec::new();
        for joint in self.records.iter().flat_map(|r| &r.joints) {
            let made = joint.shape.joint(&joint.frame())?;
            let sockets = made.transfers.iter().filter_map(|t| t.socket.bounds());
            out.extend(sockets.map(Obstacle::carried_by_none));
        }
        Ok(out)
    }

    /// Whether a body, without its joints, is a piece that must not change.
    pub(crate) fn is_fixed(&self, body: &Solid) -> bool {
        match &self.fixed {
            FixedPieces::All => true,
            FixedPieces::These(pieces) => pieces.iter().any(|p| p.is(body)),
        }
    }
}

impl FixedPiece {
    /// Whether a body is this piece but for its joints.
    fn is(&self, body: &Solid) -> bool {
        let (Some(own), Some(bounds)) = (self.solid.bounds(), body.bounds()) else {
            return false;
        };
        own.contains(&bounds.min, SAME_MM)
            && own.contains(&bounds.max, SAME_MM)
            && RayCaster::new(&self.solid).is_some_and(|own| mostly_inside(body, &own, UNDER_MM))
    }
}

#[cfg(test)]
mod tests {
    use solid::Point;

    use super::*;

    #[test]
    fn what_only_lies_in_the_box_of_a_fixed_piece_is_not_that_piece() {
        let block = |a: [f64; 3], b: [f64; 3]| Solid::cuboid(Point::from(a), Point::from(b));
        // An angle, and a block in its corner.
        let angle = block([0.0; 3], [100.0, 20.0, 20.0])
            .union(&block([0.0; 3], [20.0, 100.0, 20.0]))
            .unwrap();
        let inside = block([40.0, 40.0, 0.0], [90.0, 90.0, 20.0]);
        let kept = Kept {
            records: Vec::new(),
            fixed: FixedPieces::These(vec![FixedPiece {
                id: PieceId::cut(1, 2),
                solid: angle.clone(),
            }]),
        };
        assert!(kept.is_fixed(&angle));
        assert!(!kept.is_fixed(&inside));
    }
}
