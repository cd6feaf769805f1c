//! A plan carried out: pieces, seams and the steps of the assembly.

use std::ops::Range;

use design::{CellId, PieceId, Plan, PlanSeam, SeamId, SeamSide, Tally};
use printing::Placement;
use rayon::prelude::*;
use solid::{Bounds, KernelError, Solid, Vector};

use crate::assembly::asked::LyingWishes;
use crate::assembly::congruent::{Congruent, congruent};
use crate::assembly::home::{brought_home, comers};
use crate::assembly::printers::{Laid, on_printers};
use crate::assembly::steps::{Parts, Step, steps};
use crate::build_error::BuildError;
use crate::carve::keys::{Key, all_keys, shorten};
use crate::carve::pieces::{Carved, carve};
use crate::layer_pull::count_layers;
use crate::layout::bed_room::BedRoom;
use crate::layout::earlier::Obstacle;
use crate::layout::joining::{Joining, Stock};
use crate::layout::kept::Kept;
use crate::layout::kept_seam::kept_seam;
use crate::layout::load::foot::Foot;
use crate::layout::load::seating::seated;
use crate::layout::seam::Seam;
use crate::layout::seam_layout::lay_out;
use crate::layout::seam_task::{Task, terms_of};
use crate::partition::bodies::{all_bodies_there, body_of, cells_of_bodies};
use crate::partition::cells::{Cell, Parted, SeamPlane, part};
use crate::partition::contacts::{BodyFinder, Contact, PieceIndex, contacts};
use crate::partition::whole::not_whole;
use crate::piece::Piece;
use crate::remark::Remark;

/// A plan carried out.
#[derive(Clone, Debug)]
pub struct Build {
    /// The pieces, in the order of their ids.
    pub pieces: Vec<Piece>,
    /// The seams, each before those that hang from it.
    pub seams: Vec<Seam>,
    /// The assembly, first step first.
    pub steps: Vec<Step>,
    /// What the maker should know of how it went.
    pub remarks: Vec<Remark>,
}

/// Carries a plan out on a model. The same model and plan give the same
/// build, bit for bit, on any number of threads.
///
/// # Errors
///
/// When the plan asks for what is not there, or the boolean kernel refuses the
/// model.
pub fn build(model: &Solid, plan: &Plan) -> Result<Build, BuildError> {
    build_upon(model, plan, &Kept::default())
}

/// Like [`build`], with what is kept of an earlier split.
///
/// # Errors
///
/// As [`build`], and when a recorded joint can not be made.
pub fn build_upon(model: &Solid, plan: &Plan, kept: &Kept) -> Result<Build, BuildError> {
    let parted = part(model, plan)?;
    all_bodies_there(plan, &parted)?;
    let index = PieceIndex::new(&parted.cells);
    let apart = cells_of_bodies(&parted);
    let apart: Vec<Range<usize>> = apart.iter().map(|cells| index.pieces(cells)).collect();
    let bare: Vec<&Solid> = parted.cells.iter().flat_map(|c| &c.bodies).collect();
    let bare_bounds: Vec<Bounds> = bare.iter().filter_map(|b| b.bounds()).collect();
    let ids = Ids::of(bare.len());
    let lay_out = |freed: &[(PlanSeam, f64)]| {
        let bodies = (&bare[..], &bare_bounds[..], &apart[..]);
        laid_out(plan, kept, &parted, &index, bodies, freed)
    };
    let mut seams = seated(lay_out(&[])?, lay_out, &bare_bounds, plan)?;

    let carved = carve(&parted.cells, &parted.seams, &seams)?;
    let (mut solids, mut remarks) = sorted(carved, &index);
    let keys = keys(model, plan, kept, &parted, &mut seams)?;
    for (k, key) in keys.iter().enumerate() {
        let joining = &mut seams[key.seam].contacts[key.contact].joining;
        if let Joining::Joined(joined) = joining {
            joined.keys.push(solids.len() + k);
        }
    }
    solids.extend(keys.iter().map(|k| k.solid.clone()));
    remarks.extend(not_whole(&plan.settings().wishes.whole, &bare)?);

    let volumes: Vec<f64> = solids.par_iter().map(Solid::volume_mm3).collect();
    let parts = Parts {
        solids: &solids,
        volumes: &volumes,
        keys: &keys,
    };
    let steps = steps(&seams, &parts, |seam, a, b| {
        goes_between(plan, &parted.seams[seam], index.cell(a), index.cell(b))
    });
    let bodies = comers(plan, &parted, &index, (&seams, &keys));
    let (steps, nowhere) = brought_home(steps, bodies, &solids, plan.settings().up.direction());
    remarks.extend(nowhere);
    let lying = LyingWishes::of(plan.settings(), &solids);
    let mut firsts = congruent(&solids);
    lying.part(&mut firsts);
    let runs = runs(&seams, solids.len());
    let laid = on_printers(&solids, &firsts, &lying.asked(&runs), plan);
    let pieces: Vec<Piece> = solids
        .into_iter()
        .enumerate()
        .map(|(k, solid)| {
            let (printer, placement) = placed_as(&laid, k, firsts[k]);
            Piece {
                id: ids.id(k),
                cell: index.cell(k).map(CellId::at),
                solid,
                printer,
                congruent: firsts[k],
                placement,
                labels: Vec::new(),
            }
        })
        .collect();
    let up = |k: usize| pieces[k].onto_bed().rotation.inverse() * Vector::z();
    count_layers(&mut seams, up, &plan.settings().material);
    Ok(Build {
        pieces,
        seams,
        steps,
        remarks,
    })
}

