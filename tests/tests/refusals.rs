//! What the program refuses, and what it says then.

use std::fs;
use std::path::Path;

use whole_program::{ascii_stl, fixture, plank_in, run_split, seamwright};

const BED: [&str; 2] = ["--bed", "220x220x250"];

/// Runs something that must be refused: its code, a part of what it says, and
/// nothing written.
fn refused(model: &Path, more: &[&str], code: i32, says: &str) {
    let home = tempfile::tempdir().unwrap();
    let run = seamwright()
        .current_dir(home.path())
        .arg("split")
        .arg(model)
        .args(more)
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&run.stderr).into_owned();
    assert_eq!(run.status.code(), Some(code), "{said}");
    assert!(said.contains(says), "'{says}' is not in: {said}");
    assert!(!said.contains("panicked"), "{said}");
    assert_eq!(
        fs::read_dir(home.path()).unwrap().count(),
        0,
        "something was written"
    );
}

#[test]
fn bad_input_is_refused_with_a_reason() {
    let home = tempfile::tempdir().unwrap();
    let file = |name: &str, bytes: &[u8]| {
        let path = home.path().join(name);
        fs::write(&path, bytes).unwrap();
        path
    };
    refused(&home.path().join("none.stl"), &BED, 3, "none.stl");
    refused(&file("empty.stl", b""), &BED, 3, "the file is empty");
    refused(
        &file("text.stl", b"milk, bread, two pounds of flour"),
        &BED,
        3,
        "not an STL file",
    );
    let board = fs::read(fixture("board.stl")).unwrap();
    refused(
        &file("short.stl", &board[..500]),
        &BED,
        3,
        "cut short at byte 500",
    );
    let mut open = board.clone();
    open.truncate(board.len() - 50);
    open[80..84].copy_from_slice(&11u32.to_le_bytes());
    // The hole is flat: closed, unless that is not wanted.
    let open = file("open.stl", &open);
    let no_mend = [&BED[..], &["--no-mend"]].concat();
    refused(&open, &no_mend, 3, "3 open edges, the first at (");
    // All faces about a corner are gone: what belongs there is not certain.
    let corner = solid::Solid::from_triangles(exchange::read_stl(&board).unwrap()).unwrap();
    let about = corner.vertices()[0];
    let soup = corner.triangle_corners().filter(|t| !t.contains(&about));
    refused(
        &file("corner.stl", ascii_stl(soup).as_bytes()),
        &BED,
        3,
        "the rim is not flat",
    );
    let mut nan = board.clone();
    nan[96..100].copy_from_slice(&f32::INFINITY.to_le_bytes());
    refused(&file("nan.stl", &nan), &BED, 3, "byte 84");
    refused(home.path(), &BED, 3, "");
}

#[test]
fn more_seams_than_a_search_counts_are_refused() {
    let home = tempfile::tempdir().unwrap();
    let seams: Vec<String> = (1..=201)
        .flat_map(|n| ["--seam-at".into(), format!("x={}", 2 * n)])
        .collect();
    let mut more = BED.to_vec();
    more.extend(seams.iter().map(String::as_str));
    refused(&plank_in(home.path()), &more, 3, "201 seams are wished for");
}

/// A block's file, its sides so many times as long.
fn block_in(home: &Path, times: f64) -> std::path::PathBuf {
    let path = home.join(format!("block-{times}.stl"));
    let end = solid::Point::new(600.0, 400.0, 450.0) * times;
    let block = solid::Solid::cuboid(solid::Point::origin(), end);
    fs::write(&path, exchange::write_stl(&block).unwrap()).unwrap();
    path
}

