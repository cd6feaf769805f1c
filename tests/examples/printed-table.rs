//! Splits the fixtures and furniture of the generator and prints what the pieces take
//! to print, beside equal boxes laid the best of six ways: the second table of
//! `docs/planning.md`. `cargo run --release -p whole-program --example printed-table
//! [SEEDS [FAMILY,…]]`.

use design::Settings;
use printing::Printer;
use solid::Solid;
use whole_program::{FAMILIES, GENERATED_BEDS, Printed, fixture, generated, split_and_judge};

const FIXTURES: [&str; 6] = [
    "side-table",
    "stool",
    "splayed-table",
    "board",
    "bench",
    "wall-shelf",
];

fn main() {
    let seeds: u64 = std::env::args()
        .nth(1)
        .and_then(|s| s.parse().ok())
        .unwrap_or(1);
    let only = std::env::args().nth(2);
    println!(
        "| model | bed | boxes: pieces | stand not | support, cm³ | plastic, g | hours | planned: \
         pieces | need a brim | fall | support, cm³ | plastic, g | hours | minutes of work, \
         boxes | planned |"
    );
    println!("|---|---|--:|--:|--:|--:|--:|--:|--:|--:|--:|--:|--:|--:|--:|");
    let mut missed = Vec::new();
    let mut sums = [Printed::default(); 2];
    for name in FIXTURES {
        let model = seamwright::Model::read(
            &fixture(&format!("{name}.stl")),
            exchange::LengthUnit::default(),
        );
        let model = model.expect("fixtures are solids").solid;
        row(name, &model, [220.0, 220.0, 250.0], &mut missed, &mut sums);
    }
    for family in FAMILIES {
        if only
            .as_ref()
            .is_some_and(|o| !o.split(',').any(|o| o == family))
        {
            continue;
        }
        for seed in 1..=seeds {
            let model = generated(family, seed);
            for bed in GENERATED_BEDS {
                row(
                    &format!("{family}-{seed}"),
                    &model,
                    bed,
                    &mut missed,
                    &mut sums,
                );
            }
        }
    }
    let [boxes, planned] = sums;
    tell("all", "", &boxes, &planned);
    for miss in missed {
        println!("- {miss}");
    }
}

fn grams(mm3: f64) -> f64 {
    Settings::default().material.grams(mm3)
}

fn row(
    name: &str,
    model: &Solid,
    bed: [f64; 3],
    missed: &mut Vec<String>,
    sums: &mut [Printed; 2],
) {
    let [w, d, h] = bed;
    let printers = [Printer::rectangular("bed-1", w, d, h)];
    let settings = Settings::default();
    let boxes = Printed::of_equal_boxes(model, bed, &settings.print).expect("a solid is cut");
    let judged = match split_and_judge(model, &printers, &settings) {
        Ok(judged) => judged,
        Err(e) => return missed.push(format!("{name} on {bed:?}: {e}")),
    };
    let mut planned = Printed::of_build(&judged.build, &judged.plan);
    planned.pieces = judged
        .build
        .pieces
        .iter()
        .filter(|p| p.cell.is_some())
        .count();
    tell(name, &format!("{w} × {d} × {h}"), &boxes, &planned);
    let mut what = Vec::new();
    if planned.pieces > boxes.pieces {
        what.push("pieces");
    }
    let solid_mm3: f64 = model.volume_mm3();
    if planned.support_mm3 > (boxes.support_mm3 / 5.0).max(0.02 * solid_mm3) {
        what.push("support");
    }
    let all = |p: &Printed| p.plastic_mm3 + settings.print.support_share * p.support_mm3;
    let saved = 0.8 * settings.print.support_share * boxes.support_mm3;
    if all(&planned) > 1.03 * all(&boxes) - saved {
        what.push("plastic");
    }
    let hours = |p: &Printed| p.hours + p.support_hours;
    if hours(&planned) > 1.03 * hours(&boxes) - 0.8 * boxes.support_hours {
        what.push("hours");
    }
    let errors: Vec<&str> = judged.errors().iter().map(|f| f.code.word()).collect();
    what.extend(errors);
    if !what.is_empty() {
        missed.push(format!("{name} on {w} × {d} × {h}: {}", what.join(", ")));
    }
    for (sum, one) in sums.iter_mut().zip([boxes, planned]) {
        sum.pieces += one.pieces;
        sum.helped += one.helped;
        sum.falling += one.falling;
        sum.support_mm3 += one.support_mm3;
        sum.plastic_mm3 += one.plastic_mm3;
        sum.hours += one.hours;
        sum.support_hours += one.support_hours;
    }
}

fn tell(name: &str, bed: &str, boxes: &Printed, planned: &Printed) {
    let share = Settings::default().print.support_share;
    let all = |p: &Printed| grams(p.plastic_mm3 + share * p.support_mm3);
    println!(
        "| {name} | {bed} | {} | {} | {:.0} | {:.0} | {:.0} | {} | {} | {} | {:.0} | {:.0} | {:.0} | {:.0} | {:.0} |",
        boxes.pieces,
        boxes.helped + boxes.falling,
        boxes.support_mm3 / 1000.0,
        all(boxes),
        boxes.hours + boxes.support_hours,
        planned.pieces,
        planned.helped,
        planned.falling,
        planned.support_mm3 / 1000.0,
        all(planned),
        planned.hours + planned.support_hours,
        boxes.cost_min(&Settings::default()),
        planned.cost_min(&Settings::default())
    );
}
