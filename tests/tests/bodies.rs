//! Bodies that stand apart in one model: each split by itself and put in its place.

use solid::Solid;
use whole_program::{
    cabinet_with_drawers, codes, frame_and_panel, reported, seamwright, split_report,
};

/// The steps that bring bodies home.
fn homes(report: &serde_json::Value) -> Vec<&serde_json::Value> {
    let steps = report["steps"].as_array().unwrap();
    steps.iter().filter(|s| s.get("body").is_some()).collect()
}

fn pieces(report: &serde_json::Value) -> Vec<(&str, &str)> {
    let pieces = report["pieces"].as_array().unwrap();
    pieces
        .iter()
        .map(|p| (p["id"].as_str().unwrap(), p["file"].as_str().unwrap()))
        .collect()
}

#[test]
fn drawers_and_a_door_are_split_by_themselves_and_come_home_last() {
    let home = tempfile::tempdir().unwrap();
    let report = split_report(
        home.path(),
        &cabinet_with_drawers(),
        &["--bed", "190x190x200"],
    );
    let homes = homes(&report);
    assert_eq!(homes.len(), 3);
    let count = report["steps"].as_array().unwrap().len();
    let numbers = homes.iter().map(|s| s["step"].as_u64().unwrap() as usize);
    assert!(numbers.eq(count - 2..=count));
    for step in &homes {
        // From the front.
        assert_eq!(step["direction"], serde_json::json!([0.0, 1.0, 0.0]));
        let play = step["play"].as_array().unwrap();
        let to = |side: &str| {
            let found = play.iter().find(|p| p["to"] == side);
            found.map(|p| p["free_mm"].as_f64().unwrap())
        };
        for side in ["-x", "+x", "-z"] {
            assert!((to(side).unwrap() - 1.0).abs() < 2e-3, "{step}");
        }
        assert_eq!(to("-y"), None);
    }
    // The drawers are alike: what one of them is cut into, the other is too.
    let files = |step: &serde_json::Value| -> Vec<String> {
        let moving = step["moving"].as_array().unwrap();
        let of = |id: &serde_json::Value| {
            let all = pieces(&report);
            let (_, file) = all
                .iter()
                .find(|(p, _)| *p == id.as_str().unwrap())
                .unwrap();
            (*file).to_owned()
        };
        moving.iter().map(of).collect()
    };
    let of: Vec<Vec<String>> = homes.iter().map(|s| files(s)).collect();
    let alike = (0..3).any(|a| (a + 1..3).any(|b| of[a] == of[b] && of[a].len() > 1));
    assert!(alike, "{of:?}");
    assert!(!codes(&report).contains(&"no-way-home"));
}

#[test]
fn a_plan_says_what_stands_apart_and_is_carried_out_again() {
    let home = tempfile::tempdir().unwrap();
    let model = cabinet_with_drawers();
    let report = split_report(home.path(), &model, &["--bed", "220x220x250"]);
    let plan = std::fs::read_to_string(home.path().join("out/plan.toml")).unwrap();
    assert_eq!(plan.matches("\n[[body]]\n").count(), 3);
    let options = [
        "split",
        "model.stl",
        "--plan",
        "out/plan.toml",
        "--out",
        "again",
    ];
    let again = reported(home.path(), &options);
    for key in ["pieces", "seams", "steps", "undoing"] {
        assert_eq!(report[key], again[key], "{key}");
    }
    // On a larger printer each body is one piece, but the one that is printed stays.
    let first = homes(&report)[0]["moving"][0].as_str().unwrap();
    let options = [
        "resplit",
        "out",
        "--model",
        "model.stl",
        "--bed",
        "300x300x350",
        "--printed",
        first,
        "--out",
        "larger",
    ];
    let larger = reported(home.path(), &options);
    assert_eq!(homes(&larger).len(), 3);
    let kept = larger["pieces"].as_array().unwrap();
    assert!(
        kept.iter()
            .any(|p| p["printed"] == true && p["id"] == first)
    );
    assert!(kept.len() < pieces(&report).len());
}