#[test]
fn numbers_that_are_no_millimetres_are_noticed() {
    let home = tempfile::tempdir().unwrap();
    let metres = block_in(home.path(), 0.001);
    refused(&metres, &BED, 3, "--unit mm, cm, m or in");
    refused(
        &block_in(home.path(), 1000.0),
        &BED,
        3,
        "600000.000 mm long",
    );
    // A small model is not refused, but asked about.
    let inches = block_in(home.path(), 1.0 / 25.4);
    let said = |unit: &str| {
        let out = home.path().join(unit);
        let run = run_split(
            &inches,
            &[
                "--bed",
                "300x300x350",
                "--unit",
                unit,
                "--out",
                out.to_str().unwrap(),
            ],
        );
        assert_eq!(run.status.code(), Some(0));
        String::from_utf8_lossy(&run.stdout).into_owned()
    };
    assert!(said("mm").contains("warning small-model: the model is 23.6 mm long"));
    assert!(!said("in").contains("small-model"));
}

#[test]
fn bad_usage_is_refused_with_a_reason() {
    let board = fixture("board.stl");
    refused(&board, &["--bed", "0x10x10"], 2, "0x10x10");
    refused(&board, &["--bed", "fine"], 2, "WIDTHxDEPTHxHEIGHT");
    refused(&board, &["--bed", "20x20x20"], 2, "smaller than a joint");
    refused(&board, &[], 2, "--bed");
    refused(
        &board,
        &[&BED[..], &["--joint", "glue"]].concat(),
        2,
        "glue",
    );
    refused(
        &board,
        &[&BED[..], &["--clearance=-1"]].concat(),
        2,
        "clearance_mm = -1",
    );
    refused(&board, &[&BED[..], &["--unit", "feet"]].concat(), 2, "feet");
}

#[test]
fn bad_plans_are_refused_with_a_reason() {
    let home = tempfile::tempdir().unwrap();
    let good = home.path().join("good");
    let plank = plank_in(home.path());
    assert!(
        run_split(
            &plank,
            &[&BED[..], &["--out", good.to_str().unwrap()]].concat()
        )
        .status
        .success()
    );
    let text = fs::read_to_string(good.join("plan.toml")).unwrap();
    for (from, to, says) in [
        ("at_mm", "at_m", "at_m"),
        ("S1 above", "S77 above", "S77"),
        (
            "clearance_mm = 0.05",
            "clearance_mm = 9.0",
            "it must lie from 0 to 1",
        ),
        ("seamwright-plan", "shopping-list", "shopping-list"),
    ] {
        assert!(text.contains(from), "{from} is not in the plan");
        let path = home.path().join("bad.toml");
        fs::write(&path, text.replace(from, to)).unwrap();
        refused(&plank, &["--plan", path.to_str().unwrap()], 3, says);
    }
}

#[test]
fn plans_of_earlier_versions_are_read() {
    for plan in ["stool/plan.toml", "side-table/plan.toml", "no-model.toml"] {
        let path = fixture("earlier").join(plan);
        let plan = design::Plan::from_toml(&fs::read_to_string(path).unwrap()).unwrap();
        assert_eq!(plan.settings().material.density_g_cm3, 1.24);
        assert_eq!(plan.model().unit, exchange::LengthUnit::Millimetre);
    }
}

#[test]
fn a_flat_box_is_refused_and_no_panic() {
    let board = fixture("board.stl");
    for wish in ["--whole=a=0,0,0:0,50,18", "--keep-out=0,0,0:100,50,0"] {
        refused(&board, &[&BED[..], &[wish]].concat(), 2, "is a flat box");
    }
}

/// A folder of a split plank.
fn split_plank(home: &Path) -> std::path::PathBuf {
    let out = home.join("planks");
    let run = run_split(
        &plank_in(home),
        &[&BED[..], &["--out", out.to_str().unwrap(), "--quiet"]].concat(),
    );
    assert!(run.status.success());
    out
}