/// The ids of pieces by their places: those of the cells first, then keys.
struct Ids {
    cut: usize,
    digits: usize,
}

impl Ids {
    fn of(cut: usize) -> Self {
        Self {
            cut,
            digits: cut.to_string().len().max(2),
        }
    }

    fn id(&self, piece: usize) -> PieceId {
        match piece.checked_sub(self.cut) {
            None => PieceId::cut(piece + 1, self.digits),
            Some(key) => PieceId::key(key + 1),
        }
    }
}

/// All seams with their joints, each laid out around those before it.
fn laid_out(
    plan: &Plan,
    kept: &Kept,
    parted: &Parted,
    index: &PieceIndex,
    (bare, bare_bounds, apart): (&[&Solid], &[Bounds], &[Range<usize>]),
    freed: &[(PlanSeam, f64)],
) -> Result<Vec<Seam>, BuildError> {
    let finder = BodyFinder::new(&parted.cells);
    let ids = Ids::of(bare.len());
    let feet = Foot::each(bare, &plan.settings().up.direction());
    let mut room = BedRoom::of(bare.to_vec(), plan.printers());
    let mut obstacles = kept.obstacles()?;
    let mut seams: Vec<Seam> = Vec::new();
    Tally::SeamsJoined.expect(parted.seams.len());
    for plane in &parted.seams {
        let planned = plan.tree().seam(plane.planned);
        let (id, terms) = (plan.tree().id(plane.planned), plan.terms(plane.planned));
        if let Some(within) = planned.within() {
            stands_in_air(id, &within, &parted.cells[plane.below.clone()])?;
        }
        let contacts = contacts(plane, &parted.cells, index, &finder);
        all_there(id, terms.differing(), &contacts, &ids)?;
        let task = Task {
            id,
            seam: plane,
            terms: terms_of(terms, &contacts, |k| ids.id(k)),
            contacts,
            within: planned.within(),
            common: terms.common(),
            stock: Stock::of(plan),
            slide: planned.slide.map(Into::into),
            hide: &plan.settings().hide,
            up: plan.settings().up.direction(),
            freed: freed.iter().find(|f| f.0 == plane.planned).map(|f| f.1),
            bodies: bare_bounds,
            feet: &feet,
            own: body_of(&index.pieces(&plane.below), apart),
            obstacles: &obstacles,
            printers: plan.printers(),
            room: &room,
        };
        let record = kept.records.iter().find(|r| r.id == *id);
        let seam = match record {
            Some(record) => kept_seam(&task, record, kept)?,
            None => lay_out(&task),
        };
        obstacles.extend(in_the_way(&seam, plane));
        room.add(&seam);
        seams.push(seam);
        Tally::SeamsJoined.did(1);
    }
    Ok(seams)
}

/// The joints of a seam as obstacles. Braces and fingers of the other half reach
/// into the tails' half, so each transfer has carriers by itself; a key goes in
/// last and is in no slide's way.
fn in_the_way(seam: &Seam, plane: &SeamPlane) -> Vec<Obstacle> {
    let of = |transfer: &joinery::Transfer| {
        let bounds = transfer.socket.bounds()?;
        let side = SeamSide::of_half(transfer.to, seam.tails_on);
        Some(Obstacle {
            bounds,
            carriers: side.map_or(0..0, |side| plane.cells(side).clone()),
        })
    };
    seam.transfers().filter_map(of).collect()
}

/// Checks that the contacts that have terms by themselves are there.
fn all_there<'a>(
    seam: &SeamId,
    mut wanted: impl Iterator<Item = &'a [PieceId; 2]>,
    contacts: &[Contact],
    ids: &Ids,
) -> Result<(), BuildError> {
    let pairs: Vec<[PieceId; 2]> = contacts
        .iter()
        .map(|c| c.pieces.map(|k| ids.id(k)))
        .collect();
    let is_missing = |[a, b]: &&[PieceId; 2]| !pairs.iter().any(|p| p.contains(a) && p.contains(b));
    match wanted.find(is_missing) {
        None => Ok(()),
        Some(pieces) => Err(BuildError::NoSuchContact {
            seam: seam.clone(),
            pieces: pieces.clone(),
        }),
    }
}

