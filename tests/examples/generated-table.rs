//! Splits the furniture of the generator on three beds and prints the table of
//! `docs/planning.md`: `cargo run --release -p whole-program --example
//! generated-table`; with a family or a model as an argument only that.

use design::Settings;
use planner::EqualBoxes;
use printing::Printer;
use whole_program::{FAMILIES, GENERATED_BEDS, generated, split_and_judge};

const SEEDS: u64 = 6;

#[derive(Default)]
struct Sum {
    boxes: usize,
    with_room: usize,
    pieces: usize,
    keys: usize,
    contacts: usize,
    joined: usize,
    over_boxes: usize,
    over_room: usize,
    points: usize,
    splits: usize,
    as_few: usize,
    errors: usize,
}

fn main() {
    let only = std::env::args().nth(1);
    let mut remarks = Vec::new();
    let mut all = Sum::default();
    println!(
        "| family | equal boxes | with room for joints | planned | separated points | no more than \
         points | more than boxes | more than with room | keys | contacts joined | errors |"
    );
    println!("|---|--:|--:|--:|--:|--:|--:|--:|--:|--:|--:|");
    for family in FAMILIES {
        let mut sum = Sum::default();
        for seed in 1..=SEEDS {
            let name = format!("{family}-{seed}");
            if only.as_ref().is_some_and(|o| *o != name && o != family) {
                continue;
            }
            let model = generated(family, seed);
            for bed in GENERATED_BEDS {
                let said = one(&model, bed, &mut sum);
                remarks.extend(said.map(|said| format!("{name} on {bed:.0?}: {said}")));
            }
        }
        row(family, &sum);
        for (to, from) in [
            (&mut all.boxes, sum.boxes),
            (&mut all.with_room, sum.with_room),
            (&mut all.pieces, sum.pieces),
            (&mut all.keys, sum.keys),
            (&mut all.contacts, sum.contacts),
            (&mut all.joined, sum.joined),
            (&mut all.over_boxes, sum.over_boxes),
            (&mut all.over_room, sum.over_room),
            (&mut all.points, sum.points),
            (&mut all.splits, sum.splits),
            (&mut all.as_few, sum.as_few),
            (&mut all.errors, sum.errors),
        ] {
            *to += from;
        }
    }
    row("all", &all);
    let less = |of: usize| 100.0 * (1.0 - all.pieces as f64 / of as f64);
    println!(
        "\n{:.1} % fewer than equal boxes, {:.1} % fewer than with room for joints, {:.1} % more \
         than separated points.\n",
        less(all.boxes),
        less(all.with_room),
        -less(all.points)
    );
    for remark in remarks {
        println!("- {remark}");
    }
}

/// Counts one split; what is worth saying of it.
fn one(model: &solid::Solid, bed: [f64; 3], sum: &mut Sum) -> Option<String> {
    let [w, d, h] = bed;
    let printer = Printer::rectangular("bed-1", w, d, h);
    let settings = Settings::default();
    let joint_mm = settings.joints.growth_of_any_mm(settings.joint.kinds()).0;
    let boxes = |bed_mm, joint_mm| {
        let boxes = EqualBoxes::on_bed(model, bed_mm, joint_mm);
        boxes.expect("a plane cuts a closed solid").pieces
    };
    let bare = boxes(bed, 0.0);
    let with_room = boxes(printer.usable_mm(), joint_mm);
    let judged = match split_and_judge(model, &[printer], &settings) {
        Ok(judged) => judged,
        Err(e) => return Some(e.to_string()),
    };
    let keys = judged
        .build
        .pieces
        .iter()
        .filter(|p| p.cell.is_none())
        .count();
    let pieces = judged.build.pieces.len() - keys;
    let contacts = || judged.build.seams.iter().flat_map(|s| &s.contacts);
    let errors: Vec<&str> = judged.errors().iter().map(|f| f.code.word()).collect();
    sum.boxes += bare;
    sum.with_room += with_room;
    sum.pieces += pieces;
    sum.keys += keys;
    sum.contacts += contacts().count();
    sum.joined += contacts().filter(|c| c.is_joined()).count();
    sum.over_boxes += usize::from(pieces > bare);
    sum.over_room += usize::from(pieces > with_room);
    let certificate = judged.certificate.as_ref();
    let points = certificate.map_or(0, |c| c.lying_square);
    let boxes = certificate.and_then(|c| c.equal_boxes.as_ref());
    let against = boxes.map_or_else(String::new, |b| b.against.join(", "));
    sum.points += points;
    sum.splits += 1;
    sum.as_few += usize::from(pieces <= points);
    sum.errors += errors.len();
    let mut said = Vec::new();
    if pieces > bare {
        said.push(format!(
            "{pieces} pieces, equal boxes {bare}, with room {with_room}, separated points {points}; \
             against the boxes: {}",
            against
        ));
    }
    if !errors.is_empty() {
        said.push(errors.join(", "));
    }
    (!said.is_empty()).then(|| said.join("; "))
}

fn row(name: &str, s: &Sum) {
    println!(
        "| {name} | {} | {} | {} | {} | {} of {} | {} | {} | {} | {} of {} | {} |",
        s.boxes,
        s.with_room,
        s.pieces,
        s.points,
        s.as_few,
        s.splits,
        s.over_boxes,
        s.over_room,
        s.keys,
        s.joined,
        s.contacts,
        s.errors
    );
}
