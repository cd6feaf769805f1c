//! Whether pieces stand in their beds, and stand there at all.

use design::{Assembly, PieceInPlace};
use printing::{
    LEAST_FIRST_LAYER_MM2, LEAST_MM2_PER_CM3, LEAST_TIP_DEG, PrintProfile, Printer, Stance,
    Standing, excess_as_it_lies,
};
use rayon::prelude::*;
use solid::Vector;

use crate::code::Code;
use crate::finding::Finding;

/// Whether each piece, as it lies, is one body that stands in its bed and does not
/// fall over while it is printed.
pub(crate) fn lying(assembly: &Assembly, print: &PrintProfile) -> Vec<Finding> {
    let stances: Vec<Option<Finding>> = assembly
        .pieces()
        .par_iter()
        .map(|piece| {
            let printer = assembly.printer(piece);
            standing(piece, printer, printer.print.as_ref().unwrap_or(print))
        })
        .collect();
    let mut findings = Vec::new();
    for (piece, standing) in assembly.pieces().iter().zip(stances) {
        let floating = floating(piece);
        let floats_mm = floating.as_ref().map_or(0.0, |(by_mm, _)| *by_mm);
        findings.extend(floating.map(|(_, told)| told).or(standing));
        let bodies = piece.as_printed.bodies();
        if bodies.len() != 1 {
            let message = match bodies.len() {
                0 => format!("{} holds nothing; move the seams beside it", piece.id),
                n => format!(
                    "{} falls apart into {n} bodies; move a seam so that it stays whole",
                    piece.id
                ),
            };
            findings.push(
                Finding::new(Code::SeveralBodies, message)
                    .piece(&piece.id)
                    .measured(bodies.len() as f64, 1.0),
            );
        }
        let printer = assembly.printer(piece);
        let put_down = piece.as_printed.shifted(-Vector::z() * floats_mm);
        let excess = excess_as_it_lies(&put_down, printer);
        if excess > 0.0 {
            let size = piece
                .as_printed
                .bounds()
                .map_or([0.0; 3], |b| b.size_mm().into());
            let [x, y, z] = size;
            findings.push(
                Finding::new(
                    Code::DoesNotFit,
                    format!(
                        "{} is {x:.1} × {y:.1} × {z:.1} mm as it lies and stands {excess:.2} mm \
                         out of the usable bed of {printer}; cut it again or use a larger bed",
                        piece.id
                    ),
                )
                .piece(&piece.id)
                .measured(excess, 0.0),
            );
        }
    }
    findings
}

/// A piece hangs so far above its bed that it does not lie on it.
const FLOATS_MM: f64 = 0.02;

/// By how much a piece floats above its bed, and that it does.
fn floating(piece: &PieceInPlace) -> Option<(f64, Finding)> {
    let by_mm = piece.as_printed.bounds()?.min.z;
    (by_mm > FLOATS_MM).then(|| {
        let message = format!(
            "{} floats {by_mm:.2} mm above its bed: put it down on z = 0",
            piece.id
        );
        let told = Finding::new(Code::FirstLayer, message).piece(&piece.id);
        (by_mm, told.measured(by_mm, 0.0))
    })
}

/// A brim that there is room for, beside the one that is wanted, both in mm.
fn brim_in_words(room_mm: [f64; 2], wanted_mm: f64) -> String {
    let [least, most] = [room_mm[0].min(room_mm[1]), room_mm[0].max(room_mm[1])];
    let tenths = |mm: f64| (mm * 10.0).floor() / 10.0;
    let (least, most) = (tenths(least), tenths(most));
    if least >= wanted_mm {
        format!("a brim of {least} mm and its supports")
    } else if least <= 0.0 && most > 0.0 {
        format!(
            "a brim of {most} mm on two sides (the others have no room for one) and its supports"
        )
    } else if least > 0.0 {
        format!("a brim of {least} mm (the bed has room for no more) and its supports")
    } else {
        "its supports, which are all that hold it: the bed has no room for a brim".to_owned()
    }
}

