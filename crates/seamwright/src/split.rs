use std::path::{Path, PathBuf};
use std::process::ExitCode;

use exchange::LengthUnit;
use inspection::{Assembly, Finding, Limits, Severity};
use paperwork::{ModelEntry, OutputFolder, Report, Written};
use planner::{ModelReference, PLAN_FORMAT, Plan, Printer, Settings};
use rayon::prelude::*;
use solid::Solid;
use workshop::{Build, Remark};

use crate::args::SplitArgs;
use crate::failure::Failure;
use crate::model_file::{self, Model};
use crate::progress::Progress;
use crate::summary::summary;

pub(crate) fn run(args: &SplitArgs) -> Result<ExitCode, Failure> {
    let out = args
        .out
        .clone()
        .unwrap_or_else(|| default_folder(&args.model));
    OutputFolder::may_begin(&out, args.force)?;
    let given = args.plan.as_deref().map(read_plan).transpose()?;
    let settings = given
        .as_ref()
        .map_or_else(|| settings(args), |p| Ok(p.settings.clone()))?;
    for known in &args.bed {
        bed_takes_a_joint(&known.printer, &settings)?;
    }

    let progress = Progress::new(6, args.voice);
    progress.stage(&format!("reading {}", args.model.display()));
    let unit = match &given {
        Some(plan) => plan.model.unit.parse().unwrap_or(args.unit),
        None => args.unit,
    };
    let model = model_file::read(&args.model, unit)?;
    let mut extra = model.notes.clone();

    progress.stage("finding where to cut");
    let plan = match given {
        Some(plan) => {
            if plan.model.sha256 != model.sha256 {
                extra.push(Finding::new(
                    Severity::Warning,
                    "plan-of-another-model",
                    format!("the plan was made for another state of {}", plan.model.file),
                ));
            }
            Plan {
                model: reference(&model, unit),
                printers: printers(args, plan.printers),
                ..plan
            }
        }
        None => found_plan(args, &model, unit, settings)?,
    };

    progress.stage("cutting and joining");
    let build = workshop::build(&model.solid, &plan).map_err(|e| {
        Failure::input(
            &args.model,
            e,
            "Repair the model in a mesh editor, or move the seams in the plan.",
        )
    })?;
    let pieces = written(&build).map_err(|(id, e)| {
        Failure::input(
            &args.model,
            format!("piece {id} could not be written: {e}"),
            "Move the seams beside it a little in the plan.",
        )
    })?;

    progress.stage("judging the pieces");
    let solids: Vec<Written> = pieces.iter().map(|(w, _)| w.clone()).collect();
    let assembly = paperwork::assembly(&plan, &build, &solids);
    let limits = Limits {
        min_wall_mm: plan.settings.joints.min_wall_mm,
    };
    let mut verdict = inspection::inspect(&assembly, &limits);
    verdict.findings.extend(remarks(&build));
    verdict.findings.extend(across_layers(&build));
    verdict.findings.extend(extra);
    verdict.findings.sort_by_key(|f| f.severity);
    let entry = ModelEntry::of(&model.solid, &model.name, &model.sha256, unit.sign());
    let report = paperwork::report(entry, &plan, &build, &solids, &verdict);

    progress.stage(&format!("writing {}", out.display()));
    write(&out, args.force, &plan, &report, &pieces, &assembly)?;
    progress.done();

    if args.voice.json {
        println!("{}", to_json(&report)?);
    } else if !args.voice.quiet {
        print!("{}", summary(&report, &out, true));
    }
    Ok(ExitCode::from(u8::from(!verdict.is_sound())))
}

fn default_folder(model: &Path) -> PathBuf {
    let stem = model
        .file_stem()
        .map_or_else(|| "model".into(), |s| s.to_string_lossy().into_owned());
    PathBuf::from(format!("{stem}-pieces"))
}

