//! Plans tried out: several are carried out where the first has faults, and the
//! best is taken.

use design::{Draft, Emphasis, Found, ModelReference, Plan, Settings};
use geo::BoundingRect;
use planner::{
    Brief, Certificate, EqualBoxes, FoundCuts, KeepOut, NoPlan, find_cuts, find_member_cuts,
};
use printing::{Printer, Standing};
use solid::{Bounds, Solid};

use crate::build::{Build, build};
use crate::build_error::BuildError;
use crate::layout::joining::SeamContact;
use crate::layout::seam::Seam;
use crate::measure::{bare_contacts, measured, priced};
use crate::piece::Piece;

/// A model split: the plan, what came of it, and how few pieces there could
/// be.
#[derive(Clone, Debug)]
pub struct Split {
    /// Where it was cut.
    pub plan: Plan,
    /// The pieces.
    pub build: Build,
    /// How few there could be.
    pub certificate: Certificate,
}

/// A model could not be split.
#[derive(Clone, Debug, thiserror::Error, PartialEq)]
pub enum NoSplit {
    /// No plan was found.
    #[error(transparent)]
    Plan(#[from] NoPlan),
    /// The plan could not be carried out.
    #[error(transparent)]
    Build(#[from] BuildError),
    /// A body of several could not be split.
    #[error("a {what}, which stands apart from the others: {why}")]
    Body {
        /// The body, by its size.
        what: String,
        /// Why.
        why: Box<NoSplit>,
    },
}

/// How many other plans are carried out at the most.
const ROUNDS: usize = 3;
/// A seam keeps so far from where another had a fault.
const BESIDE_MM: f64 = 12.0;
/// Room that the bed is taken to have less after a piece did not fit.
const ROOM_MM: f64 = 3.0;

/// Plans a split, all bodies of the model cut by the same planes, and carries it out: see
/// [`split`](crate::split()). What fits a bed stays one piece whatever it takes to print, but
/// for one body of several.
pub(crate) fn split_as_one(
    (model, is_all): (&Solid, bool),
    printers: &[Printer],
    settings: &Settings,
    reference: ModelReference,
    spared: &[KeepOut],
) -> Result<Split, NoSplit> {
    let mut trial = Trial {
        model,
        is_all,
        printers,
        settings,
        reference,
        tried: Vec::new(),
        by_members: None,
    };
    let first = settings.joint.kinds().first();
    let keys_wanted = first.is_some_and(|kind| kind.is_key());
    let mut best = trial.first(spared)?;
    let of_true_beds = best.certificate.clone();
    let mut fewest = best.certificate.on_lattice;
    let mut keep_out: Vec<KeepOut> = spared.to_vec();
    for round in 0..ROUNDS {
        let now = measured(&best.build, |_| false);
        if now.misfits == 0 && faulty_places(&best.build, keys_wanted).is_empty() {
            break;
        }
        let other = match round {
            0 => trial.another(Emphasis::Unstaggered, spared, 0.0),
            1 if now.misfits > 0 => trial.another(Emphasis::Given, spared, ROOM_MM),
            _ => {
                let before = keep_out.len();
                for place in faulty_places(&best.build, keys_wanted) {
                    if !keep_out.contains(&place) {
                        keep_out.push(place);
                    }
                }
                if keep_out.len() == before && round > 1 {
                    // The same was asked before.
                    break;
                }
                trial.another(Emphasis::Given, &keep_out, 0.0)
            }
        };
        let Ok(Some(other)) = other else { continue };
        fewest = fewest.min(other.certificate.on_lattice);
        if is_better(&other, &best) {
            best = other;
        }
    }
    (best, fewest) = trial.standing((best, fewest), keep_out);
    (best, fewest) = trial.unsupported((best, fewest), spared);
    // A later plan may have been sought for smaller beds, and then its bounds
    // say nothing of the true ones.
    best.certificate = Certificate {
        on_lattice: fewest,
        places: best.certificate.places,
        left_out: best.certificate.left_out,
        branches: best.certificate.branches,
        equal_boxes: Some(equal_boxes(model, &best)?),
        ..of_true_beds
    };
    Ok(best)
}

/// Whether a split is better than another: fewer of its pieces fit no bed, which no price
/// makes up for, or it costs less, in minutes of work.
fn is_better(one: &Split, other: &Split) -> bool {
    let [(misfits, cost), (more, most)] = [one, other].map(|split| {
        let measures = priced(&split.plan, &split.build, |_| false);
        let worth = measures.worth(&split.plan.settings().rates);
        (measures.misfits, worth.total())
    });
    misfits < more || misfits == more && cost < most
}

/// What the supports of a split cost, in minutes of work, without the scraping.
fn support_min(split: &Split) -> f64 {
    let (plan, settings) = (&split.plan, split.plan.settings());
    let pieces = split.build.pieces.iter();
    let each = pieces.map(|piece| {
        let profile = plan.profile(piece.printer);
        let space_mm3 = piece.placement.as_ref().map_or(0.0, |p| p.support_mm3);
        let plastic_mm3 = profile.support_share * space_mm3;
        settings.rates.print_hour_min * profile.hours_of(plastic_mm3)
            + settings.rates.gram_min * settings.material.grams(plastic_mm3)
    });
    each.sum()
}

/// The pieces of equal boxes beside those of a split, and what is against them.
pub(crate) fn equal_boxes(model: &Solid, split: &Split) -> Result<EqualBoxes, NoSplit> {
    let plan = &split.plan;
    let pieces = split.build.pieces.iter().filter(|p| p.cell.is_some());
    let beside = (plan.tree(), pieces.count());
    EqualBoxes::beside(model, plan.printers(), plan.settings(), beside)
        .map_err(|e| NoSplit::Plan(e.into()))
}

/// Plans that are carried out for one model.
struct Trial<'a> {
    model: &'a Solid,
    /// Whether it is all of the furniture, and no body of several.
    is_all: bool,
    printers: &'a [Printer],
    settings: &'a Settings,
    reference: ModelReference,
    /// Plans that were carried out already.
    tried: Vec<Draft>,
    /// Where the first was parted where members meet, how few pieces there could be: others
    /// are parted there too, and the search through space is not run again for them.
    by_members: Option<Certificate>,
}

impl Trial<'_> {
    /// The plan that comes first, carried out.
    fn first(&mut self, spared: &[KeepOut]) -> Result<Split, NoSplit> {
        let found = find_cuts(&Brief {
            keep_out: spared,
            ..Brief::new(self.model, self.printers, self.settings)
        })?;
        self.by_members = found.certificate.clone().filter(|_| found.by_members);
        self.split(found, how(Emphasis::Given, spared, 0.0))
    }

