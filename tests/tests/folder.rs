//! The output folder: what a split may replace in it.

use std::fs;
use std::path::Path;

use whole_program::{Bench, files, plank_in, run_split, said, seamwright};

const OTHER_BED: [&str; 3] = ["--bed", "300x300x300", "--force"];

#[test]
fn force_leaves_what_no_split_wrote_where_it_is() {
    let bench = Bench::new();
    let strangers = ["notes.md", "pieces/P01.gcode", "plates/mine/first.txt"];
    for name in strangers {
        let place = bench.out.join(name);
        fs::create_dir_all(place.parent().unwrap()).unwrap();
        fs::write(place, name).unwrap();
    }
    fs::rename(&bench.plank, bench.out.join("plank.stl")).unwrap();
    let model = fs::read(bench.out.join("plank.stl")).unwrap();
    let before = files(&bench.out);
    let again = seamwright()
        .current_dir(bench.home.path())
        .args(["split", "mine/plank.stl", "--out", "mine"])
        .args(OTHER_BED)
        .output()
        .unwrap();
    assert!(again.status.success(), "{}", said(&again));
    let after = files(&bench.out);
    for name in strangers {
        assert_eq!(after[Path::new(name)], name.as_bytes());
    }
    assert_eq!(after[Path::new("plank.stl")], model);
    assert_ne!(
        after[Path::new("report.json")],
        before[Path::new("report.json")]
    );
    // Every other file is one of the list.
    let list: serde_json::Value =
        serde_json::from_slice(&after[Path::new("owned-files.json")]).unwrap();
    let listed = list["files"].as_object().unwrap();
    let own = after.keys().filter(|name| {
        let name = name.to_str().unwrap();
        !strangers.contains(&name) && !["plank.stl", "owned-files.json"].contains(&name)
    });
    assert!(own.clone().count() == listed.len());
    assert!(
        own.clone()
            .all(|name| listed.contains_key(name.to_str().unwrap()))
    );
    // And nothing lies beside the folder.
    assert_eq!(fs::read_dir(bench.home.path()).unwrap().count(), 1);
}

#[test]
fn a_folder_that_only_has_a_report_is_not_a_splits() {
    let bench = Bench::new();
    let thesis = bench.home.path().join("thesis");
    fs::create_dir(&thesis).unwrap();
    fs::write(thesis.join("report.json"), "{\"chapter\": 1}").unwrap();
    let run = seamwright()
        .current_dir(bench.home.path())
        .args(["split", "plank.stl", "--out", "thesis"])
        .args(OTHER_BED)
        .output()
        .unwrap();
    assert_eq!(run.status.code(), Some(2), "{}", said(&run));
    assert!(said(&run).contains("owned-files.json"), "{}", said(&run));
    assert_eq!(fs::read_dir(&thesis).unwrap().count(), 1);
}

#[test]
fn an_edited_file_is_named_and_kept() {
    let bench = Bench::new();
    let page = bench.out.join("report.html");
    fs::write(&page, "my notes").unwrap();
    let before = files(&bench.out);
    let run = bench.split(&OTHER_BED);
    assert_eq!(run.status.code(), Some(2));
    assert!(
        said(&run).contains("report.html in mine changed"),
        "{}",
        said(&run)
    );
    assert!(files(&bench.out) == before);
}

#[test]
fn a_strangers_file_is_not_overwritten_by_a_new_piece() {
    let bench = Bench::new();
    let far = bench.out.join("pieces/P04.stl");
    assert!(!far.exists());
    fs::write(&far, "mine").unwrap();
    let run = bench.split(&["--bed", "100x100x100", "--force"]);
    assert_eq!(run.status.code(), Some(2), "{}", said(&run));
    assert!(said(&run).contains("P04.stl"), "{}", said(&run));
    assert_eq!(fs::read_to_string(&far).unwrap(), "mine");
}

#[test]
fn an_edited_plan_is_what_runs_next_and_its_comments_stay() {
    let bench = Bench::new();
    let plan = bench.out.join("plan.toml");
    let text = fs::read_to_string(&plan).unwrap();
    let edited = format!("# The drawer goes here.\n{text}");
    fs::write(&plan, &edited).unwrap();
    let other = bench.split(&OTHER_BED);
    assert_eq!(other.status.code(), Some(2));
    assert!(
        said(&other).contains("--plan mine/plan.toml"),
        "{}",
        said(&other)
    );
    let own = bench.split(&["--plan", "mine/plan.toml", "--force"]);
    assert!(own.status.success(), "{}", said(&own));
    assert_eq!(fs::read_to_string(&plan).unwrap(), edited);
    // On another bed it would be another plan.
    fs::write(&plan, format!("{edited}# Not so wide.\n")).unwrap();
    let other = bench.split(&[
        "--plan",
        "mine/plan.toml",
        "--bed",
        "250x250x250",
        "--force",
    ]);
    assert_eq!(other.status.code(), Some(2), "{}", said(&other));
    assert!(fs::read_to_string(&plan).unwrap().ends_with("wide.\n"));
    // The page is made anew without a word about the plan.
    let page = seamwright().arg("report").arg(&bench.out).output().unwrap();
    assert!(page.status.success(), "{}", said(&page));
}

