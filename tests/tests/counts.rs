//! What a split asks of the boolean kernel, counted: figures that do not hang on
//! the machine. `docs/performance.md` has them; a change that raises one says there
//! why.
//!
//! The counts are those of the whole process, so this file has one test.

use design::{Recall, Settings, Tally};
use printing::Printer;
use seamwright::{Model, Request, split};
use solid::KernelWork;
use whole_program::fixture;

/// At the most so many booleans and so many triangles handed to the kernel.
const MOST: [(&str, u64, u64); 3] = [
    ("side-table", 105, 51_832),
    ("board", 247, 83_554),
    ("bench", 262, 144_032),
];

#[test]
fn no_split_asks_more_of_the_kernel_than_is_written_down() {
    for (name, booleans, triangles) in MOST {
        let before = KernelWork::so_far();
        let model = Model::read(
            &fixture(&format!("{name}.stl")),
            exchange::LengthUnit::default(),
        )
        .unwrap();
        let request = Request::Find {
            printers: vec![Printer::rectangular("bed-1", 220.0, 220.0, 250.0)],
            settings: Box::new(Settings::default()),
        };
        let outcome = split(
            &model,
            request,
            Default::default(),
            &Recall::none(),
            &|_| (),
        )
        .unwrap();
        let after = KernelWork::so_far();
        let asked = (
            after.booleans - before.booleans,
            after.triangles - before.triangles,
        );
        println!("{name}: {asked:?}");
        assert!(outcome.report.pieces.len() > 1);
        assert!(
            asked.0 <= booleans && asked.1 <= triangles,
            "{name} asks {asked:?}"
        );
        let pictures = paperwork::Pictures::of(
            &outcome.assembly,
            outcome.report.made_of.as_ref(),
            &Recall::none(),
        )
        .unwrap();
        assert_eq!(pictures.steps.len(), outcome.report.steps.len());
    }
    // What a bar shows of a run's progress comes to its end.
    for tally in [
        Tally::RangesSolved,
        Tally::SeamsJoined,
        Tally::LooksTaken,
        Tally::PicturesDrawn,
    ] {
        let counted = tally.so_far();
        assert!(counted.done > 0, "{tally:?}");
        assert_eq!(counted.done, counted.expected, "{tally:?}");
    }
}
