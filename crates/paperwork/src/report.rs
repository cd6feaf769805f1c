use inspection::{Assembly, ContactClaim, PieceInPlace, SeamClaim, StepClaim, Verdict};
use planner::Plan;
use rayon::prelude::*;
use solid::{Frame, Isometry, Point, Solid};
use workshop::{Build, Seam};

use crate::plates::{ToPack, pack};
use crate::print_estimate::{PrintEstimate, print_estimate};
use crate::report_entries::{
    ModelEntry, OnPlate, PieceEntry, PlateEntry, PrinterEntry, Report, SettingsEntry, ToolEntry,
};
use crate::seam_entries::{ContactEntry, EstimateEntry, SeamEntry, StepEntry};

/// The flank error that seat errors are given for.
const FLANK_ERROR_MM: f64 = 0.05;

/// What no report of this program promises.
pub(crate) const CAUTIONS: [&str; 5] = [
    "No load rating is given or implied. Test every piece of furniture well beyond its use before trusting it, away from people.",
    "Plastics creep under load and soften with heat: joints loosen over time, in the sun and near heaters. Check them again and again.",
    "Anchor tall or top-heavy furniture to the wall so that it cannot tip over, above all where there are children.",
    "Thickness, fit and assembly are judged from geometry alone; print quality, material and layer direction decide whether a piece holds.",
    "Where local codes or standards apply, or people could be hurt, they and the judgement of a licensed professional come first.",
];

/// A piece as it was written.
#[derive(Clone, Debug)]
pub struct Written {
    /// Its file in the folder.
    pub file: String,
    /// The solid as it reads back from the file's bytes.
    pub as_printed: Solid,
}

/// Numbers such as -0 and 0.9999999999999999 come from turning by quarters.
fn tidy(x: f64) -> f64 {
    let whole = x.round();
    if (x - whole).abs() < 1e-12 {
        whole + 0.0
    } else {
        x
    }
}

fn matrix(motion: &Isometry) -> [[f64; 4]; 3] {
    let r = motion.rotation.to_rotation_matrix();
    let t = motion.translation.vector;
    std::array::from_fn(|i| [tidy(r[(i, 0)]), tidy(r[(i, 1)]), tidy(r[(i, 2)]), t[i]])
}

fn direction(v: &solid::Vector) -> [f64; 3] {
    v.map(tidy).into()
}

/// What an inspection looks at, from what was written.
pub fn assembly(plan: &Plan, build: &Build, written: &[Written]) -> Assembly {
    Assembly {
        pieces: build
            .pieces
            .iter()
            .zip(written)
            .map(|(p, w)| PieceInPlace {
                id: p.id.clone(),
                in_place: w.as_printed.moved(&p.onto_bed().inverse()),
                as_printed: w.as_printed.clone(),
                printer: p.printer,
            })
            .collect(),
        seams: build
            .seams
            .iter()
            .map(|s| SeamClaim {
                id: s.id.clone(),
                frame: s.frame,
                contacts: s
                    .contacts
                    .iter()
                    .map(|c| ContactClaim {
                        pieces: c.pieces,
                        joint: c.joint,
                        keys: c.keys.clone(),
                        area_mm2: c.area_mm2,
                        reason: c.reason.clone(),
                    })
                    .collect(),
            })
            .collect(),
        steps: build
            .steps
            .iter()
            .map(|s| StepClaim {
                moving: s.moving.clone(),
                onto: s.onto.clone(),
                seam: s.seam,
                direction: s.direction,
                travel_mm: s.travel_mm,
            })
            .collect(),
        printers: plan.printers.clone(),
    }
}

/// Estimates of all pieces, each file looked at once.
fn estimates(written: &[Written], build: &Build, plan: &Plan) -> Vec<PrintEstimate> {
    let first = |k: usize| {
        (0..=k).find(|&i| !written[i].file.is_empty() && written[i].file == written[k].file)
    };
    let fresh: Vec<Option<PrintEstimate>> = (0..written.len())
        .into_par_iter()
        .map(|k| {
            let profile = plan.profile(build.pieces[k].printer);
            (first(k).unwrap_or(k) == k).then(|| print_estimate(&written[k].as_printed, profile))
        })
        .collect();
    (0..written.len())
        .map(|k| fresh[first(k).unwrap_or(k)].unwrap_or_default())
        .collect()
}

/// To a tenth: more would seem to be known.
fn rounded(x: f64) -> f64 {
    (x * 10.0).round() / 10.0
}

