//! Wishes that a plan which was given does not fulfil: only a search looks for cuts that do.

use design::{Plan, SeamSide, Wishes};
use inspection::{Code, Finding};
use solid::{Bounds, Point, Vector, area_within};
use workshop::{Build, Seam};

/// Seams and wished places are the same up to here.
const SAME_MM: f64 = 0.01;
/// Ways are the same whose cosine is above this.
const SAME_WAY: f64 = 0.999;
/// Less of a section is a rounding.
const NOTHING_MM2: f64 = 0.05;

/// What is wished of cuts and is not so in a plan that was carried out as it stood, all in one
/// warning.
pub(crate) fn not_sought(plan: &Plan, build: &Build) -> Option<Finding> {
    let wishes = &plan.settings().wishes;
    let unmet = [
        ("seam_at", no_seam_at(wishes, build)),
        ("no_cut", cuts_an_axis(wishes, build)),
        ("keep_out_mm", cuts_what_is_spared(wishes, build)),
        ("largest_mm", is_too_long(plan, build)),
        (
            "by_members",
            wishes.by_members && plan.found().is_none_or(|found| !found.by_members),
        ),
    ];
    let unmet = unmet.iter().filter(|(_, is_unmet)| *is_unmet);
    let names: Vec<&str> = unmet.map(|(name, _)| *name).collect();
    (!names.is_empty()).then(|| {
        let message = format!(
            "the plan was carried out as it stands, and its seams are not as {} under \
             [settings.wishes] would have them; move them in the plan, or have a new plan sought \
             with --settings in place of --plan",
            names.join(", ")
        );
        Finding::new(Code::NotSought, message)
    })
}

/// Seams that close along another way than the plan prescribes, each in a warning.
pub(crate) fn other_slides(plan: &Plan, build: &Build) -> Vec<Finding> {
    let each = seams(build).filter_map(|seam| {
        let prescribed = Vector::from(plan.tree().seam(seam.planned).slide?);
        let tails_go = match seam.tails_on {
            SeamSide::Below => seam.slide,
            SeamSide::Above => -seam.slide,
        };
        let as_said = prescribed.normalize().dot(&tails_go) > SAME_WAY;
        (!as_said).then(|| other_slide(seam, &prescribed, &tails_go))
    });
    each.collect()
}

fn other_slide(seam: &Seam, prescribed: &Vector, tails_go: &Vector) -> Finding {
    let words = |way: &Vector| {
        let [x, y, z]: [f64; 3] = way.map(|x| (x * 1000.0).round() / 1000.0 + 0.0).into();
        format!("[{x}, {y}, {z}]")
    };
    let id = &seam.id;
    let message = format!(
        "{id} closes along {} and not along {} as the plan has it, along which nothing joins its \
         pieces: each contact of {id} in report.json says why; take `slide` out of {id}, or give up \
         what stands against it, such as a side in `hide` or a `joint`",
        words(tails_go),
        words(prescribed),
    );
    Finding::new(Code::OtherSlide, message).seam(id)
}

/// The seams at which pieces meet.
fn seams(build: &Build) -> impl Iterator<Item = &Seam> {
    build.seams.iter().filter(|s| !s.contacts.is_empty())
}

fn no_seam_at(wishes: &Wishes, build: &Build) -> bool {
    wishes.seam_at.iter().any(|wish| {
        let axis = wish.axis.index();
        !seams(build).any(|seam| {
            let is_square = seam.frame.n[axis].abs() > 1.0 - 1e-9;
            is_square && (seam.frame.origin[axis] - wish.at_mm).abs() < SAME_MM
        })
    })
}

fn cuts_an_axis(wishes: &Wishes, build: &Build) -> bool {
    let axes = wishes.no_cut.iter();
    let mut axes = axes.map(|axis| axis.index());
    axes.any(|axis| seams(build).any(|seam| seam.frame.n[axis].abs() > 1.0 - 1e-9))
}

/// Whether a contact of a seam square to an axis has a part in a box that is to be spared.
fn cuts_what_is_spared(wishes: &Wishes, build: &Build) -> bool {
    let boxes = wishes.keep_out_mm.iter();
    let mut boxes = boxes.map(|[a, b]| Bounds::between((*a).into(), (*b).into()));
    boxes.any(|spared| seams(build).any(|seam| cuts(seam, &spared)))
}

fn cuts(seam: &Seam, spared: &Bounds) -> bool {
    let corners = spared.corners();
    let corners = corners.map(|p| Point::from(seam.frame.coordinates(&p)));
    let Some(b) = Bounds::of(corners) else {
        return false;
    };
    let is_square = seam.frame.n.amax() > 1.0 - 1e-9;
    is_square
        && b.min.z < -SAME_MM
        && b.max.z > SAME_MM
        && seam.contacts.iter().any(|c| {
            let within = area_within(&c.contact.outline, [b.min.x, b.min.y], [b.max.x, b.max.y]);
            within > NOTHING_MM2
        })
}

/// Whether a piece is longer than wished by more than its joints reach.
fn is_too_long(plan: &Plan, build: &Build) -> bool {
    let Some(largest_mm) = plan.settings().wishes.largest_mm else {
        return false;
    };
    let reach_mm = plan.settings().joints.reach_mm();
    let cut = build.pieces.iter().filter(|p| p.cell.is_some());
    let mut sizes = cut.filter_map(|p| p.solid.bounds());
    sizes.any(|b| b.size_mm().max() > largest_mm + 2.0 * reach_mm + SAME_MM)
}
