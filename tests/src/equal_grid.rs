use solid::{Frame, Solid, Vector};

/// Pieces of the plainest split there is: the bounding box in equal cells, each
/// no larger than the bed, the bed turned whichever way gives fewest. A cell
/// that is cut off along an axis is shorter by `joint_mm`; with no joint and
/// the bed's full size, no plan that joins its pieces has as much room.
pub fn equal_grid_pieces(model: &Solid, bed_mm: [f64; 3], joint_mm: f64) -> usize {
    let Some(bounds) = model.bounds() else {
        return 0;
    };
    let orders = [
        [0, 1, 2],
        [0, 2, 1],
        [1, 0, 2],
        [1, 2, 0],
        [2, 0, 1],
        [2, 1, 0],
    ];
    let mut grids = orders.map(|order| {
        [0, 1, 2].map(|k| {
            let (size, bed) = (bounds.size_mm()[k], bed_mm[order[k]]);
            if size <= bed {
                1
            } else {
                (size / (bed - joint_mm) - 1e-9).ceil() as usize
            }
        })
    });
    grids.sort_by_key(|g| g.iter().product::<usize>());
    let pieces = |grid: &[usize; 3]| {
        let mut parts = vec![model.clone()];
        for (axis, &count) in grid.iter().enumerate() {
            for k in 1..count {
                let at = bounds.min[axis] + bounds.size_mm()[axis] * k as f64 / count as f64;
                let plane = Frame::facing(
                    solid::Point::from(Vector::ith(axis, at)),
                    Vector::ith(axis, 1.0),
                );
                parts = parts
                    .iter()
                    .flat_map(|p| {
                        let (above, below) = p.cut(&plane).expect("a plane cuts a closed solid");
                        [above, below]
                    })
                    .filter(|p| !p.is_empty())
                    .collect();
            }
        }
        parts
            .iter()
            .flat_map(Solid::bodies)
            .filter(|b| b.volume_mm3() > 1.0)
            .count()
    };
    let mut seen: Vec<[usize; 3]> = Vec::new();
    let mut best = usize::MAX;
    for grid in grids {
        if !seen.contains(&grid) {
            best = best.min(pieces(&grid));
            seen.push(grid);
        }
    }
    best
}
