//! How pieces lie while they are printed: what stands, what the maker wants, and that no
//! model is refused for its shape.

use design::{LyingWish, Settings};
use inspection::Code;
use printing::{Printer, Standing};
use proptest::prelude::*;
use solid::{Isometry, Point, Solid, Vector};
use whole_program::{fixture, found, run_split, said, split_and_judge};

fn bed() -> Printer {
    Printer::rectangular("bed-1", 220.0, 220.0, 250.0)
}

fn model(name: &str) -> Solid {
    let path = fixture(&format!("{name}.stl"));
    let model = seamwright::Model::read(&path, exchange::LengthUnit::default());
    model.unwrap().solid
}

/// Seven of the splayed table's seven pieces fell over once, and no finding said so.
#[test]
fn what_does_not_stand_is_told_and_nothing_of_these_falls() {
    for name in ["splayed-table", "stool", "board"] {
        let judged = split_and_judge(&model(name), &[bed()], &Settings::default()).unwrap();
        assert!(judged.errors().is_empty(), "{name}: {:?}", judged.errors());
        for piece in &judged.build.pieces {
            let placed = piece.placement.as_ref().unwrap();
            let told = judged
                .verdict
                .findings
                .iter()
                .any(|f| f.piece.as_ref() == Some(&piece.id) && f.code == Code::NeedsBrim);
            assert_eq!(
                placed.standing == Standing::Helped,
                told,
                "{name} {}",
                piece.id
            );
            assert!(placed.standing != Standing::Falls);
        }
    }
}

/// A sheet a little larger than the bed fits only on its edge, where it falls: once that was
/// an error, and no cut was looked for.
#[test]
fn a_sheet_that_fits_only_on_its_edge_is_cut_and_lies_flat() {
    let sheet = Solid::cuboid(Point::origin(), Point::new(224.0, 224.0, 5.0));
    let judged = split_and_judge(&sheet, &[bed()], &Settings::default()).unwrap();
    assert!(judged.errors().is_empty(), "{:?}", judged.errors());
    for piece in &judged.build.pieces {
        let placed = piece.placement.as_ref().unwrap();
        assert_eq!(placed.standing, Standing::ByItself, "{}", piece.id);
    }
}

/// A coat rack on its back would need no support, and every coat would pull the layers of
/// its pegs apart.
#[test]
fn the_layers_of_a_peg_run_along_it_unless_it_is_told_to_stand() {
    let mut rack = Solid::cuboid(Point::origin(), Point::new(200.0, 30.0, 60.0));
    for x in [40.0, 140.0] {
        let peg = Solid::cuboid(Point::new(x, 22.0, 20.0), Point::new(x + 20.0, 110.0, 40.0));
        rack = rack.union(&peg).unwrap();
    }
    let judged = |settings: &Settings| {
        let judged = split_and_judge(&rack, &[bed()], settings).unwrap();
        let told = judged.verdict.findings.iter();
        let told = told.filter(|f| f.code == Code::AcrossItsLoad).count();
        let up = judged.build.pieces[0].onto_bed().rotation.inverse() * Vector::z();
        (told, up)
    };
    let (told, up) = judged(&Settings::default());
    assert!(told == 0 && up.y.abs() < 0.5, "{told} {up}");
    let mut settings = Settings::default();
    settings.wishes.lying = vec![LyingWish {
        at_mm: [100.0, 9.0, 5.0],
        up: Some([0.0, 1.0, 0.0]),
        supports: None,
        clean: Vec::new(),
    }];
    let (told, up) = judged(&settings);
    assert!(told == 1 && up.y > 0.99, "{told} {up}");
    // Hung the other way up, weight presses along the pegs.
    settings.up = "+y".parse().unwrap();
    assert_eq!(judged(&settings).0, 0);
}

#[test]
fn a_piece_lies_as_it_is_told_and_others_of_its_shape_do_not() {
    let plank = Solid::cuboid(Point::origin(), Point::new(620.0, 90.0, 40.0));
    let up = |settings: &Settings| -> Vec<Vector> {
        let judged = split_and_judge(&plank, &[bed()], settings).unwrap();
        assert!(judged.errors().is_empty(), "{:?}", judged.errors());
        let up = |p: &workshop::Piece| p.onto_bed().rotation.inverse() * Vector::z();
        judged.build.pieces.iter().map(up).collect()
    };
    let free = up(&Settings::default());
    assert!(free.iter().all(|up| up.z.abs() > 0.9), "{free:?}");
    let mut settings = Settings::default();
    settings.wishes.lying = vec![LyingWish {
        at_mm: [20.0, 45.0, 20.0],
        up: Some([0.0, -2.0, 0.0]),
        supports: None,
        clean: Vec::new(),
    }];
    let told = up(&settings);
    assert_eq!(told.len(), free.len());
    let on_edge = told.iter().filter(|up| up.y < -0.999);
    assert_eq!(on_edge.count(), 1, "{told:?}");
}

