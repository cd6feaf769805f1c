use std::path::{Path, PathBuf};
use std::process::ExitCode;

use exchange::LengthUnit;
use inspection::{Finding, Severity};
use paperwork::{ModelEntry, OutputFolder};
use planner::{ModelReference, Plan, Printer, Settings};
use workshop::{BuildError, NoSplit};

use crate::args::SplitArgs;
use crate::failure::Failure;
use crate::finish;
use crate::model_file::{self, Model};
use crate::progress::Progress;

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

    let progress = Progress::new(4, args.voice);
    progress.stage(&format!("reading {}", args.model.display()));
    let unit = match &given {
        Some(plan) => plan.model.unit.parse().unwrap_or(args.unit),
        None => args.unit,
    };
    let model = model_file::read(&args.model, unit)?;
    let mut extra = model.notes.clone();

    progress.stage("finding where to cut, cutting and joining");
    let (plan, mut build, certificate) = match given {
        Some(plan) => {
            if plan.model.sha256 != model.sha256 {
                extra.push(Finding::new(
                    Severity::Warning,
                    "plan-of-another-model",
                    format!("the plan was made for another state of {}", plan.model.file),
                ));
            }
            let plan = Plan {
                model: reference(&model, unit),
                printers: printers(args, plan.printers),
                ..plan
            };
            let build = workshop::build(&model.solid, &plan)
                .map_err(|e| refused(args, NoSplit::Build(e)))?;
            (plan, build, None)
        }
        None => {
            let (printers, reference) = (printers(args, Vec::new()), reference(&model, unit));
            let split = workshop::split(&model.solid, &printers, &settings, reference)
                .map_err(|e| refused(args, e))?;
            (split.plan, split.build, Some(split.certificate))
        }
    };
    finish::label(&mut build, &plan, &[])?;
    let pieces = finish::written(&build, args.format)?;
    let entry = ModelEntry::of(&model.solid, &model.name, &model.sha256, unit.sign());
    progress.stage("judging the pieces");
    let mut outcome = finish::judge(&plan, &build, pieces, entry, extra, &[]);
    outcome.report.certificate = certificate;
    progress.stage(&format!("writing {}", out.display()));
    finish::write(&out, args.force, &plan, &build, &outcome)?;
    progress.done();
    finish::tell(&outcome, &out, args.voice)
}

fn default_folder(model: &Path) -> PathBuf {
    let stem = model
        .file_stem()
        .map_or_else(|| "model".into(), |s| s.to_string_lossy().into_owned());
    PathBuf::from(format!("{stem}-pieces"))
}

pub(crate) fn read_plan(path: &Path) -> Result<Plan, Failure> {
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
    settings.labels = !args.no_labels;
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
pub(crate) fn bed_takes_a_joint(printer: &Printer, settings: &Settings) -> Result<(), Failure> {
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

fn refused(args: &SplitArgs, error: NoSplit) -> Failure {
    let remedy = match error {
        NoSplit::Plan(_) => "Try another --bed or --joint.",
        NoSplit::Build(BuildError::Kernel(_)) => {
            "Repair the model in a mesh editor, or move the seams in the plan."
        }
        NoSplit::Build(_) => "Mend the plan, or let the program make one with --bed.",
    };
    Failure::input(&args.model, error, remedy)
}
