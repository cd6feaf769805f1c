//! Faces that face the other way than those beside them.

use crate::Point;
use crate::mending::loose::{Loose, sides};

/// Turns faces so that neighbours agree, each patch as most of its faces are. Nothing is
/// crossed where more than two faces meet, and a surface of one side stays as it is. How many
/// were turned, and where the first is.
pub(super) fn agree(loose: &mut Loose) -> Option<(usize, Point)> {
    let at_edges = loose.faces_at_edges();
    let count = loose.triangles.len();
    // Whether a face is to be turned, as far as that is known.
    let mut turn: Vec<Option<bool>> = vec![None; count];
    let mut turned: Vec<usize> = Vec::new();
    for seed in 0..count {
        if turn[seed].is_some() {
            continue;
        }
        turn[seed] = Some(false);
        let mut patch = vec![seed];
        let mut next = 0;
        let mut one_sided = false;
        while let Some(&k) = patch.get(next) {
            next += 1;
            let own = turn[k] == Some(true);
            for [a, b] in sides(&loose.triangles[k]) {
                let Some([x, y]) = at_edges
                    .get(&[a.min(b), a.max(b)])
                    .and_then(|f| <&[_; 2]>::try_from(f.as_slice()).ok())
                else {
                    continue;
                };
                let (other, same_way) = match x.0 as usize == k {
                    true => (y.0 as usize, x.1 == y.1),
                    false => (x.0 as usize, x.1 == y.1),
                };
                let wanted = own != same_way;
                match turn[other] {
                    None => {
                        turn[other] = Some(wanted);
                        patch.push(other);
                    }
                    Some(is) => one_sided |= is != wanted,
                }
            }
        }
        let few: Vec<usize> = patch
            .iter()
            .copied()
            .filter(|&k| turn[k] == Some(true))
            .collect();
        if one_sided {
            continue;
        }
        if 2 * few.len() <= patch.len() {
            turned.extend(few);
        } else {
            turned.extend(patch.into_iter().filter(|&k| turn[k] == Some(false)));
        }
    }
    for &k in &turned {
        loose.triangles[k].swap(1, 2);
    }
    let first = turned.iter().min()?;
    Some((turned.len(), loose.at(loose.triangles[*first][0])))
}
