//! Labels on the pieces: the id of each, and on both sides of a contact the
//! seam, the piece that comes there and the way home, cut into faces that nobody
//! sees once the furniture stands.

use design::{Label, PieceId, Plan, SeamId, SeamSide};
use geo::BooleanOps;
use rayon::prelude::*;
use solid::{Frame, KernelError, Outline, Point, Solid, Vector, shrink};

use crate::build::Build;
use crate::label::groove::{engraved, size_mm};
use crate::label::room::{Island, box_at};
use crate::label::unmarked::unmarked;
use crate::layout::seam::Seam;
use crate::piece::Piece;
use crate::remark::Remark;

/// Heights of capitals that are tried, the largest first. Smaller ones do not
/// read with the strokes of a common nozzle.
const CAPS_MM: [f64; 4] = [10.0, 8.0, 6.5, 5.0];
/// Labels keep this far off edges and joints.
const MARGIN_MM: f64 = 1.2;
/// Sections are taken this far inside and outside a face.
const BESIDE_MM: f64 = 0.05;

/// Engraves all pieces but those that are to be left as they are. Pieces of
/// one shape get one label, that of the first, because they share a file.
/// Where a piece has no room for its id, or none for the mark of a seam, a remark says so.
///
/// # Errors
///
/// When the kernel refuses to cut a label.
pub fn engrave(build: &mut Build, plan: &Plan, leave: &[bool]) -> Result<(), KernelError> {
    let has_like = |k: usize| {
        build
            .pieces
            .iter()
            .any(|p| p.congruent.is_some_and(|t| t.of == k))
    };
    let labelled: Vec<Option<(Solid, Vec<Label>)>> = (0..build.pieces.len())
        .into_par_iter()
        .map(|k| {
            let piece = &build.pieces[k];
            if leave.get(k) == Some(&true) || piece.congruent.is_some() || piece.cell.is_none() {
                return Ok(None);
            }
            let desk = Desk::new(plan, piece);
            let labels = if has_like(k) {
                desk.id_alone(piece.id.as_str(), &faces(build, k))
            } else {
                desk.all(piece.id.as_str(), &faces(build, k))
            };
            Ok(Some((engraved(&piece.solid, &labels)?, labels)))
        })
        .collect::<Result<_, KernelError>>()?;
    for (k, labelled) in labelled.into_iter().enumerate() {
        let Some((solid, labels)) = labelled else {
            continue;
        };
        if !labels
            .iter()
            .any(|l| l.text.starts_with(build.pieces[k].id.as_str()))
        {
            build.remarks.push(Remark::NoLabel { piece: k });
        }
        for piece in &mut build.pieces {
            if let Some(first) = piece.congruent.filter(|t| t.of == k) {
                piece.solid = solid.moved(&first.motion);
                piece.labels = labels.iter().map(|l| l.moved(&first.motion)).collect();
            }
        }
        build.pieces[k].solid = solid;
        build.pieces[k].labels = labels;
    }
    build.remarks.extend(unmarked(build, leave));
    Ok(())
}

/// A face in which a piece can be engraved.
struct Face {
    /// Its plane, in whose `(u, v)` its room is measured.
    frame: Frame,
    /// 1 where `n` points out of the piece, -1 where it points into it.
    out: f64,
    /// The part of it that the label must keep to; all where there is none.
    within: Option<Outline>,
    /// What it is marked with, where it lies on a seam.
    mark: Option<Mark>,
}

/// What a face on a seam is marked with.
struct Mark {
    seam: SeamId,
    /// The piece that comes there.
    mate: PieceId,
    /// The way home along the face.
    way: Option<Vector>,
}

impl Mark {
    /// What it says.
    fn whole(&self) -> String {
        format!("{}-{}", self.seam, self.mate)
    }

    /// What stands by itself where there is room for no more in one place.
    fn mate_alone(&self) -> String {
        format!("-{}", self.mate)
    }
}