fn read_plan(path: &Path) -> Result<Plan, Failure> {
    let text = std::fs::read_to_string(path)
        .map_err(|e| Failure::input(path, e, "Give the path of a plan.toml."))?;
    Plan::from_toml(&text).map_err(|e| {
        Failure::input(
            path,
            e,
            "Mend the plan, or let `seamwright split` write a new one.",
        )
    })
}

fn settings(args: &SplitArgs) -> Result<Settings, Failure> {
    let mut settings = Settings::default();
    if let Some(joint) = &args.joint {
        settings.joint = joint.clone();
    }
    settings.hide.clone_from(&args.hide);
    settings.wishes = args.wishes.wishes();
    let set = |to: &mut f64, from: Option<f64>| {
        if let Some(x) = from {
            *to = x;
        }
    };
    // What a printer's coupons showed serves where nothing else is said; of
    // several printers the loosest.
    let learnt = args
        .bed
        .iter()
        .filter_map(|p| p.clearance_mm)
        .reduce(f64::max);
    set(&mut settings.joints.clearance_mm, args.clearance.or(learnt));
    set(&mut settings.joints.min_wall_mm, args.min_wall);
    set(&mut settings.density_g_cm3, args.density);
    set(&mut settings.scarf_deg, args.scarf);
    settings
        .checked()
        .map_err(|e| Failure::Usage(e.to_string()))?;
    Ok(settings)
}

/// A bed on which no piece with a joint at either end has room is a slip of
/// the pen.
fn bed_takes_a_joint(printer: &Printer, settings: &Settings) -> Result<(), Failure> {
    let rules = &settings.joints;
    let least = 2.0 * rules.reach_mm() + rules.tail_width_mm;
    let longest = printer.usable_mm().into_iter().fold(0.0, f64::max);
    if longest < least {
        return Err(Failure::Usage(format!(
            "a bed of {printer} is smaller than a joint: a piece needs {least:.1} mm in some \
             direction and the bed leaves {longest:.1}; give a larger --bed"
        )));
    }
    Ok(())
}

/// The printers of the command line, numbered; those of a plan where none are
/// given.
fn printers(args: &SplitArgs, otherwise: Vec<Printer>) -> Vec<Printer> {
    if args.bed.is_empty() {
        return otherwise;
    }
    args.bed
        .iter()
        .enumerate()
        .map(|(k, known)| Printer {
            name: format!("bed-{}", k + 1),
            ..known.printer.clone()
        })
        .collect()
}

fn reference(model: &Model, unit: LengthUnit) -> ModelReference {
    ModelReference {
        file: model.name.clone(),
        sha256: model.sha256.clone(),
        unit: unit.sign().to_owned(),
    }
}

fn found_plan(
    args: &SplitArgs,
    model: &Model,
    unit: LengthUnit,
    settings: Settings,
) -> Result<Plan, Failure> {
    let printers = printers(args, Vec::new());
    let found = planner::find_cuts(&model.solid, &printers, &settings)
        .map_err(|e| Failure::input(&args.model, e, "Try another --bed or --joint."))?;
    Ok(Plan {
        format: PLAN_FORMAT.to_owned(),
        version: 1,
        model: reference(model, unit),
        settings,
        printers,
        seams: found.seams,
    })
}

/// A piece as it goes to disk: how it reads back, and its bytes; none where
/// the file of its twin serves.
type PieceFile = (Written, Option<Vec<u8>>);

/// The pieces as they go to disk, with their bytes.
fn written(build: &Build) -> Result<Vec<PieceFile>, (String, String)> {
    let mut files: Vec<Option<PieceFile>> = build
        .pieces
        .par_iter()
        .map(|piece| {
            // A twin that fits no bed is only shifted there, each by itself.
            if piece.twin.is_some() && piece.placement.is_ok() {
                return Ok(None);
            }
            let fail = |e: String| (piece.id.clone(), e);
            let as_printed = piece.solid.moved(&piece.onto_bed());
            let bytes = exchange::write_stl(&as_printed).map_err(|e| fail(e.to_string()))?;
            let soup = exchange::read_stl(&bytes).map_err(|e| fail(e.to_string()))?;
            let as_printed = Solid::from_triangles(soup).map_err(|e| fail(e.to_string()))?;
            let file = format!("pieces/{}.stl", piece.id);
            Ok(Some((Written { file, as_printed }, Some(bytes))))
        })
        .collect::<Result<_, (String, String)>>()?;
    for k in 0..files.len() {
        if let (None, Some(twin)) = (&files[k], build.pieces[k].twin) {
            files[k] = files[twin.of].as_ref().map(|(w, _)| (w.clone(), None));
        }
    }
    Ok(files.into_iter().flatten().collect())
}