#[test]
fn a_body_is_called_what_the_models_file_calls_it() {
    let home = tempfile::tempdir().unwrap();
    let bodies = cabinet_with_drawers().bodies();
    let size = |b: &Solid| b.bounds().unwrap().size_mm();
    let name = |b: &Solid| match size(b) {
        s if s.z > 200.0 => "case",
        s if s.y > 100.0 => "drawer",
        _ => "door",
    };
    let named = bodies.iter().map(|solid| exchange::Named {
        name: name(solid),
        solid,
        placed: solid::Isometry::identity(),
    });
    let named: Vec<_> = named.collect();
    let bytes = exchange::write_3mf("a cabinet", &named, None).unwrap();
    std::fs::write(home.path().join("model.3mf"), bytes).unwrap();
    let options = ["split", "model.3mf", "--bed", "220x220x250", "--out", "out"];
    let report = reported(home.path(), &options);
    let names = report["bodies"].as_array().unwrap().iter();
    let mut names: Vec<&str> = names.map(|b| b["name"].as_str().unwrap()).collect();
    names.sort_unstable();
    assert_eq!(names, ["door", "drawer", "drawer"]);
    let report = paperwork::read_report(&home.path().join("out")).unwrap();
    let manual = paperwork::manual(&report);
    assert!(manual.contains("Slide drawer, P"), "{manual}");
    // The maker may call it something else.
    let plan = std::fs::read_to_string(home.path().join("out/plan.toml")).unwrap();
    let plan = plan.replace("name = \"door\"", "name = \"lower flap\"");
    std::fs::write(home.path().join("mine.toml"), plan).unwrap();
    let options = [
        "split",
        "model.3mf",
        "--plan",
        "mine.toml",
        "--out",
        "again",
    ];
    reported(home.path(), &options);
    let report = paperwork::read_report(&home.path().join("again")).unwrap();
    assert!(paperwork::manual(&report).contains("Slide lower flap, P"));
}

#[test]
fn together_all_bodies_are_cut_by_the_same_planes() {
    let home = tempfile::tempdir().unwrap();
    let options = ["--bed", "220x220x250", "--together"];
    let report = split_report(home.path(), &cabinet_with_drawers(), &options);
    assert!(homes(&report).is_empty());
    assert!(codes(&report).contains(&"bodies-apart"));
    let plan = std::fs::read_to_string(home.path().join("out/plan.toml")).unwrap();
    assert!(plan.contains("together = true") && !plan.contains("\n[[body]]\n"));
}

#[test]
fn a_panel_is_put_into_its_frame_before_that_is_closed() {
    let home = tempfile::tempdir().unwrap();
    let report = split_report(home.path(), &frame_and_panel(), &["--bed", "220x220x250"]);
    let homes = homes(&report);
    let steps = report["steps"].as_array().unwrap();
    assert_eq!(homes.len(), 1);
    assert!(homes[0]["step"].as_u64().unwrap() < steps.len() as u64);
    let wrong = ["no-way-home", "collision", "plain-contact", "bare-limb"];
    assert!(!codes(&report).iter().any(|code| wrong.contains(code)));
}

#[test]
fn what_no_way_leads_to_is_an_error() {
    let home = tempfile::tempdir().unwrap();
    let block = |a: f64, b: f64| Solid::cuboid([a; 3].into(), [b; 3].into());
    let cage = block(0.0, 100.0).difference(&block(10.0, 90.0)).unwrap();
    let hole = Solid::cuboid([40.0, 40.0, -1.0].into(), [60.0, 60.0, 101.0].into());
    let cage = cage.difference(&hole).unwrap();
    let model = Solid::gathered(&[cage, block(11.0, 80.0)]);
    std::fs::write(
        home.path().join("model.stl"),
        exchange::write_stl(&model).unwrap(),
    )
    .unwrap();
    let run = seamwright()
        .current_dir(home.path())
        .args([
            "split",
            "model.stl",
            "--bed",
            "220x220x250",
            "--quiet",
            "--out",
            "out",
        ])
        .output()
        .unwrap();
    assert_eq!(run.status.code(), Some(1));
    let report = std::fs::read(home.path().join("out/report.json")).unwrap();
    let report: serde_json::Value = serde_json::from_slice(&report).unwrap();
    assert!(codes(&report).contains(&"no-way-home"));
}

#[test]
fn a_body_that_is_not_there_is_told() {
    let home = tempfile::tempdir().unwrap();
    split_report(
        home.path(),
        &cabinet_with_drawers(),
        &["--bed", "220x220x250"],
    );
    let path = home.path().join("out/plan.toml");
    let plan = std::fs::read_to_string(&path).unwrap();
    let (before, body) = plan.split_once("\n[[body]]\n").unwrap();
    let (_, after) = body.split_once("at_mm").unwrap();
    let (_, after) = after.split_once(']').unwrap();
    let wrong =
        format!("{before}\n[[body]]\nid = \"B3\"\nof = \"whole\"\nat_mm = [-5.0, 0.0, 0.0]{after}");
    std::fs::write(home.path().join("wrong.toml"), wrong).unwrap();
    let run = seamwright()
        .current_dir(home.path())
        .args([
            "split",
            "model.stl",
            "--plan",
            "wrong.toml",
            "--out",
            "other",
        ])
        .output()
        .unwrap();
    assert_eq!(run.status.code(), Some(3));
    let said = String::from_utf8_lossy(&run.stderr).into_owned();
    assert!(said.contains("B3") && said.contains("at_mm"), "{said}");
    assert!(!home.path().join("other").exists());
}
