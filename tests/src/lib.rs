//! Furniture for tests and fixtures: our own models, made from numbers.
#![deny(missing_docs)]

mod bars;
mod bench;
mod furniture;
mod generated;
mod judged;
mod printed;
mod program;

pub use bars::{bars, halved, one_seam, plan_of};
pub use bench::{Bench, files, said};
pub use furniture::{
    bench, board, cabinet_with_drawers, drawer, fine_table, frame_and_panel, grand_table,
    side_table, small_rack, stool, wall_shelf,
};
pub use generated::{FAMILIES, GENERATED_BEDS, generated};
pub use judged::{Judged, carry_out_and_judge, found, split_and_judge};
pub use printed::Printed;
pub use program::{
    ascii_stl, codes, fixture, limited, plank_in, reported, run_split, seamwright, split_report,
};
