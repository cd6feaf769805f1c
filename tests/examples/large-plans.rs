//! What searching branches again saves on models that are many beds large:
//! `cargo run --release -p whole-program --example large-plans`.

use design::Settings;
use printing::Printer;
use whole_program::{bench, board, found, side_table, wall_shelf};

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
            let found = found(&model, &[printer], &Settings::default());
            let found = found.expect("a fixture finds a plan");
            let certificate = found.certificate.as_ref().expect("nothing is fixed");
            if certificate.branches == 0 {
                continue;
            }
            println!(
                "| {name} | {side_mm} × {side_mm} × {side_mm} | {} | {} | {} |",
                certificate.on_lattice, found.pieces, certificate.branches
            );
        }
    }
}