/// What a command says of a folder one of whose files was changed.
fn said_of_changed(command: &[&str], file: &str, from: &str, to: &str) -> (Option<i32>, String) {
    let home = tempfile::tempdir().unwrap();
    let folder = split_plank(home.path());
    let path = folder.join(file);
    let text = fs::read_to_string(&path).unwrap();
    assert!(text.contains(from), "{from} is not in {file}");
    fs::write(&path, text.replacen(from, to, 1)).unwrap();
    let run = seamwright()
        .current_dir(home.path())
        .args([command[0], "planks"])
        .args(&command[1..])
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&run.stderr).into_owned();
    assert!(!said.contains("panicked"), "{said}");
    (run.status.code(), said)
}

#[test]
fn what_stands_in_a_folder_is_not_taken_on_trust() {
    let again = ["resplit", "--bed", "180x180x180"];
    for (command, file, from, to, says) in [
        (
            &again[..],
            "plan.toml",
            "unit = \"mm\"",
            "unit = \"mn\"",
            "'mn' is not a unit",
        ),
        (
            &again,
            "plan.toml",
            "margin_mm = 2.0",
            "margin_mm = -40.0",
            "a margin of -40 mm",
        ),
        (
            &again,
            "joints.json",
            "\"depth_mm\":8.0",
            "\"depth_mm\":-8.0",
            "tail.depth_mm",
        ),
        (
            &again,
            "joints.json",
            "\"taper\":0.0",
            "\"taper\":9.0",
            "tail.taper",
        ),
        (
            &["check"],
            "report.json",
            "\"printer\": \"bed-1\"",
            "\"printer\": \"bed-9\"",
            "'bed-9'",
        ),
        (
            &["check"],
            "report.json",
            "\"file\": \"pieces/",
            "\"file\": \"../pieces/",
            "out of the folder",
        ),
        (
            &["check"],
            "report.json",
            "\"id\": \"P01\"",
            "\"id\": \"=1+1\"",
            "is no id",
        ),
    ] {
        let (code, said) = said_of_changed(command, file, from, to);
        assert_eq!(code, Some(3), "{file}: {said}");
        assert!(said.contains(says), "'{says}' is not in: {said}");
    }
}

#[test]
fn a_wrong_value_in_a_printers_file_is_said_of_the_file() {
    let home = tempfile::tempdir().unwrap();
    let plank = plank_in(home.path());
    for (entry, says) in [
        ("margin_mm = -40", "a margin of -40 mm"),
        ("print = { layer_mm = 0 }", "print.layer_mm"),
        ("clearance_mm = 7", "clearance_mm"),
        ("margin = 3", "unknown field"),
    ] {
        let text = format!("[[printer]]\nname = \"small\"\nbed = \"220x220x250\"\n{entry}\n");
        fs::write(home.path().join("printers.toml"), text).unwrap();
        let run = seamwright()
            .current_dir(home.path())
            .args(["split", plank.to_str().unwrap(), "--bed", "small"])
            .output()
            .unwrap();
        let said = String::from_utf8_lossy(&run.stderr).into_owned();
        assert_eq!(run.status.code(), Some(3), "{said}");
        assert!(
            said.contains("printers.toml") && said.contains(says),
            "{said}"
        );
    }
}

#[test]
fn a_folder_that_cannot_be_written_is_exit_4_and_changes_nothing() {
    let home = tempfile::tempdir().unwrap();
    let plank = plank_in(home.path());
    let file = home.path().join("file");
    fs::write(&file, "mine").unwrap();
    let out = file.join("below");
    let run = run_split(
        &plank,
        &[&BED[..], &["--out", out.to_str().unwrap()]].concat(),
    );
    let said = String::from_utf8_lossy(&run.stderr).into_owned();
    assert_eq!(run.status.code(), Some(4), "{said}");
    // It is said before any work is done.
    assert!(!said.contains("reading"), "{said}");
    assert_eq!(fs::read_to_string(&file).unwrap(), "mine");
    assert_eq!(fs::read_dir(home.path()).unwrap().count(), 2);
}
