//! A cut tree from a list of seams, as a plan file has it.

use std::collections::HashMap;

use crate::ids::SeamId;
use crate::tree::body_apart::Parting;
use crate::tree::cut_tree::{CutTree, Region};
use crate::tree::seam_side::SeamSide;

/// A seam or a body apart of a list: its id, what it is, and which side of which other it
/// parts, by name; all of the model where it parts none.
pub type Listed = (SeamId, Parting, Option<(String, SeamSide)>);

/// Seams that form no tree.
#[derive(Clone, Debug, thiserror::Error, PartialEq, Eq)]
pub enum BadTree {
    /// A seam other than the first cuts all of the model.
    #[error("only the first seam can cut")]
    SecondRoot,
    /// Two seams cut the same.
    #[error("seam {0} cuts already")]
    CutAlready(SeamId),
    /// A seam cuts a side of none that stands before it.
    #[error("names no earlier seam '{0}'")]
    NoSuchSeam(String),
    /// A body apart stands within what a seam cuts.
    #[error("lies within what a seam cuts; bodies stand apart before anything is cut")]
    BodyWithinCut,
    /// A body apart is said to stand within another.
    #[error("is a body, which has no other body in it")]
    BodyWithinBody,
}

impl CutTree {
    /// A tree from its seams and bodies in order, each with what it parts by name.
    ///
    /// # Errors
    ///
    /// When they form none: which seam, by its place, and why.
    pub fn of_list(seams: Vec<Listed>) -> Result<Self, (usize, BadTree)> {
        let mut out = Self::uncut();
        let mut places = HashMap::new();
        for (k, (id, seam, cuts)) in seams.into_iter().enumerate() {
            let region = match cuts {
                None if k > 0 && out.cut_by(Region::Whole).is_some() => {
                    return Err((k, BadTree::SecondRoot));
                }
                None => Region::Whole,
                Some((parent, side)) => match places.get(parent.as_str()) {
                    Some(&seam) => Region::Side(seam, side),
                    None => return Err((k, BadTree::NoSuchSeam(parent))),
                },
            };
            if matches!(seam, Parting::Body(_))
                && let Region::Side(parent, side) = region
            {
                match (out.body(parent), side) {
                    (None, _) => return Err((k, BadTree::BodyWithinCut)),
                    (Some(_), SeamSide::Below) => return Err((k, BadTree::BodyWithinBody)),
                    (Some(_), SeamSide::Above) => {}
                }
            }
            if let Some(other) = out.cut_by(region) {
                return Err((k, BadTree::CutAlready(out.id(other).clone())));
            }
            let added = out.add(id.clone(), seam, region);
            places.insert(String::from(id), added);
        }
        Ok(out)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tree::planned_seam::PlannedSeam;

    fn seam(at_mm: f64) -> Parting {
        PlannedSeam::at([1.0, 0.0, 0.0], at_mm).into()
    }

    #[test]
    fn seams_that_form_no_tree_are_named_with_the_reason() {
        let id = |k| SeamId::numbered(k);
        let side = |of: &str, side| Some((of.to_owned(), side));
        let tree = |second, third| {
            CutTree::of_list(vec![
                (id(1), seam(1.0), None),
                (id(2), seam(2.0), second),
                (id(3), seam(3.0), third),
            ])
        };
        let above = || side("S1", SeamSide::Above);
        assert_eq!(tree(None, above()), Err((1, BadTree::SecondRoot)));
        assert_eq!(tree(above(), above()), Err((2, BadTree::CutAlready(id(2)))));
        let nowhere = side("S3", SeamSide::Above);
        assert_eq!(
            tree(above(), nowhere),
            Err((2, BadTree::NoSuchSeam("S3".into())))
        );
        assert_eq!(
            tree(above(), side("S1", SeamSide::Below))
                .unwrap()
                .leaves()
                .len(),
            4
        );
    }
}
