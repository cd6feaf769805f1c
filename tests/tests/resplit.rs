//! The same furniture for another printer, around what is printed.

use std::fs;
use std::path::Path;

use serde_json::Value;
use solid::{Point, Solid};
use whole_program::{fixture, plank_in, seamwright};

fn run(args: &[&str]) -> (Option<i32>, String) {
    let out = seamwright().args(args).output().unwrap();
    (
        out.status.code(),
        String::from_utf8_lossy(&out.stderr).into_owned(),
    )
}

fn word(path: &Path) -> &str {
    path.to_str().unwrap()
}

/// Splits a model, which must go well.
fn split(model: &Path, bed: &str, out: &Path, more: &[&str]) {
    let args = [
        "split",
        word(model),
        "--bed",
        bed,
        "--out",
        word(out),
        "--quiet",
    ];
    let (status, why) = run(&[&args, more].concat());
    assert_eq!(status, Some(0), "{why}");
}

/// Splits an earlier split again, which must go well.
fn resplit(model: &Path, from: &Path, bed: &str, out: &Path, more: &[&str]) {
    let args = [
        "resplit",
        word(from),
        "--bed",
        bed,
        "--model",
        word(model),
        "--out",
        word(out),
        "--quiet",
    ];
    let (status, why) = run(&[&args, more].concat());
    assert_eq!(status, Some(0), "{why}");
}

fn report(folder: &Path) -> Value {
    serde_json::from_slice(&fs::read(folder.join("report.json")).unwrap()).unwrap()
}

/// The bytes of the file of a piece.
fn file_of(folder: &Path, id: &str) -> Vec<u8> {
    let report = report(folder);
    let pieces = report["pieces"].as_array().unwrap();
    let piece = pieces.iter().find(|p| p["id"] == id).unwrap();
    fs::read(folder.join(piece["file"].as_str().unwrap())).unwrap()
}

fn ids(report: &Value, what: &str) -> Vec<String> {
    report["resplit"][what]
        .as_array()
        .unwrap()
        .iter()
        .map(|id| id.as_str().unwrap().to_owned())
        .collect()
}

#[test]
fn printed_pieces_stay_to_the_last_byte_up_and_down() {
    let home = tempfile::tempdir().unwrap();
    let at = |name: &str| home.path().join(name);
    let (first, larger, smaller) = (at("a"), at("b"), at("c"));
    let model = fixture("board.stl");
    split(&model, "220x220x250", &first, &[]);
    let printed = ["P01", "P02", "P05"];
    let named = ["--printed", &printed.join(",")];
    resplit(&model, &first, "300x300x350", &larger, &named);
    // What was printed is remembered: it need not be said again.
    resplit(&model, &larger, "180x180x180", &smaller, &[]);
    for id in printed {
        assert_eq!(file_of(&first, id), file_of(&larger, id));
        assert_eq!(file_of(&first, id), file_of(&smaller, id));
    }
    let (was, up, down) = (report(&first), report(&larger), report(&smaller));
    let count = |r: &Value| r["pieces"].as_array().unwrap().len();
    assert!(count(&up) < count(&was) && count(&was) < count(&down));
    for (before, after) in [(&was, &up), (&up, &down)] {
        // Every earlier piece is told of, and every piece of now.
        let told = |what: &[&str]| what.iter().map(|w| ids(after, w).len()).sum::<usize>();
        assert_eq!(told(&["printed", "kept", "changed", "gone"]), count(before));
        assert_eq!(told(&["printed", "kept", "changed", "new"]), count(after));
        assert_eq!(ids(after, "printed"), printed);
    }
    for id in ids(&up, "kept") {
        assert_eq!(file_of(&first, &id), file_of(&larger, &id), "{id}");
    }
    assert_eq!(run(&["check", word(&smaller), "--quiet"]).0, Some(0));
    // Its plan by itself would make them anew, and that is told.
    let (plan, alone) = (larger.join("plan.toml"), at("d"));
    let more = ["--plan", word(&plan), "--out", word(&alone), "--quiet"];
    run(&[&["split", word(&model)], &more[..]].concat());
    let report = report(&alone);
    let findings = report["findings"].as_array().unwrap();
    let told = findings.iter().find(|f| f["code"] == "printed-anew");
    let told = told.unwrap()["message"].as_str().unwrap();
    assert!(told.contains("P01, P02, P05"), "{told}");
}

#[test]
fn what_can_not_be_is_told() {
    let home = tempfile::tempdir().unwrap();
    let (first, model) = (home.path().join("a"), plank_in(home.path()));
    split(&model, "220x220x250", &first, &[]);
    let (first, model) = (word(&first), word(&model));
    let again = |more: &[&str]| {
        run(&[
            &[
                "resplit", first, "--model", model, "--out", "never", "--quiet",
            ],
            more,
        ]
        .concat())
    };
    let (status, why) = again(&["--bed", "300x300x350", "--printed", "P99"]);
    assert_eq!(status, Some(2));
    assert!(why.contains("P99") && why.contains("P01"), "{why}");
    let (status, why) = again(&["--bed", "30x30x30"]);
    assert_eq!(status, Some(2));
    assert!(why.contains("smaller than a joint"), "{why}");
    let other = fixture("stool.stl").display().to_string();
    let (status, why) = run(&[
        "resplit",
        first,
        "--bed",
        "300x300x350",
        "--model",
        &other,
        "--out",
        "never",
    ]);
    assert_eq!(status, Some(3));
    assert!(why.contains("not the model"), "{why}");
    assert!(!Path::new("never").exists());
}

