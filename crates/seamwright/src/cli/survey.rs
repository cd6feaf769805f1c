//! `survey`: a model's size, bodies and defects, and what a split would need.

use std::process::ExitCode;

use design::{Draft, Settings};
use planner::{Brief, Certificate, FoundCuts, NoPlan, find_cuts};
use printing::{Printer, place};
use seamwright::{Failure, Model};
use solid::{Solid, Vector};

use crate::cli::args::SurveyArgs;
use crate::cli::printers::known;
use crate::cli::table;

/// A bed in words, and the cuts that a split for it would have.
type Cuts = (String, Result<FoundCuts, NoPlan>);

pub(crate) fn run(args: &SurveyArgs) -> Result<ExitCode, Failure> {
    let beds = known(&args.bed)?;
    let model = Model::read(&args.model, args.surface.reading(args.unit)?)?;
    let bodies = model.solid.bodies().len();
    let cuts = beds
        .iter()
        .map(|known| cuts(&model.solid, bodies, &known.printer));
    let cuts: Vec<Cuts> = cuts.collect();
    if args.voice.json {
        sayln!("{:#}", as_json(&model, bodies, &cuts));
    } else if !args.voice.quiet {
        sayln!("{}", as_table(&model, bodies, &cuts));
    }
    Ok(ExitCode::SUCCESS)
}

fn cuts(solid: &Solid, bodies: usize, printer: &Printer) -> Cuts {
    let cuts = if bodies == 1 && place(solid, printer).is_ok() {
        Ok(FoundCuts {
            tree: Draft::uncut(),
            pieces: 1,
            certificate: Some(Certificate::of_one_piece()),
        })
    } else {
        let settings = Settings::default();
        find_cuts(&Brief::new(solid, std::slice::from_ref(printer), &settings))
    };
    (printer.to_string(), cuts)
}

fn size_mm(solid: &Solid) -> Vector {
    solid.bounds().map_or_else(Vector::zeros, |b| b.size_mm())
}

fn as_json(model: &Model, bodies: usize, cuts: &[Cuts]) -> serde_json::Value {
    let (solid, size) = (&model.solid, size_mm(&model.solid));
    serde_json::json!({
        "format": "seamwright-survey",
        "version": 1,
        "file": model.name,
        "sha256": model.sha256,
        "unit": model.unit,
        "triangles": solid.triangles().len(),
        "bodies": bodies,
        "size_mm": [size.x, size.y, size.z],
        "volume_mm3": solid.volume_mm3(),
        "area_mm2": solid.area_mm2(),
        "notes": model.notes,
        "splits": cuts.iter().map(|(bed, cuts)| serde_json::json!({
            "bed": bed,
            "pieces": cuts.as_ref().ok().map(|c| c.pieces),
            "seams": cuts.as_ref().ok().map(|c| c.tree.len()),
            "problem": cuts.as_ref().err().map(ToString::to_string),
        })).collect::<Vec<_>>(),
    })
}

fn as_table(model: &Model, bodies: usize, cuts: &[Cuts]) -> comfy_table::Table {
    let (solid, size) = (&model.solid, size_mm(&model.solid));
    let mut table = table::plain();
    table.add_row(["model", &model.name]);
    table.add_row([
        "size",
        &format!("{:.1} × {:.1} × {:.1} mm", size.x, size.y, size.z),
    ]);
    table.add_row(["volume", &format!("{:.1} cm³", solid.volume_mm3() / 1000.0)]);
    table.add_row(["surface", &format!("{:.1} cm²", solid.area_mm2() / 100.0)]);
    table.add_row(["triangles", &solid.triangles().len().to_string()]);
    table.add_row(["bodies", &bodies.to_string()]);
    table.add_row(["defects", "none that stand in the way of a split"]);
    for note in &model.notes {
        let at = note.at_mm.map_or_else(String::new, |[x, y, z]| {
            format!("at ({x:.1}, {y:.1}, {z:.1}): ")
        });
        let message = format!("{at}{}", note.message);
        table.add_row([note.severity.word(), &message]);
    }
    for (bed, cuts) in cuts {
        let words = match cuts {
            Ok(cuts) if cuts.tree.is_empty() => "fits as it is".to_owned(),
            Ok(cuts) => format!("{} pieces, {} seams", cuts.pieces, cuts.tree.len()),
            Err(e) => e.to_string(),
        };
        table.add_row([format!("on {bed}"), words]);
    }
    if cuts.is_empty() {
        table.add_row(["split", "give a --bed to see how many pieces it takes"]);
    }
    table
}
