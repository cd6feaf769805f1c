//! How long planning takes beside reading the same model, in one run: `cargo
//! run --release -p whole-program --example planning-time`. Each figure is the
//! least of three.

use std::time::Instant;

use design::Settings;
use printing::Printer;
use solid::Solid;
use whole_program::{fine_table, found, grand_table};

/// The least time in seconds of three runs, and what the last gave.
fn least<T>(what: impl Fn() -> T) -> (f64, T) {
    let timed = || {
        let start = Instant::now();
        let out = what();
        (start.elapsed().as_secs_f64(), out)
    };
    let (first, second, (third, out)) = (timed().0, timed().0, timed());
    (first.min(second).min(third), out)
}

fn main() {
    let printers = [Printer::rectangular("bed-1", 220.0, 220.0, 250.0)];
    println!("| model | triangles | reading, s | planning, s | planning to reading |");
    println!("|---|--:|--:|--:|--:|");
    for (name, model) in [
        ("turned table", grand_table()),
        ("turned table, fine", fine_table()),
    ] {
        let bytes = exchange::write_stl(&model).expect("a model can be written");
        let (reading, solid) = least(|| {
            let soup = exchange::read_stl(&bytes).expect("what was written reads back");
            Solid::from_triangles(soup).expect("it is closed")
        });
        let (planning, _) =
            least(|| found(&solid, &printers, &Settings::default()).expect("a plan"));
        println!(
            "| {name} | {} | {reading:.3} | {planning:.2} | {:.2} |",
            solid.triangles().len(),
            planning / reading
        );
    }
}
