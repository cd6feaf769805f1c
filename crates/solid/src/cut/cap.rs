//! The flat face of a cut: filled from its rim, without a corner that the rim
//! does not have.

use std::collections::{HashMap, VecDeque};

use spade::handles::{FixedFaceHandle, InnerTag, PossiblyOuterTag};
use spade::{ConstrainedDelaunayTriangulation, HasPosition, Point2, Triangulation};

use crate::Point;
use crate::frame::Frame;

/// A corner of a rim.
#[derive(Clone, Copy)]
struct Corner {
    id: u32,
    at: Point2<f64>,
}

impl HasPosition for Corner {
    type Scalar = f64;

    fn position(&self) -> Point2<f64> {
        self.at
    }
}

/// Triangles that fill a rim in a plane: each of its edges belongs to one of
/// them, run along in the same direction. They face where the frame's normal
/// points where the rim winds about them counter-clockwise, and the other way
/// where it winds clockwise; where it does both there is none.
///
/// `None` where rims cross or touch other than at corners, or two corners are at
/// one place: no such filling exists then.
///
/// The method is the constrained Delaunay triangulation (Chew 1989, *Constrained
/// Delaunay triangulations*).
pub(crate) fn filled(
    rim: &[[u32; 2]],
    frame: &Frame,
    place: impl Fn(u32) -> Point,
) -> Option<Vec<[u32; 3]>> {
    if rim.is_empty() {
        return Some(Vec::new());
    }
    let mut ids: Vec<u32> = rim.iter().flatten().copied().collect();
    ids.sort_unstable();
    ids.dedup();
    let corner = |id: &u32| {
        let c = frame.coordinates(&place(*id));
        // Numbers that are next to nothing are refused by the triangulation.
        let [x, y] = [c.x, c.y].map(|x| if x.abs() < 1e-12 { 0.0 } else { x });
        Corner {
            id: *id,
            at: Point2::new(x, y),
        }
    };
    let local = |id: u32| ids.binary_search(&id).ok();
    let edges: Option<Vec<[usize; 2]>> = rim
        .iter()
        .map(|&[a, b]| Some([local(a)?, local(b)?]))
        .collect();
    let mut conflicts = false;
    let mesh = ConstrainedDelaunayTriangulation::<Corner>::try_bulk_load_cdt(
        ids.iter().map(corner).collect(),
        edges?,
        |_| conflicts = true,
    )
    .ok()?;
    let whole = mesh.num_vertices() == ids.len() && mesh.num_constraints() == rim.len();
    if conflicts || !whole {
        return None;
    }
    wound(&mesh, rim)
}

type Faces = ConstrainedDelaunayTriangulation<Corner>;

/// The triangles about which the rim winds.
fn wound(mesh: &Faces, rim: &[[u32; 2]]) -> Option<Vec<[u32; 3]>> {
    let mut way: HashMap<[u32; 2], i32> = HashMap::with_capacity(rim.len() * 2);
    for &[a, b] in rim {
        *way.entry([a, b]).or_default() += 1;
        *way.entry([b, a]).or_default() -= 1;
    }
    let outer = mesh.outer_face().fix();
    let mut winding: Vec<Option<i32>> = vec![None; mesh.num_all_faces()];
    winding[outer.index()] = Some(0);
    let mut front: VecDeque<FixedFaceHandle<PossiblyOuterTag>> = VecDeque::new();
    // The outer face has no triangle: its neighbours are found along the hull.
    for edge in mesh.convex_hull() {
        spread(&edge, 0, &way, &mut winding, &mut front);
        spread(&edge.rev(), 0, &way, &mut winding, &mut front);
    }
    while let Some(face) = front.pop_front() {
        let here = winding[face.index()]?;
        let Some(inner) = mesh.face(face).as_inner() else {
            continue;
        };
        for edge in inner.adjacent_edges() {
            spread(&edge, here, &way, &mut winding, &mut front);
        }
    }
    let mut out = Vec::new();
    for face in mesh.inner_faces() {
        let inner: FixedFaceHandle<InnerTag> = face.fix();
        let [a, b, c] = face.vertices().map(|v| v.data().id);
        match winding[inner.index()] {
            Some(0) | None => {}
            Some(1) => out.push([a, b, c]),
            Some(-1) => out.push([a, c, b]),
            Some(_) => return None,
        }
    }
    Some(out)
}

type Edge<'a> = spade::handles::DirectedEdgeHandle<'a, Corner, (), spade::CdtEdge<()>, ()>;

/// Goes from the face at the left of an edge to the one at its right.
fn spread(
    edge: &Edge,
    here: i32,
    way: &HashMap<[u32; 2], i32>,
    winding: &mut [Option<i32>],
    front: &mut VecDeque<FixedFaceHandle<PossiblyOuterTag>>,
) {
    let there = edge.rev().face().fix();
    if winding[there.index()].is_some() {
        return;
    }
    let [from, to] = edge.vertices().map(|v| v.data().id);
    let crossed = way.get(&[from, to]).copied().unwrap_or(0);
    winding[there.index()] = Some(here - crossed);
    front.push_back(there);
}
