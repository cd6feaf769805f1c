//! A region of space with its tails, and without the sockets of others.

use std::borrow::Borrow;

use joinery::Transfer;
use solid::{KernelError, Solid};

/// A region of space with its tails, and without the sockets of others.
///
/// Sockets are taken away after tails were added, because those of one seam go
/// through tails of another; their mouths before, because tails of the seam
/// itself stand close beside them.
pub fn jointed<T: Borrow<Transfer>>(
    mut region: Solid,
    gained: &[Solid],
    lost: &[T],
) -> Result<Solid, KernelError> {
    let lost = || lost.iter().map(T::borrow);
    let mouths: Vec<&Solid> = lost().filter_map(|t| t.mouth.as_ref()).collect();
    let sockets: Vec<&Solid> = lost().map(|t| &t.socket).collect();
    if !mouths.is_empty() {
        region = region.difference(&Solid::union_of(mouths)?)?;
    }
    if !gained.is_empty() {
        region = region.union(&Solid::union_of(gained)?)?;
    }
    if !sockets.is_empty() {
        region = region.difference(&Solid::union_of(sockets)?)?;
    }
    Ok(region)
}