/// Whether a piece stands as it lies.
fn standing(piece: &PieceInPlace, printer: &Printer, profile: &PrintProfile) -> Option<Finding> {
    let stance = Stance::if_falling(&piece.as_printed, printer, profile)?;
    let footing = stance.footing;
    let (area, tips) = (footing.held_mm2, footing.tips_deg);
    let least = footing.least_mm2;
    let narrow = footing.first_layer_mm2 - area;
    let how = match (footing.holds(), tips > 0.0) {
        (false, _) if narrow > area => format!(
            "{:.0} mm² of it lie on the bed, but in strips less wide than two lines",
            footing.first_layer_mm2
        ),
        (false, _) if area < least => format!(
            "only {area:.0} mm² of it lie on the bed, little for a piece of {:.0} cm³",
            footing.least_mm2 / LEAST_MM2_PER_CM3
        ),
        (false, _) => format!("only {area:.1} mm² of it lie on the bed"),
        (true, true) if tips < 1.0 => "hardly tipped it falls over".to_owned(),
        (true, true) => format!("tipped by {tips:.0}° it falls over"),
        (true, false) => "its centre stands beside its first layer".to_owned(),
    };
    let id = &piece.id;
    let (code, remedy) = match stance.standing() {
        Standing::ByItself => return None,
        Standing::Borne => (
            Code::NeedsBrim,
            format!(
                "it lies broad, on {area:.0} mm², and its supports keep it from tipping: print it \
                 with them"
            ),
        ),
        Standing::Helped => (
            Code::NeedsBrim,
            format!(
                "print it with {}, or move a seam so that it has a broader face to lie on",
                brim_in_words(stance.brim_mm, profile.brim_mm)
            ),
        ),
        Standing::Falls => (
            Code::FirstLayer,
            "no brim and no support under it holds it; move a seam so that it has a face to lie on"
                .to_owned(),
        ),
    };
    let message = format!("{id} does not stand by itself as it is printed: {how}; {remedy}");
    let finding = Finding::new(code, message).piece(id);
    Some(match footing.holds() {
        false => finding.measured(area, LEAST_FIRST_LAYER_MM2.max(least)),
        true => finding.measured(tips, LEAST_TIP_DEG),
    })
}

#[cfg(test)]
mod tests {
    use design::{PieceId, PrinterId};
    use solid::{Point, Solid};

    use super::*;

    fn found(size: [f64; 3]) -> Vec<(Code, Option<f64>)> {
        found_above_the_bed(size, 0.0)
    }

    fn found_above_the_bed(size: [f64; 3], by_mm: f64) -> Vec<(Code, Option<f64>)> {
        let block = Solid::cuboid(Point::origin(), Point::from(size));
        let block = block.shifted(Vector::z() * by_mm);
        let piece = PieceInPlace {
            id: PieceId::cut(1, 2),
            in_place: block.clone(),
            as_printed: block,
            placed: solid::Isometry::identity(),
            printer: PrinterId::at(0),
        };
        let printers = vec!["220x220x250".parse().unwrap()];
        let assembly = Assembly::new(vec![piece], vec![], vec![], printers).unwrap();
        let findings = lying(&assembly, &PrintProfile::default());
        findings.into_iter().map(|f| (f.code, f.value)).collect()
    }

    /// Half the width over half the height, and with a brim of 5 mm that much more.
    #[test]
    fn a_board_on_its_edge_needs_a_brim_and_a_thinner_one_falls() {
        assert_eq!(found([200.0, 150.0, 18.0]), []);
        let tips = |w: f64, h: f64| (w / h).atan().to_degrees();
        assert!(tips(28.0, 200.0) < LEAST_TIP_DEG && tips(38.0, 200.0) > LEAST_TIP_DEG);
        let helped = found([200.0, 28.0, 200.0]);
        assert_eq!(helped[0].0, Code::NeedsBrim);
        // At its ends the bed has no room for all of the brim, which it does not need.
        assert_eq!(found([210.0, 28.0, 200.0])[0].0, Code::NeedsBrim);
        assert_eq!(found([28.0, 216.0, 200.0])[0].0, Code::NeedsBrim);
        assert!((helped[0].1.unwrap() - tips(28.0, 200.0)).abs() < 1e-3);
        assert_eq!(found([210.0, 12.0, 200.0])[0].0, Code::FirstLayer);
    }

    /// It floats, and is not too high for a bed on which it would stand.
    #[test]
    fn what_floats_above_its_bed_is_told_to_be_put_down() {
        let floats = found_above_the_bed([100.0, 80.0, 240.0], 5.0);
        assert_eq!(floats, [(Code::FirstLayer, Some(5.0))]);
        let too_high = found_above_the_bed([100.0, 80.0, 260.0], 5.0);
        assert_eq!(too_high[1].0, Code::DoesNotFit);
    }

    #[test]
    fn a_brim_without_room_is_none() {
        assert_eq!(
            brim_in_words([5.0; 2], 5.0),
            "a brim of 5 mm and its supports"
        );
        let less = "a brim of 3.9 mm (the bed has room for no more) and its supports";
        assert_eq!(brim_in_words([5.0, 3.97], 5.0), less);
        let two = "a brim of 5 mm on two sides (the others have no room for one) and its supports";
        assert_eq!(brim_in_words([0.0, 5.0], 5.0), two);
        for none in [0.0, -1e-9] {
            assert!(brim_in_words([none; 2], 5.0).contains("no room for a brim"));
        }
    }
}
