//! What a maker may ask for of joints: hidden sides, scarfs, terms of a seam's
//! or a contact's own, keys.

use design::{PieceId, PlannedContact, PlannedSeam, RuleChanges, Settings};
use geo::{Area, BoundingRect};
use joinery::JointKind;
use printing::Printer;
use solid::{Frame, Point, Solid, Vector};
use whole_program::{
    Judged, board, carry_out_and_judge, generated, halved, one_seam, plan_of, split_and_judge,
};

fn printer() -> Vec<Printer> {
    vec![Printer::rectangular("bed-1", 220.0, 220.0, 250.0)]
}

fn sound(judged: &Judged) {
    let errors = judged.errors();
    assert!(errors.is_empty(), "{errors:#?}");
}

/// Pieces whose outline just under the board's top is no rectangle.
fn showing(judged: &Judged, z: f64) -> usize {
    let level = Frame::facing(Point::new(0.0, 0.0, z), Vector::z());
    judged
        .build
        .pieces
        .iter()
        .filter(|p| {
            let outline = p.solid.section(&level);
            let Some(all) = outline.bounding_rect() else {
                return false;
            };
            (all.width() * all.height() - outline.unsigned_area()).abs() > 1.0
        })
        .count()
}

#[test]
fn a_hidden_side_shows_no_joint() {
    let split = |hide: &[&str]| {
        let settings = Settings {
            hide: hide.iter().map(|s| s.parse().unwrap()).collect(),
            ..Settings::default()
        };
        split_and_judge(&board(), &printer(), &settings).unwrap()
    };
    let (plain, hidden, both) = (split(&[]), split(&["+z"]), split(&["+z", "-z"]));
    assert!(showing(&plain, 17.9) > 0);
    for judged in [&hidden, &both] {
        sound(judged);
        assert_eq!(showing(judged, 17.9), 0);
        assert!(
            judged
                .build
                .seams
                .iter()
                .flat_map(|s| &s.contacts)
                .all(|c| c.is_joined())
        );
    }
    assert!(showing(&hidden, 0.1) > 0, "stopped, not left out");
    assert_eq!(showing(&both, 0.1), 0);
}

#[test]
fn a_scarf_runs_longer_by_one_over_the_sine() {
    let settings = Settings {
        scarf_deg: 30.0,
        ..Settings::default()
    };
    let judged = split_and_judge(&board(), &printer(), &settings).unwrap();
    sound(&judged);
    let scarfs: Vec<_> = judged
        .build
        .seams
        .iter()
        .filter(|s| s.frame.n.z.abs() > 0.1)
        .collect();
    assert!(!scarfs.is_empty());
    for seam in scarfs {
        // The angle between the seam and the board's face.
        let angle = 60f64.to_radians();
        assert!((seam.frame.n.z.abs() - angle.cos()).abs() < 1e-9);
        // The slide is the run and 2 mm.
        let slide_through = seam.slide.z.abs() > 0.5;
        assert!(slide_through);
        let run = seam.travel_mm - 2.0;
        assert!(run > 18.0 / angle.sin() - 0.5, "{run}");
        let taper = |c: &workshop::SeamContact| c.figures().map_or(0.0, |f| f.taper.to_degrees());
        assert!(seam.contacts.iter().all(|c| taper(c) < 0.51));
    }
}

/// Generated furniture with its seams tilted.
fn tilted(family: &str, seed: u64, scarf_deg: f64, joint: &str) -> Judged {
    let settings = Settings {
        scarf_deg,
        joint: joint.parse().unwrap(),
        ..Settings::default()
    };
    split_and_judge(&generated(family, seed), &printer(), &settings).unwrap()
}

#[test]
fn fingers_of_both_halves_come_in_on_a_tilted_seam() {
    // Their sockets began where the other half's material does, and on some
    // slats a film was left across their mouths.
    for seed in [2, 4] {
        let judged = tilted("slatted", seed, 20.0, "wedge-fingers,dovetail");
        sound(&judged);
        let rows = judged.build.seams.iter().filter(|s| {
            let tilted = s.frame.n.iter().filter(|x| x.abs() > 0.1).count() > 1;
            tilted
                && s.contacts
                    .iter()
                    .any(|c| c.joint() == JointKind::WedgeFingers)
        });
        assert!(rows.count() > 0);
    }
}

#[test]
fn slats_that_slide_past_each_other_go_in_the_furthest_first() {
    // Boxes about what a tilted seam parts overlap.
    sound(&tilted("slatted", 1, 45.0, "auto"));
}

#[test]
fn a_seam_beside_a_bar_that_crosses_stays_square() {
    // The bar lies between the places that were looked at.
    sound(&tilted("trellis", 4, 45.0, "auto"));
}

#[test]
fn a_contact_may_have_terms_of_its_own() {
    let plate = Solid::cuboid(Point::new(-80.0, 0.0, 0.0), Point::new(80.0, 200.0, 18.0));
    let halves = |contacts: Vec<PlannedContact>| {
        let seam = PlannedSeam {
            joints: RuleChanges::one("tail_width_mm", 8.0),
            contacts,
            ..PlannedSeam::at([1.0, 0.0, 0.0], 0.0)
        };
        let settings = Settings {
            joint: "dovetail".parse().unwrap(),
            ..Settings::default()
        };
        let printer = Printer::rectangular("bed-1", 700.0, 700.0, 700.0);
        plan_of(one_seam(seam), settings, printer)
    };
    let own = |pieces: [usize; 2]| PlannedContact {
        pieces: pieces.map(|k| PieceId::cut(k, 2)),
        joint: Some("braced-dovetail".parse().unwrap()),
        joints: RuleChanges::one("clearance_mm", 0.2),
    };
    let figures = |judged: &Judged| {
        let contact = &judged.build.seams[0].contacts[0];
        contact.figures().unwrap().clone()
    };
    let judged = carry_out_and_judge(&plate, halves(vec![]));
    sound(&judged);
    assert_eq!(figures(&judged).width_mm, 8.0);
    let judged = carry_out_and_judge(&plate, halves(vec![own([2, 1])]));
    sound(&judged);
    let joint = figures(&judged);
    assert_eq!(joint.kind, JointKind::BracedDovetail);
    let slack = joint.seat_slack_mm.unwrap();
    assert!((slack - 0.2 / joint.taper.sin()).abs() < 1e-9);

    let refused = workshop::build(&plate, &halves(vec![own([1, 7])])).unwrap_err();
    assert!(refused.to_string().contains("P07"), "{refused}");
}

#[test]
fn keys_are_pieces_that_go_in_last_and_hold() {
    let plate = Solid::cuboid(Point::new(-80.0, 0.0, 0.0), Point::new(80.0, 200.0, 18.0));
    let judged = carry_out_and_judge(&plate, halved("butterfly", Settings::default()));
    sound(&judged);
    let contact = &judged.build.seams[0].contacts[0];
    let keys = contact.keys();
    assert!(keys.len() >= 3, "{:?}", contact.joining);
    assert_eq!(contact.figures().unwrap().count, keys.len());
    assert_eq!(judged.build.steps.len(), 1 + keys.len());
    for (k, step) in judged.build.steps.iter().enumerate().skip(1) {
        assert!(judged.build.pieces[step.moving[0]].id.is_key());
        assert_eq!(step.onto.len(), 1 + k);
    }
    // Flush with both faces of the plate.
    for &key in keys {
        let bounds = judged.build.pieces[key].solid.bounds().unwrap();
        assert!((bounds.min.z, bounds.max.z) == (0.0, 18.0), "{bounds:?}");
    }
}
