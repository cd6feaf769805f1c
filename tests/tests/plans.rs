//! Where cuts go, on furniture and on blocks whose best plan is known.

use design::{Emphasis, PlannedSeam, PrinterId, SeamSide, Settings};
use geo::{Area, BooleanOps};
use joinery::JointKind;
use planner::{Brief, Certificate, find_cuts};
use printing::Printer;
use solid::{Frame, Outline, Point, Solid, Vector, grow};
use whole_program::{
    FAMILIES, GENERATED_BEDS, found, generated, one_seam, plan_of, side_table, split_and_judge,
};
use workshop::{Joining, NoJoint, WhyJoint};

fn bed() -> Printer {
    Printer::rectangular("bed-1", 220.0, 220.0, 250.0)
}

#[test]
fn the_side_table_has_like_legs_and_a_staggered_top() {
    let judged = split_and_judge(&side_table(), &[bed()], &Settings::default()).unwrap();
    assert!(judged.errors().is_empty());
    let pieces = &judged.build.pieces;
    // The legs are one shape, counted four times.
    let alike = |k: usize| {
        let like = pieces
            .iter()
            .filter(|p| p.congruent.is_some_and(|t| t.of == k));
        1 + like.count()
    };
    let most = (0..pieces.len()).map(alike).max();
    assert_eq!(most, Some(4));
    // In the top no four pieces come within 0.6 mm of one place.
    let half_way = Frame::with_axes(Point::new(0.0, 0.0, 440.0), Vector::z(), Vector::x());
    let sections: Vec<Outline> = pieces
        .iter()
        .map(|p| grow(&p.solid.section(&half_way), 0.3))
        .filter(|s| s.unsigned_area() > 1.0)
        .collect();
    assert!(
        sections.len() >= 4,
        "the top is in {} pieces",
        sections.len()
    );
    let n = sections.len();
    for a in 0..n {
        for b in a + 1..n {
            let two = sections[a].intersection(&sections[b]);
            for c in b + 1..n {
                let three = two.intersection(&sections[c]);
                for last in &sections[c + 1..] {
                    let four = three.intersection(last);
                    assert_eq!(four.unsigned_area(), 0.0, "{a} {b} {c} at {four:?}");
                }
            }
        }
    }
}

fn certificate(found: &planner::FoundCuts) -> &Certificate {
    found.certificate.as_ref().expect("nothing is fixed")
}

/// The fewest pieces of a bar by arithmetic: each but the last gives up what a
/// joint reaches past its seam, which is nothing where keys hold it.
fn fewest(length: f64, usable: f64, joint: f64) -> usize {
    if length <= usable {
        return 1;
    }
    ((length - joint) / (usable - joint) - 1e-9).ceil() as usize
}

/// Settings for which pieces alone count: solid blocks take more than a spool, and print
/// for days.
fn endless_spools() -> Settings {
    let mut settings = Settings::default();
    settings.wishes.spool_g = Some(100_000.0);
    settings.rates.spoilt_per_hour = 0.0;
    settings
}

#[test]
fn blocks_and_plates_have_as_few_pieces_as_the_arithmetic_allows() {
    let keys_too = endless_spools();
    let tails = Settings {
        joint: "dovetail".parse().unwrap(),
        ..endless_spools()
    };
    let (ahead, back) = tails.joints.growth_of_any_mm(tails.joint.kinds());
    let joint = ahead + back;
    for length in [
        249.0, 251.0, 440.0, 491.0, 493.0, 700.0, 733.0, 735.0, 1000.0,
    ] {
        // A block this wide lies only along the printer's height, or flat
        // where it is short.
        let block = Solid::cuboid(Point::origin(), Point::new(150.0, 160.0, length));
        for (settings, joint) in [(&tails, joint), (&keys_too, 0.0)] {
            let found = found(&block, &[bed()], settings).unwrap();
            let least = fewest(length, 250.0, joint);
            assert_eq!(found.pieces, least, "block of {length} mm, {joint}");
        }
        // A plate may stand on its edge from corner to corner of the bed, which
        // is not always the better plan; the fewest that are possible are found
        // all the same. A rectangle l × t lies at 45° in a square of side
        // (l + t) / √2.
        let usable = 216.0 * 2f64.sqrt() - 18.0;
        let least = fewest(length, usable, joint);
        let plate = Solid::cuboid(Point::origin(), Point::new(200.0, length, 18.0));
        let found = found(&plate, &[bed()], &tails).unwrap();
        assert_eq!(
            certificate(&found).on_lattice,
            least,
            "plate of {length} mm"
        );
    }
}

