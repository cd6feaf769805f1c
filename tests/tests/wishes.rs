//! What a maker may wish of the cuts: each wish is kept, or names itself.

use design::{Axis, ModelReference, Plan, SeamAt, Settings, Whole, Wishes};
use planner::NoPlan;
use printing::Printer;
use solid::{Point, Solid};
use whole_program::{carry_out_and_judge, found, plank_in, run_split, split_and_judge};
use workshop::Remark;

fn printer() -> Printer {
    Printer::rectangular("bed-1", 220.0, 220.0, 250.0)
}

/// A plank with an arm that stands on it from x = 260 to x = 340.
fn plank() -> Solid {
    let plank = Solid::cuboid(Point::origin(), Point::new(600.0, 90.0, 18.0));
    let arm = Solid::cuboid(
        Point::new(260.0, 20.0, 17.0),
        Point::new(340.0, 70.0, 120.0),
    );
    plank.union(&arm).unwrap()
}

/// Where the plank's seams across x lie, under some wishes.
fn places(wishes: Wishes) -> Result<Vec<f64>, NoPlan> {
    let settings = Settings {
        wishes,
        ..Settings::default()
    };
    let tree = found(&plank(), &[printer()], &settings)?.tree;
    let seams: Vec<_> = tree.seams().map(|s| tree.seam(s)).collect();
    assert!(seams.iter().all(|s| s.normal == [1.0, 0.0, 0.0]));
    Ok(seams.iter().map(|s| s.at_mm).collect())
}

#[test]
fn no_seam_goes_through_a_box_that_is_kept_out() {
    let usual = places(Wishes::default()).unwrap();
    let spared = |at: f64| [[at - 15.0, 0.0, 0.0], [at + 15.0, 90.0, 18.0]];
    let wishes = Wishes {
        keep_out_mm: usual.iter().map(|&at| spared(at)).collect(),
        ..Wishes::default()
    };
    let now = places(wishes).unwrap();
    assert!(!now.is_empty());
    for at in &now {
        assert!(usual.iter().all(|u| (at - u).abs() >= 15.0), "{at}");
    }
}

#[test]
fn seams_are_where_they_must_be_and_pieces_no_longer_than_wished() {
    let wishes = Wishes {
        seam_at: vec![SeamAt {
            axis: Axis::X,
            at_mm: 217.0,
        }],
        largest_mm: Some(120.0),
        ..Wishes::default()
    };
    let mut at = places(wishes).unwrap();
    assert!(at.contains(&217.0), "{at:?}");
    at.extend([0.0, 600.0]);
    at.sort_by(f64::total_cmp);
    assert!(at.windows(2).all(|w| w[1] - w[0] <= 120.0 + 1e-9), "{at:?}");
}

fn whole(name: &str, low: [f64; 3], high: [f64; 3]) -> Wishes {
    Wishes {
        whole: vec![Whole {
            name: name.into(),
            box_mm: [low, high],
        }],
        ..Wishes::default()
    }
}

#[test]
fn a_part_stays_whole_or_its_name_is_told() {
    // Between the usual seams there is one; it must go.
    let end = |length: f64| whole("the near end", [0.0; 3], [length, 90.0, 18.0]);
    let usual = places(Wishes::default()).unwrap();
    let first = usual.iter().copied().fold(f64::MAX, f64::min);
    let settings = Settings {
        wishes: end(first + 10.0),
        ..Settings::default()
    };
    let judged = split_and_judge(&plank(), &[printer()], &settings).unwrap();
    assert!(judged.errors().is_empty());
    let near = judged.build.pieces.iter().filter(|p| {
        let b = p.solid.bounds().unwrap();
        b.min.x < 1.0 && b.max.x >= first + 10.0
    });
    assert_eq!(near.count(), 1);
    let whole_again = |r: &Remark| !matches!(r, Remark::NotWhole { .. });
    assert!(judged.build.remarks.iter().all(whole_again));

    let refused = places(end(450.0)).unwrap_err().to_string();
    assert!(refused.contains("the near end in one piece"), "{refused}");
}

#[test]
fn a_plan_of_ones_own_that_parts_what_is_to_be_whole_is_told_so() {
    let judged = split_and_judge(&plank(), &[printer()], &Settings::default()).unwrap();
    let settings = Settings {
        wishes: whole("the plank", [0.0; 3], [600.0, 90.0, 18.0]),
        ..Settings::default()
    };
    let tree = judged.plan.tree().clone();
    let plan = Plan::new(ModelReference::default(), settings, vec![printer()], tree).unwrap();
    let build = carry_out_and_judge(&plank(), plan).build;
    let parts = build.remarks.iter().find_map(|r| match r {
        Remark::NotWhole { name, pieces } => Some((name.as_str(), pieces.len())),
        _ => None,
    });
    assert_eq!(parts, Some(("the plank", build.pieces.len())));
}

#[test]
fn the_program_takes_a_name_and_a_box() {
    let home = tempfile::tempdir().unwrap();
    let out = home.path().join("o");
    let run = |wish: &str| {
        let place = ["--bed", "220x220x250", "--out", out.to_str().unwrap()];
        let wish = format!("--whole={wish}");
        run_split(&plank_in(home.path()), &[&place[..], &[&wish]].concat())
    };
    let refused = run("all of it=0,0,0:5000,5000,50");
    let said = String::from_utf8_lossy(&refused.stderr).into_owned();
    assert_eq!(refused.status.code(), Some(3), "{said}");
    assert!(said.contains("all of it in one piece"), "{said}");
    assert!(!out.exists());
    let refused = run("0,0,0:5000,5000,50");
    let said = String::from_utf8_lossy(&refused.stderr).into_owned();
    assert_eq!(refused.status.code(), Some(2), "{said}");
    assert!(said.contains("names no part"), "{said}");
    assert!(run("a corner=0,0,0:60,60,50").status.success());
    let plan = std::fs::read_to_string(out.join("plan.toml")).unwrap();
    assert!(plan.contains("name = \"a corner\""), "{plan}");
}

#[test]
fn a_wish_beside_the_model_is_refused_by_name() {
    let home = tempfile::tempdir().unwrap();
    let plank = plank_in(home.path());
    for (wish, says) in [
        (["--seam-at", "x=9999"], "x = 9999"),
        (["--keep-out", "0,0,40:600,90,60"], "no seam in the box"),
        (["--whole", "arm=-90,0,0:-10,90,18"], "arm in one piece"),
    ] {
        let args = [&["--bed", "220x220x250"], &wish[..]].concat();
        let run = run_split(&plank, &args);
        let said = String::from_utf8_lossy(&run.stderr).into_owned();
        assert_eq!(run.status.code(), Some(2), "{said}");
        assert!(
            said.contains(says) && said.contains("beside the model"),
            "{said}"
        );
    }
}
