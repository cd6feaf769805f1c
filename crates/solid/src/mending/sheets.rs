//! Edges at which more than two faces meet, parted into sheets that bound bodies.

use std::f64::consts::TAU;

use crate::Point;
use crate::disjoint_sets::DisjointSets;
use crate::frame::Frame;
use crate::mending::loose::{Loose, sides};

/// Two faces that run along an edge both ways and bound material between them, by their
/// places in the list.
type Pair = [u32; 2];

/// Parts the surface wherever more than two faces meet at an edge: of those that run along it
/// one way each goes with the one that runs the other way and has least material between
/// them, as with boards that touch along an edge or lie against each other. Every vertex
/// becomes as many as there are sheets through it. How many edges there were, and where the
/// first is.
pub(super) fn part_sheets(loose: &mut Loose) -> Option<(usize, Point)> {
    let at_edges = loose.faces_at_edges();
    let mut edges: Vec<_> = at_edges.into_iter().collect();
    edges.sort_unstable_by_key(|(edge, _)| *edge);
    let mut crowded = 0;
    let mut first = None;
    // What hangs together where two faces meet, and no more.
    let mut patches = DisjointSets::of(loose.triangles.len());
    for (_, faces) in &edges {
        if let [x, y] = faces[..] {
            patches.unite(x.0 as usize, y.0 as usize);
        }
    }
    // A corner of a triangle is three times its place and which it is.
    let mut corners = DisjointSets::of(loose.triangles.len() * 3);
    for (edge, faces) in &edges {
        let pairs = match faces[..] {
            [x, y] => vec![[x.0, y.0]],
            _ => pairs(loose, *edge, faces, &mut patches),
        };
        if faces.len() > 2 {
            crowded += 1;
            first = first.or(Some(loose.middle(*edge)));
        }
        for pair in pairs {
            for vertex in edge {
                let [x, y] = pair.map(|k| {
                    let t = &loose.triangles[k as usize];
                    let which = t.iter().position(|v| v == vertex).unwrap_or_default();
                    k as usize * 3 + which
                });
                corners.unite(x, y);
            }
        }
    }
    if crowded == 0 {
        return None;
    }
    let mut place = vec![u32::MAX; loose.triangles.len() * 3];
    let mut vertices = Vec::with_capacity(loose.vertices.len());
    let mut triangles = Vec::with_capacity(loose.triangles.len());
    for (k, t) in loose.triangles.iter().enumerate() {
        triangles.push([0, 1, 2].map(|which| {
            let slot = &mut place[corners.find(k * 3 + which)];
            if *slot == u32::MAX {
                *slot = vertices.len() as u32;
                vertices.push(loose.at(t[which]));
            }
            *slot
        }));
    }
    (loose.vertices, loose.triangles) = (vertices, triangles);
    first.map(|at| (crowded, at))
}

/// Less than this between two faces is none: they face each other.
const NONE_RAD: f64 = 1e-6;

/// The faces at an edge in pairs: first of one patch, then with least material between them.
fn pairs(
    loose: &Loose,
    [a, b]: [u32; 2],
    faces: &[(u32, bool)],
    patches: &mut DisjointSets,
) -> Vec<Pair> {
    let (from, to) = (loose.at(a), loose.at(b));
    let frame = Frame::facing(from, to - from);
    // How far round the edge a face lies.
    let angle = |k: u32| {
        let t = &loose.triangles[k as usize];
        let third = sides(t)
            .into_iter()
            .find(|s| s.contains(&a) && s.contains(&b));
        let third = t.iter().find(|v| third.is_none_or(|s| !s.contains(v)));
        let c = frame.coordinates(&loose.at(third.copied().unwrap_or(a)));
        c.y.atan2(c.x)
    };
    let mut ways: Vec<(bool, i64, u32, u32)> = Vec::new();
    for &(up, _) in faces.iter().filter(|f| f.1) {
        for &(down, _) in faces.iter().filter(|f| !f.1) {
            // Material lies to the left of a face that runs up, seen against the edge: less
            // far round than the face.
            let between = (angle(up) - angle(down)).rem_euclid(TAU);
            let some = (NONE_RAD..=TAU - NONE_RAD).contains(&between);
            let between = if some { between } else { TAU };
            let apart = patches.find(up as usize) != patches.find(down as usize);
            ways.push((apart, (between / NONE_RAD).round() as i64, up, down));
        }
    }
    ways.sort_unstable();
    let mut taken: Vec<u32> = Vec::new();
    let mut out = Vec::new();
    for (_, _, up, down) in ways {
        if !taken.contains(&up) && !taken.contains(&down) {
            taken.extend([up, down]);
            out.push([up, down]);
        }
    }
    out
}
