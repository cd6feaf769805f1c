//! Legs, pegs and rails whose layers lie across the load that bends them.

use std::collections::BTreeMap;

use design::{Assembly, PieceId, PieceInPlace, Side};
use printing::{
    Asked, PrintBill, PrintProfile, Printer, SlenderRun, Stance, Standing, place_jointed,
};
use rayon::prelude::*;
use solid::{Point, Vector};

use crate::code::Code;
use crate::finding::Finding;
use crate::limits::Limits;

/// A piece with its slenderest run along its layers' pile.
struct Bent<'a> {
    piece: &'a PieceInPlace,
    run: SlenderRun,
    /// What of the furniture looks up as it prints.
    printed_up: Vector,
    is_level: bool,
}

/// Findings of the pieces whose layers lie across their length, where they have a length:
/// a warning each where weight bends them, a note where a knock does.
pub(crate) fn bends(assembly: &Assembly, limits: &Limits) -> Vec<Finding> {
    let bent: Vec<Option<Bent>> = assembly
        .pieces()
        .par_iter()
        .map(|piece| bent(piece, &limits.up))
        .collect();
    let mut told: BTreeMap<(bool, String), Vec<Bent>> = BTreeMap::new();
    for bent in bent.into_iter().flatten() {
        // Alike ones are told of together.
        told.entry((!bent.is_level, measures(&bent.run)))
            .or_default()
            .push(bent);
    }
    let each = told.into_values();
    each.map(|alike| finding(assembly, limits, &alike))
        .collect()
}

fn bent<'a>(piece: &'a PieceInPlace, up: &Vector) -> Option<Bent<'a>> {
    if piece.id.is_key() {
        return None;
    }
    let printed_up = piece.printed_up();
    let is_level = SlenderRun::is_level(&printed_up, up);
    let across = match is_level {
        true => SlenderRun::across_its_load,
        false => SlenderRun::across_a_knock,
    };
    let run = across(&piece.in_place, &printed_up, up)?;
    Some(Bent {
        piece,
        run,
        printed_up,
        is_level,
    })
}

fn measures(run: &SlenderRun) -> String {
    let [thin, wide] = run.section_mm;
    format!("{thin:.0} × {wide:.0} mm and {:.0} mm long", run.length_mm)
}

fn finding(assembly: &Assembly, limits: &Limits, alike: &[Bent]) -> Finding {
    let first = &alike[0];
    let printer = assembly.printer(first.piece);
    let profile = printer.print.unwrap_or(limits.print);
    let ids: Vec<&str> = alike.iter().map(|b| b.piece.id.as_str()).collect();
    let (code, bends) = match first.is_level {
        true => (
            Code::AcrossItsLoad,
            "it lies level in the furniture, so that weight on it bends it",
        ),
        false => (
            Code::AcrossAKnock,
            "it stands upright in the furniture, so that a knock or a push bends it",
        ),
    };
    let message = format!(
        "{}: layers lie across the length of what is {}; {bends} and pulls layers apart, where \
         plastic is weakest; {}",
        ids.join(", "),
        measures(&first.run),
        other_ways(first, printer, &profile, limits.density_g_cm3),
    );
    let one = |id: &PieceId| Finding::new(code, message.clone()).piece(id);
    match alike {
        [only] => one(&only.piece.id),
        _ => Finding::new(code, message),
    }
    .at(&first.run.at)
}

/// Another way up.
struct OtherWay {
    /// What its print costs, in minutes of the maker's work.
    price: f64,
    up: Vector,
    more_h: f64,
    more_g: f64,
    held: &'static str,
}

