use std::process::ExitCode;

use planner::{Certificate, FoundCuts, Settings};
use solid::Vector;

use crate::args::SurveyArgs;
use crate::failure::Failure;
use crate::model_file;
use crate::table;

pub(crate) fn run(args: &SurveyArgs) -> Result<ExitCode, Failure> {
    let model = model_file::read(&args.model, args.unit)?;
    let solid = &model.solid;
    let size = solid.bounds().map_or_else(Vector::zeros, |b| b.size_mm());
    let bodies = solid.bodies().len();
    let mut splits = Vec::new();
    for known in &args.bed {
        let printer = &known.printer;
        let fits = bodies == 1 && planner::place(solid, printer).is_ok();
        let cuts = if fits {
            Ok(FoundCuts {
                seams: Vec::new(),
                pieces: 1,
                certificate: Certificate::of_one_piece(),
            })
        } else {
            planner::find_cuts(solid, std::slice::from_ref(printer), &Settings::default())
        };
        splits.push((printer.to_string(), cuts));
    }
    if args.voice.json {
        let value = serde_json::json!({
            "format": "seamwright-survey",
            "version": 1,
            "file": model.name,
            "sha256": model.sha256,
            "unit": args.unit.sign(),
            "triangles": solid.triangles().len(),
            "bodies": bodies,
            "size_mm": [size.x, size.y, size.z],
            "volume_mm3": solid.volume_mm3(),
            "area_mm2": solid.area_mm2(),
            "notes": model.notes,
            "splits": splits.iter().map(|(bed, cuts)| serde_json::json!({
                "bed": bed,
                "pieces": cuts.as_ref().ok().map(|c| c.pieces),
                "seams": cuts.as_ref().ok().map(|c| c.seams.len()),
                "problem": cuts.as_ref().err().map(ToString::to_string),
            })).collect::<Vec<_>>(),
        });
        println!("{value:#}");
        return Ok(ExitCode::SUCCESS);
    }
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
        table.add_row(["note", &note.message]);
    }
    for (bed, cuts) in &splits {
        let words = match cuts {
            Ok(cuts) if cuts.seams.is_empty() => "fits as it is".to_owned(),
            Ok(cuts) => format!("{} pieces, {} seams", cuts.pieces, cuts.seams.len()),
            Err(e) => e.to_string(),
        };
        table.add_row([format!("on {bed}"), words]);
    }
    if splits.is_empty() {
        table.add_row(["split", "give a --bed to see how many pieces it takes"]);
    }
    if !args.voice.quiet {
        println!("{table}");
    }
    Ok(ExitCode::SUCCESS)
}
