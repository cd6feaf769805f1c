//! Bars, one for each kind of contact.

use design::{Draft, JointChoice, ModelReference, Plan, PlannedSeam, Settings};
use printing::Printer;
use solid::{Frame, Point, Ring, Solid, Vector};

/// Bars 160 mm long along x, by the contact that a cut across gives.
pub fn bars() -> Vec<(&'static str, Solid)> {
    let along = |ring: Ring| {
        let frame = Frame::with_axes(Point::new(-80.0, 0.0, 0.0), Vector::x(), Vector::y());
        Solid::prism(&frame, &ring, 0.0, 160.0).expect("a bar's section is simple")
    };
    let rectangle = |w: f64, h: f64| along(vec![[0.0, 0.0], [w, 0.0], [w, h], [0.0, h]]);
    let round = (0..96)
        .map(|k| {
            let a = std::f64::consts::TAU * f64::from(k) / 96.0;
            [30.0 + 30.0 * a.cos(), 30.0 + 30.0 * a.sin()]
        })
        .collect();
    let l = vec![
        [0.0, 0.0],
        [80.0, 0.0],
        [80.0, 24.0],
        [24.0, 24.0],
        [24.0, 80.0],
        [0.0, 80.0],
    ];
    // A tube, 90 outside with walls of 20, and a board bent to a quarter ring.
    let outside = rectangle(90.0, 90.0);
    let hole = Solid::cuboid(Point::new(-90.0, 20.0, 20.0), Point::new(90.0, 70.0, 70.0));
    let curve = |r: f64, k: i32| {
        let a = std::f64::consts::FRAC_PI_2 * f64::from(k) / 32.0;
        [r * a.cos(), r * a.sin()]
    };
    let mut bent: Ring = (0..=32).map(|k| curve(150.0, k)).collect();
    bent.extend((0..=32).rev().map(|k| curve(110.0, k)));
    vec![
        ("plate-18x600", rectangle(600.0, 18.0)),
        ("square-leg-50", rectangle(50.0, 50.0)),
        ("round-leg-60", along(round)),
        ("panel-6", rectangle(200.0, 6.0)),
        ("l-section", along(l)),
        ("square-tube-90", outside.difference(&hole).expect("a tube")),
        ("bent-board-40", along(bent)),
    ]
}

/// The plan that cuts a bar in the middle and joins it one way.
pub fn halved(joint: &str, settings: Settings) -> Plan {
    let joint: JointChoice = joint.parse().expect("a joint's name");
    let seam = PlannedSeam::at([1.0, 0.0, 0.0], 0.0);
    let printer = Printer::rectangular("bed-1", 700.0, 700.0, 700.0);
    plan_of(one_seam(seam), Settings { joint, ..settings }, printer)
}

/// The tree of one seam.
pub fn one_seam(seam: PlannedSeam) -> Draft {
    Draft::cut(None, seam, Draft::uncut(), Draft::uncut())
}

/// The plan of some seams for one printer, for no model in particular.
pub fn plan_of(tree: Draft, settings: Settings, printer: Printer) -> Plan {
    let model = ModelReference::default();
    Plan::new(model, settings, vec![printer], tree.named(1)).expect("a plan that can be")
}
