//! The assembly as a person reads it.

use std::path::Path;

use paperwork::Pictures;
use seamwright::SplitFolder;
use whole_program::{fixture, generated, run_split, said};

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
    assert!(paperwork::manual(&report).contains("Lay P04 on its back"));
    for step in &mut report.steps {
        step.rests = None;
    }
    let text = paperwork::manual(&report);
    for word in ["Lay ", "Turn ", "Hold ", "bench"] {
        assert!(!text.contains(word), "{text}");
    }
}

/// A depth buffer, in its unit test, tells what is in sight; here, that no step of a shelf or
/// a crate keeps a joint or a key to itself.
#[test]
fn every_joint_and_key_is_in_sight_in_a_picture() {
    let home = tempfile::tempdir().unwrap();
    let mut nearer = 0;
    for (family, seed) in [("carcass", 4), ("crate", 1)] {
        let model = home.path().join("model.stl");
        std::fs::write(
            &model,
            exchange::write_stl(&generated(family, seed)).unwrap(),
        )
        .unwrap();
        let out = home.path().join(format!("{family}-{seed}"));
        let out_dir = out.to_str().unwrap();
        let run = run_split(&model, &["--out", out_dir, "--bed", "256x256x256"]);
        assert!(run.status.code().is_some_and(|c| c < 2), "{}", said(&run));
        let folder = SplitFolder::read(&out).unwrap();
        let pictures = Pictures::of(&folder.assembly, None, &design::Recall::none()).unwrap();
        for (k, step) in pictures.steps.iter().enumerate() {
            let least = step.least_in_sight;
            assert!(least >= 0.3, "{family} {seed}, step {}: {least}", k + 1);
            let enough = |c: &paperwork::CloseUp| c.in_sight >= 0.3 && !c.of.is_empty();
            assert!(step.close_ups.iter().all(enough));
            nearer += step.close_ups.len();
        }
    }
    assert!(nearer > 0);
}
