//! `resplit`: the same furniture for other printers, around what is printed.

use std::path::PathBuf;
use std::process::ExitCode;

use design::PieceId;
use paperwork::OutputFolder;
use printing::Printer;
use seamwright::{Failure, Model, SplitFolder};

use crate::cli::args::ResplitArgs;
use crate::cli::printers::{known, take_a_joint};
use crate::cli::progress::Progress;
use crate::cli::summary::tell;

pub(crate) fn run(args: &ResplitArgs) -> Result<ExitCode, Failure> {
    let out = args.out.clone().unwrap_or_else(|| {
        let mut name = args.folder.clone().into_os_string();
        name.push("-again");
        PathBuf::from(name)
    });
    OutputFolder::may_begin(&out, args.force)?;
    let beds = known(&args.bed)?;
    let printed = printed(&args.printed)?;
    let progress = Progress::new(4, args.voice);
    progress.stage(&format!("reading {}", args.folder.display()));
    let folder = SplitFolder::read(&args.folder)?;
    let plan = folder.plan()?;
    take_a_joint(&beds, plan.settings())?;
    let model = Model::read(
        &model_path(args, &folder, &plan.model().file)?,
        plan.model().unit,
    )?;
    let printers: Vec<Printer> = beds.into_iter().map(|known| known.printer).collect();
    let stage = |what: &str| progress.stage(what);
    let outcome = seamwright::resplit(&folder, &model, &printed, &printers, &stage)?;
    progress.stage(&format!("writing {}", out.display()));
    outcome.write(&out, args.force)?;
    progress.done();
    tell(&outcome, &out, args.voice)
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
