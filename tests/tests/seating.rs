//! Which way seams close: so that weight, or who leans on it, pushes them home, and so that
//! every piece is held and lies well.

use serde_json::Value;
use solid::Solid;
use whole_program::{codes, seamwright, split_report};

fn block(low: [f64; 3], high: [f64; 3]) -> Solid {
    Solid::cuboid(low.into(), high.into())
}

fn together(blocks: &[[[f64; 3]; 2]]) -> Solid {
    let solids = blocks.iter().map(|[low, high]| block(*low, *high));
    solids.reduce(|a, b| a.union(&b).unwrap()).unwrap()
}

/// The way that what lies below the first seam comes home.
fn slide(report: &Value) -> [i64; 3] {
    let slide = report["seams"][0]["slide"].as_array().unwrap();
    [0, 1, 2].map(|k| slide[k].as_f64().unwrap().round() as i64)
}

/// A shelf on two sides that both stand: of its two parts that is let down onto the other
/// which hangs over further.
#[test]
fn the_longer_part_of_a_shelf_is_let_down_onto_the_shorter() {
    let shelf = together(&[
        [[0.0, 0.0, 0.0], [18.0, 180.0, 200.0]],
        [[402.0, 0.0, 0.0], [420.0, 180.0, 200.0]],
        [[10.0, 0.0, 100.0], [410.0, 180.0, 118.0]],
    ]);
    for (at, way) in [("x=300", -1), ("x=120", 1)] {
        let home = tempfile::tempdir().unwrap();
        let options = ["--bed", "320x220x250", "--seam-at", at];
        let report = split_report(home.path(), &shelf, &options);
        assert_eq!(report["seams"].as_array().unwrap().len(), 1);
        assert_eq!(slide(&report), [0, 0, way], "{at}");
    }
}

/// The back of a seat goes home backwards: who leans on it pushes it home.
#[test]
fn a_back_goes_home_the_way_it_is_leant_on() {
    let seat = [[0.0, 0.0, 0.0], [180.0, 180.0, 60.0]];
    for (front, back, way) in [(150.0, 180.0, -1), (0.0, 30.0, 1)] {
        let home = tempfile::tempdir().unwrap();
        let chair = together(&[seat, [[0.0, front, 50.0], [180.0, back, 240.0]]]);
        let options = ["--bed", "220x220x250", "--seam-at", "z=60"];
        let report = split_report(home.path(), &chair, &options);
        // The seat, below, comes to it the other way.
        assert_eq!(slide(&report), [0, way, 0]);
    }
}

/// A rod too thin for the one joint that may be used comes in two that nothing joins.
#[test]
fn what_is_joined_to_nothing_is_no_sound_split() {
    let home = tempfile::tempdir().unwrap();
    let (model, out) = (home.path().join("rod.stl"), home.path().join("out"));
    let rod = block([0.0; 3], [12.0, 12.0, 300.0]);
    std::fs::write(&model, exchange::write_stl(&rod).unwrap()).unwrap();
    let split = |joint: &str| {
        let run = seamwright()
            .arg("split")
            .arg(&model)
            .args([
                "--bed",
                "220x220x250",
                "--joint",
                joint,
                "--quiet",
                "--force",
            ])
            .arg("--out")
            .arg(&out)
            .output()
            .unwrap();
        let report = std::fs::read(out.join("report.json")).unwrap();
        let report: Value = serde_json::from_slice(&report).unwrap();
        let told = codes(&report).contains(&"joined-to-nothing");
        (run.status.code(), told)
    };
    assert_eq!(split("wedge-fingers"), (Some(1), true));
    // As it was wished, nothing is wrong with that.
    assert_eq!(split("plain"), (Some(0), false));
}
