//! Plans beside equal boxes, and what is against those.

use design::CutTree;
use design::Settings;
use planner::EqualBoxes;
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

#[test]
fn what_is_against_boxes_is_told() {
    let with = |change: fn(&mut Settings)| {
        let mut settings = Settings::default();
        change(&mut settings);
        settings
    };
    let tails = with(|s| s.joint = "dovetail".parse().unwrap());
    // Too thick to lie from corner to corner, and too wide but for upright.
    for (model, settings, against) in [
        (
            block(438.0, 240.0, 200.0),
            Settings::default(),
            "the margin of the bed",
        ),
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
        (
            "rack",
            "what hangs over as pieces lie on the bed (weight support)",
        ),
        (
            "ladder",
            "pieces that do not stand while they are printed (weight footing)",
        ),
    ] {
        let model = generated(family, 1);
        let mut settings = Settings::default();
        let (pieces, boxes) = beside(&model, large, &settings);
        assert!(boxes.pieces < pieces);
        assert_eq!(boxes.against, [why]);
        match family {
            "rack" => settings.weights.support = 0.0,
            _ => settings.weights.footing = 0.0,
        }
        let (pieces, boxes) = beside(&model, large, &settings);
        assert!(pieces <= boxes.pieces);
        assert!(boxes.against.is_empty());
    }
}

#[test]
fn boxes_through_shelves_have_seams_against_them() {
    let (pieces, boxes) = beside(
        &generated("carcass", 5),
        [300.0, 300.0, 350.0],
        &Settings::default(),
    );
    assert!(boxes.pieces < pieces);
    let about_seams = |why: &String| why.starts_with("seams ");
    assert!(
        !boxes.against.is_empty() && boxes.against.iter().all(about_seams),
        "{:?}",
        boxes.against
    );
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
