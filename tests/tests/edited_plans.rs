//! A plan that its maker changed so that a piece fits no printer any more.

use std::fs;

use whole_program::{Bench, codes, plank_in, said, seamwright};

/// The plan of a folder.
fn plan(bench: &Bench) -> String {
    fs::read_to_string(bench.out.join("plan.toml")).unwrap()
}

fn report(bench: &Bench) -> serde_json::Value {
    serde_json::from_slice(&fs::read(bench.out.join("report.json")).unwrap()).unwrap()
}

/// Changes a folder's plan and runs it again there.
fn run_edited(bench: &Bench, edited: &str) -> serde_json::Value {
    fs::write(bench.out.join("plan.toml"), edited).unwrap();
    let run = bench.split(&["--plan", "mine/plan.toml", "--force"]);
    assert!(run.status.success(), "{}", said(&run));
    report(bench)
}

#[test]
fn what_is_left_without_its_seams_is_planned_anew() {
    let bench = Bench::new();
    let was = plan(&bench);
    let bare = &was[..was.find("\n[[seam]]").unwrap()];
    let report = run_edited(&bench, &format!("{bare}\n# Cut it as you like.\n"));
    assert!(codes(&report).contains(&"plan-extended"), "{report}");
    assert!(!codes(&report).contains(&"does-not-fit"));
    assert!(report["plates"].as_array().unwrap().len() > 1);
    // What was added stands in the plan, after what was there.
    let now = plan(&bench);
    assert!(
        now.starts_with(bare) && now.contains("# Cut it as you like."),
        "{now}"
    );
    let again = bench.split(&["--plan", "mine/plan.toml", "--force"]);
    assert!(again.status.success(), "{}", said(&again));
    assert_eq!(plan(&bench), now);
}

#[test]
fn a_plan_on_a_smaller_bed_keeps_its_seams_and_gets_more() {
    let bench = Bench::new();
    let was = plan(&bench);
    let seams = was.matches("[[seam]]").count();
    let smaller = was
        .replace("width_mm = 220.0", "width_mm = 130.0")
        .replace("depth_mm = 220.0", "depth_mm = 130.0")
        .replace("height_mm = 250.0", "height_mm = 130.0");
    let report = run_edited(&bench, &smaller);
    assert!(!codes(&report).contains(&"does-not-fit"), "{report}");
    let now = plan(&bench);
    assert!(now.starts_with(&smaller), "{now}");
    assert!(now.matches("[[seam]]").count() > seams);
}

#[test]
fn settings_of_a_plan_serve_for_a_plan_found_anew() {
    let home = tempfile::tempdir().unwrap();
    plank_in(home.path());
    let split = |more: &[&str]| {
        let run = seamwright()
            .current_dir(home.path())
            .args(["split", "plank.stl", "--quiet"])
            .args(more)
            .output()
            .unwrap();
        assert!(run.status.success(), "{}", said(&run));
    };
    let text = |name: &str| fs::read_to_string(home.path().join(name)).unwrap();
    let fresh = [
        "--bed",
        "220x220x250",
        "--clearance",
        "0.08",
        "--out",
        "one",
    ];
    split(&fresh);
    // The settings and the printers, and the same plan from them.
    split(&["--settings", "one/plan.toml", "--out", "two"]);
    assert_eq!(text("one/plan.toml"), text("two/plan.toml"));
    // Another bed has other cuts, with the same settings.
    split(&[
        "--settings",
        "one/plan.toml",
        "--bed",
        "400x400x400",
        "--out",
        "three",
    ]);
    let third = text("three/plan.toml");
    assert!(third.contains("clearance_mm = 0.08") && third.contains("width_mm = 400.0"));
    assert_ne!(text("one/plan.toml"), third);
}

#[test]
fn a_unit_beside_a_plan_is_that_of_the_plan() {
    let bench = Bench::new();
    let plan = ["--plan", "mine/plan.toml", "--force"];
    let other = bench.split(&[&plan[..], &["--unit", "cm"]].concat());
    assert_eq!(other.status.code(), Some(2), "{}", said(&other));
    assert!(said(&other).contains("stand for mm"), "{}", said(&other));
    let same = bench.split(&[&plan[..], &["--unit", "mm"]].concat());
    assert!(same.status.success(), "{}", said(&same));
}

#[test]
fn a_seam_that_cuts_nothing_is_named() {
    let bench = Bench::new();
    let beside = "\n[[seam]]\nid = \"far\"\ncuts = \"S1 below\"\n\
                  normal = [1.0, 0.0, 0.0]\nat_mm = -50.0\n";
    let report = run_edited(&bench, &(plan(&bench) + beside));
    let findings = report["findings"].as_array().unwrap();
    let idle = findings.iter().find(|f| f["code"] == "idle-seam").unwrap();
    assert_eq!(idle["seam"], "far");
}

#[test]
fn an_edited_plan_for_another_state_of_the_model_keeps_its_text() {
    let bench = Bench::new();
    let edited = plan(&bench) + "# Oak colour, plank.stl.\n";
    fs::write(bench.out.join("plan.toml"), &edited).unwrap();
    // The same plank, its file another.
    let mut model = fs::read(&bench.plank).unwrap();
    model[0] = b'x';
    fs::write(&bench.plank, model).unwrap();
    let run = bench.split(&["--plan", "mine/plan.toml", "--force"]);
    assert!(run.status.success(), "{}", said(&run));
    let now = plan(&bench);
    assert!(
        now.ends_with("# Oak colour, plank.stl.\n") && now != edited,
        "{now}"
    );
}

