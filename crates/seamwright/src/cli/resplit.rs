//! `resplit`: the same furniture for other printers, around what is printed.

use std::path::{Component, Path, PathBuf};
use std::process::ExitCode;

use design::PieceId;
use paperwork::{OutputFolder, Replace};
use printing::Printer;
use seamwright::{Failure, Model, SplitFolder};

use crate::cli::args::ResplitArgs;
use crate::cli::printers::{known, take_a_joint};
use crate::cli::summary::tell;
use crate::cli::terminal::progress::Progress;

pub(crate) fn run(args: &ResplitArgs) -> Result<ExitCode, Failure> {
    let out = match &args.out {
        Some(out) => out.clone(),
        None => beside(&args.folder)?,
    };
    let replace = match args.force {
        true => Replace::Owned,
        false => Replace::Nothing,
    };
    OutputFolder::may_begin(&out, &replace)?;
    let beds = known(&args.bed)?;
    let printed = printed(&args.printed)?;
    let progress = Progress::new(4, args.voice);
    progress.stage(&format!("reading {}", args.folder.display()));
    let folder = SplitFolder::read(&args.folder)?;
    let plan = folder.plan()?;
    take_a_joint(&beds, plan.settings())?;
    let model = Model::read(
        &model_path(args, &folder, &plan.model().file)?,
        plan.model(),
    )?;
    let printers: Vec<Printer> = beds.into_iter().map(|known| known.printer).collect();
    let stage = |what: &str| progress.stage(what);
    let outcome = seamwright::resplit(&folder, &model, &printed, &printers, &stage)?;
    progress.stage(&format!("writing {}", out.display()));
    outcome.write(&out, replace)?;
    progress.done();
    tell(&outcome, &out, args.voice)
}

/// The folder beside another, by its name and `-again`, however the other is
/// spelt.
fn beside(folder: &Path) -> Result<PathBuf, Failure> {
    let named = |path: &Path| {
        let mut name = path.file_name()?.to_owned();
        name.push("-again");
        Some(path.with_file_name(name))
    };
    // `.` and `..` have no name before they are looked up.
    let ends_in_name = matches!(folder.components().next_back(), Some(Component::Normal(_)));
    let found = match ends_in_name {
        true => named(folder),
        false => std::fs::canonicalize(folder)
            .ok()
            .as_deref()
            .and_then(named),
    };
    found.ok_or_else(|| Failure::Usage("say with --out where the new split goes".into()))
}

/// The ids that some words name.
fn printed(words: &[String]) -> Result<Vec<PieceId>, Failure> {
    let ids = words.iter().map(|word| word.trim().parse());
    ids.collect::<Result<_, _>>()
        .map_err(|e: design::BadId| Failure::Usage(e.to_string()))
}

/// The model that a folder was split from: where it is said to be, else where it
/// is found.
fn model_path(args: &ResplitArgs, folder: &SplitFolder, file: &str) -> Result<PathBuf, Failure> {
    let given = args.model.clone();
    given.or_else(|| folder.find_model(file)).ok_or_else(|| {
        Failure::input(
            &args.folder,
            format!("the model {file} is not in this folder, in the split's or above it"),
            "Say where it is with --model.",
        )
    })
}