#[test]
fn blocks_and_plates_have_as_few_pieces_as_points_that_no_bed_holds_together() {
    let on = |size: [f64; 3], [w, d, h]: [f64; 3]| {
        let model = Solid::cuboid(Point::origin(), Point::from(size));
        let printer = Printer::rectangular("bed-1", w, d, h);
        found(&model, &[printer], &endless_spools()).unwrap()
    };
    let [small, middling, large] = GENERATED_BEDS;
    // Thick in all directions: to turn them on the bed gains nothing.
    for (block, bed, pieces) in [
        ([300.0, 200.0, 100.0], small, 4),
        ([450.0, 320.0, 200.0], middling, 4),
        ([620.0, 380.0, 310.0], middling, 12),
    ] {
        let found = on(block, bed);
        assert_eq!(found.pieces, pieces, "{block:?} on {bed:?}");
        assert_eq!(
            certificate(&found).lying_square,
            pieces,
            "{block:?} on {bed:?}"
        );
    }
    // Plates might stand on edge from corner to corner, and then be fewer.
    for (plate, bed) in [
        ([600.0, 400.0, 18.0], small),
        ([600.0, 400.0, 18.0], middling),
        ([600.0, 400.0, 18.0], large),
        ([800.0, 300.0, 24.0], middling),
    ] {
        let found = on(plate, bed);
        let square = certificate(&found).lying_square;
        assert!(
            certificate(&found).on_lattice <= square,
            "{plate:?} on {bed:?}"
        );
        // A plan has them lie flat, for on edge they would fall while they are printed:
        // side by side, each longer by the keys' or the tails' share.
        let usable = bed[0] - 4.0;
        let flat = |joint| -> usize { (0..2).map(|k| fewest(plate[k], usable, joint)).product() };
        assert!(
            found.pieces <= flat(8.0),
            "{plate:?} on {bed:?}: {}",
            found.pieces
        );
        assert!(certificate(&found).any_plan <= found.pieces);
    }
}

#[test]
fn never_more_pieces_than_equal_boxes_with_room_for_the_joints() {
    let settings = endless_spools();
    let joint_mm = settings.joints.growth_of_any_mm(settings.joint.kinds()).0;
    for family in FAMILIES {
        let model = generated(family, 4);
        for [w, d, h] in GENERATED_BEDS {
            let printer = Printer::rectangular("bed-1", w, d, h);
            let boxes = planner::EqualBoxes::on_bed(&model, printer.usable_mm(), joint_mm);
            let most = boxes.unwrap().pieces;
            let pieces = |emphasis| {
                let brief = Brief {
                    emphasis,
                    ..Brief::new(&model, std::slice::from_ref(&printer), &settings)
                };
                find_cuts(&brief).unwrap().pieces
            };
            if pieces(Emphasis::Given) <= most {
                continue;
            }
            // Boxes lie anyhow: not minding that, there is a plan with as few.
            let fewer = pieces(Emphasis::RoughParts);
            assert!(fewer <= most, "{family} on {w}: {fewer} of {most}");
        }
    }
}

#[test]
fn bounds_are_of_the_true_beds_whichever_plan_is_carried_out() {
    // The first plan has faults; the one that is taken was sought with other cares.
    let model = generated("crate", 1);
    let bed = bed();
    let settings = Settings {
        joint: "dovetail".parse().unwrap(),
        ..Settings::default()
    };
    let judged = split_and_judge(&model, std::slice::from_ref(&bed), &settings).unwrap();
    let found = found(&model, &[bed], &settings).unwrap();
    assert_ne!(*judged.plan.tree(), found.tree.clone().named(1));
    let emphasis = judged.plan.found().unwrap().emphasis;
    assert_ne!(emphasis, design::Emphasis::Given);
    let carried_out = judged.certificate.unwrap();
    assert_eq!(carried_out.lying_square, certificate(&found).lying_square);
    assert_eq!(carried_out.apart_mm, certificate(&found).apart_mm);
    assert_eq!(carried_out.any_plan, certificate(&found).any_plan);
}

#[test]
fn a_tail_keeps_clear_of_joints_laid_before() {
    // A rail's tail found room behind another seam's, and began in front of it.
    let model = generated("cot", 6);
    let judged = split_and_judge(&model, &[bed()], &Settings::default()).unwrap();
    assert!(judged.errors().is_empty(), "{:?}", judged.errors());
}

/// A block of two halves that fill a bed, with no room for tails between them.
fn two_bedfuls() -> (Solid, Printer) {
    let block = Solid::cuboid(Point::origin(), Point::new(438.0, 214.0, 100.0));
    (block, Printer::rectangular("bed-1", 220.0, 220.0, 220.0))
}

