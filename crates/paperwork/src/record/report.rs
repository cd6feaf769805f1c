//! A report made from a build that was written and judged.

use std::sync::Arc;

use crate::record::print_order::{ToTry, print_order};
use crate::record::undoing::undoing;
use design::{Assembly, BuildMeasures, PieceEntry, PieceId, Plan, SeamEntry, rows};
use inspection::Verdict;
use joinery::JointKind;
use planner::Members;
use printing::{Plate, PlateCap, PrintBill, Stance, ToPack, islands, pack};
use rayon::prelude::*;
use solid::{Isometry, Solid, Vector};
use workshop::{Build, Written, measured, with_prints};

use crate::record::entries::{
    BodyEntry, ModelEntry, OnPlate, PlateEntry, PrinterEntry, Report, SettingsEntry, ToolEntry,
};
use crate::record::made_of::MadeOf;

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

/// The report of a split of a model, of what that is made, if it is of members. `printed` are
/// pieces, by index, that need no plate
/// any more.
pub fn report(
    (model, members): (ModelEntry, Option<&Members>),
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
        printed: all_printed(written, build, plan),
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
        plates: made.plates(is_printed, assembly.seams()),
        seams: assembly.seams().to_vec(),
        bodies: BodyEntry::all(plan),
        steps: assembly.steps().to_vec(),
        undoing: undoing(assembly),
        worth: Some(made.measures(is_printed).worth(&plan.settings().rates)),
        certificate: None,
        made_of: members.and_then(|found| MadeOf::of(found, build)),
        resplit: None,
        findings: verdict.findings.clone(),
        cautions: CAUTIONS.map(str::to_owned).to_vec(),
    }
}

/// How a piece stands as it lies, and what it takes to print.
struct Printed {
    stance: Stance,
    bill: PrintBill,
    support_s: f64,
}

/// What all pieces take, each file looked at once.
fn all_printed(written: &[Written], build: &Build, plan: &Plan) -> Vec<Arc<Printed>> {
    let first = |k: usize| {
        (0..=k).find(|&i| !written[i].file.is_empty() && written[i].file == written[k].file)
    };
    let fresh: Vec<Option<Arc<Printed>>> = (0..written.len())
        .into_par_iter()
        .map(|k| {
            let profile = plan.profile(build.pieces[k].printer);
            let lying = &written[k].as_printed;
            (first(k).unwrap_or(k) == k).then(|| {
                let stance = Stance::of(lying, plan.printer(build.pieces[k].printer), profile);
                let bill = PrintBill::of(lying, &stance, profile);
                Arc::new(Printed {
                    support_s: bill.support_mm3 / profile.flow_mm3_s,
                    stance,
                    bill,
                })
            })
        })
        .collect();
    (0..written.len())
        .filter_map(|k| fresh[first(k).unwrap_or(k)].clone())
        .collect()
}

/// What was made, and what it takes to print.
struct Made<'a> {
    plan: &'a Plan,
    build: &'a Build,
    written: &'a [Written],
    printed: Vec<Arc<Printed>>,
}