    /// A plan with an emphasis, with no seam through some boxes, with so much
    /// less room on the beds, carried out; `None` where it is one of those tried
    /// before.
    fn another(
        &mut self,
        emphasis: Emphasis,
        keep_out: &[KeepOut],
        room_mm: f64,
    ) -> Result<Option<Split>, NoSplit> {
        let printers = self.printers.iter();
        let smaller: Vec<Printer> = printers.map(|p| with_less_room(p, room_mm)).collect();
        let brief = Brief {
            emphasis,
            keep_out,
            ..Brief::new(self.model, &smaller, self.settings)
        };
        let found = match &self.by_members {
            None => find_cuts(&brief)?,
            Some(certificate) => match find_member_cuts(&brief).map_err(NoPlan::from)? {
                None => return Ok(None),
                Some(found) => FoundCuts {
                    certificate: Some(certificate.clone()),
                    ..found
                },
            },
        };
        if self.tried.contains(&found.tree) {
            return Ok(None);
        }
        self.split(found, how(emphasis, keep_out, room_mm))
            .map(Some)
    }

    /// A better plan where pieces of the best so far fall while they are printed, and the
    /// fewest pieces of any on the lattices that were looked at. The search knows less of
    /// what a piece stands on than the piece shows.
    fn standing(
        &mut self,
        (mut best, mut fewest): (Split, usize),
        mut keep_out: Vec<KeepOut>,
    ) -> (Split, usize) {
        for round in 0..FALLING_ROUNDS {
            let falls = best.build.pieces.iter().any(falls);
            let places = beside_falling(&best.build);
            if !falls || round > 0 && places.is_empty() {
                break;
            }
            let emphasis = match round {
                0 => Emphasis::Standing,
                _ => {
                    keep_out.extend(places);
                    Emphasis::Given
                }
            };
            let Ok(Some(other)) = self.another(emphasis, &keep_out, 0.0) else {
                continue;
            };
            fewest = fewest.min(other.certificate.on_lattice);
            if is_better(&other, &best) {
                best = other;
            }
        }
        (best, fewest)
    }

    /// A plan without much support, where that of the best so far costs more than another
    /// piece: the search prices supports by boxes about the pieces, and misses some.
    fn unsupported(
        &mut self,
        (best, fewest): (Split, usize),
        spared: &[KeepOut],
    ) -> (Split, usize) {
        // All that fits as it is stays one piece, and who wants no support has looked.
        let is_whole = self.is_all && best.build.seams.is_empty();
        let is_asked = is_whole || self.settings.wishes.no_supports;
        if is_asked || support_min(&best) < self.settings.rates.piece_min {
            return (best, fewest);
        }
        match self.another(Emphasis::Unsupported, spared, 0.0) {
            Ok(Some(other)) if is_better(&other, &best) => {
                let fewest = fewest.min(other.certificate.on_lattice);
                (other, fewest)
            }
            _ => (best, fewest),
        }
    }

