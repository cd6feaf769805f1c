//! Re-splits of the fixtures beside plans of the same unprinted parts from
//! scratch, as a table: with every third piece printed, and with the first third
//! of them, as they come off the printer in the order of their ids.

use std::collections::BTreeSet;

use design::{ModelReference, PieceEntry, PieceId, Plan, Recall, Settings, rows};
use exchange::PieceFormat;
use printing::Printer;
use resplit::{Earlier, EarlierPiece, resplit};
use solid::Solid;
use whole_program::{bench, board, found, side_table, stool, wall_shelf};
use workshop::{Build, split, written};

fn printer(w: f64, d: f64, h: f64) -> Printer {
    Printer::rectangular("bed-1", w, d, h)
}

/// A split as if it had been written and read back, some pieces printed.
fn earlier(plan: &Plan, build: &Build, printed: &[usize]) -> Earlier {
    let files = written(build, PieceFormat::Stl, &Recall::none()).expect("pieces can be written");
    let pieces = build.pieces.iter().zip(files).map(|(piece, file)| {
        let in_place = piece.onto_bed().inverse();
        let placed = piece.placement.as_ref().expect("it fits");
        EarlierPiece {
            entry: PieceEntry {
                id: piece.id.clone(),
                file: file.written.file.clone(),
                printed: false,
                printer: plan.printer(piece.printer).name.clone(),
                triangles: 0,
                volume_mm3: 0.0,
                size_mm: placed.size_mm,
                thinnest_mm: None,
                placement: rows(&in_place),
                first_layer_mm2: 0.0,
                tips_deg: 0.0,
                lies_askew: false,
                ears_mm: Vec::new(),
                islands: 0,
                ears_reach_mm: None,
                overhang_mm2: 0.0,
                support_mm3: 0.0,
                support_g: 0.0,
                support_min: 0.0,
                slenderness: 0.0,
                joints_across: 0,
                labels: Vec::new(),
                plastic_g: 0.0,
                print_min: 0.0,
            },
            in_place: file.written.as_printed.moved(&in_place),
            as_printed: file.written.as_printed,
            bytes: Vec::new(),
            printer: piece.printer,
        }
    });
    Earlier {
        plan: plan.clone(),
        records: build.seams.iter().map(workshop::Seam::record).collect(),
        pieces: pieces.collect(),
        printed: printed
            .iter()
            .map(|&k| build.pieces[k].id.clone())
            .collect(),
    }
}

/// What is left of the model without the printed pieces, none of them with
/// joints, planned as if nothing were there.
fn from_scratch(model: &Solid, plan: &Plan, printed: &[usize], printer: &Printer) -> usize {
    let parted = workshop::cells::part(model, plan).expect("a model is parted");
    let bodies: Vec<Solid> = parted.cells.into_iter().flat_map(|c| c.bodies).collect();
    let unprinted: Vec<Solid> = (0..bodies.len())
        .filter(|k| !printed.contains(k))
        .map(|k| bodies[k].clone())
        .collect();
    let rest = Solid::union_of(&unprinted).expect("pieces join");
    let printers = std::slice::from_ref(printer);
    let planned = |body: &Solid| {
        let found = found(body, printers, &Settings::default());
        found.expect("the rest finds a plan").pieces
    };
    rest.bodies().iter().map(planned).sum()
}

/// Pieces other than keys, keys, and contacts without a joint.
fn counts(build: &Build) -> [usize; 3] {
    let keys = build.pieces.iter().filter(|p| p.cell.is_none()).count();
    let contacts = build.seams.iter().flat_map(|s| &s.contacts);
    [
        build.pieces.len() - keys,
        keys,
        contacts.filter(|c| !c.is_joined()).count(),
    ]
}

fn main() {
    println!("Every third piece printed:\n");
    table(|pieces| (0..pieces).step_by(3).collect());
    println!("\nThe first third printed:\n");
    table(|pieces| (0..pieces.div_ceil(3)).collect());
}

/// The table where some of so many pieces are printed.
fn table(printed: impl Fn(usize) -> Vec<usize>) {
    let beds = [
        ("300 × 300 × 350", printer(300.0, 300.0, 350.0)),
        ("180 × 180 × 180", printer(180.0, 180.0, 180.0)),
    ];
    println!(
        "| model | to | printed | unprinted | the same from scratch | keys | plain contacts |"
    );
    println!("|---|---|--:|--:|--:|--:|--:|");
    let models = [
        ("side table", side_table()),
        ("wall shelf", wall_shelf()),
        ("bench", bench()),
        ("stool", stool()),
        ("board", board()),
    ];
    let mut all = [0, 0];
    for (name, model) in models {
        let first = [printer(220.0, 220.0, 250.0)];
        let first = split(
            &model,
            &first,
            &Settings::default(),
            ModelReference::default(),
            &[],
        )
        .expect("a fixture splits");
        // Keys come after all other pieces.
        let [pieces, ..] = counts(&first.build);
        let mut known = printed(pieces);
        let (mut plan, mut build): (Plan, Build) = (first.plan, first.build);
        for (to, bed) in &beds {
            let scratch = from_scratch(&model, &plan, &known, bed);
            let earlier = earlier(&plan, &build, &known);
            let found = resplit(&model, &earlier, std::slice::from_ref(bed));
            let best = found.expect("a re-split").into_iter().next();
            let best = best.expect("one way").taken_over(&earlier);
            let best = best.expect("pieces are taken over");
            let kept: BTreeSet<&PieceId> = best.entry.printed.iter().collect();
            known = (0..best.build.pieces.len())
                .filter(|&k| kept.contains(&best.build.pieces[k].id))
                .collect();
            let [pieces, keys, plain] = counts(&best.build);
            let (printed, unprinted) = (known.len(), pieces - known.len());
            all = [all[0] + unprinted, all[1] + scratch];
            println!("| {name} | {to} | {printed} | {unprinted} | {scratch} | {keys} | {plain} |");
            (plan, build) = (best.plan, best.build);
        }
    }
    println!(
        "\nIn all {} pieces instead of {}, {:.1} % more.",
        all[0],
        all[1],
        100.0 * (all[0] as f64 / all[1] as f64 - 1.0)
    );
}
