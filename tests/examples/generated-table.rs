//! Splits the furniture of the generator on three beds and prints the table of
//! `docs/planning.md`: `cargo run --release -p whole-program --example
//! generated-table`.

use inspection::Severity;
use planner::{Printer, Settings};
use whole_program::{FAMILIES, GENERATED_BEDS, equal_grid_pieces, generated, split_and_judge};

fn main() {
    let seeds: u64 = std::env::args()
        .nth(1)
        .and_then(|a| a.parse().ok())
        .unwrap_or(6);
    let only = std::env::args().nth(2);
    println!("| model | bed | equal grid | planned | on the lattice | joined | findings |");
    println!("|---|---|--:|--:|--:|--:|---|");
    let (mut grid_total, mut planned_total) = (0, 0);
    for family in FAMILIES {
        for seed in 1..=seeds {
            let name = format!("{family}-{seed}");
            if only.as_ref().is_some_and(|o| *o != name && o != family) {
                continue;
            }
            let model = generated(family, seed);
            if only.is_some() {
                let bytes = exchange::write_stl(&model).expect("writes");
                std::fs::write(format!("/tmp/{name}.stl"), bytes).expect("writes");
            }
            for bed in GENERATED_BEDS {
                let start = std::time::Instant::now();
                let [w, d, h] = bed;
                let printer = Printer::rectangular("bed-1", w, d, h);
                let grid = equal_grid_pieces(&model, bed);
                let settings = Settings::default();
                let found = planner::find_cuts(&model, std::slice::from_ref(&printer), &settings);
                let bed = format!("{w} × {d} × {h}");
                let planning = start.elapsed();
                match found {
                    Err(e) => println!("| {name} | {bed} | {grid} | none: {e} | | | |"),
                    Ok(found) => {
                        let judged = split_and_judge(&model, &[printer], &settings)
                            .expect("a plan was found");
                        let count = judged.build.pieces.len();
                        let joined = judged.build.seams.iter().flat_map(|s| &s.contacts);
                        let all = joined.clone().count();
                        let joined = joined
                            .filter(|c| c.joint != joinery::JointKind::Plain)
                            .count();
                        let mut errors: Vec<String> = judged
                            .verdict
                            .findings
                            .iter()
                            .filter(|f| f.severity == Severity::Error)
                            .map(|f| f.code.to_string())
                            .collect();
                        errors.sort();
                        println!(
                            "| {name} | {bed} | {grid} | {count} | {} | {joined}/{all} | {} | {:.1} {:.1}",
                            found.certificate.on_lattice,
                            errors.join(", "),
                            planning.as_secs_f64(),
                            start.elapsed().as_secs_f64()
                        );
                        grid_total += grid;
                        planned_total += count;
                    }
                }
            }
        }
    }
    println!(
        "total {grid_total} {planned_total} {:.1} %",
        100.0 * (1.0 - planned_total as f64 / grid_total as f64)
    );
}