#[test]
fn keys_hold_what_just_fits_the_bed() {
    let (block, printer) = two_bedfuls();
    let split = |change: fn(&mut Settings)| {
        let mut settings = endless_spools();
        change(&mut settings);
        let judged = split_and_judge(&block, std::slice::from_ref(&printer), &settings).unwrap();
        assert!(judged.errors().is_empty(), "{:?}", judged.errors());
        let (keys, pieces): (Vec<_>, Vec<_>) =
            judged.build.pieces.iter().partition(|p| p.cell.is_none());
        let contacts = judged.build.seams.iter().flat_map(|s| s.contacts.clone());
        (pieces.len(), keys.len(), contacts.collect::<Vec<_>>())
    };
    let (pieces, keys, contacts) = split(|_| {});
    assert_eq!((pieces, contacts.len()), (2, 1));
    assert!(keys > 1, "{keys} keys");
    assert_eq!(contacts[0].joint(), JointKind::Butterfly);
    assert!(contacts[0].no_bed_room());
    let Joining::Joined(joined) = &contacts[0].joining else {
        panic!("keys hold it");
    };
    let no_slide = Some(Box::new(NoJoint::NoBedRoom));
    assert!(
        matches!(&joined.why, WhyJoint::Meeting { no_slide: why, .. } if *why == no_slide),
        "{:?}",
        joined.why
    );
    // Where keys are dear, or there are none, a piece more has room for tails.
    let dear = split(|s| s.rates.key_min = 60.0);
    assert_eq!((dear.0, dear.1), (3, 0));
    let dovetails = split(|s| s.joint = "dovetail".parse().unwrap());
    assert_eq!((dovetails.0, dovetails.1), (3, 0));
}

#[test]
fn pieces_get_tails_only_as_far_as_the_bed_takes_them() {
    // A plan by hand that leaves no room for tails: two halves and keys
    // rather than a piece that does not fit.
    let (block, printer) = two_bedfuls();
    let halves = one_seam(PlannedSeam::at([1.0, 0.0, 0.0], 219.0));
    let plan = plan_of(halves, Settings::default(), printer);
    let build = workshop::build(&block, &plan).unwrap();
    assert!(build.pieces.iter().all(|p| p.placement.is_ok()));
    assert!(build.pieces.iter().any(|p| p.cell.is_none()));
    // With room for them on one side, the tails come from there.
    let shorter = Solid::cuboid(Point::origin(), Point::new(400.0, 214.0, 100.0));
    let build = workshop::build(&shorter, &plan).unwrap();
    assert!(build.pieces.iter().all(|p| p.placement.is_ok()));
    assert!(build.pieces.iter().all(|p| p.cell.is_some()));
    assert_eq!(build.seams[0].tails_on, SeamSide::Above);
}

#[test]
fn branches_of_a_large_plan_find_their_own_places() {
    let model = whole_program::bench();
    let printer = Printer::rectangular("bed-1", 100.0, 100.0, 100.0);
    let settings = Settings::default();
    let found = found(&model, std::slice::from_ref(&printer), &settings).unwrap();
    assert!(certificate(&found).branches > 0);
    assert!(
        found.pieces < certificate(&found).on_lattice,
        "{} and {} on the lattice",
        found.pieces,
        certificate(&found).on_lattice
    );
    // The tree with its branches parts the bench into so many bodies, and each
    // fits the bed.
    let plan = plan_of(found.tree, settings, printer.clone());
    let parted = workshop::cells::part(&model, &plan).unwrap();
    let bodies: Vec<&Solid> = parted.cells.iter().flat_map(|c| &c.bodies).collect();
    assert_eq!(bodies.len(), found.pieces);
    for body in &bodies {
        assert!(printing::place(body, &printer).is_ok());
    }
    let volume: f64 = bodies.iter().map(|b| b.volume_mm3()).sum();
    assert!((volume / model.volume_mm3() - 1.0).abs() < 1e-9);
}

#[test]
fn two_like_printers_share_the_work() {
    let two = ["bed-1", "bed-2"].map(|n| Printer::rectangular(n, 220.0, 220.0, 250.0));
    let judged = split_and_judge(&whole_program::bench(), &two, &Settings::default()).unwrap();
    let plastic = |printer: usize| -> f64 {
        let own = judged
            .build
            .pieces
            .iter()
            .filter(|p| p.printer == PrinterId::at(printer));
        own.map(|p| p.solid.volume_mm3()).sum()
    };
    let share = plastic(0) / (plastic(0) + plastic(1));
    assert!((0.4..0.6).contains(&share), "{share}");
}

#[test]
fn a_model_of_very_many_beds_is_cut_by_parts() {
    // Three bars that meet in a corner: no lattice has room for the places that
    // all of them need at once.
    let bar = |axis: usize, length: f64| {
        let mut end = Point::new(40.0, 40.0, 40.0);
        end[axis] = length;
        Solid::cuboid(Point::origin(), end)
    };
    let lengths = [7600.0, 6400.0, 6700.0];
    let bars = bar(0, lengths[0]).union(&bar(1, lengths[1])).unwrap();
    let corner = bars.union(&bar(2, lengths[2])).unwrap();
    let found = found(&corner, &[bed()], &Settings::default()).unwrap();
    assert!(certificate(&found).beds_a_part > 0);
    // A bar lies upright or from corner to corner of the bed.
    let least: usize = lengths.iter().map(|l| fewest(*l, 266.0, 8.0)).sum();
    assert!(
        (least..=least + least / 5).contains(&found.pieces),
        "{} pieces, {least} would do",
        found.pieces
    );
    assert!(certificate(&found).on_lattice <= found.pieces);
}
