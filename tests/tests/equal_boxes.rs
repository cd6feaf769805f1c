//! Plans beside equal boxes, and what is against those.

use design::{CutTree, Emphasis, Settings};
use planner::{Brief, EqualBoxes, find_cuts};
use printing::Printer;
use solid::{Point, Solid};
use whole_program::{found, generated};

const BED: [f64; 3] = [220.0, 220.0, 250.0];

fn printer([w, d, h]: [f64; 3]) -> [Printer; 1] {
    [Printer::rectangular("bed-1", w, d, h)]
}

/// Pieces planned, and the boxes beside them.
fn beside(model: &Solid, bed: [f64; 3], settings: &Settings) -> (usize, EqualBoxes) {
    let printers = printer(bed);
    let found = found(model, &printers, settings).unwrap();
    let (tree, pieces) = (found.tree.named(1), found.pieces);
    let boxes = EqualBoxes::beside(model, &printers, settings, (&tree, pieces)).unwrap();
    (pieces, boxes)
}

fn block(x: f64, y: f64, z: f64) -> Solid {
    Solid::cuboid(Point::origin(), Point::new(x, y, z))
}

#[test]
fn nothing_is_against_boxes_that_are_no_fewer() {
    let (pieces, boxes) = beside(&block(430.0, 90.0, 40.0), BED, &Settings::default());
    assert_eq!((pieces, boxes.pieces, boxes.along), (2, 2, [2, 1, 1]));
    assert!(boxes.against.is_empty());
}

/// So many boxes in a row are more than a lattice has.
#[test]
fn what_is_against_very_many_boxes_is_not_looked_into() {
    let bar = block(66_000.0, 20.0, 20.0);
    let beside = (&CutTree::uncut(), 1000);
    let boxes = EqualBoxes::beside(&bar, &printer(BED), &Settings::default(), beside).unwrap();
    assert_eq!(boxes.along, [264, 1, 1]);
    assert_eq!(boxes.against, ["not looked into, with so many places"]);
}

#[test]
fn what_is_against_boxes_is_told() {
    // Blocks so large print for days: that is another matter here.
    let with = |change: fn(&mut Settings)| {
        let mut settings = Settings::default();
        settings.rates.spoilt_per_hour = 0.0;
        settings.wishes.spool_g = Some(20_000.0);
        change(&mut settings);
        settings
    };
    let plain = || with(|_| ());
    let tails = with(|s| s.joint = "dovetail".parse().unwrap());
    // Too thick to lie from corner to corner, and too wide but for upright.
    for (model, settings, against) in [
        (block(438.0, 240.0, 200.0), plain(), "the margin of the bed"),
        (
            block(430.0, 240.0, 200.0),
            tails,
            "the room that joints take on the bed",
        ),
        (
            block(400.0, 240.0, 200.0),
            with(|s| s.wishes.largest_mm = Some(150.0)),
            "what was wished",
        ),
        (
            block(400.0, 240.0, 200.0),
            with(|s| s.wishes.keep_out_mm = vec![[[150.0, 0.0, 0.0], [250.0, 50.0, 50.0]]]),
            "what was wished",
        ),
    ] {
        let (pieces, boxes) = beside(&model, BED, &settings);
        assert!(boxes.pieces < pieces, "{against}");
        assert_eq!(boxes.against, [against]);
    }
}

#[test]
fn what_is_against_boxes_is_so() {
    // Not minding what is against them, the search finds a plan with as few pieces.
    let large = [300.0, 300.0, 350.0];
    for (family, why) in [
        ("rack", "what hangs over as pieces lie on the bed"),
        ("ladder", "pieces that do not stand while they are printed"),
    ] {
        let model = generated(family, 1);
        let mut settings = Settings::default();
        settings.wishes.spool_g = Some(20_000.0);
        let (pieces, boxes) = beside(&model, large, &settings);
        assert!(boxes.pieces < pieces);
        assert_eq!(boxes.against, [why]);
        let printers = printer(large);
        let careless = Brief {
            emphasis: Emphasis::RoughParts,
            ..Brief::new(&model, &printers, &settings)
        };
        assert!(find_cuts(&careless).unwrap().pieces <= boxes.pieces);
    }
}

#[test]
fn boxes_through_shelves_have_seams_against_them() {
    let mut settings = Settings::default();
    settings.rates.spoilt_per_hour = 0.0;
    settings.wishes.spool_g = Some(20_000.0);
    let (pieces, boxes) = beside(&generated("carcass", 5), [300.0, 300.0, 350.0], &settings);
    assert!(boxes.pieces < pieces);
    // Lengthwise through a shelf: a large cut is large walls, and those are plastic.
    for why in [
        "how much plastic pieces take",
        "seams too narrow for a joint",
        "seams without material a joint deep on both sides",
    ] {
        assert!(
            boxes.against.contains(&why.to_owned()),
            "{:?}",
            boxes.against
        );
    }
}

#[test]
fn a_round_bed_has_a_square_in_it() {
    let model = block(400.0, 50.0, 50.0);
    let round: Printer = "round300x300".parse().unwrap();
    let boxes = EqualBoxes::beside(
        &model,
        &[round],
        &Settings::default(),
        (&CutTree::uncut(), 9),
    )
    .unwrap();
    // The square in a circle of 300 mm has sides of 212 mm; upright it is 300.
    assert_eq!((boxes.along, boxes.pieces), ([2, 1, 1], 2));
}
