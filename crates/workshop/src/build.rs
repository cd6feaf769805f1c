use joinery::capacity::{MATERIALS, layer_share};
use joinery::{Half, JointError, JointKind};
use planner::{BadPlan, DoesNotFit, Placement, Plan};
use rayon::prelude::*;
use solid::{Bounds, Isometry, KernelError, Solid, Vector};

use crate::alike::{Twin, twins};
use crate::bed_room::BedRoom;
use crate::cells::{Cell, part};
use crate::contacts::{BodyFinder, PieceIndex, contacts};
use crate::earlier::Obstacle;
use crate::kept_seam::{Kept, kept_seam};
use crate::keys::{Key, all_keys, shorten};
use crate::printers::on_printers;
use crate::seam_layout::lay_out;
use crate::seam_task::Task;
use crate::steps::steps;
use crate::whole::not_whole;
use crate::{Label, Seam, Step, carve};

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

/// One piece.
#[derive(Clone, Debug)]
pub struct Piece {
    /// `P01`, `P02`, …; of a key `K01`, …
    pub id: String,
    /// The cell that it comes from; of a key none.
    pub cell: Option<usize>,
    /// In place, in the model's coordinates.
    pub solid: Solid,
    /// The printer it is meant for, by index.
    pub printer: usize,
    /// The first piece of the same shape, if that is another: its file serves
    /// for this one too.
    pub twin: Option<Twin>,
    /// How it lies on that printer's bed, or why it does not.
    pub placement: Result<Placement, DoesNotFit>,
    /// What is engraved in it.
    pub labels: Vec<Label>,
}

impl Piece {
    /// The motion that lays it on its bed; where it fits on none, it is only
    /// shifted to rest on z = 0 with its least x and y at zero.
    pub fn onto_bed(&self) -> Isometry {
        match (&self.placement, self.solid.bounds()) {
            (Ok(placed), _) => placed.onto_bed,
            (Err(_), Some(bounds)) => {
                Isometry::translation(-bounds.min.x, -bounds.min.y, -bounds.min.z)
            }
            (Err(_), None) => Isometry::identity(),
        }
    }
}

/// What went otherwise than hoped.
#[derive(Clone, Debug)]
pub enum Remark {
    /// A part of a piece hangs on nothing.
    FallsApart {
        /// The piece.
        piece: usize,
        /// The loose part.
        part: Solid,
    },
    /// Scraps were dropped.
    Dropped {
        /// Their volume.
        volume_mm3: f64,
    },
    /// A piece has no face with room for its id.
    NoLabel {
        /// The piece.
        piece: usize,
    },
    /// What was to be in one piece is in several.
    NotWhole {
        /// What the maker calls it.
        name: String,
        /// The pieces that it is in.
        pieces: Vec<usize>,
    },
    /// A contact got no joint at all.
    PlainContact {
        /// The seam, by index.
        seam: usize,
        /// The contact, by index.
        contact: usize,
    },
}