/// The faces of a piece on its seams, one for each neighbour, the largest first, and then
/// its underside.
fn faces(build: &Build, piece: usize) -> Vec<Face> {
    let mut on_seams: Vec<(f64, Face)> = Vec::new();
    for seam in &build.seams {
        let mut neighbours: Vec<([usize; 2], f64, Outline)> = Vec::new();
        for contact in seam.contacts.iter().map(|c| &c.contact) {
            let limbs = contact.outline.iter().cloned();
            match neighbours.iter_mut().find(|n| n.0 == contact.pieces) {
                Some((_, area_mm2, outline)) => {
                    *area_mm2 += contact.area_mm2;
                    outline.0.extend(limbs);
                }
                None => {
                    neighbours.push((contact.pieces, contact.area_mm2, limbs.collect()));
                }
            }
        }
        for (pieces, area_mm2, outline) in &neighbours {
            for side in SeamSide::BOTH {
                if pieces[side.place()] == piece {
                    let mate = &build.pieces[pieces[side.other().place()]].id;
                    on_seams.push((*area_mm2, seam_face(seam, outline, side, mate)));
                }
            }
        }
    }
    on_seams.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut out: Vec<Face> = on_seams.into_iter().map(|f| f.1).collect();
    if let Some(bounds) = build.pieces[piece].solid.bounds() {
        let low = Point::new(0.0, 0.0, bounds.min.z);
        out.push(Face {
            frame: Frame::with_axes(low, -Vector::z(), Vector::x()),
            out: 1.0,
            within: None,
            mark: None,
        });
    }
    out
}

fn seam_face(seam: &Seam, outline: &Outline, side: SeamSide, mate: &PieceId) -> Face {
    // The half below looks up to the seam, and the slide is its way home.
    let out = side.out();
    let home = seam.slide * out;
    // Pushed straight in, there is no way along the face to point.
    let way = (home.dot(&seam.frame.n).abs() < 0.9).then_some(home);
    Face {
        frame: seam.frame,
        out,
        within: Some(outline.clone()),
        mark: Some(Mark {
            seam: seam.id.clone(),
            mate: mate.clone(),
            way,
        }),
    }
}

/// Finds room for labels on one piece.
struct Desk<'a> {
    solid: &'a Solid,
    stroke_mm: f64,
    depth_mm: f64,
    /// Material that stays behind a groove.
    wall_mm: f64,
    /// Whether the underside must not be touched.
    underside_shows: bool,
}

impl<'a> Desk<'a> {
    fn new(plan: &Plan, piece: &'a Piece) -> Self {
        let line_mm = plan.profile(piece.printer).line_mm;
        let down = -Vector::z();
        Self {
            solid: &piece.solid,
            stroke_mm: 2.0 * line_mm,
            depth_mm: (0.9 * line_mm).min(0.45),
            wall_mm: plan.settings().joints.min_wall_mm,
            underside_shows: plan
                .settings()
                .hide
                .iter()
                .any(|s| s.direction().dot(&down) > 0.9),
        }
    }

    /// The id on the first face that takes it.
    fn id_alone(&self, id: &str, faces: &[Face]) -> Vec<Label> {
        let mut taken = Vec::new();
        self.id(id, faces, &mut taken);
        taken.into_iter().map(|t: Taken| t.label).collect()
    }

    /// The id, and on every face on a seam its mark.
    fn all(&self, id: &str, faces: &[Face]) -> Vec<Label> {
        let mut taken: Vec<Taken> = Vec::new();
        for (k, face) in faces.iter().enumerate() {
            let Some(mark) = &face.mark else {
                continue;
            };
            // The first face bears the id as well.
            let has_id = taken.iter().any(|t| t.label.text.starts_with(id));
            let plain = [mark.whole(), mark.seam.to_string()];
            let with_id = plain.clone().map(|text| format!("{id} {text}"));
            let mut tried = with_id
                .iter()
                .skip(if has_id { 2 } else { 0 })
                .chain(&plain);
            let free = self.free(k, face, &taken);
            let placed = tried.find_map(|text| self.placed(text, mark.way, face, &free));
            let Some((label, room)) = placed else {
                continue;
            };
            let lacks_mate = !label.text.ends_with(mark.mate.as_str());
            taken.push(Taken {
                face: k,
                label,
                room,
            });
            if lacks_mate {
                let free = self.free(k, face, &taken);
                let mate = self.placed(&mark.mate_alone(), None, face, &free);
                taken.extend(mate.map(|(label, room)| Taken {
                    face: k,
                    label,
                    room,
                }));
            }
        }
        if !taken.iter().any(|t| t.label.text.starts_with(id)) {
            self.id(id, faces, &mut taken);
        }
        taken.into_iter().map(|t| t.label).collect()
    }