#[test]
fn a_piece_of_a_folder_is_not_split_into_that_folder() {
    let bench = Bench::new();
    let before = files(&bench.out);
    let run = seamwright()
        .current_dir(bench.home.path())
        .args(["split", "mine/pieces/P01.stl", "--out", "mine", "--force"])
        .args(["--bed", "90x90x90"])
        .output()
        .unwrap();
    assert_eq!(run.status.code(), Some(2), "{}", said(&run));
    assert!(said(&run).contains("pieces/P01.stl"), "{}", said(&run));
    assert!(files(&bench.out) == before);
}

#[test]
fn a_shell_within_the_folder_stays_there() {
    let bench = Bench::new();
    let run = seamwright()
        .current_dir(&bench.out)
        .args(["split", "../plank.stl", "--out", "../mine", "--quiet"])
        .args(OTHER_BED)
        .output()
        .unwrap();
    assert!(run.status.success(), "{}", said(&run));
    assert!(bench.out.join("report.json").is_file());
    assert_eq!(fs::read_dir(bench.home.path()).unwrap().count(), 2);
}

#[test]
fn a_resplit_goes_beside_the_folder_however_that_is_spelt() {
    let spelt = [("mine/", "."), ("./mine/.", "."), (".", "mine")];
    for (folder, within) in spelt {
        let bench = Bench::new();
        let run = seamwright()
            .current_dir(bench.home.path().join(within))
            .args(["resplit", folder, "--bed", "300x300x300", "--quiet"])
            .output()
            .unwrap();
        assert!(run.status.success(), "{folder}: {}", said(&run));
        assert!(bench.home.path().join("mine-again/report.json").is_file());
        assert!(!bench.out.join("-again").exists());
    }
}

#[test]
fn a_folder_knows_where_its_model_is() {
    let home = tempfile::tempdir().unwrap();
    let shelf = home.path().join("models/shelf");
    fs::create_dir_all(&shelf).unwrap();
    plank_in(&shelf);
    let run = |args: &[&str]| {
        let run = seamwright().current_dir(home.path()).args(args).output();
        assert!(
            run.as_ref().unwrap().status.success(),
            "{}",
            said(&run.unwrap())
        );
    };
    run(&[
        "split",
        "models/shelf/plank.stl",
        "--bed",
        "220x220x250",
        "--out",
        "mine",
    ]);
    run(&["resplit", "mine", "--bed", "300x300x300"]);
    // Both may move together.
    fs::create_dir(home.path().join("attic")).unwrap();
    for name in ["models", "mine"] {
        fs::rename(home.path().join(name), home.path().join("attic").join(name)).unwrap();
    }
    run(&["resplit", "attic/mine", "--bed", "300x300x300"]);
}

#[test]
fn printed_pieces_get_no_other_files() {
    let bench = Bench::new();
    let run = |args: &[&str]| {
        let mut run = seamwright();
        run.current_dir(bench.home.path()).args(args);
        run.output().unwrap()
    };
    let again = run(&[
        "resplit",
        "mine",
        "--printed",
        "P01",
        "--bed",
        "300x300x300",
        "--out",
        "again",
    ]);
    assert!(again.status.success(), "{}", said(&again));
    let out = String::from_utf8_lossy(&again.stdout).into_owned();
    assert!(
        !out.contains("--force"),
        "a hint that cannot be followed: {out}"
    );
    let before = files(&bench.home.path().join("again"));
    let over = run(&[
        "split",
        "plank.stl",
        "--bed",
        "100x100x100",
        "--out",
        "again",
        "--force",
    ]);
    assert_eq!(over.status.code(), Some(2));
    assert!(
        said(&over).contains("P01 in again is printed"),
        "{}",
        said(&over)
    );
    assert!(files(&bench.home.path().join("again")) == before);
    // A re-split into the same folder keeps them.
    let same = run(&[
        "resplit",
        "again",
        "--bed",
        "180x180x180",
        "--out",
        "again",
        "--force",
    ]);
    assert!(same.status.success(), "{}", said(&same));
    let after = files(&bench.home.path().join("again"));
    let piece = Path::new("pieces/P01.stl");
    assert!(after[piece] == before[piece]);
}

