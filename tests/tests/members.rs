//! `--by-members`: a model parted where its boards and legs meet.

use design::{Draft, PlannedSeam, Settings};
use planner::{MemberKind, Members};
use printing::Printer;
use solid::{Point, Solid, Vector};
use whole_program::{
    bench, board, codes, drawer, plan_of, seamwright, side_table, small_rack, split_report, stool,
    wall_shelf,
};

#[test]
fn a_rack_is_parted_into_its_boards_and_all_of_them_lie_flat() {
    let home = tempfile::tempdir().unwrap();
    let report = split_report(
        home.path(),
        &small_rack(),
        &["--bed", "400x400x300", "--by-members"],
    );
    let pieces = report["pieces"].as_array().unwrap();
    let cut: Vec<_> = pieces
        .iter()
        .filter(|p| p["id"].as_str().unwrap().starts_with('P'))
        .collect();
    // Two sides, three shelves, a back.
    assert_eq!(cut.len(), 6);
    for piece in cut {
        let height = piece["size_mm"][2].as_f64().unwrap();
        assert!(height <= 18.0 + 8.0 + 1e-3, "{piece}");
        let [support, volume] =
            ["support_mm3", "volume_mm3"].map(|key| piece[key].as_f64().unwrap());
        assert!(support < 0.01 * volume, "{piece}");
    }
    let warned: Vec<_> = codes(&report)
        .into_iter()
        .filter(|code| ["plain-contact", "bare-limb", "no-members"].contains(code))
        .collect();
    assert_eq!(warned, [""; 0]);
    // Each board is one piece, parted from all that it meets, its layers along it.
    let made_of = &report["made_of"];
    let members = made_of["members"].as_array().unwrap();
    assert_eq!(members.len(), 6);
    for member in members {
        let held = member["pieces"].as_array().unwrap();
        assert_eq!(
            (held.len(), &held[0]["percent"]),
            (1, &100.into()),
            "{member}"
        );
    }
    let meetings = made_of["meetings"].as_u64().unwrap();
    assert!(meetings >= 6);
    assert_eq!(made_of["parted"], meetings);
    let page = std::fs::read_to_string(home.path().join("out/report.html")).unwrap();
    assert_eq!(page.matches("<td>along it</td>").count(), 6);
    assert!(home.path().join("out/pictures/members.png").exists());
    // A plan of it is carried out to the same.
    let plan = home.path().join("out/plan.toml");
    let text = std::fs::read_to_string(&plan).unwrap();
    assert!(text.contains("by_members = true"));
    assert!(text.contains("where members meet: board"));
}

/// Cut by planes through space, boards are in shares that come to all of them.
#[test]
fn a_rack_cut_through_space_says_which_piece_holds_what_of_a_board() {
    let home = tempfile::tempdir().unwrap();
    let report = split_report(home.path(), &small_rack(), &["--bed", "220x220x250"]);
    let members = report["made_of"]["members"].as_array().unwrap();
    assert_eq!(members.len(), 6);
    let shares = |m: &serde_json::Value| -> u64 {
        let held = m["pieces"].as_array().unwrap().iter();
        held.map(|share| share["percent"].as_u64().unwrap()).sum()
    };
    for member in members {
        assert!((98..=102).contains(&shares(member)), "{member}");
    }
    assert!(
        members
            .iter()
            .any(|m| m["pieces"].as_array().unwrap().len() > 1)
    );
    let list = std::fs::read_to_string(home.path().join("out/cut-list.csv")).unwrap();
    assert!(list.lines().next().unwrap().contains(",members,"));
    assert!(list.contains("M1"), "{list}");
}

#[test]
fn a_plate_has_no_members_to_part_and_that_is_told() {
    let home = tempfile::tempdir().unwrap();
    let plate = Solid::cuboid(Point::origin(), Point::new(300.0, 100.0, 18.0));
    let report = split_report(
        home.path(),
        &plate,
        &["--bed", "220x220x250", "--by-members"],
    );
    assert!(codes(&report).contains(&"no-members"));
    let report = split_report(home.path(), &plate, &["--bed", "220x220x250", "--force"]);
    assert!(!codes(&report).contains(&"no-members"));
}

