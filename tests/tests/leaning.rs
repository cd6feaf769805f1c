//! Generated furniture: how it stands, and how what leans or is slender is cut.

use design::Settings;
use geo::Area;
use printing::Printer;
use whole_program::{FAMILIES, generated, split_and_judge};

fn bed() -> Printer {
    Printer::rectangular("bed-1", 220.0, 220.0, 250.0)
}

#[test]
fn generated_furniture_is_in_one_piece_and_stands() {
    for family in FAMILIES {
        for seed in 1..=6 {
            let model = generated(family, seed);
            assert_eq!(model.bodies().len(), 1, "{family}-{seed}");
            let bounds = model.bounds().unwrap();
            assert!(bounds.min.z.abs() < 1e-9, "{family}-{seed}");
        }
    }
}

#[test]
fn no_seam_runs_along_a_rail_that_leans() {
    // Both its sides would end in a feather edge, thinner than the least wall.
    let model = generated("ladder", 2);
    let judged = split_and_judge(&model, &[bed()], &Settings::default()).unwrap();
    assert!(judged.errors().is_empty(), "{:?}", judged.errors());
}

#[test]
fn splayed_legs_are_cut_square_to_themselves() {
    let model = generated("leaning", 6);
    let judged = split_and_judge(&model, &[bed()], &Settings::default()).unwrap();
    assert!(judged.errors().is_empty());
    let tree = judged.plan.tree();
    let across = tree.seams().filter(|s| tree.seam(*s).within_mm.is_some());
    let across: Vec<_> = across.collect();
    assert_eq!(across.len(), 4);
    // Legs across from each other are one shape, joints and all.
    let pieces = &judged.build.pieces;
    let like = pieces.iter().filter(|p| p.congruent.is_some());
    assert_eq!(like.count(), 2);
    for seam in across {
        // A round leg's section is a circle there, and nowhere else: the
        // polygon of 48 corners on which the generator builds it.
        let frame = tree.seam(seam).frame();
        let mut seams = judged.build.seams.iter();
        let built = seams.find(|s| s.planned == seam).unwrap();
        let [contact] = &built.contacts[..] else {
            panic!("{} joins one leg", built.id)
        };
        let outline = &contact.contact.outline;
        let area = outline.unsigned_area();
        let corners = outline.0[0].exterior();
        let middle = geo::Centroid::centroid(outline).unwrap();
        let reach = |c: &geo::Coord| (c.x - middle.x()).hypot(c.y - middle.y());
        let furthest = corners.0.iter().map(reach).fold(0.0, f64::max);
        let circle = 24.0 * furthest * furthest * (std::f64::consts::TAU / 48.0).sin();
        assert!((area / circle - 1.0).abs() < 0.02, "{area} of {circle}");
        assert!(frame.n.z > 0.9 && frame.n.z < 0.999);
        assert!(contact.is_joined());
    }
}

#[test]
fn a_seam_leaves_no_skin_on_a_slat_beside_a_narrow_gap() {
    let printer = Printer::rectangular("bed-1", 300.0, 300.0, 350.0);
    let model = generated("slatted", 6);
    let judged = split_and_judge(&model, &[printer], &Settings::default()).unwrap();
    assert!(judged.errors().is_empty(), "{:?}", judged.errors());
}
