//! The assembly as a person reads it.

use std::path::Path;

use whole_program::{fixture, run_split, said};

fn manual(model: &str, out: &Path) -> String {
    let out_dir = out.to_str().unwrap();
    let run = run_split(&fixture(model), &["--out", out_dir, "--bed", "220x220x250"]);
    assert!(run.status.success(), "{}", said(&run));
    paperwork::manual(&paperwork::read_report(out).unwrap())
}

#[test]
fn a_side_table_and_a_stool_are_put_together_and_taken_apart_in_words() {
    let home = tempfile::tempdir().unwrap();
    for model in ["side-table", "stool"] {
        let text = manual(&format!("{model}.stl"), &home.path().join(model));
        insta::assert_snapshot!(format!("manual-{model}"), text);
    }
    // A report of an earlier version does not say how anything rests: nor does its manual.
    let mut report = paperwork::read_report(&home.path().join("stool")).unwrap();
    assert!(paperwork::manual(&report).contains("Hold "));
    for step in &mut report.steps {
        step.rests = None;
    }
    let text = paperwork::manual(&report);
    assert!(!text.contains("Hold ") && !text.contains("bench"), "{text}");
}
