//! A report made from a build that was written and judged.

use design::{Assembly, PieceEntry, Plan, rows};
use inspection::Verdict;
use printing::{Plate, PrintEstimate, ToPack, pack, print_estimate};
use rayon::prelude::*;
use solid::Solid;
use workshop::{Build, Written, measured};

use crate::record::entries::{
    ModelEntry, OnPlate, PlateEntry, PrinterEntry, Report, SettingsEntry, ToolEntry,
};

/// What no report of this program promises.
pub(crate) const CAUTIONS: [&str; 5] = [
    "No load rating is given or implied. Test every piece of furniture well beyond its use before trusting it, away from people.",
    "Plastics creep under load and soften with heat: joints loosen over time, in the sun and near heaters. Check them again and again.",
    "Anchor tall or top-heavy furniture to the wall so that it cannot tip over, above all where there are children.",
    "Thickness, fit and assembly are judged from geometry alone; print quality, material and layer direction decide whether a piece holds.",
    "Where local codes or standards apply, or people could be hurt, they and the judgement of a licensed professional come first.",
];

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
    (written, assembly): (&[Written], &Assembly),
    verdict: &Verdict,
    printed: &[usize],
) -> Report {
    let made = Made {
        plan,
        build,
        written,
        estimates: estimates(written, build, plan),
    };
    let pieces = (0..build.pieces.len()).map(|k| made.piece(k, verdict.thinnest_mm[k]));
    let is_printed = |k: usize| printed.contains(&k);
    Report {
        format: "seamwright-report".to_owned(),
        version: 1,
        tool: ToolEntry {
            name: "seamwright".to_owned(),
            version: env!("CARGO_PKG_VERSION").to_owned(),
        },
        model,
        printers: plan.printers().iter().map(PrinterEntry::of).collect(),
        settings: SettingsEntry::of(plan),
        pieces: pieces.collect(),
        plates: made.plates(is_printed),
        seams: assembly.seams().to_vec(),
        steps: assembly.steps().to_vec(),
        worth: Some(measured(build, is_printed).worth()),
        certificate: None,
        resplit: None,
        findings: verdict.findings.clone(),
        cautions: CAUTIONS.map(str::to_owned).to_vec(),
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

/// What was made, and what it takes to print.
struct Made<'a> {
    plan: &'a Plan,
    build: &'a Build,
    written: &'a [Written],
    estimates: Vec<PrintEstimate>,
}

impl Made<'_> {
    fn grams(&self, volume_mm3: f64) -> f64 {
        self.plan.settings().material.grams(volume_mm3)
    }

    /// What is told of a piece.
    fn piece(&self, k: usize, thinnest_mm: Option<f64>) -> PieceEntry {
        let (p, w, estimate) = (&self.build.pieces[k], &self.written[k], &self.estimates[k]);
        let (printer, profile) = (self.plan.printer(p.printer), self.plan.profile(p.printer));
        let alone_s =
            profile.start_s + estimate.laying_s + profile.layer_s * estimate.layers as f64;
        let placed = p.placement.as_ref();
        PieceEntry {
            id: p.id.clone(),
            file: w.file.clone(),
            printed: false,
            printer: printer.name.clone(),
            triangles: w.as_printed.triangles().len(),
            volume_mm3: w.as_printed.volume_mm3(),
            size_mm: size_mm(&w.as_printed),
            thinnest_mm,
            placement: rows(&p.onto_bed().inverse()),
            overhang_mm2: placed.map_or(0.0, |p| p.overhang_mm2),
            slenderness: placed.map_or(0.0, |p| p.slenderness),
            plastic_g: rounded(self.grams(estimate.plastic_mm3)),
            print_min: rounded(alone_s / 60.0),
            joints_across: placed.map_or(0, |p| p.joints_across),
            labels: p.labels.clone(),
        }
    }

    /// The plates of all pieces that are still to be printed.
    fn plates(&self, is_printed: impl Fn(usize) -> bool) -> Vec<PlateEntry> {
        let to_pack: Vec<ToPack> = (0..self.written.len())
            .filter(|k| !is_printed(*k) && self.build.pieces[*k].placement.is_ok())
            .map(|k| ToPack {
                piece: k,
                printer: self.build.pieces[k].printer.place(),
                as_printed: &self.written[k].as_printed,
            })
            .collect();
        let packed = pack(&to_pack, self.plan.printers());
        let digits = packed.len().to_string().len().max(2);
        let plates = packed.iter().enumerate();
        plates
            .map(|(k, plate)| self.plate(k + 1, digits, plate))
            .collect()
    }

    fn plate(&self, number: usize, digits: usize, plate: &Plate) -> PlateEntry {
        let of = |f: &dyn Fn(&PrintEstimate) -> f64| -> f64 {
            let pieces = plate.pieces.iter();
            pieces.map(|(p, _)| f(&self.estimates[*p])).sum()
        };
        let printer = design::PrinterId::at(plate.printer);
        let profile = self.plan.profile(printer);
        let layers = plate.pieces.iter().map(|(p, _)| self.estimates[*p].layers);
        let time = profile.start_s
            + of(&|e| e.laying_s)
            + profile.layer_s * layers.max().unwrap_or(0) as f64;
        PlateEntry {
            file: format!("plates/plate-{number:0digits$}.3mf"),
            printer: self.plan.printer(printer).name.clone(),
            pieces: plate
                .pieces
                .iter()
                .map(|(p, placed)| OnPlate {
                    id: self.build.pieces[*p].id.clone(),
                    placement: rows(placed),
                })
                .collect(),
            plastic_g: rounded(of(&|e| self.grams(e.plastic_mm3))),
            print_min: rounded(time / 60.0),
        }
    }
}

fn size_mm(solid: &Solid) -> [f64; 3] {
    solid.bounds().map_or([0.0; 3], |b| b.size_mm().into())
}
