//! What every split promises, on random boxes with random holes and beds.

use design::Settings;
use planner::NoPlan;
use printing::Printer;
use proptest::prelude::*;
use solid::{Point, Solid};
use whole_program::split_and_judge;

/// A through hole along an axis: its place and size in shares of the box.
type Hole = (usize, [f64; 3], [f64; 3]);

fn holed(size: [f64; 3], holes: &[Hole]) -> Solid {
    let block = Solid::cuboid(Point::origin(), Point::from(size));
    holes.iter().fold(block, |model, (axis, at, share)| {
        let (mut low, mut high) = ([0.0; 3], [0.0; 3]);
        for k in 0..3 {
            if k == *axis {
                (low[k], high[k]) = (-1.0, size[k] + 1.0);
            } else {
                let wide = share[k] * size[k];
                low[k] = 0.1 * size[k] + at[k] * (0.8 * size[k] - wide);
                high[k] = low[k] + wide;
            }
        }
        model
            .difference(&Solid::cuboid(Point::from(low), Point::from(high)))
            .unwrap()
    })
}

fn hole() -> impl Strategy<Value = Hole> {
    (
        0usize..3,
        prop::array::uniform3(0.0f64..1.0),
        prop::array::uniform3(0.1f64..0.5),
    )
}

proptest! {
    // A fixed seed, so that a build does not fail by bad luck; widen the
    // search with other seeds by hand.
    #![proptest_config(ProptestConfig {
        cases: 24,
        rng_seed: proptest::test_runner::RngSeed::Fixed(2026),
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    #[test]
    fn a_split_keeps_its_promises(
        size in (30.0f64..500.0, 30.0f64..400.0, 12.0f64..300.0),
        holes in prop::collection::vec(hole(), 0..4),
        bed in (120.0f64..300.0, 120.0f64..300.0, 120.0f64..300.0),
    ) {
        let model = holed([size.0, size.1, size.2], &holes);
        let printer = Printer::rectangular("bed-1", bed.0, bed.1, bed.2);
        let settings = Settings::default();
        match split_and_judge(&model, &[printer], &settings) {
            Ok(judged) => {
                let errors = judged.errors();
                prop_assert!(errors.is_empty(), "{errors:#?}");
                // Every piece is placed by some step, and every body by another.
                prop_assert_eq!(judged.build.steps.len() + 1, judged.build.pieces.len());

                // Before any joint the cells hold the model to the last drop.
                let parted = workshop::cells::part(&model, &judged.plan).unwrap();
                let parts: f64 =
                    parted.cells.iter().flat_map(|c| &c.bodies).map(Solid::volume_mm3).sum();
                prop_assert!((parts / model.volume_mm3() - 1.0).abs() < 1e-9);

                // With joints, only gaps are lost and nothing is gained.
                let pieces: f64 = judged.build.pieces.iter().map(|p| p.solid.volume_mm3()).sum();
                prop_assert!(pieces <= model.volume_mm3() * (1.0 + 1e-9));
                prop_assert!(pieces >= model.volume_mm3() * 0.99);
            }
            Err(NoPlan::TooSmall { .. }) => {}
            Err(e) => return Err(TestCaseError::fail(e.to_string())),
        }
    }
}