fn remarks(build: &Build) -> Vec<Finding> {
    build
        .remarks
        .iter()
        .filter_map(|remark| match remark {
            Remark::FallsApart { piece, part } => {
                let id = &build.pieces[*piece].id;
                let finding = Finding::new(
                    Severity::Error,
                    "loose-part",
                    format!(
                        "a joint or seam cuts {:.0} mm³ off {id} that hangs on nothing and is not \
                         in any piece; move the seam beside it",
                        part.volume_mm3()
                    ),
                )
                .piece(id);
                Some(match part.bounds() {
                    Some(b) => finding.at(&b.centre()),
                    None => finding,
                })
            }
            Remark::Dropped { volume_mm3 } => Some(
                Finding::new(
                    Severity::Note,
                    "chips",
                    format!("{volume_mm3:.2} mm³ of chips that hang on nothing were dropped"),
                )
                .measured(*volume_mm3, 0.0),
            ),
            // The inspection says it of the contact itself.
            Remark::PlainContact { .. } => None,
        })
        .collect()
}

/// One note for all pieces that cannot lie so that the profiles of all their
/// joints are in the layer plane.
fn across_layers(build: &Build) -> Option<Finding> {
    let ids: Vec<&str> = build
        .pieces
        .iter()
        .filter(|p| p.placement.as_ref().is_ok_and(|l| l.joints_across > 0))
        .map(|p| p.id.as_str())
        .collect();
    (!ids.is_empty()).then(|| {
        Finding::new(
            Severity::Note,
            "joints-across-layers",
            format!(
                "as they lie, some joints of {} have their profile across the layers: such flanks \
                 print with overhangs, and necks that layers cross bear less; the estimates count \
                 it",
                ids.join(", ")
            ),
        )
    })
}

fn to_json(report: &Report) -> Result<String, Failure> {
    serde_json::to_string_pretty(report).map_err(|e| Failure::Usage(e.to_string()))
}

fn write(
    out: &Path,
    force: bool,
    plan: &Plan,
    report: &Report,
    pieces: &[PieceFile],
    assembly: &Assembly,
) -> Result<(), Failure> {
    let text = |e: &dyn std::fmt::Display| Failure::Usage(e.to_string());
    let in_place: Vec<Solid> = assembly.pieces.iter().map(|p| p.in_place.clone()).collect();
    let (page, (whole, exploded)) = rayon::join(
        || paperwork::page(report, assembly),
        || {
            rayon::join(
                || paperwork::whole(&in_place),
                || paperwork::exploded(&in_place),
            )
        },
    );
    let folder = OutputFolder::begin(out, force)?;
    folder.write(
        "plan.toml",
        plan.to_toml().map_err(|e| text(&e))?.as_bytes(),
    )?;
    for (piece, bytes) in pieces {
        if let Some(bytes) = bytes {
            folder.write(&piece.file, bytes)?;
        }
    }
    folder.write(
        "cut-list.csv",
        paperwork::cut_list(report)
            .map_err(|e| text(&e))?
            .as_bytes(),
    )?;
    folder.write("report.json", (to_json(report)? + "\n").as_bytes())?;
    folder.write("report.html", page.map_err(|e| text(&e))?.as_bytes())?;
    folder.write("pictures/whole.png", &whole.map_err(|e| text(&e))?)?;
    folder.write("pictures/exploded.png", &exploded.map_err(|e| text(&e))?)?;
    folder.finish()?;
    Ok(())
}
