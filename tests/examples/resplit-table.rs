//! Re-splits of the fixtures beside plans of the same unprinted parts from
//! scratch, as a table: with every third piece printed, and with the first third
//! of them, as they come off the printer in the order of their ids.

use planner::{ModelReference, Plan, Printer, Settings};
use solid::Solid;
use whole_program::{bench, board, side_table, stool, wall_shelf};
use workshop::{Build, Kept, Remark, build_upon, resplit, split};

fn printer(w: f64, d: f64, h: f64) -> Printer {
    Printer::rectangular("bed-1", w, d, h)
}

/// The indices of pieces that lie where given pieces lie.
fn again(now: &Build, was: &Build, printed: &[usize]) -> Vec<usize> {
    let same = |a: &Solid, b: &Solid| match (a.bounds(), b.bounds()) {
        (Some(a), Some(b)) => (a.min - b.min).norm() < 1e-3 && (a.max - b.max).norm() < 1e-3,
        _ => false,
    };
    let is_printed = |k: &usize| {
        let own = &now.pieces[*k].solid;
        printed.iter().any(|&p| same(own, &was.pieces[p].solid))
    };
    (0..now.pieces.len()).filter(is_printed).collect()
}

/// What is left of the model without the printed pieces, none of them with
/// joints, planned as if nothing were there.
fn from_scratch(model: &Solid, plan: &Plan, printed: &[usize], printer: &Printer) -> usize {
    let tree = plan.tree().expect("a plan is a tree");
    let parted = workshop::cells::part(model, plan, &tree).expect("a model is parted");
    let bodies: Vec<Solid> = parted.cells.into_iter().flat_map(|c| c.bodies).collect();
    let unprinted: Vec<Solid> = (0..bodies.len())
        .filter(|k| !printed.contains(k))
        .map(|k| bodies[k].clone())
        .collect();
    let rest = Solid::union_of(&unprinted).expect("pieces join");
    let printers = std::slice::from_ref(printer);
    let planned = |body: &Solid| {
        let found = planner::find_cuts(body, printers, &Settings::default());
        found.expect("the rest finds a plan").pieces
    };
    rest.bodies().iter().map(planned).sum()
}

/// Pieces other than keys, keys, and contacts without a joint.
fn counts(build: &Build) -> [usize; 3] {
    let keys = build.pieces.iter().filter(|p| p.cell.is_none()).count();
    let plain = |r: &&Remark| matches!(r, Remark::PlainContact { .. });
    [
        build.pieces.len() - keys,
        keys,
        build.remarks.iter().filter(plain).count(),
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
        )
        .expect("a fixture splits");
        // Keys come after all other pieces.
        let [pieces, ..] = counts(&first.build);
        let printed = printed(pieces);
        let (mut plan, mut build): (Plan, Build) = (first.plan, first.build);
        let mut known = printed;
        for (to, bed) in &beds {
            let scratch = from_scratch(&model, &plan, &known, bed);
            let found = resplit(&model, &plan, &build, &known, std::slice::from_ref(bed));
            let found = found.expect("a re-split");
            let best = found.into_iter().next().expect("one way");
            let now = again(&best.build, &build, &known);
            let [pieces, keys, plain] = counts(&best.build);
            let (printed, unprinted) = (now.len(), pieces - now.len());
            all = [all[0] + unprinted, all[1] + scratch];
            println!("| {name} | {to} | {printed} | {unprinted} | {scratch} | {keys} | {plain} |");
            let everything = Kept {
                records: best
                    .build
                    .seams
                    .iter()
                    .map(workshop::Seam::record)
                    .collect(),
                printed: model.bounds().into_iter().collect(),
            };
            build = build_upon(&model, &best.plan, &everything).expect("as it was");
            plan = best.plan;
            known = now;
        }
    }
    println!(
        "\nIn all {} pieces instead of {}, {:.1} % more.",
        all[0],
        all[1],
        100.0 * (all[0] as f64 / all[1] as f64 - 1.0)
    );
}
