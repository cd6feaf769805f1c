//! Splits furniture-scale models into jointed pieces for a desktop 3-D printer:
//! the whole way from a model file to a folder of pieces, plates and papers.
//!
//! [`split`] splits, [`resplit`] splits again around what is printed, [`check`]
//! judges a folder as it lies on disk. The program of the same name is arguments
//! and printing about these.
//!
//! ```no_run
//! use design::Recall;
//! use exchange::LengthUnit;
//! use seamwright::{Model, Request, split};
//!
//! let model = Model::read("shelf.stl".as_ref(), LengthUnit::Millimetre)?;
//! let request = Request::Find {
//!     printers: vec!["220x220x250".parse().unwrap()],
//!     settings: Default::default(),
//! };
//! let outcome = split(&model, request, Default::default(), &Recall::none(), &|_| ())?;
//! println!("{} pieces", outcome.report.pieces.len());
//! outcome.write("shelf-pieces".as_ref(), Default::default())?;
//! # Ok::<(), seamwright::Failure>(())
//! ```
#![deny(missing_docs)]

mod check;
mod failure;
mod folder;
mod model;
mod not_sought;
mod outcome;
mod remarks;
mod resplit;
mod split;

pub use check::{Checked, check};
pub use failure::Failure;
pub use folder::{SplitFolder, read_plan, recalled};
pub use model::{Model, Reading};
pub use outcome::{Outcome, judged};
pub use resplit::resplit;
pub use split::{Request, Stages, split};
