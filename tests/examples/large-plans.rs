//! What searching branches again saves on models that are many beds large:
//! `cargo run --release -p whole-program --example large-plans`.

use planner::{Printer, Settings, find_cuts};
use whole_program::{bench, board, side_table, wall_shelf};

fn main() {
    println!("| model | bed | on the lattice | planned | branches searched again |");
    println!("|---|---|--:|--:|--:|");
    for (name, model) in [
        ("side table", side_table()),
        ("wall shelf", wall_shelf()),
        ("bench", bench()),
        ("board", board()),
    ] {
        for side_mm in [100.0, 130.0] {
            let printer = Printer::rectangular("bed-1", side_mm, side_mm, side_mm);
            let found = find_cuts(&model, &[printer], &Settings::default());
            let found = found.expect("a fixture finds a plan");
            if found.certificate.branches == 0 {
                continue;
            }
            println!(
                "| {name} | {side_mm} × {side_mm} × {side_mm} | {} | {} | {} |",
                found.certificate.on_lattice, found.pieces, found.certificate.branches
            );
        }
    }
}