    /// A plan carried out.
    fn split(&mut self, found: FoundCuts, how: Found) -> Result<Split, NoSplit> {
        self.tried.push(found.tree.clone());
        let plan = Plan::new(
            self.reference.clone(),
            self.settings.clone(),
            self.printers.to_vec(),
            found.tree.named(1),
        )
        .map_err(BuildError::Plan)?
        .found_by(Some(Found {
            by_members: found.by_members,
            ..how
        }));
        let build = build(self.model, &plan)?;
        Ok(Split {
            plan,
            build,
            certificate: found.certificate.unwrap_or_else(Certificate::of_one_piece),
        })
    }
}

/// How a plan was found.
fn how(emphasis: Emphasis, keep_out: &[KeepOut], room_mm: f64) -> Found {
    let corners = |b: &Bounds| [b.min.into(), b.max.into()];
    Found {
        emphasis,
        less_room_mm: room_mm,
        keep_out_mm: keep_out.iter().map(|k| corners(&k.bounds)).collect(),
        by_members: false,
    }
}

/// How often a plan is sought again because pieces of it fall while they are printed.
const FALLING_ROUNDS: usize = 3;

/// Whether a piece falls while it is printed, whatever holds it.
fn falls(piece: &Piece) -> bool {
    let placement = piece.placement.as_ref();
    placement.is_ok_and(|p| p.standing == Standing::Falls)
}

/// Boxes about the smallest contact of each piece that falls while it is printed: with no
/// seam there it is another piece.
fn beside_falling(build: &Build) -> Vec<KeepOut> {
    let falling = (0..build.pieces.len()).filter(|&k| falls(&build.pieces[k]));
    let about = falling.filter_map(|piece| {
        let pairs = build
            .seams
            .iter()
            .flat_map(|s| s.pairs().into_iter().map(move |p| (s, p.1)));
        let area = |(seam, limbs): &(&Seam, Vec<usize>)| -> f64 {
            limbs
                .iter()
                .map(|&k| seam.contacts[k].contact.area_mm2)
                .sum()
        };
        let own =
            pairs.filter(|(seam, limbs)| seam.contacts[limbs[0]].contact.pieces.contains(&piece));
        let (seam, limbs) = own.min_by(|a, b| area(a).total_cmp(&area(b)))?;
        let boxes = limbs.iter().filter_map(|&k| about(seam, &seam.contacts[k]));
        let whole = boxes.map(|k| k.bounds).reduce(|a, b| a.joined(&b))?;
        Some(KeepOut::from(whole))
    });
    about.collect()
}

/// A box about a contact.
fn about(seam: &Seam, contact: &SeamContact) -> Option<KeepOut> {
    let b = contact.contact.outline.bounding_rect()?;
    let corners = [(b.min().x, b.min().y), (b.max().x, b.max().y)];
    let corners = corners
        .iter()
        .flat_map(|(u, v)| [-BESIDE_MM, BESIDE_MM].map(|n| seam.frame.place(*u, *v, n)));
    Bounds::of(corners).map(KeepOut::from)
}

/// Boxes about the contacts that got no joint, or only keys while nothing else holds their
/// pieces at that seam.
fn faulty_places(build: &Build, keys_wanted: bool) -> Vec<KeepOut> {
    let bare = bare_contacts(build);
    let is_bare = |seam: &Seam, k: usize| {
        let same = |(other, at): &(&Seam, usize)| std::ptr::eq(*other, seam) && *at == k;
        bare.iter().any(same)
    };
    let mut out = Vec::new();
    for seam in &build.seams {
        let slid = seam.contacts.iter();
        let slid = slid.filter(|c| c.is_joined() && !c.joint().is_key());
        let slid: Vec<[usize; 2]> = slid.map(|c| c.contact.pieces).collect();
        let faulty = seam.contacts.iter().enumerate().filter(|(k, c)| {
            let keyed = c.joint().is_key() && !keys_wanted && !c.no_bed_room();
            is_bare(seam, *k) || keyed && !slid.contains(&c.contact.pieces)
        });
        out.extend(faulty.filter_map(|(_, contact)| about(seam, contact)));
    }
    out
}

pub(crate) fn with_less_room(printer: &Printer, room_mm: f64) -> Printer {
    Printer {
        margin_mm: printer.margin_mm + room_mm / 2.0,
        height_mm: printer.height_mm - room_mm,
        ..printer.clone()
    }
}
