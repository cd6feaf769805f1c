//! A model split through the library:
//! `cargo run --release -p seamwright --example split -- MODEL FOLDER`.

use std::process::ExitCode;

use design::Recall;
use exchange::LengthUnit;
use seamwright::{Failure, Model, Request, split};

fn main() -> ExitCode {
    match split_as_told() {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => {
            eprintln!("{failure}");
            ExitCode::from(failure.exit_code())
        }
    }
}

fn split_as_told() -> Result<(), Failure> {
    let mut words = std::env::args().skip(1);
    let (Some(model), Some(out)) = (words.next(), words.next()) else {
        return Err(Failure::Usage("give a model and a folder to write".into()));
    };
    let model = Model::read(model.as_ref(), LengthUnit::Millimetre)?;
    let bed = "220x220x250".parse().expect("a bed");
    let request = Request::Find {
        printers: vec![bed],
        settings: Default::default(),
    };
    let stage = |stage: &str| eprintln!("{stage}");
    let outcome = split(&model, request, Default::default(), &Recall::none(), &stage)?;
    println!(
        "{} pieces, {} errors",
        outcome.report.pieces.len(),
        outcome.errors()
    );
    outcome.write(out.as_ref(), Default::default())
}