    fn id(&self, id: &str, faces: &[Face], taken: &mut Vec<Taken>) {
        for (k, face) in faces.iter().enumerate() {
            if face.mark.is_none() && self.underside_shows {
                continue;
            }
            let free = self.free(k, face, taken);
            if let Some((label, room)) = self.placed(id, None, face, &free) {
                taken.push(Taken {
                    face: k,
                    label,
                    room,
                });
                return;
            }
        }
    }

    /// The flat part of a face with enough material behind it and none in
    /// front, clear of edges, joints and other labels.
    fn free(&self, nth: usize, face: &Face, taken: &[Taken]) -> Outline {
        let section = |by: f64| self.solid.section(&face.frame.raised(face.out * by));
        let mut free = section(-BESIDE_MM)
            .intersection(&section(-(self.depth_mm + self.wall_mm)))
            .difference(&section(BESIDE_MM));
        if let Some(within) = &face.within {
            free = free.intersection(within);
        }
        for other in taken.iter().filter(|t| t.face == nth) {
            free = free.difference(&Outline::new(vec![other.room.clone()]));
        }
        shrink(&free, MARGIN_MM)
    }

    /// The largest label that fits, nearest to the middle of the face.
    fn placed(
        &self,
        text: &str,
        way: Option<Vector>,
        face: &Face,
        free: &Outline,
    ) -> Option<(Label, geo::Polygon<f64>)> {
        let along = match way {
            Some(way) => [way.dot(&face.frame.u), way.dot(&face.frame.v)],
            None => [1.0, 0.0],
        };
        let length = along[0].hypot(along[1]);
        let along = along.map(|x| x / length);
        let across = [-along[1], along[0]];
        // Words along the way, and words across it with the arrow upright.
        // Seen from outside, `u` and `v` of a face above its seam are
        // mirrored, and so is what is up.
        let f = &face.frame;
        let up = if f.u.cross(&f.v).dot(&f.n) * face.out > 0.0 {
            -1
        } else {
            1
        };
        let runs = [(along, [1, 0]), (across, [0, up])]
            .map(|(run, arrow)| (run, way.is_some().then_some(arrow)));
        let mut islands: Vec<Island> = free.iter().map(Island::of).collect();
        islands.sort_by(|a, b| b.area_mm2.total_cmp(&a.area_mm2));
        for cap_mm in CAPS_MM {
            for (run, arrow) in &runs {
                let trial = self.label(text, *arrow, face, [0.0; 2], *run, cap_mm);
                let size = size_mm(&trial);
                for island in &islands {
                    if let Some(at) = island.room(size, *run) {
                        let label = self.label(text, *arrow, face, at, *run, cap_mm);
                        return Some((label, box_at(at, size, *run)));
                    }
                }
            }
        }
        None
    }

    fn label(
        &self,
        text: &str,
        arrow: Option<[i8; 2]>,
        face: &Face,
        at: [f64; 2],
        run: [f64; 2],
        cap_mm: f64,
    ) -> Label {
        let f = &face.frame;
        let origin = f.place(at[0], at[1], 0.0);
        let frame = Frame::with_axes(origin, f.n * face.out, f.u * run[0] + f.v * run[1]);
        Label {
            text: text.to_owned(),
            arrow,
            frame: frame.rows(),
            cap_mm,
            stroke_mm: self.stroke_mm,
            depth_mm: self.depth_mm,
        }
    }
}

/// A label and the room that it has on a face.
struct Taken {
    face: usize,
    label: Label,
    room: geo::Polygon<f64>,
}