#[test]
fn a_survey_lists_what_the_model_is_made_of() {
    let home = tempfile::tempdir().unwrap();
    let path = home.path().join("model.stl");
    std::fs::write(&path, exchange::write_stl(&small_rack()).unwrap()).unwrap();
    let run = seamwright()
        .current_dir(home.path())
        .args(["survey", "--json", "--pictures", "drawn"])
        .arg(&path)
        .output()
        .unwrap();
    let survey: serde_json::Value = serde_json::from_slice(&run.stdout).unwrap();
    assert_eq!(survey["pictures"], serde_json::json!(["members.png"]));
    let png = std::fs::read(home.path().join("drawn/members.png")).unwrap();
    assert!(png.starts_with(b"\x89PNG"));
    let listed: Vec<String> = survey["members"]
        .as_array()
        .unwrap()
        .iter()
        .map(|m| {
            let size = |k: usize| m["size_mm"][k].as_f64().unwrap();
            format!(
                "{} {} {} {} {}",
                m["count"],
                m["kind"].as_str().unwrap(),
                size(0),
                size(1),
                size(2)
            )
        })
        .collect();
    assert_eq!(
        listed,
        [
            "2 board 380 200 18",
            "1 board 380 264 6",
            "3 board 264 194 18"
        ]
    );
}

/// Walls of 12 on a bottom of 8, parted where they meet: two of the walls are one cell, and the
/// faces of all lie in seams.
#[test]
fn walls_that_share_a_cell_and_lie_on_seams_keep_their_shape() {
    let drawer = drawer();
    let cut = |normal, at_mm, above| {
        Draft::cut(None, PlannedSeam::at(normal, at_mm), Draft::uncut(), above)
    };
    let walls = cut(
        [0.0, 1.0, 0.0],
        12.0,
        cut([0.0, 1.0, 0.0], 306.0, Draft::uncut()),
    );
    let tree = cut([0.0, 0.0, 1.0], 8.0, walls);
    let printer = Printer::rectangular("bed-1", 400.0, 400.0, 400.0);
    let settings = Settings {
        labels: false,
        ..Settings::default()
    };
    let build = workshop::build(&drawer, &plan_of(tree, settings, printer)).unwrap();
    let cut: Vec<&Solid> = build
        .pieces
        .iter()
        .filter(|p| p.cell.is_some())
        .map(|p| &p.solid)
        .collect();
    assert_eq!(cut.len(), 5);
    for piece in &cut {
        // As it is written.
        let written = piece.rounded_to_single().unwrap();
        assert_eq!(written.touches_itself(), None);
        // A wall is as thick as its tails are long at the most, and no longer than the drawer.
        let size = piece.bounds().unwrap().size_mm();
        assert!(
            size.min() < 12.0 + 8.0 + 1e-6 && size.max() < 372.0 + 1e-6,
            "{size}"
        );
    }
    let all: f64 = build.pieces.iter().map(|p| p.solid.volume_mm3()).sum();
    let whole = drawer.volume_mm3();
    assert!(all < whole && all > 0.99 * whole, "{all} of {whole}");
}

/// How often a kind of member of a size is found; sizes from the longest.
fn found(model: &Solid, kinds: &[MemberKind], size: [f64; 3]) -> usize {
    let members = Members::of(model, &Vector::z()).unwrap();
    let alike = |m: &&planner::Member| {
        let near = m
            .size_mm
            .iter()
            .zip(&size)
            .all(|(a, b)| (a - b).abs() < 0.011);
        kinds.contains(&m.kind) && near
    };
    members.members.iter().filter(alike).count()
}

#[test]
fn the_members_of_the_fixtures_are_found() {
    use MemberKind::{Board, Leg, Rail};
    let table = side_table();
    assert_eq!(found(&table, &[Board], [600.0, 400.0, 20.0]), 1);
    assert_eq!(found(&table, &[Leg], [430.0, 36.0, 36.0]), 4);
    let aprons = Members::of(&table, &Vector::z()).unwrap();
    let aprons = aprons
        .members
        .iter()
        .filter(|m| m.kind == Board && (m.size_mm[2] - 18.0).abs() < 0.01);
    assert_eq!(aprons.count(), 4);
    // Panels and a stretcher; the seat is bent.
    assert_eq!(found(&bench(), &[Rail], [690.0, 50.0, 30.0]), 1);
    let bent = Members::of(&bench(), &Vector::z()).unwrap();
    assert_eq!(bent.members.iter().filter(|m| m.bent).count(), 1);
    let stool = stool();
    assert_eq!(found(&stool, &[Board], [340.0, 340.0, 30.0]), 1);
    let members = Members::of(&stool, &Vector::z()).unwrap().members;
    let of = |kind| members.iter().filter(move |m| m.kind == kind && m.round);
    assert_eq!((of(Leg).count(), of(Rail).count()), (4, 4));
    let shelf = wall_shelf();
    let boards = Members::of(&shelf, &Vector::z()).unwrap();
    assert!(boards.rest < 1e-6 && boards.members.iter().all(|m| m.kind == Board));
    assert_eq!(found(&board(), &[Board], [1200.0, 400.0, 18.0]), 1);
}