#[test]
fn a_plan_whose_seams_stand_in_one_line_is_cut_further_there() {
    let bench = Bench::new();
    let was = plan(&bench);
    let head = was.find("[model]").unwrap();
    let bare = &was[head..was.find("\n[[seam]]").unwrap()];
    // Its one seam leaves a part that fits nothing; a comment names the model too.
    let line =
        "seam = [{ id = \"S1\", cuts = \"whole\", normal = [1.0, 0.0, 0.0], at_mm = 150.0 }]";
    let kind = "format = \"seamwright-plan\"\nversion = 1";
    let edited = format!("# of plank.stl\n{kind}\n{line}\n{bare}\n");
    let report = run_edited(&bench, &edited);
    assert!(codes(&report).contains(&"plan-extended"), "{report}");
    let now = plan(&bench);
    assert!(
        now.starts_with("# of plank.stl\n") && now.contains("S2"),
        "{now}"
    );
}

#[test]
fn a_wish_that_was_written_after_the_split_is_held_against_what_lies_there() {
    let bench = Bench::new();
    let was = plan(&bench);
    let check = || {
        let run = seamwright().arg("check").arg(&bench.out).output().unwrap();
        assert!(run.status.success(), "{}", said(&run));
        String::from_utf8_lossy(&run.stdout).into_owned() + &said(&run)
    };
    assert!(!check().contains("lies-otherwise"));
    let wish = "[settings.wishes]\nlying = [{ at_mm = [50, 45, 9], up = [0, 1, 0] }]\n";
    fs::write(bench.out.join("plan.toml"), format!("{was}\n{wish}")).unwrap();
    assert!(check().contains("lies-otherwise"));
    let again = run_edited(&bench, &format!("{was}\n{wish}"));
    assert!(!codes(&again).contains(&"lies-otherwise"));
    assert!(!check().contains("lies-otherwise"));
}

#[test]
fn wishes_that_only_a_search_could_fulfil_are_told() {
    let bench = Bench::new();
    let was = plan(&bench);
    assert!(!codes(&report(&bench)).contains(&"not-sought"));
    for (wish, name) in [
        ("seam_at = [{ axis = \"x\", at_mm = 77.7 }]", "seam_at"),
        ("no_cut = [\"x\"]", "no_cut"),
        (
            "keep_out_mm = [[[-9.0, -9.0, -9.0], [999.0, 999.0, 999.0]]]",
            "keep_out_mm",
        ),
        ("largest_mm = 70.0", "largest_mm"),
        ("by_members = true", "by_members"),
    ] {
        let edited = format!("{was}\n[settings.wishes]\n{wish}\n");
        let report = run_edited(&bench, &edited);
        let findings = report["findings"].as_array().unwrap();
        let told = findings.iter().find(|f| f["code"] == "not-sought");
        let told = told.unwrap_or_else(|| panic!("{wish}: {report}"));
        assert!(told["message"].as_str().unwrap().contains(name), "{told}");
        assert!(!codes(&report).contains(&"no-members"), "{wish}");
    }
    // What the seams fulfil anyway is not.
    let kept = format!("{was}\n[settings.wishes]\nno_cut = [\"z\"]\n");
    assert!(!codes(&run_edited(&bench, &kept)).contains(&"not-sought"));
}

#[test]
fn two_printers_of_one_name_and_a_model_of_another_unit_are_told() {
    let bench = Bench::new();
    let was = plan(&bench);
    let printer = was.find("[[printer]]").unwrap();
    let end = was[printer..].find("[[seam]]").unwrap() + printer;
    let twice = format!("{}{}{}", &was[..end], &was[printer..end], &was[end..]);
    fs::write(bench.out.join("plan.toml"), &twice).unwrap();
    let run = bench.split(&["--plan", "mine/plan.toml", "--force"]);
    assert_eq!(run.status.code(), Some(3));
    assert!(
        said(&run).contains("two printers are called"),
        "{}",
        said(&run)
    );
    let inches = seamwright::Model::read(&bench.plank, exchange::LengthUnit::Inch).unwrap();
    let told: Vec<&str> = inches.notes.iter().map(|f| f.code.word()).collect();
    assert_eq!(told, ["large-model"]);
}

#[test]
fn a_slide_that_nothing_joins_along_is_told() {
    let bench = Bench::new();
    let was = plan(&bench);
    // Along the seam's own edge tails come in from below or above; both sides are to be hidden.
    let slide = was.replacen("at_mm = ", "slide = [0.0, 0.0, -1.0]\nat_mm = ", 1);
    let along = run_edited(&bench, &slide);
    assert!(!codes(&along).contains(&"other-slide"), "{along}");
    let hide = "labels = true\nhide = [\"+z\", \"-z\"]";
    let hidden = slide.replacen("labels = true", hide, 1);
    let told = run_edited(&bench, &hidden);
    let findings = told["findings"].as_array().unwrap();
    let other = findings.iter().find(|f| f["code"] == "other-slide");
    assert_eq!(other.unwrap()["seam"], told["seams"][0]["id"], "{told}");
}
