//! What two pieces share is held limb by limb, and seated by what it carries.

use design::{PlannedSeam, Settings};
use inspection::{Code, Finding};
use joinery::JointKind;
use printing::Printer;
use solid::{Point, Solid, Vector};
use whole_program::{Judged, bench, carry_out_and_judge, one_seam, plan_of, split_and_judge};

fn block(low: [f64; 3], high: [f64; 3]) -> Solid {
    Solid::cuboid(low.into(), high.into())
}

/// Two sides 18 mm thick and a back, cut across at half their height.
fn carcass(back_mm: f64) -> Solid {
    let side = |x: f64| block([x, 0.0, 0.0], [x + 18.0, 120.0, 300.0]);
    let back = block([0.0, 120.0 - back_mm, 0.0], [180.0, 120.0, 300.0]);
    let sides = side(0.0).union(&side(162.0)).unwrap();
    sides.union(&back).unwrap()
}

fn bed() -> Printer {
    Printer::rectangular("bed-1", 220.0, 220.0, 250.0)
}

fn halved(back_mm: f64, joint: &str, slide: Option<[f64; 3]>) -> Judged {
    let settings = Settings {
        joint: joint.parse().unwrap(),
        ..Settings::default()
    };
    let seam = PlannedSeam {
        slide,
        ..PlannedSeam::at([0.0, 0.0, 1.0], 150.0)
    };
    carry_out_and_judge(&carcass(back_mm), plan_of(one_seam(seam), settings, bed()))
}

fn told(judged: &Judged, code: Code) -> Vec<&Finding> {
    let findings = judged.verdict.findings.iter();
    findings.filter(|f| f.code == code).collect()
}

#[test]
fn both_sides_of_a_carcass_are_joined_and_not_only_its_back() {
    let judged = halved(6.0, "auto", None);
    assert!(judged.errors().is_empty(), "{:?}", judged.errors());
    let contacts = &judged.build.seams[0].contacts;
    let thick: Vec<_> = contacts.iter().filter(|c| !c.contact.slight).collect();
    assert_eq!(thick.len(), 2);
    for limb in thick {
        assert!((limb.contact.thick_mm - 18.0).abs() < 0.2);
        assert!(limb.is_joined(), "{:?}", limb.joining);
    }
    for code in [Code::BareLimb, Code::PlainContact] {
        assert!(told(&judged, code).is_empty());
    }
    // Nearly all of what carries lies near a joint.
    let seam = &judged.build.seams[0];
    let near: f64 = seam.near_joints_mm2(20.0).iter().sum();
    let all: f64 = contacts.iter().map(|c| c.contact.area_mm2).sum();
    assert!(near > 0.7 * all, "{near} of {all}");
}

#[test]
fn a_limb_that_the_only_slide_cannot_serve_is_told() {
    // Through the sides it is 18 mm long and along the back 144, and there are no keys.
    let judged = halved(12.0, "dovetail", Some([1.0, 0.0, 0.0]));
    let contacts = &judged.build.seams[0].contacts;
    let bare = contacts
        .iter()
        .filter(|c| !c.contact.slight && c.joint() == JointKind::Plain);
    let told = told(&judged, Code::BareLimb);
    assert!(!told.is_empty());
    assert_eq!(bare.count(), told.len());
    for finding in told {
        let at = Point::from(finding.at_mm.unwrap());
        assert!((at.z - 150.0).abs() < 1e-6);
        assert!(
            finding.message.contains("12.0 mm thick"),
            "{}",
            finding.message
        );
    }
}

/// The seat of the bench hangs between its ends; laid out without a thought of that, a seam
/// of it was closed upwards.
#[test]
fn a_seat_between_its_ends_is_seated_by_its_load() {
    let judged = split_and_judge(&bench(), &[bed()], &Settings::default()).unwrap();
    assert!(judged.errors().is_empty(), "{:?}", judged.errors());
    let steep = judged.build.seams.iter().filter(|s| s.slide.z.abs() > 0.5);
    assert!(steep.count() > 0, "a slide that weight could free");
    let freed = told(&judged, Code::FreedByLoad);
    assert!(freed.is_empty(), "{freed:?}");
}

/// Nothing is turned over between two keys that come in the same way.
#[test]
fn keys_that_come_the_same_way_follow_each_other() {
    let judged = halved(18.0, "butterfly", None);
    let pieces = &judged.build.pieces;
    let keys = judged.build.steps.iter();
    let keys = keys.filter(|s| s.moving.iter().all(|&k| pieces[k].id.is_key()));
    let ways: Vec<Vector> = keys.map(|s| s.direction).collect();
    let mut runs = ways.clone();
    runs.dedup_by(|a, b| a.dot(b) > 0.99);
    let is_known = |k: usize| runs[..k].iter().any(|way| way.dot(&runs[k]) > 0.99);
    assert!(runs.len() > 1, "{ways:?}");
    assert!((0..runs.len()).all(|k| !is_known(k)), "{ways:?}");
}

/// A hexagonal tube, its walls 12 mm thick: of three directions in which walls stand a slide
/// serves one, and the others are keyed along their own axes.
#[test]
fn walls_that_stand_at_sixty_degrees_are_each_held() {
    let hexagon = |across: f64, low: f64, high: f64| {
        let half = across / 2.0;
        let slab = block([-half * 1.2, -half, low], [half * 1.2, half, high]);
        [30.0_f64, 150.0, 210.0, 330.0]
            .iter()
            .fold(slab, |solid, deg| {
                let n = Vector::new(deg.to_radians().cos(), deg.to_radians().sin(), 0.0);
                solid
                    .trimmed(&solid::Frame::facing(Point::from(n * half), -n))
                    .unwrap()
            })
    };
    let tube = hexagon(240.0, 0.0, 300.0)
        .difference(&hexagon(216.0, -1.0, 301.0))
        .unwrap();
    let seam = PlannedSeam::at([0.0, 0.0, 1.0], 150.0);
    let large = Printer::rectangular("bed-1", 300.0, 300.0, 350.0);
    let plan = plan_of(one_seam(seam), Settings::default(), large);
    let judged = carry_out_and_judge(&tube, plan);
    assert!(judged.errors().is_empty(), "{:?}", judged.errors());
    let seam = &judged.build.seams[0];
    let limbs = seam.contacts.iter().zip(seam.near_joints_mm2(20.0));
    let limbs: Vec<_> = limbs.filter(|(c, _)| !c.contact.slight).collect();
    assert!(limbs.len() > 1, "{}", limbs.len());
    for (limb, near_mm2) in limbs {
        assert!(limb.is_joined(), "{:?}", limb.joining);
        assert!(near_mm2 > 0.4 * limb.contact.area_mm2, "{near_mm2}");
    }
    for code in [Code::BareLimb, Code::PlainContact, Code::Gapes] {
        assert!(told(&judged, code).is_empty(), "{:?}", told(&judged, code));
    }
}
