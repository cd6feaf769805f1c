//! `split`: a model cut into pieces that fit a bed.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use design::{ModelReference, Plan, Settings};
use inspection::Code;
use paperwork::{OutputFolder, Replace};
use printing::Printer;
use seamwright::{Failure, Model, Reading, Request, read_plan, recalled};

use crate::cli::args::{SplitArgs, Voice};
use crate::cli::printers::{KnownPrinter, known, numbered, take_a_joint};
use crate::cli::summary::tell;
use crate::cli::terminal::progress::Progress;
use crate::cli::terminal::wrapped::for_stderr;

pub(crate) fn run(args: &SplitArgs) -> Result<ExitCode, Failure> {
    let out = args
        .out
        .clone()
        .unwrap_or_else(|| default_folder(&args.model));
    // A run that was cut short may still have the plan that is meant.
    for file in args.plan.iter().chain(&args.settings) {
        if let Some(folder) = file.parent() {
            paperwork::settled(folder)?;
        }
    }
    let given = args.plan.as_deref().map(read_plan).transpose()?;
    let (plan, text) = given.unzip();
    let replace = replacing(args, &out, text.as_ref());
    OutputFolder::may_begin(&out, &replace)?;
    let beds = known(&args.bed)?;
    let request = request(args, &beds, plan)?;
    let progress = Progress::new(4, args.voice);
    progress.stage(&format!("reading {}", args.model.display()));
    let reading = reading(args, &request)?;
    let model = Model::read(&args.model, reading)?;
    before_it_takes_long(&model, args.voice);
    let stage = |what: &str| progress.stage(what);
    let of_plan = args.plan.as_deref().and_then(Path::parent);
    let recall = recalled([out.as_path()].into_iter().chain(of_plan));
    let mut outcome = seamwright::split(&model, request, args.format.into(), &recall, &stage)?;
    if let Some(text) = &text {
        outcome.keep_plan_text(text);
    }
    progress.stage(&format!("writing {}", out.display()));
    outcome.write(&out, replace)?;
    progress.done();
    tell(&outcome, &out, args.voice)
}

/// Says at once what would make a run long that nobody meant.
fn before_it_takes_long(model: &Model, voice: Voice) {
    let large = model.notes.iter().find(|f| f.code == Code::LargeModel);
    if let Some(large) = large.filter(|_| !voice.quiet && !voice.json) {
        warn!(
            "{}",
            for_stderr(&format!("warning {}: {}", large.code, large.message))
        );
    }
}

/// What may be replaced: with a folder's own plan, that plan too.
fn replacing(args: &SplitArgs, out: &Path, text: Option<&String>) -> Replace {
    let place = |path: &Path| std::fs::canonicalize(path).ok();
    let own = place(&out.join("plan.toml"));
    let runs_own = own.is_some() && args.plan.as_deref().and_then(place) == own;
    match text.filter(|_| runs_own) {
        _ if !args.force => Replace::Nothing,
        None => Replace::Owned,
        Some(text) => Replace::OwnedAndPlan(text.clone()),
    }
}

/// How the model is read: a plan holds for one reading alone.
fn reading(args: &SplitArgs, request: &Request) -> Result<Reading, Failure> {
    let Request::Plan(plan) = request else {
        return args.surface.reading(args.unit.unwrap_or_default());
    };
    let planned = plan.model();
    if let Some(given) = args.unit.filter(|given| *given != planned.unit) {
        return Err(Failure::Usage(format!(
            "the plan is for a model whose numbers stand for {}, and --unit says {}; leave \
             --unit out, or change `unit` in the plan",
            planned.unit.sign(),
            given.sign()
        )));
    }
    let given = args.surface.reading(planned.unit)?;
    if let Some(why) = read_otherwise(&given, planned) {
        return Err(Failure::Usage(format!("the plan is for a model {why}")));
    }
    Ok(Reading {
        mend: given.mend,
        ..planned.into()
    })
}

