//! The program as a person runs it: what it writes.

use std::fs;
use std::path::Path;

use serde_json::Value;
use whole_program::{fixture, plank_in, run_split, seamwright};

fn report(folder: &Path) -> Value {
    serde_json::from_slice(&fs::read(folder.join("report.json")).unwrap()).unwrap()
}

fn files(folder: &Path) -> Vec<(String, Vec<u8>)> {
    let mut out = Vec::new();
    let mut open = vec![folder.to_owned()];
    while let Some(at) = open.pop() {
        for entry in fs::read_dir(at).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                open.push(path);
            } else {
                let name = path.strip_prefix(folder).unwrap().display().to_string();
                out.push((name, fs::read(&path).unwrap()));
            }
        }
    }
    out.sort();
    out
}

const BED: [&str; 2] = ["--bed", "220x220x250"];

#[test]
fn the_side_table_splits_soundly_and_checks_from_disk() {
    let home = tempfile::tempdir().unwrap();
    let out = home.path().join("pieces-of-it");
    let run = run_split(
        &fixture("side-table.stl"),
        &[&BED[..], &["--out", out.to_str().unwrap()]].concat(),
    );
    assert_eq!(
        run.status.code(),
        Some(0),
        "{}",
        String::from_utf8_lossy(&run.stderr)
    );
    let said = String::from_utf8_lossy(&run.stdout);
    let said = said.replace(out.to_str().unwrap(), "side-table-pieces");
    let model = fixture("side-table.stl").display().to_string();
    insta::assert_snapshot!("side-table", said.replace(&model, "side-table.stl"));
    let names: Vec<String> = files(&out).into_iter().map(|f| f.0).collect();
    for name in [
        "plan.toml",
        "report.html",
        "cut-list.csv",
        "report.json",
        "pictures/whole.png",
        "pictures/exploded.png",
        "pieces/P01.stl",
    ] {
        assert!(
            names.iter().any(|n| n == name),
            "{name} is missing of {names:?}"
        );
    }
    let report = report(&out);
    assert_eq!(report["format"], "seamwright-report");
    let pieces = report["pieces"].as_array().unwrap();
    let mut listed: Vec<&str> = pieces.iter().map(|p| p["file"].as_str().unwrap()).collect();
    listed.sort_unstable();
    listed.dedup();
    let written: Vec<&String> = names.iter().filter(|n| n.starts_with("pieces/")).collect();
    assert!(
        listed
            .iter()
            .eq(written.iter().map(|w| &w[..]).collect::<Vec<_>>().iter()),
        "{written:?}"
    );
    assert!(
        report["findings"]
            .as_array()
            .unwrap()
            .iter()
            .all(|f| f["severity"] != "error")
    );
    let rows = fs::read_to_string(out.join("cut-list.csv"))
        .unwrap()
        .lines()
        .count();
    assert_eq!(rows, listed.len() + 1);
    // The four feet of the legs are one shape.
    assert!(pieces.len() - listed.len() >= 3, "{listed:?}");
    let page = fs::read_to_string(out.join("report.html")).unwrap();
    for piece in pieces {
        assert!(page.contains(&format!("id=\"{}\"", piece["id"].as_str().unwrap())));
    }

    let mut check = seamwright();
    let check = check.arg("check").arg("--json").arg(&out).output().unwrap();
    let said = String::from_utf8_lossy(&check.stdout).into_owned();
    assert_eq!(check.status.code(), Some(0), "{said}");
    // It says what the split said, what only that knows included.
    let checked: serde_json::Value = serde_json::from_str(&said).unwrap();
    let codes = |of: &serde_json::Value| -> Vec<String> {
        let each = of["findings"].as_array().unwrap().iter();
        let mut codes: Vec<String> = each.map(|f| f["code"].to_string()).collect();
        codes.sort();
        codes
    };
    assert!(codes(&report).contains(&"\"no-mark\"".to_owned()));
    assert_eq!(codes(&checked), codes(&report));

    // A piece put in the place of another is found out.
    fs::copy(out.join("pieces/P05.stl"), out.join("pieces/P06.stl")).unwrap();
    let check = seamwright().arg("check").arg(&out).output().unwrap();
    assert_eq!(check.status.code(), Some(1));
    let said = String::from_utf8_lossy(&check.stdout).into_owned();
    assert!(said.contains("error"), "{said}");
    // First, for all else comes of it.
    let mut findings =
        (said.lines()).filter(|l| l.starts_with("warning ") || l.starts_with("error "));
    let first = findings.next().unwrap();
    assert!(first.contains("changed-file: pieces/P06.stl is"), "{said}");

    // What is missing is told with what else is wrong, all at once.
    fs::remove_file(out.join("pieces/P01.stl")).unwrap();
    fs::write(out.join("pieces/P05.stl"), "cut short").unwrap();
    let check = seamwright().arg("check").arg(&out).output().unwrap();
    assert_eq!(check.status.code(), Some(3));
    let said = String::from_utf8_lossy(&check.stderr).into_owned();
    for told in [
        "missing: pieces/P01.stl",
        "not what the split wrote: pieces/P05.stl, pieces/P06.stl",
    ] {
        assert!(said.contains(told), "{said}");
    }
}