#[test]
fn what_is_kept_but_lies_another_way_is_what_its_report_says() {
    let home = tempfile::tempdir().unwrap();
    let at = |name: &str| home.path().join(name);
    let (first, again, third) = (at("a"), at("b"), at("c"));
    // Thick enough to stand on its end.
    let plank = Solid::cuboid(Point::origin(), Point::new(420.0, 80.0, 44.0));
    let model = at("plank.stl");
    fs::write(&model, exchange::write_stl(&plank).unwrap()).unwrap();
    split(&model, "120x120x210", &first, &[]);
    resplit(&model, &first, "230x230x120", &again, &["--printed", "P01"]);
    // It stood upright, and has to lie flat now.
    assert!(ids(&report(&again), "kept").contains(&"P02".to_owned()));
    assert_ne!(file_of(&first, "P02"), file_of(&again, "P02"));
    // Its file was that of the first piece, which has another label: its own label
    // is cut in its own file.
    let bare = at("bare");
    split(&model, "120x120x210", &bare, &["--no-labels"]);
    let second = |folder: &Path| {
        let report = report(folder);
        let pieces = report["pieces"].as_array().unwrap();
        pieces.iter().find(|p| p["id"] == "P02").unwrap().clone()
    };
    let labels = second(&again)["labels"].clone();
    let labels = labels.as_array().unwrap();
    assert!(labels[0]["text"].as_str().unwrap().starts_with("P02"));
    let volume = |folder: &Path| second(folder)["volume_mm3"].as_f64().unwrap();
    assert!(volume(&again) < volume(&bare) - 5.0);
    // A piece is known by its file, labels and all.
    resplit(&model, &again, "230x230x120", &third, &["--printed", "P02"]);
    assert_eq!(file_of(&again, "P02"), file_of(&third, "P02"));
}

/// Two halves of a slab with two keys through all of its length, and its split
/// for a smaller printer around what is printed of it.
fn keyed_slab(home: &Path, smaller: &str, printed: &str) -> Value {
    let slab = Solid::cuboid(Point::origin(), Point::new(46.0, 328.0, 600.0));
    let model = home.join("slab.stl");
    fs::write(&model, exchange::write_stl(&slab).unwrap()).unwrap();
    let (first, again) = (home.join("a"), home.join("b"));
    let keyed = ["--joint", "butterfly", "--hide=+x,-x"];
    let more = [&keyed[..], &["--seam-at", "z=300"]].concat();
    split(&model, "340x340x340", &first, &more);
    resplit(&model, &first, smaller, &again, &["--printed", printed]);
    report(&again)
}

/// The ids of the keys, the one that goes in first being first.
fn keys_in_order(report: &Value) -> Vec<&str> {
    let steps = report["steps"].as_array().unwrap().iter();
    let moving = steps.flat_map(|s| s["moving"].as_array().unwrap());
    let ids = moving.filter_map(Value::as_str);
    ids.filter(|id| id.starts_with('K')).collect()
}

fn errors(report: &Value) -> usize {
    let findings = report["findings"].as_array().unwrap().iter();
    findings.filter(|f| f["severity"] == "error").count()
}

#[test]
fn keys_too_long_for_the_new_printer_are_cut_to_fit() {
    let home = tempfile::tempdir().unwrap();
    let report = keyed_slab(home.path(), "200x200x250", "P01,P02");
    let keys = keys_in_order(&report);
    assert_eq!(keys.len(), 4);
    let pieces = report["pieces"].as_array().unwrap();
    for piece in pieces
        .iter()
        .filter(|p| keys.contains(&p["id"].as_str().unwrap()))
    {
        let size = piece["size_mm"].as_array().unwrap().iter();
        assert!(size.filter_map(Value::as_f64).all(|mm| mm < 165.0));
    }
    // The furthest goes in first, or the last would not go in.
    assert_eq!(errors(&report), 0);
    // They are what they were when they are cut again.
    let (model, again) = (home.path().join("slab.stl"), home.path().join("b"));
    let third = home.path().join("c");
    resplit(
        &model,
        &again,
        "200x200x250",
        &third,
        &["--printed", keys[0]],
    );
    assert_eq!(file_of(&again, keys[0]), file_of(&third, keys[0]));
}

#[test]
fn what_has_to_be_cut_across_a_printed_joint_is() {
    let home = tempfile::tempdir().unwrap();
    let report = keyed_slab(home.path(), "200x200x250", "P01");
    assert_eq!(errors(&report), 0);
    let seams = report["seams"].as_array().unwrap();
    let contacts = seams.iter().flat_map(|s| s["contacts"].as_array().unwrap());
    // On the printed half stand two now, each held by both keys' parts.
    let on_it: Vec<&Value> = contacts
        .filter(|c| c["pieces"].as_array().unwrap().contains(&"P01".into()))
        .collect();
    assert_eq!(on_it.len(), 2);
    assert!(
        on_it
            .iter()
            .all(|c| c["joint"] == "butterfly" && c["count"] == 2)
    );
}