/// How a model is to be read otherwise than a plan has it, where it is.
fn read_otherwise(given: &Reading, planned: &ModelReference) -> Option<String> {
    let mm = |planned: Option<f64>, none: &str| {
        planned.map_or(none.to_owned(), |mm| format!("of {mm} mm"))
    };
    let remedy = |option: &str, field: &str| {
        format!("leave {option} out, or change `{field}` under [model] in the plan")
    };
    if let Some(gaps) = given
        .join_gaps_mm
        .filter(|mm| Some(*mm) != planned.join_gaps_mm)
    {
        let was = mm(planned.join_gaps_mm, "of no width");
        let remedy = remedy("--join-gaps", "join_gaps_mm");
        return Some(format!(
            "with gaps {was} joined, and --join-gaps says {gaps}; {remedy}"
        ));
    }
    let thicken_mm = given.mends.thicken_mm;
    if let Some(thick) = thicken_mm.filter(|mm| Some(*mm) != planned.thicken_mm) {
        let was = mm(planned.thicken_mm, "left as they are");
        let remedy = remedy("--thicken", "thicken_mm");
        return Some(format!(
            "with surfaces without thickness {was}, and --thicken says {thick}; {remedy}"
        ));
    }
    (given.mends.guess && !planned.mend).then(|| {
        let remedy = remedy("--mend", "mend");
        format!("whose holes were closed only where that is certain; {remedy}")
    })
}

/// What is asked for: a plan to carry out, on other printers where some are given,
/// or a plan to find.
fn request(
    args: &SplitArgs,
    beds: &[KnownPrinter],
    plan: Option<Plan>,
) -> Result<Request, Failure> {
    let Some(plan) = plan else {
        if let Some(file) = &args.settings {
            return as_settled(file, beds);
        }
        let settings = settings(args, beds)?;
        take_a_joint(beds, &settings)?;
        return Ok(Request::Find {
            printers: match args.clearance {
                None => numbered(beds),
                // Said of all.
                Some(_) => without_clearance(numbered(beds)),
            },
            settings: Box::new(settings),
        });
    };
    take_a_joint(beds, plan.settings())?;
    if beds.is_empty() {
        return Ok(Request::Plan(Box::new(plan)));
    }
    let plan = plan
        .on_printers(numbered(beds))
        .map_err(|e| Failure::Usage(e.to_string()))?;
    Ok(Request::Plan(Box::new(plan)))
}

fn without_clearance(mut printers: Vec<Printer>) -> Vec<Printer> {
    for printer in &mut printers {
        printer.clearance_mm = None;
    }
    printers
}

/// A plan to find with the settings of a plan file, and with its printers where no
/// others are given.
fn as_settled(file: &Path, beds: &[KnownPrinter]) -> Result<Request, Failure> {
    let (plan, _) = read_plan(file)?;
    take_a_joint(beds, plan.settings())?;
    Ok(Request::Find {
        printers: match beds {
            [] => plan.printers().to_vec(),
            _ => numbered(beds),
        },
        settings: Box::new(plan.settings().clone()),
    })
}

fn default_folder(model: &Path) -> PathBuf {
    let stem = model
        .file_stem()
        .map_or_else(|| "model".into(), |s| s.to_string_lossy().into_owned());
    PathBuf::from(format!("{stem}-pieces"))
}

fn settings(args: &SplitArgs, beds: &[KnownPrinter]) -> Result<Settings, Failure> {
    let mut settings = Settings::default();
    if let Some(joint) = &args.joint {
        settings.joint = joint.clone();
    }
    settings.hide.clone_from(&args.hide);
    settings.up = args.up.unwrap_or(settings.up);
    settings.wishes = args.wishes.wishes();
    settings.labels = !args.no_labels;
    let set = |to: &mut f64, from: Option<f64>| {
        if let Some(x) = from {
            *to = x;
        }
    };
    // What a printer's coupons showed serves where nothing else is said; of several
    // printers the loosest, until it is known which of them print what meets at a seam.
    let learnt = beds.iter().filter_map(|p| p.printer.clearance_mm);
    let learnt = learnt.reduce(f64::max);
    set(&mut settings.joints.clearance_mm, args.clearance.or(learnt));
    set(&mut settings.joints.min_wall_mm, args.min_wall);
    set(&mut settings.material.density_g_cm3, args.density);
    set(&mut settings.scarf_deg, args.scarf);
    settings
        .checked()
        .map_err(|e| Failure::Usage(e.to_string()))?;
    Ok(settings)
}