#[test]
fn the_page_counts_keys_apart() {
    let home = tempfile::tempdir().unwrap();
    let out = home.path().join("with-keys");
    let more = ["--joint", "butterfly", "--out", out.to_str().unwrap()];
    run_split(&fixture("side-table.stl"), &[&BED[..], &more].concat());
    let report = report(&out);
    let ids = report["pieces"].as_array().unwrap().iter();
    let (keys, pieces): (Vec<_>, Vec<_>) =
        ids.partition(|p| p["id"].as_str().unwrap().starts_with('K'));
    assert!(keys.len() > 1);
    let page = fs::read_to_string(out.join("report.html")).unwrap();
    let said = format!("{} and {} keys", pieces.len(), keys.len());
    assert!(page.contains(&said), "the page does not say: {said}");
}

#[test]
fn one_thread_and_two_write_the_same_bytes() {
    let home = tempfile::tempdir().unwrap();
    let both = ["1", "2"].map(|threads| {
        let out = home.path().join(threads);
        let run = seamwright()
            .env("RAYON_NUM_THREADS", threads)
            .arg("split")
            .arg(fixture("stool.stl"))
            .args(BED)
            .arg("--out")
            .arg(&out)
            .output()
            .unwrap();
        assert_eq!(run.status.code(), Some(0));
        files(&out)
    });
    assert_eq!(both[0].len(), both[1].len());
    for (a, b) in both[0].iter().zip(&both[1]) {
        assert!(a == b, "{} differs from {}", a.0, b.0);
    }
}

#[test]
fn moving_a_cut_in_the_plan_moves_just_that_seam() {
    let home = tempfile::tempdir().unwrap();
    let first = home.path().join("first");
    let run = run_split(
        &fixture("board.stl"),
        &[&BED[..], &["--out", first.to_str().unwrap()]].concat(),
    );
    assert_eq!(run.status.code(), Some(0));
    let text = fs::read_to_string(first.join("plan.toml")).unwrap();
    let before = report(&first);

    // A seam that nothing hangs from, square to the board's length.
    let parents: Vec<&str> = text
        .lines()
        .filter_map(|l| l.strip_prefix("cuts = "))
        .collect();
    let leaf = before["seams"]
        .as_array()
        .unwrap()
        .iter()
        .rev()
        .map(|s| s["id"].as_str().unwrap())
        .find(|id| !parents.iter().any(|p| p.starts_with(&format!("\"{id} "))))
        .unwrap();
    let entry = text.find(&format!("id = \"{leaf}\"")).unwrap();
    let place = entry + text[entry..].find("at_mm = ").unwrap() + "at_mm = ".len();
    let end = place + text[place..].find('\n').unwrap();
    let at: f64 = text[place..end].parse().unwrap();
    let edited = home.path().join("edited.toml");
    fs::write(
        &edited,
        format!("{}{:?}{}", &text[..place], at + 7.5, &text[end..]),
    )
    .unwrap();
    let second = home.path().join("second");
    let run = run_split(
        &fixture("board.stl"),
        &[
            "--plan",
            edited.to_str().unwrap(),
            "--out",
            second.to_str().unwrap(),
        ],
    );
    assert_eq!(
        run.status.code(),
        Some(0),
        "{}",
        String::from_utf8_lossy(&run.stderr)
    );
    let after = report(&second);
    let moved: Vec<usize> = (0..before["seams"].as_array().unwrap().len())
        .filter(|&k| before["seams"][k]["origin_mm"] != after["seams"][k]["origin_mm"])
        .collect();
    assert_eq!(moved.len(), 1);
    let seam = &before["seams"][moved[0]];
    let at_seam: Vec<&Value> = seam["contacts"]
        .as_array()
        .unwrap()
        .iter()
        .flat_map(|c| c["pieces"].as_array().unwrap())
        .collect();
    // Where the moved seam ends on another, the contacts there are divided
    // anew, so the neighbours' joints move with it; no others do.
    let mut touched = at_seam.clone();
    for seam in before["seams"].as_array().unwrap() {
        for contact in seam["contacts"].as_array().unwrap() {
            let pair: Vec<&Value> = contact["pieces"].as_array().unwrap().iter().collect();
            if pair.iter().any(|p| at_seam.contains(p)) {
                touched.extend(pair);
            }
        }
    }
    for (a, b) in before["pieces"]
        .as_array()
        .unwrap()
        .iter()
        .zip(after["pieces"].as_array().unwrap())
    {
        if !touched.contains(&&a["id"]) {
            let file = a["file"].as_str().unwrap();
            assert!(
                fs::read(first.join(file)).unwrap() == fs::read(second.join(file)).unwrap(),
                "{} is nowhere near the seam that moved, and changed",
                a["id"]
            );
            assert_eq!(a["placement"], b["placement"]);
        }
    }
}