#[test]
fn a_new_key_of_a_kept_shape_is_printed_from_the_kept_file() {
    let home = tempfile::tempdir().unwrap();
    let report = keyed_slab(home.path(), "200x340x250", "P01");
    let new = ids(&report, "new");
    let key = new
        .iter()
        .find(|id| id.starts_with('K'))
        .expect("a new key");
    let again = home.path().join("b");
    assert_eq!(file_of(&again, key), file_of(&home.path().join("a"), "K01"));
    let pieces = report["pieces"].as_array().unwrap();
    let file = |id: &str| pieces.iter().find(|p| p["id"] == id).unwrap()["file"].clone();
    assert_eq!(file(key), file("K01"));
    // Where one of them is printed, the others are for the new printer.
    let (model, last) = (home.path().join("slab.stl"), home.path().join("c"));
    let printed = ["--printed", "P01,K01"];
    resplit(
        &model,
        &home.path().join("a"),
        "200x340x250",
        &last,
        &printed,
    );
    let list = fs::read_to_string(last.join("cut-list.csv")).unwrap();
    let row = list.lines().find(|row| row.starts_with("K01 ")).unwrap();
    assert!(row.contains(",4,bed-2,"), "{row}");
}

/// Folders that an earlier version wrote, a third of their pieces printed.
#[test]
fn what_an_earlier_version_printed_stays_to_the_last_byte() {
    for model in ["stool", "side-table"] {
        let home = tempfile::tempdir().unwrap();
        let from = fixture("earlier").join(model);
        let again = home.path().join("again");
        let source = fixture(&format!("{model}.stl"));
        resplit(&source, &from, "300x300x350", &again, &[]);
        let before = report(&from);
        let printed: Vec<&str> = before["pieces"]
            .as_array()
            .unwrap()
            .iter()
            .filter(|p| p["printed"] == true)
            .map(|p| p["id"].as_str().unwrap())
            .collect();
        assert!(printed.len() >= 3);
        assert_eq!(ids(&report(&again), "printed"), printed);
        for id in printed {
            assert_eq!(file_of(&from, id), file_of(&again, id), "{model} {id}");
        }
    }
}

/// A board that lies flat on the first bed fits the second on its edge only, where it falls.
#[test]
fn what_would_fall_on_the_new_bed_is_cut_for_it() {
    let home = tempfile::tempdir().unwrap();
    let [model, first, again] = ["two.stl", "first", "again"].map(|name| home.path().join(name));
    let board = Solid::cuboid(Point::origin(), Point::new(490.0, 209.0, 12.0));
    let block = Solid::cuboid(Point::new(600.0, 0.0, 0.0), Point::new(640.0, 40.0, 40.0));
    let both = Solid::gathered(&[board, block]);
    fs::write(&model, exchange::write_stl(&both).unwrap()).unwrap();
    split(&model, "256x256x256", &first, &[]);
    let before = report(&first);
    let flat = |p: &&Value| p["size_mm"][2].as_f64().unwrap() < 13.0;
    let pieces = before["pieces"].as_array().unwrap();
    assert_eq!(pieces.iter().filter(flat).count(), 2);
    let small = pieces.iter().find(|p| !flat(p)).unwrap()["id"]
        .as_str()
        .unwrap();
    resplit(&model, &first, "220x220x250", &again, &["--printed", small]);
    let after = report(&again);
    let pieces = after["pieces"].as_array().unwrap();
    assert_eq!(pieces.iter().filter(flat).count(), pieces.len() - 1);
    assert!(pieces.len() > 3);
}

/// A wish of how a piece lies is obeyed around what is printed.
#[test]
fn what_is_not_printed_lies_as_the_maker_wants_it() {
    let home = tempfile::tempdir().unwrap();
    let model = plank_in(home.path());
    let [first, again] = ["first", "again"].map(|name| home.path().join(name));
    split(&model, "220x220x250", &first, &[]);
    let before = report(&first);
    let up_of = |report: &Value, id: &str| {
        let pieces = report["pieces"].as_array().unwrap().iter();
        let piece = pieces.into_iter().find(|p| p["id"] == id).unwrap();
        piece["size_mm"][2].as_f64().unwrap()
    };
    let flat = up_of(&before, "P03");
    let plan = fs::read_to_string(first.join("plan.toml")).unwrap();
    let wish =
        "labels = true\nwishes = { lying = [{ at_mm = [520.0, 10.0, 5.0], up = [0, 1, 0] }] }";
    fs::write(
        first.join("plan.toml"),
        plan.replacen("labels = true", wish, 1),
    )
    .unwrap();
    resplit(&model, &first, "230x230x250", &again, &["--printed", "P01"]);
    let after = report(&again);
    assert!(up_of(&after, "P03") > 2.0 * flat, "{after}");
    assert_eq!(file_of(&first, "P01"), file_of(&again, "P01"));
}