/// A plan could not be carried out.
#[derive(Clone, Debug, thiserror::Error, PartialEq)]
pub enum BuildError {
    /// The plan is wrong.
    #[error(transparent)]
    Plan(#[from] BadPlan),
    /// The plan has terms for a contact that is not there.
    #[error("seam {seam} has terms for {} and {}, which do not meet on it", pieces[0], pieces[1])]
    NoSuchContact {
        /// The seam.
        seam: String,
        /// The two pieces.
        pieces: [String; 2],
    },
    /// The box of a seam that does not go right through stands in the material.
    #[error(
        "seam {seam} cuts within a box whose side goes through the material below it; make \
         within_mm larger, so that all its sides stand in the air"
    )]
    BoxInMaterial {
        /// The seam.
        seam: String,
    },
    /// The box of a seam that does not go right through holds nothing below its
    /// plane.
    #[error(
        "seam {seam} cuts within a box that holds nothing below the seam's plane; move within_mm \
         or at_mm to where the material is"
    )]
    EmptyBox {
        /// The seam.
        seam: String,
    },
    /// A recorded joint can not be made.
    #[error(transparent)]
    Record(#[from] JointError),
    /// The kernel refused the model.
    #[error(transparent)]
    Kernel(#[from] KernelError),
}

/// Carries a plan out on a model. The same model and plan give the same
/// build, bit for bit, on any number of threads.
///
/// # Errors
///
/// When the plan has no tree, or the boolean kernel refuses the model.
pub fn build(model: &Solid, plan: &Plan) -> Result<Build, BuildError> {
    build_upon(model, plan, &Kept::default())
}

/// Like [`build`], with what is kept of an earlier split.
///
/// # Errors
///
/// As [`build`], and when a recorded joint can not be made.
pub fn build_upon(model: &Solid, plan: &Plan, kept: &Kept) -> Result<Build, BuildError> {
    let tree = plan.tree()?;
    let parted = part(model, plan, &tree)?;
    let index = PieceIndex::new(&parted.cells);
    let finder = BodyFinder::new(&parted.cells);
    let bare: Vec<&Solid> = parted.cells.iter().flat_map(|c| &c.bodies).collect();
    let mut room = BedRoom::of(bare.clone(), &plan.printers);
    let bare_bounds: Vec<Bounds> = bare.iter().filter_map(|b| b.bounds()).collect();
    let width = bare.len().to_string().len().max(2);
    let id = |k: usize| format!("P{:0width$}", k + 1);

    let mut seams: Vec<Seam> = Vec::new();
    let mut obstacles = kept.obstacles()?;
    for plane in &parted.seams {
        let planned = &plan.seams[plane.index];
        if let Some(within) = planned.within() {
            stands_in_air(&planned.id, &within, &parted.cells[plane.below.clone()])?;
        }
        let contacts = contacts(plane, &parted.cells, &index, &finder);
        let pairs: Vec<[String; 2]> = contacts.iter().map(|c| c.pieces.map(id)).collect();
        for own in &planned.contacts {
            let [a, b] = &own.pieces;
            if !pairs.iter().any(|p| p.contains(a) && p.contains(b)) {
                return Err(BuildError::NoSuchContact {
                    seam: planned.id.clone(),
                    pieces: own.pieces.clone(),
                });
            }
        }
        let task = Task {
            id: &planned.id,
            seam: plane,
            contacts,
            within: planned.within(),
            common: planned.terms(&plan.settings),
            terms: pairs
                .iter()
                .map(|[a, b]| planned.terms_between(&plan.settings, [a, b]))
                .collect(),
            slide: planned.slide.map(Into::into),
            hide: &plan.settings.hide,
            bodies: &bare_bounds,
            obstacles: &obstacles,
            printers: &plan.printers,
            room: &room,
        };
        let record = kept.records.iter().find(|r| r.id == planned.id);
        let seam = match record {
            Some(record) => kept_seam(&task, record, kept)?,
            None => lay_out(&task),
        };
        // Braces and fingers of the other half reach into the tails' half, so
        // each transfer has carriers of its own.
        let of = |half: Half| {
            if half == Half::Key {
                // It goes in last and is in no slide's way.
                0..0
            } else if (half == Half::Tails) == seam.tails_point_up {
                plane.below.clone()
            } else {
                plane.above.clone()
            }
        };
        obstacles.extend(
            seam.joints
                .iter()
                .flat_map(|j| &j.joint.transfers)
                .filter_map(|t| {
                    let bounds = t.socket.bounds()?;
                    Some(Obstacle {
                        bounds,
                        carriers: of(t.to),
                    })
                }),
        );
        room.add(&seam);
        seams.push(seam);
    }

    let carved = carve::carve(&parted.cells, &parted.seams, &seams)?;
    let mut remarks = Vec::new();
    let mut solids = Vec::new();
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
    let mut keys = all_keys(model, &parted.cells, &parted.seams, &seams)?;
    let may_change = |key: &Key| !key.solid.bounds().is_some_and(|b| kept.is_printed(&b));
    if shorten(&mut seams, &keys, &plan.printers, may_change)? {
        keys = all_keys(model, &parted.cells, &parted.seams, &seams)?;
    }
    for (k, key) in keys.iter().enumerate() {
        seams[key.seam].contacts[key.contact]
            .keys
            .push(solids.len() + k);
    }
    solids.extend(keys.iter().map(|k| k.solid.clone()));
    for (s, seam) in seams.iter().enumerate() {
        for (k, contact) in seam.contacts.iter().enumerate() {
            if contact.joint == JointKind::Plain {
                remarks.push(Remark::PlainContact {
                    seam: s,
                    contact: k,
                });
            }
        }
    }

    remarks.extend(not_whole(&plan.settings.wishes.whole, &bare)?);

    let volumes: Vec<f64> = solids.par_iter().map(Solid::volume_mm3).collect();
    let mut bounds = bare_bounds.clone();
    bounds.extend(keys.iter().filter_map(|k| k.solid.bounds()));
    let goes_between = |seam: usize, a: usize, b: usize| {
        let plane = &parted.seams[seam];
        let (Some(a), Some(b)) = (index.cell(a), index.cell(b)) else {
            return false;
        };
        let sides = |x: &usize, y: &usize| plane.below.contains(x) && plane.above.contains(y);
        plan.seams[plane.index].within_mm.is_none() && (sides(&a, &b) || sides(&b, &a))
    };
    let steps = steps(&seams, &bounds, &volumes, &keys, goes_between);
    let twins = twins(&solids);
    let runs = runs(&seams, solids.len());
    let laid = on_printers(&solids, &twins, &runs, plan);
    let pieces: Vec<Piece> = solids
        .into_iter()
        .enumerate()
        .map(|(k, solid)| {
            let (printer, placement) = match twins[k] {
                None => laid[k].clone(),
                Some(twin) => {
                    let (printer, placed) = laid[twin.of].clone();
                    let placed = placed.map(|p| Placement {
                        onto_bed: p.onto_bed * twin.motion.inverse(),
                        ..p
                    });
                    (printer, placed)
                }
            };
            Piece {
                id: match k.checked_sub(bare.len()) {
                    None => id(k),
                    Some(key) => format!("K{:02}", key + 1),
                },
                cell: index.cell(k),
                solid,
                printer,
                twin: twins[k],
                placement,
                labels: Vec::new(),
            }
        })
        .collect();
    knock_down(&mut seams, &pieces);
    Ok(Build {
        pieces,
        seams,
        steps,
        remarks,
    })
}

/// Checks the box of a seam that does not go right through against what lies
/// below it.
fn stands_in_air(seam: &str, within: &Bounds, below: &[Cell]) -> Result<(), BuildError> {
    let seam = seam.to_owned();
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

/// The directions along which the joints of each piece run, one a contact.
fn runs(seams: &[Seam], pieces: usize) -> Vec<Vec<Vector>> {
    let mut out = vec![Vec::new(); pieces];
    for seam in seams {
        for (k, contact) in seam.contacts.iter().enumerate() {
            if let Some(joint) = seam.joints.iter().find(|j| j.contacts.contains(&k)) {
                for &piece in contact.pieces.iter().chain(&contact.keys) {
                    out[piece].push(joint.way_in);
                }
            }
        }
    }
    out
}

/// Counts the estimates of all contacts down to what the layers of the pieces,
/// as they are printed, bear of a pull along the seam's normal.
fn knock_down(seams: &mut [Seam], pieces: &[Piece]) {
    let material = &MATERIALS[0];
    for seam in seams {
        for contact in &mut seam.contacts {
            let share = contact
                .pieces
                .iter()
                .chain(&contact.keys)
                .map(|&k| {
                    let up = pieces[k].onto_bed().rotation.inverse() * Vector::z();
                    layer_share(seam.frame.n.dot(&up).abs().min(1.0).asin(), material)
                })
                .fold(1.0, f64::min);
            contact.layer_share = share;
            if let Some(estimate) = &mut contact.estimate {
                estimate.pull_n *= share;
            }
        }
    }
}
