//! What a build is measured by when it is held against another.

use design::{BuildMeasures, LIMB_MM, Plan};
use joinery::Hold;
use printing::{PrintBill, Standing};
use rayon::prelude::*;
use solid::DisjointSets;

use crate::build::Build;
use crate::layout::seam::Seam;

/// The counts of a build, in which pieces that are `spared` need no bed. What its
/// prints take is to be added: see [`priced`] and [`with_prints`].
pub fn measured(build: &Build, spared: impl Fn(usize) -> bool + Copy) -> BuildMeasures {
    let keys = build.pieces.iter().filter(|p| p.cell.is_none()).count();
    let contacts = || build.seams.iter().flat_map(|s| &s.contacts);
    let keyed = || contacts().filter(|c| c.no_bed_room() && !c.keys().is_empty());
    let planned: usize = keyed().map(|c| c.keys().len()).sum();
    let pieces = build.pieces.iter().enumerate();
    let to_print = pieces.clone().filter(|(k, _)| !spared(*k));
    let placed = to_print.filter_map(|(_, p)| p.placement.as_ref().ok());
    let stand = |how: Standing| placed.clone().filter(|p| p.standing == how).count();
    BuildMeasures {
        pieces: build.pieces.len() - keys,
        seams: build.seams.len(),
        keys: keys - planned,
        keyed: keyed().count(),
        plain: bare_contacts(build).len(),
        misfits: pieces
            .filter(|(k, p)| p.placement.is_err() && !spared(*k))
            .count(),
        loose: loose(build),
        helped: stand(Standing::Helped),
        borne: stand(Standing::Borne),
        falling: stand(Standing::Falls),
        ..BuildMeasures::default()
    }
}

/// How many parts of bodies no joint and no key links to the rest: what was wished plain links
/// as joints do.
fn loose(build: &Build) -> usize {
    let count = build.pieces.len();
    let [mut joined, mut bodies] = [count, count].map(DisjointSets::of);
    for contact in build.seams.iter().flat_map(|s| &s.contacts) {
        let [a, b] = contact.contact.pieces;
        bodies.unite(a, b);
        if contact.is_joined() || contact.plain_wished() {
            joined.unite(a, b);
        }
    }
    let own = |sets: &mut DisjointSets| (0..count).filter(|&k| sets.find(k) == k).count();
    own(&mut joined) - own(&mut bodies)
}

/// The contacts that nothing holds, by their seam and their place in it. A thin edge between
/// pieces that joints hold to others, as that of a back in its frame, is none of them.
pub(crate) fn bare_contacts(build: &Build) -> Vec<(&Seam, usize)> {
    let mut held = vec![false; build.pieces.len()];
    for contact in build.seams.iter().flat_map(|s| &s.contacts) {
        if contact.is_joined() && contact.joint().abilities().hold == Hold::Shape {
            contact
                .contact
                .pieces
                .iter()
                .for_each(|&piece| held[piece] = true);
        }
    }
    let thin = |seam: &Seam, k: usize| {
        let contact = &seam.contacts[k].contact;
        contact.thick_mm < LIMB_MM && contact.pieces.iter().all(|&piece| held[piece])
    };
    let seams = build.seams.iter();
    let each = seams.flat_map(|s| (0..s.contacts.len()).map(move |k| (s, k)));
    each.filter(|&(seam, k)| seam.is_bare(k) && !thin(seam, k))
        .collect()
}

/// Counts, and what the prints of a build take; each with its piece, by index.
pub fn with_prints(
    measures: BuildMeasures,
    plan: &Plan,
    build: &Build,
    bills: impl IntoIterator<Item = (usize, PrintBill)>,
) -> BuildMeasures {
    let material = &plan.settings().material;
    let mut out = measures;
    for (piece, bill) in bills {
        let hours = bill.hours(plan.profile(build.pieces[piece].printer));
        out.hours += hours;
        out.hours_squared += hours * hours;
        out.plastic_g += material.grams(bill.plastic_mm3());
        out.scraped_cm2 += bill.scraped_mm2 / 100.0;
    }
    out
}

/// The measures of a build with what its prints take, each shape looked at once.
pub fn priced(
    plan: &Plan,
    build: &Build,
    spared: impl Fn(usize) -> bool + Copy + Sync,
) -> BuildMeasures {
    let first = |k: usize| build.pieces[k].congruent.as_ref().map_or(k, |c| c.of);
    let fresh: Vec<Option<PrintBill>> = (0..build.pieces.len())
        .into_par_iter()
        .map(|k| {
            let piece = &build.pieces[k];
            let placed = piece.placement.as_ref().ok().filter(|_| first(k) == k)?;
            let profile = plan.profile(piece.printer);
            Some(PrintBill::placed(&piece.solid, placed, profile))
        })
        .collect();
    let to_print = (0..build.pieces.len()).filter(|k| !spared(*k));
    let bills = to_print.filter_map(|k| Some((k, fresh[first(k)]?)));
    with_prints(measured(build, spared), plan, build, bills)
}