/// Checks the box of a seam that does not go right through against what lies
/// below it.
fn stands_in_air(seam: &SeamId, within: &Bounds, below: &[Cell]) -> Result<(), BuildError> {
    let seam = seam.clone();
    let bodies = || below.iter().flat_map(|c| &c.bodies);
    if bodies().next().is_none() {
        return Err(BuildError::EmptyBox { seam });
    }
    let inner = within.grown(-1e-6);
    let inside = |b: Bounds| inner.contains(&b.min, 0.0) && inner.contains(&b.max, 0.0);
    if !bodies().filter_map(Solid::bounds).all(inside) {
        return Err(BuildError::BoxInMaterial { seam });
    }
    Ok(())
}

/// The carved bodies in order, and what came loose.
fn sorted(carved: Vec<Carved>, index: &PieceIndex) -> (Vec<Solid>, Vec<Remark>) {
    let (mut solids, mut remarks) = (Vec::new(), Vec::new());
    for (c, cell) in carved.into_iter().enumerate() {
        if cell.dropped_mm3 > 0.0 {
            remarks.push(Remark::Dropped {
                volume_mm3: cell.dropped_mm3,
            });
        }
        for (body, part) in cell.loose {
            remarks.push(Remark::FallsApart {
                piece: index.piece(c, body),
                part,
            });
        }
        solids.extend(cell.bodies);
    }
    (solids, remarks)
}

/// The keys of all seams, those that fit no printer cut across.
fn keys(
    model: &Solid,
    plan: &Plan,
    kept: &Kept,
    parted: &Parted,
    seams: &mut [Seam],
) -> Result<Vec<Key>, KernelError> {
    let keys = all_keys(model, &parted.cells, &parted.seams, seams)?;
    let may_change = |key: &Key| !kept.is_fixed(&key.solid);
    if shorten(seams, &keys, plan.printers(), may_change)? {
        return all_keys(model, &parted.cells, &parted.seams, seams);
    }
    Ok(keys)
}

/// Whether a seam goes right through between the cells of two pieces.
fn goes_between(plan: &Plan, plane: &SeamPlane, a: Option<usize>, b: Option<usize>) -> bool {
    let (Some(a), Some(b)) = (a, b) else {
        return false;
    };
    let sides = [a, b].map(|cell| plane.side_of(cell));
    let right_through = plan.tree().seam(plane.planned).within_mm.is_none();
    right_through && matches!(sides, [Some(one), Some(other)] if one != other)
}

/// How a piece lies, and on which printer: as the first of its shape does.
fn placed_as(laid: &[Laid], k: usize, first: Option<Congruent>) -> Laid {
    let Some(first) = first else {
        return laid[k].clone();
    };
    let (printer, placed) = laid[first.of].clone();
    let placed = placed.map(|p| Placement {
        onto_bed: p.onto_bed * first.motion.inverse(),
        ..p
    });
    (printer, placed)
}

/// The directions along which the joints of each piece run, one a contact.
fn runs(seams: &[Seam], pieces: usize) -> Vec<Vec<Vector>> {
    let mut out = vec![Vec::new(); pieces];
    for seam in seams {
        for (k, contact) in seam.contacts.iter().enumerate() {
            if let Some(joint) = seam.joints.iter().find(|j| j.contacts.contains(&k)) {
                for piece in contact.pieces() {
                    out[piece].push(joint.way_in);
                }
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use design::{CutTree, ModelReference, PlannedSeam, Settings};
    use printing::Printer;
    use solid::Point;

    use super::*;

    fn refused(within_mm: [[f64; 3]; 2]) -> BuildError {
        let seam = PlannedSeam {
            within_mm: Some(within_mm),
            ..PlannedSeam::at([1.0, 0.0, 0.0], 300.0)
        };
        let tree = CutTree::cut(None, seam, CutTree::uncut(), CutTree::uncut()).named(1);
        let printers = vec![Printer::rectangular("bed-1", 220.0, 220.0, 250.0)];
        let (model, settings) = (ModelReference::default(), Settings::default());
        let plan = Plan::new(model, settings, printers, tree).unwrap();
        let plank = Solid::cuboid(Point::origin(), Point::new(600.0, 90.0, 18.0));
        build(&plank, &plan).unwrap_err()
    }

    #[test]
    fn a_box_in_the_material_is_refused() {
        let refused = refused([[-10.0, -10.0, -10.0], [700.0, 50.0, 30.0]]);
        let seam = SeamId::numbered(1);
        assert_eq!(refused, BuildError::BoxInMaterial { seam });
    }

    #[test]
    fn a_box_beside_the_material_is_refused() {
        let refused = refused([[-10.0, 200.0, -10.0], [700.0, 250.0, 30.0]]);
        let seam = SeamId::numbered(1);
        assert_eq!(refused, BuildError::EmptyBox { seam });
    }
}