impl Made<'_> {
    fn grams(&self, volume_mm3: f64) -> f64 {
        self.plan.settings().material.grams(volume_mm3)
    }

    /// What is told of a piece.
    fn piece(&self, k: usize, thinnest_mm: Option<f64>) -> PieceEntry {
        let (p, w, printed) = (&self.build.pieces[k], &self.written[k], &self.printed[k]);
        let (bill, stance) = (&printed.bill, &printed.stance);
        let printer = self.plan.printer(p.printer);
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
            first_layer_mm2: rounded(stance.footing.first_layer_mm2),
            tips_deg: rounded(stance.footing.tips_deg.max(-90.0)),
            lies_askew: lies_askew(&p.onto_bed()),
            ears_mm: stance.ears.at_mm.iter().map(|at| at.map(rounded)).collect(),
            ears_reach_mm: (!stance.ears.at_mm.is_empty())
                .then(|| stance.ears.reach_mm.map(rounded)),
            islands: islands(&w.as_printed).len(),
            overhang_mm2: rounded(stance.support.under_mm2),
            support_mm3: rounded(stance.support.space_mm3),
            support_g: rounded(self.grams(bill.support_mm3)),
            support_min: rounded(printed.support_s / 60.0),
            slenderness: stance.footing.slenderness,
            plastic_g: rounded(self.grams(bill.plastic_mm3())),
            print_min: rounded(60.0 * self.hours(k)),
            joints_across: placed.map_or(0, |p| p.joints_across),
            labels: p.labels.clone(),
        }
    }

    /// Hours to print a piece by itself.
    fn hours(&self, k: usize) -> f64 {
        let profile = self.plan.profile(self.build.pieces[k].printer);
        self.printed[k].bill.hours(profile) + profile.start_s / 3600.0
    }

    /// What the build is judged by.
    fn measures(&self, is_printed: impl Fn(usize) -> bool + Copy) -> BuildMeasures {
        let to_print = (0..self.written.len())
            .filter(|k| !is_printed(*k) && self.build.pieces[*k].placement.is_ok());
        let bills = to_print.map(|k| (k, self.printed[k].bill));
        with_prints(
            measured(self.build, is_printed),
            self.plan,
            self.build,
            bills,
        )
    }

    /// The plates of all pieces that are still to be printed, in the order in which they
    /// are best printed.
    fn plates(
        &self,
        is_printed: impl Fn(usize) -> bool + Copy,
        seams: &[SeamEntry],
    ) -> Vec<PlateEntry> {
        let to_pack: Vec<ToPack> = (0..self.written.len())
            .filter(|k| !is_printed(*k) && self.build.pieces[*k].placement.is_ok())
            .map(|k| ToPack {
                piece: k,
                printer: self.build.pieces[k].printer.place(),
                as_printed: &self.written[k].as_printed,
                plastic_g: self.grams(self.printed[k].bill.plastic_mm3()),
                hours: self.hours(k),
                brim_mm: self.printed[k].stance.around_mm(),
                ears_mm: self.printed[k].stance.ears.laid(),
            })
            .collect();
        let wishes = &self.plan.settings().wishes;
        let most = PlateCap {
            plastic_g: wishes.most_plastic_g(),
            hours: wishes.longest_print_h,
        };
        let packed = pack(&to_pack, self.plan.printers(), &most);
        let pieces = |plate: &Plate| plate.pieces.iter().map(|(k, _)| *k).collect();
        let on_plates: Vec<Vec<usize>> = packed.iter().map(pieces).collect();
        let (joints, names) = self.joints(seams);
        let order = print_order(&on_plates, is_printed, &joints);
        let digits = packed.len().to_string().len().max(2);
        let plates = order.into_iter().enumerate();
        plates
            .map(|(k, (plate, tried))| PlateEntry {
                can_be_tried: tried.iter().map(|&j| names[j].clone()).collect(),
                ..self.plate(k + 1, digits, &packed[plate])
            })
            .collect()
    }

    /// The joints between pieces, and what each is called. Less certain are those of many
    /// tails, of which all have to go home at once, those that a small error moves far,
    /// and those that hold by friction alone.
    fn joints(&self, seams: &[SeamEntry]) -> (Vec<ToTry>, Vec<String>) {
        let pieces = &self.build.pieces;
        let place = |id: &PieceId| pieces.iter().position(|p| p.id == *id);
        let contacts = seams
            .iter()
            .flat_map(|s| s.contacts.iter().map(|c| (&s.id, c)));
        let joined = contacts.filter(|(_, c)| c.joint != JointKind::Plain);
        let mut out: Vec<(ToTry, String)> = Vec::new();
        for (seam, c) in joined {
            let [a, b] = &c.pieces;
            let (Some(below), Some(above)) = (place(a), place(b)) else {
                continue;
            };
            let friction = if c.joint == JointKind::Tenon {
                2.0
            } else {
                0.0
            };
            let moved = c.seat_error_mm.unwrap_or(0.0) / 10.0;
            let uncertain = 1.0 + 0.1 * c.count.saturating_sub(1) as f64 + moved + friction;
            let name = format!("{a} and {b} at {seam}");
            // The limbs of a contact are tried together.
            match out.iter_mut().find(|(_, known)| *known == name) {
                Some((limbs, _)) => limbs.uncertain = limbs.uncertain.max(uncertain),
                None => out.push((
                    ToTry {
                        pieces: [below, above],
                        uncertain,
                    },
                    name,
                )),
            }
        }
        out.into_iter().unzip()
    }

    fn plate(&self, number: usize, digits: usize, plate: &Plate) -> PlateEntry {
        let of = |f: &dyn Fn(&Printed) -> f64| -> f64 {
            let pieces = plate.pieces.iter();
            pieces.map(|(p, _)| f(&self.printed[*p])).sum()
        };
        let printer = design::PrinterId::at(plate.printer);
        let profile = self.plan.profile(printer);
        let layers = plate.pieces.iter();
        let layers = layers.map(|(p, _)| self.printed[*p].bill.estimate.layers);
        let laying_s = of(&|p| p.bill.laying_s(profile));
        // While one piece cools, the others are printed.
        let waits = plate.pieces.iter().map(|(p, _)| {
            let bill = &self.printed[*p].bill;
            bill.estimate.cooling_s - (laying_s - bill.laying_s(profile))
        });
        let cooling_s = waits.fold(0.0, f64::max);
        let time = profile.start_s
            + laying_s
            + cooling_s
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
            can_be_tried: Vec::new(),
            plastic_g: rounded(self.grams(of(&|p| p.bill.plastic_mm3()))),
            support_g: rounded(self.grams(of(&|p| p.bill.support_mm3))),
            print_min: rounded(time / 60.0),
            support_min: rounded(of(&|p| p.support_s) / 60.0),
        }
    }
}

/// Whether no axis of the model is square to the bed.
fn lies_askew(onto_bed: &Isometry) -> bool {
    let up = onto_bed.inverse() * Vector::z();
    up.amax() < 1.0 - 1e-6
}

fn size_mm(solid: &Solid) -> [f64; 3] {
    solid.bounds().map_or([0.0; 3], |b| b.size_mm().into())
}