/// The other ways up in which layers run along it, and what the cheapest costs.
fn other_ways(bent: &Bent, printer: &Printer, profile: &PrintProfile, density: f64) -> String {
    let piece = bent.piece;
    let sides = Side::ALL.into_iter().map(Side::direction);
    let along = sides.filter(|side| SlenderRun::is_level(side, &bent.printed_up));
    let bill = |bill: &PrintBill| (bill.hours(profile), bill.plastic_mm3());
    let stance = Stance::of(&piece.as_printed, printer, profile);
    let now = bill(&PrintBill::of(&piece.as_printed, &stance, profile));
    let priced = along.filter_map(|up| {
        let asked = Asked {
            up: Some(up),
            ..Asked::default()
        };
        let placed = place_jointed(&piece.in_place, printer, profile, &asked).ok()?;
        if placed.standing == Standing::Falls {
            return None;
        }
        let (hours, plastic_mm3) = bill(&PrintBill::placed(&piece.in_place, &placed, profile));
        let price = asked.price.of(plastic_mm3, hours);
        Some(OtherWay {
            price,
            up,
            more_h: hours - now.0,
            more_g: (plastic_mm3 - now.1) / 1000.0 * density,
            held: match placed.standing {
                Standing::Helped => ", with a brim",
                _ => "",
            },
        })
    });
    let ways: Vec<OtherWay> = priced.collect();
    let Some(cheapest) = ways.iter().min_by(|a, b| a.price.total_cmp(&b.price)) else {
        return "in no way up in which they would run along it does it fit and stand: have a seam part \
                it off in plan.toml, or stiffen it"
            .to_owned();
    };
    let OtherWay {
        up,
        more_h,
        more_g,
        held,
        ..
    } = cheapest;
    let [x, y, z] = [up.x, up.y, up.z].map(|x| x + 0.0);
    let Point { coords: at } = bent.run.at;
    let [p, q, r] = [at.x, at.y, at.z].map(|x| (x * 10.0).round() / 10.0 + 0.0);
    format!(
        "in {} of the other ways up they run along it, the cheapest for {more_h:+.1} h and \
         {more_g:+.0} g{held}: add lying = [{{ at_mm = [{p}, {q}, {r}], up = [{x}, {y}, {z}] }}] to \
         plan.toml, under [settings.wishes]",
        ways.len()
    )
}

#[cfg(test)]
mod tests {
    use design::PrinterId;
    use solid::{Isometry, Solid};

    use super::*;

    /// A board with a peg, standing in the furniture as a coat rack does, printed with the
    /// peg upright or the board on its edge.
    fn rack(peg_upright: bool, turn: &Isometry) -> Vec<Finding> {
        let board = Solid::cuboid(Point::origin(), Point::new(200.0, 18.0, 60.0));
        let peg = Solid::cuboid(Point::new(90.0, 10.0, 20.0), Point::new(110.0, 108.0, 40.0));
        let rack = board.union(&peg).unwrap();
        let up = if peg_upright {
            Vector::y()
        } else {
            Vector::z()
        };
        let printer: Printer = "220x220x250".parse().unwrap();
        let asked = Asked {
            up: Some(up),
            ..Asked::default()
        };
        let profile = PrintProfile::default();
        let placed = place_jointed(&rack, &printer, &profile, &asked).unwrap();
        let piece = PieceInPlace {
            id: PieceId::cut(1, 1),
            in_place: rack.moved(turn),
            as_printed: rack.moved(&placed.onto_bed),
            placed: turn * placed.onto_bed.inverse(),
            printer: PrinterId::at(0),
        };
        let assembly = Assembly::new(vec![piece], vec![], vec![], vec![printer]).unwrap();
        bends(&assembly, &Limits::default())
    }

    #[test]
    fn a_peg_printed_upright_is_told_with_the_way_that_is_better() {
        let found = rack(true, &Isometry::identity());
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].code, Code::AcrossItsLoad);
        let told = &found[0].message;
        assert!(told.contains("20 × 20 mm and 90 mm long"), "{told}");
        assert!(told.contains("up = [0, 0, "), "{told}");
        assert!(rack(false, &Isometry::identity()).is_empty());
    }

    #[test]
    fn what_stands_upright_in_the_furniture_is_a_note() {
        let tipped = Isometry::rotation(Vector::x() * std::f64::consts::FRAC_PI_2);
        let found = rack(true, &tipped);
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].code, Code::AcrossAKnock);
    }
}