/// The report of a split. `printed` are pieces, by index, that need no plate
/// any more.
pub fn report(
    model: ModelEntry,
    plan: &Plan,
    build: &Build,
    written: &[Written],
    verdict: &Verdict,
    printed: &[usize],
) -> Report {
    let id = |k: &usize| build.pieces[*k].id.clone();
    let grams = |mm3: f64| mm3 / 1000.0 * plan.settings.density_g_cm3;
    let estimates = estimates(written, build, plan);
    let alone_s = |k: usize, e: &PrintEstimate| {
        let profile = plan.profile(build.pieces[k].printer);
        profile.start_s + e.laying_s + profile.layer_s * e.layers as f64
    };
    let pieces: Vec<PieceEntry> = build
        .pieces
        .iter()
        .zip(written)
        .zip(&verdict.thinnest_mm)
        .map(|((p, w), thinnest)| PieceEntry {
            id: p.id.clone(),
            file: w.file.clone(),
            printed: false,
            printer: plan
                .printers
                .get(p.printer)
                .map(|x| x.name.clone())
                .unwrap_or_default(),
            triangles: w.as_printed.triangles().len(),
            volume_mm3: w.as_printed.volume_mm3(),
            size_mm: w
                .as_printed
                .bounds()
                .map_or([0.0; 3], |b| b.size_mm().into()),
            thinnest_mm: *thinnest,
            placement: matrix(&p.onto_bed().inverse()),
            overhang_mm2: p.placement.as_ref().map_or(0.0, |p| p.overhang_mm2),
            slenderness: p.placement.as_ref().map_or(0.0, |p| p.slenderness),
            plastic_g: 0.0,
            print_min: 0.0,
            joints_across: p.placement.as_ref().map_or(0, |p| p.joints_across),
            labels: p.labels.clone(),
        })
        .zip(&estimates)
        .enumerate()
        .map(|(k, (entry, e))| PieceEntry {
            plastic_g: rounded(grams(e.plastic_mm3)),
            print_min: rounded(alone_s(k, e) / 60.0),
            ..entry
        })
        .collect();
    let to_pack: Vec<ToPack> = (0..written.len())
        .filter(|k| !printed.contains(k) && build.pieces[*k].placement.is_ok())
        .map(|k| ToPack {
            piece: k,
            printer: build.pieces[k].printer,
            as_printed: &written[k].as_printed,
        })
        .collect();
    let packed = pack(&to_pack, &plan.printers);
    let digits = packed.len().to_string().len().max(2);
    let plates = packed
        .iter()
        .enumerate()
        .map(|(k, plate)| {
            let of = |f: &dyn Fn(&PrintEstimate) -> f64| -> f64 {
                plate.pieces.iter().map(|(p, _)| f(&estimates[*p])).sum()
            };
            let profile = plan.profile(plate.printer);
            let layers = plate.pieces.iter().map(|(p, _)| estimates[*p].layers).max();
            let time = profile.start_s
                + of(&|e| e.laying_s)
                + profile.layer_s * layers.unwrap_or(0) as f64;
            PlateEntry {
                file: format!("plates/plate-{:0digits$}.3mf", k + 1),
                printer: plan
                    .printers
                    .get(plate.printer)
                    .map(|p| p.name.clone())
                    .unwrap_or_default(),
                pieces: plate
                    .pieces
                    .iter()
                    .map(|(p, placed)| OnPlate {
                        id: id(p),
                        placement: matrix(placed),
                    })
                    .collect(),
                plastic_g: rounded(of(&|e| grams(e.plastic_mm3))),
                print_min: rounded(time / 60.0),
            }
        })
        .collect();
    let seams = build
        .seams
        .iter()
        .map(|s| SeamEntry {
            id: s.id.clone(),
            origin_mm: seen_at(s, plan).coords.map(tidy).into(),
            normal: direction(&s.frame.n),
            within_mm: plan.seams[s.index].within_mm,
            slide: direction(&s.slide),
            travel_mm: s.travel_mm,
            reason: plan.seams[s.index].reason.clone(),
            contacts: s
                .contacts
                .iter()
                .map(|c| ContactEntry {
                    pieces: [id(&c.pieces[0]), id(&c.pieces[1])],
                    area_mm2: c.area_mm2,
                    joint: c.joint,
                    count: c.count,
                    keys: c.keys.iter().map(id).collect(),
                    width_mm: c.width_mm,
                    taper_deg: c.taper.to_degrees(),
                    seat_slack_mm: c.seat_slack_mm,
                    seat_error_mm: (c.taper > 1e-9).then(|| FLANK_ERROR_MM / c.taper.sin()),
                    estimate: c
                        .estimate
                        .as_ref()
                        .map(|e| EstimateEntry::of(e, c.layer_share)),
                    reason: c.reason.clone(),
                })
                .collect(),
        })
        .collect();
    let steps = build
        .steps
        .iter()
        .enumerate()
        .map(|(k, s)| StepEntry {
            step: k + 1,
            moving: s.moving.iter().map(id).collect(),
            onto: s.onto.iter().map(id).collect(),
            seam: build.seams[s.seam].id.clone(),
            direction: direction(&s.direction),
            travel_mm: s.travel_mm,
        })
        .collect();
    let rules = &plan.settings.joints;
    Report {
        format: "seamwright-report".to_owned(),
        version: 1,
        tool: ToolEntry {
            name: "seamwright".to_owned(),
            version: env!("CARGO_PKG_VERSION").to_owned(),
        },
        model,
        printers: plan.printers.iter().map(PrinterEntry::of).collect(),
        settings: SettingsEntry {
            joint: plan.settings.joint.to_string(),
            clearance_mm: rules.clearance_mm,
            min_wall_mm: rules.min_wall_mm,
            density_g_cm3: plan.settings.density_g_cm3,
            print: plan.settings.print,
        },
        pieces,
        plates,
        seams,
        steps,
        certificate: None,
        resplit: None,
        findings: verdict.findings.clone(),
        cautions: CAUTIONS.map(str::to_owned).to_vec(),
    }
}

/// A frame for a seam that was read back.
pub(crate) fn frame_of(seam: &SeamEntry) -> Option<Frame> {
    let n = solid::Vector::from(seam.normal);
    ((n.norm() - 1.0).abs() < 1e-6).then(|| Frame::facing(seam.origin_mm.into(), n))
}

/// The point of a seam's plane that is told: where it cuts, where it does not go
/// right through.
fn seen_at(seam: &Seam, plan: &Plan) -> Point {
    match plan.seams[seam.index].within() {
        None => seam.frame.origin,
        Some(b) => b.centre() - seam.frame.n * seam.frame.height(&b.centre()),
    }
}