#[test]
fn json_is_the_report_and_nothing_else() {
    let home = tempfile::tempdir().unwrap();
    let out = home.path().join("o");
    let run = run_split(
        &plank_in(home.path()),
        &[&BED[..], &["--json", "--out", out.to_str().unwrap()]].concat(),
    );
    let printed: Value = serde_json::from_slice(&run.stdout).unwrap();
    assert_eq!(printed, report(&out));
    assert!(run.stderr.is_empty());
}

#[test]
fn a_survey_tells_size_and_what_a_split_takes() {
    let run = seamwright()
        .arg("survey")
        .arg(fixture("board.stl"))
        .args(BED)
        .output()
        .unwrap();
    assert!(run.status.success());
    let said = String::from_utf8_lossy(&run.stdout);
    assert!(said.contains("1200.0 × 400.0 × 18.0 mm"), "{said}");
    assert!(said.contains("12 pieces, 11 seams"), "{said}");
    let inches = seamwright()
        .arg("survey")
        .arg(fixture("board.stl"))
        .args(["--unit", "in"])
        .output()
        .unwrap();
    assert!(String::from_utf8_lossy(&inches.stdout).contains("30480.0"));
}

#[test]
fn help_reads_as_it_should() {
    let help = |args: &[&str]| {
        let out = seamwright()
            .args(args)
            .arg("--help")
            .env("COLUMNS", "100")
            .output()
            .unwrap();
        String::from_utf8(out.stdout).unwrap()
    };
    insta::assert_snapshot!("help", help(&[]));
    insta::assert_snapshot!("help-split", help(&["split"]));
}

#[test]
fn joints_read_as_they_should() {
    let joints = |thickness: &str| {
        let out = seamwright()
            .args(["joints", "--thickness", thickness])
            .output()
            .unwrap();
        String::from_utf8(out.stdout).unwrap()
    };
    insta::assert_snapshot!("joints-18", joints("18"));
    // Too thin for tenons.
    insta::assert_snapshot!("joints-4", joints("4"));
    // A number below nothing is a number, and no option.
    let below = seamwright().args(["joints", "--thickness", "-5"]).output();
    let said = String::from_utf8(below.unwrap().stderr).unwrap();
    assert!(said.contains("out of range"), "{said}");
}

#[test]
fn completions_and_the_manual_page_name_every_command() {
    let printed = |args: &[&str]| {
        let run = seamwright().args(args).output().unwrap();
        assert!(run.status.success());
        String::from_utf8(run.stdout).unwrap()
    };
    let manual = printed(&["manual"]);
    for shell in ["bash", "zsh", "fish"] {
        let words = printed(&["completions", shell]);
        for command in [
            "split", "resplit", "check", "survey", "report", "coupon", "joints",
        ] {
            assert!(words.contains(command), "{shell} has no {command}");
            assert!(manual.contains(command), "the manual has no {command}");
        }
    }
}

#[test]
fn the_report_says_what_the_split_is_worth_term_by_term() {
    let home = tempfile::tempdir().unwrap();
    let out = home.path().join("out");
    let place = [
        "--bed",
        "220x220x250",
        "--quiet",
        "--out",
        out.to_str().unwrap(),
    ];
    assert!(run_split(&plank_in(home.path()), &place).status.success());
    let report = paperwork::read_report(&out).unwrap();
    let worth = report.worth.unwrap();
    assert_eq!(worth.amount_of("pieces"), report.pieces.len() as f64);
    assert_eq!(worth.amount_of("seams"), report.seams.len() as f64);
    // What the pieces list is what is counted: within rounding, less what starts a plate.
    let grams: f64 = report.pieces.iter().map(|p| p.plastic_g).sum();
    assert!((worth.amount_of("grams of plastic") - grams).abs() < 0.5);
    let minutes: f64 = report.pieces.iter().map(|p| p.print_min).sum();
    let start_min = report.pieces.len() as f64 * report.settings.print.start_s / 60.0;
    let hours = worth.amount_of("hours of print");
    assert!((60.0 * hours - minutes + start_min).abs() < 0.5);
    let handling = 30.0 * report.pieces.len() as f64 + 2.0 * report.seams.len() as f64;
    assert!(worth.total() > handling + 0.08 * grams + hours);
    let page = fs::read_to_string(out.join("report.html")).unwrap();
    assert!(page.contains("What makes up the minutes of work"));
}
