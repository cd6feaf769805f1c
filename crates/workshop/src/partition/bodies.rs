//! Bodies that stand apart from others, in the cut tree.

use std::ops::Range;

use design::Plan;

use crate::build_error::BuildError;
use crate::partition::cells::Parted;

/// The cells of each body, in order: all of them where none stands apart.
pub(crate) fn cells_of_bodies(parted: &Parted) -> Vec<Range<usize>> {
    let mut out: Vec<Range<usize>> = parted.bodies.iter().map(|b| b.own.clone()).collect();
    let last = parted.bodies.last().map(|b| b.others.clone());
    out.push(last.unwrap_or(0..parted.cells.len()));
    out.sort_by_key(|cells| cells.start);
    out
}

/// The pieces of the body to which some belong.
pub(crate) fn body_of(pieces: &Range<usize>, apart: &[Range<usize>]) -> Range<usize> {
    let holds = |body: &&Range<usize>| body.start <= pieces.start && pieces.end <= body.end;
    apart.iter().find(holds).unwrap_or(pieces).clone()
}

/// Checks that the bodies of a plan are there.
pub(crate) fn all_bodies_there(plan: &Plan, parted: &Parted) -> Result<(), BuildError> {
    let filled = |cells: &Range<usize>| {
        let mut cells = parted.cells[cells.clone()].iter();
        cells.any(|cell| !cell.bodies.is_empty())
    };
    let missing = parted
        .bodies
        .iter()
        .find(|b| !filled(&b.own) || !filled(&b.others));
    missing.map_or(Ok(()), |b| {
        let body = plan.tree().id(b.planned).clone();
        Err(BuildError::NoSuchBody { body })
    })
}