#[test]
fn a_wish_that_cannot_be_had_is_told() {
    // A table on one leg, whose top is to look up, and to be clean underneath.
    let top = Solid::cuboid(Point::new(0.0, 0.0, 80.0), Point::new(120.0, 120.0, 100.0));
    let leg = Solid::cuboid(Point::new(40.0, 40.0, 0.0), Point::new(80.0, 80.0, 90.0));
    let table = top.union(&leg).unwrap();
    let mut settings = Settings {
        labels: false,
        ..Settings::default()
    };
    let remarks = |settings: &Settings| {
        let judged = split_and_judge(&table, &[bed()], settings).unwrap();
        let support = judged.build.pieces[0]
            .placement
            .as_ref()
            .unwrap()
            .support_mm3;
        let mut names: Vec<&str> = judged.build.remarks.iter().map(|_| "other").collect();
        names.extend(judged.verdict.findings.iter().filter_map(|f| match f.code {
            Code::NeedsSupport => Some("needs"),
            Code::MarkedFace => Some("marked"),
            Code::NoSuchPiece => Some("none"),
            Code::LiesOtherwise => Some("otherwise"),
            _ => None,
        }));
        (support, names)
    };
    assert_eq!(remarks(&settings), (0.0, vec![]), "it lies on its top");
    settings.wishes.lying = vec![
        LyingWish {
            at_mm: [60.0, 60.0, 90.0],
            up: Some([0.0, 0.0, 1.0]),
            supports: Some(false),
            clean: vec!["-z".parse().unwrap()],
        },
        LyingWish {
            at_mm: [10.0, 10.0, 10.0],
            up: None,
            supports: None,
            clean: Vec::new(),
        },
    ];
    let (support, told) = remarks(&settings);
    let exact = (120.0 * 120.0 - 40.0 * 40.0) * 80.0;
    assert!((support / exact - 1.0).abs() < 0.03, "{support}");
    assert_eq!(told, ["none", "needs", "marked"]);
}

/// A shape with no flat side, or hardly any.
fn shape(kind: usize, size: f64, thin: f64) -> Solid {
    // So that what is hollow stays hollow.
    let thin = thin.min(size / 5.0);
    let round = |r: f64, from: f64, to: f64| {
        Solid::cylinder(Point::new(0.0, 0.0, from), Vector::z() * (to - from), r, 48).unwrap()
    };
    let turned = |s: &Solid| s.moved(&Isometry::rotation(Vector::new(0.5, 0.3, 0.2)));
    match kind {
        // A bowl: steps of a half sphere, hollow.
        0 => {
            let radius = |k: usize| size / 2.0 * (0.35 + 0.65 * (k as f64 / 6.0).sqrt());
            let high = |k: usize| size / 3.0 * k as f64 / 6.0;
            let steps: Vec<Solid> = (1..7)
                .map(|k| {
                    let outer = round(radius(k), high(k - 1), high(k) + 0.5);
                    // Each step rests on the one below.
                    let hollow = (radius(k) - thin).min(radius(k - 1) - thin / 2.0);
                    let inner = round(hollow, high(k - 1) - 1.0, high(k) + 1.0);
                    match k {
                        1 => outer,
                        _ => outer.difference(&inner).unwrap(),
                    }
                })
                .collect();
            turned(&Solid::union_of(steps.iter()).unwrap())
        }
        // A ring, askew.
        1 => {
            let ring = round(size / 2.0, 0.0, thin);
            turned(
                &ring
                    .difference(&round(size / 2.0 - thin, -1.0, thin + 1.0))
                    .unwrap(),
            )
        }
        // A frame, askew.
        2 => {
            let frame = Solid::cuboid(Point::origin(), Point::new(size, size * 0.7, thin));
            let hole = Solid::cuboid(
                Point::new(thin, thin, -1.0),
                Point::new(size - thin, size * 0.7 - thin, thin + 1.0),
            );
            turned(&frame.difference(&hole).unwrap())
        }
        // A blob: two drums through each other, askew.
        _ => {
            let drum = round(size / 3.0, 0.0, size / 2.0);
            let other = turned(&drum).shifted(Vector::new(size / 6.0, 0.0, 0.0));
            turned(&drum.union(&other).unwrap())
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 8, ..ProptestConfig::default() })]

    /// Whatever splits for a bed splits for a larger one, and what fits as it is, is one
    /// piece.
    #[test]
    fn no_shape_is_refused_by_a_larger_bed(
        kind in 0usize..4, size in 50.0f64..700.0, thin in 14.0f64..24.0,
    ) {
        let solid = shape(kind, size, thin);
        let beds = [[180.0, 180.0, 180.0], [300.0, 300.0, 400.0], [900.0, 900.0, 900.0]];
        let mut before = None;
        for [w, d, h] in beds {
            let printer = Printer::rectangular("bed-1", w, d, h);
            let pieces = found(&solid, &[printer], &Settings::default()).map(|f| f.pieces);
            prop_assert!(before.is_none() || pieces.is_ok(), "refused on {w}: {pieces:?}");
            before = pieces.ok().or(before);
            if size * 1.3 < w {
                prop_assert_eq!(before, Some(1), "on {}", w);
            }
        }
        prop_assert!(before.is_some());
    }
}

/// A plate that fills its bed has corners that lift and no room for ears: the cut list, which
/// says what to lay, has none.
#[test]
fn the_cut_list_counts_ears_that_the_bed_has_room_for() {
    let home = tempfile::tempdir().unwrap();
    for (side, ears) in [(215.0, "0"), (180.0, "4")] {
        let plate = Solid::cuboid(Point::origin(), Point::new(side, side, 18.0));
        let path = home.path().join("plate.stl");
        std::fs::write(&path, exchange::write_stl(&plate).unwrap()).unwrap();
        let out = home.path().join(ears);
        let place = ["--bed", "220x220x250", "--out", out.to_str().unwrap()];
        let run = run_split(&path, &place);
        assert!(run.status.success(), "{}", said(&run));
        let list = std::fs::read_to_string(out.join("cut-list.csv")).unwrap();
        let mut rows = list.lines().map(|row| row.split(',').collect::<Vec<_>>());
        let at = rows.next().unwrap().iter().position(|name| *name == "ears");
        assert_eq!(rows.next().unwrap()[at.unwrap()], ears, "{list}");
        let report = paperwork::read_report(&out).unwrap();
        assert_eq!(report.pieces[0].ears_mm.len(), 4);
    }
}