/// The commands that a run prints, to be given to a shell.
fn hints(run: &std::process::Output) -> Vec<String> {
    let said = [&run.stdout, &run.stderr].map(|s| String::from_utf8_lossy(s).into_owned());
    let all = said.concat();
    let quoted = all.split('`').skip(1).step_by(2);
    let commands = quoted.filter(|words| words.starts_with("seamwright "));
    commands.map(str::to_owned).collect()
}

#[test]
fn whatever_hint_is_followed_printed_files_stay() {
    let home = tempfile::tempdir().unwrap();
    // The hints must hold where a shell would part the model's name in two.
    fs::rename(plank_in(home.path()), home.path().join("my plank.stl")).unwrap();
    let run = |args: &[&str]| {
        let mut run = seamwright();
        run.current_dir(home.path()).args(args).output().unwrap()
    };
    let bed = ["--bed", "220x220x250"];
    let split = run(&[&["split", "my plank.stl", "--out", "mine"], &bed[..]].concat());
    assert!(split.status.success(), "{}", said(&split));
    let printed = |folder: &str| fs::read(home.path().join(folder).join("pieces/P01.stl")).unwrap();
    let bytes = printed("mine");
    let larger = ["--printed", "P01", "--bed", "300x300x300"];
    let again = run(&[&["resplit", "mine"], &larger[..]].concat());
    assert!(again.status.success(), "{}", said(&again));
    let over = run(&[
        "split",
        "my plank.stl",
        "--out",
        "mine-again",
        "--force",
        "--bed",
        "90x90x90",
    ]);
    assert_eq!(over.status.code(), Some(2), "{}", said(&over));
    let mut followed = 0;
    for hint in [&split, &again, &over].into_iter().flat_map(hints) {
        let program = seamwright().get_program().to_string_lossy().into_owned();
        let line = hint.replacen("seamwright", &format!("'{program}'"), 1);
        let mut shell = std::process::Command::new("sh");
        let done = shell
            .current_dir(home.path())
            .args(["-c", &line])
            .output()
            .unwrap();
        // A hint that is a whole command is one that works.
        if hint.contains("--") {
            assert!(done.status.success(), "{hint}: {}", said(&done));
            followed += 1;
        }
        assert!(printed("mine-again") == bytes, "{hint}");
    }
    assert!(followed > 0);
}

#[test]
fn a_file_that_its_owner_threw_away_stops_no_later_run() {
    let bench = Bench::new();
    fs::remove_file(bench.out.join("pictures/whole.png")).unwrap();
    let page = seamwright().arg("report").arg(&bench.out).output().unwrap();
    assert!(page.status.success(), "{}", said(&page));
    assert!(!bench.out.join("unfinished-run").exists());
    let again = bench.split(&OTHER_BED);
    assert!(again.status.success(), "{}", said(&again));
    assert!(bench.out.join("pictures/whole.png").is_file());
}

#[test]
fn an_output_folder_is_never_overwritten_by_mistake() {
    let home = tempfile::tempdir().unwrap();
    let out = home.path().join("precious");
    fs::create_dir(&out).unwrap();
    fs::write(out.join("letter.txt"), "dear").unwrap();
    let plank = plank_in(home.path());
    let place = ["--out", out.to_str().unwrap()];
    let run = run_split(&plank, &[&["--bed", "220x220x250"][..], &place].concat());
    assert_eq!(run.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&run.stderr).contains("--force"));
    // Not even by force, when it is not a folder of ours.
    let run = run_split(
        &plank,
        &[&["--bed", "220x220x250"][..], &place, &["--force"]].concat(),
    );
    assert_eq!(run.status.code(), Some(2));
    assert_eq!(fs::read_to_string(out.join("letter.txt")).unwrap(), "dear");

    // One of ours is replaced whole, and stays when the new run fails.
    let ours = home.path().join("ours");
    let place = ["--out", ours.to_str().unwrap(), "--force"];
    assert!(
        run_split(&plank, &[&["--bed", "220x220x250"][..], &place].concat())
            .status
            .success()
    );
    let before = files(&ours);
    let run = run_split(
        &home.path().join("none.stl"),
        &[&["--bed", "220x220x250"][..], &place].concat(),
    );
    assert_eq!(run.status.code(), Some(3));
    assert!(files(&ours) == before);
    assert!(
        run_split(&plank, &[&["--bed", "300x300x300"][..], &place].concat())
            .status
            .success()
    );
    assert!(files(&ours) != before);
    assert_eq!(
        fs::read_dir(home.path()).unwrap().count(),
        3,
        "something was left behind"
    );
}
