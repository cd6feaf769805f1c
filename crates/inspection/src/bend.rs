//! Legs, pegs and rails whose layers lie across the load that bends them.

use std::collections::BTreeMap;

use design::{Assembly, PieceId, PieceInPlace, Side};
use printing::{Asked, PrintBill, SlenderRun, Stance, Standing, place_jointed};
use rayon::prelude::*;
use solid::Vector;

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
    let bent: Vec<Bent> = bent.into_iter().flatten().collect();
    let ways: Vec<OtherWays> = bent
        .par_iter()
        .map(|bent| OtherWays::of(bent, assembly, limits))
        .collect();
    // Alike ones of which the same is to be said are told of together.
    let mut told: BTreeMap<(bool, String, String), Vec<(Bent, OtherWays)>> = BTreeMap::new();
    for (bent, ways) in bent.into_iter().zip(ways) {
        told.entry((!bent.is_level, measures(&bent.run), ways.words()))
            .or_default()
            .push((bent, ways));
    }
    told.into_values().map(|alike| finding(&alike)).collect()
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

fn finding(alike: &[(Bent, OtherWays)]) -> Finding {
    let (first, ways) = &alike[0];
    let ids: Vec<&str> = alike.iter().map(|(b, _)| b.piece.id.as_str()).collect();
    let lying = alike.iter().filter_map(|(bent, ways)| ways.wish(bent));
    let lying: Vec<String> = lying.collect();
    let remedy = match lying.is_empty() {
        true => String::new(),
        false => format!(
            ": have {} in the list `lying` of plan.toml, under [settings.wishes]",
            lying.join(", ")
        ),
    };
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
         plastic is weakest; {}{remedy}",
        ids.join(", "),
        measures(&first.run),
        ways.words(),
    );
    let one = |id: &PieceId| Finding::new(code, message.clone()).piece(id);
    match alike {
        [(only, _)] => one(&only.piece.id),
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

/// The other ways up in which layers run along it.
struct OtherWays {
    count: usize,
    /// The cheapest of them.
    cheapest: Option<OtherWay>,
}

impl OtherWays {
    fn of(bent: &Bent, assembly: &Assembly, limits: &Limits) -> Self {
        let piece = bent.piece;
        let printer = assembly.printer(piece);
        let profile = &printer.print.unwrap_or(limits.print);
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
            // Nor one that lays another run of the piece across its load, or all of it on specks, or
            // that needs help where now it needs none.
            let up_then = placed.onto_bed.inverse() * Vector::z();
            let bent = SlenderRun::across_its_load(&piece.in_place, &up_then, &limits.up);
            let falls = match placed.standing {
                Standing::Falls => true,
                Standing::Helped => stance.standing() != Standing::Helped,
                Standing::ByItself | Standing::Borne => false,
            };
            if falls || bent.is_some() || !placed.lies {
                return None;
            }
            let (hours, plastic_mm3) = bill(&PrintBill::placed(&piece.in_place, &placed, profile));
            Some(OtherWay {
                price: asked.price.of(plastic_mm3, hours),
                up,
                more_h: hours - now.0,
                more_g: (plastic_mm3 - now.1) / 1000.0 * limits.density_g_cm3,
                held: match placed.standing {
                    Standing::Helped => ", with a brim and its supports",
                    Standing::Borne => ", with its supports",
                    _ => "",
                },
            })
        });
        let ways: Vec<OtherWay> = priced.collect();
        Self {
            count: ways.len(),
            cheapest: ways.into_iter().min_by(|a, b| a.price.total_cmp(&b.price)),
        }
    }

    /// What they cost.
    fn words(&self) -> String {
        let Some(OtherWay {
            more_h,
            more_g,
            held,
            ..
        }) = &self.cheapest
        else {
            return "in no way up in which they would run along it does it fit and stand: have a \
                    seam part it off in plan.toml, or stiffen it"
                .to_owned();
        };
        let [more_h, more_g] = [(more_h * 10.0).round() / 10.0 + 0.0, more_g.round() + 0.0];
        format!(
            "in {} of the other ways up they run along it, the cheapest with {more_h:+.1} h and \
             {more_g:+.0} g{held}",
            self.count
        )
    }

    /// The wish that lays it so.
    fn wish(&self, bent: &Bent) -> Option<String> {
        let up = self.cheapest.as_ref()?.up;
        let [x, y, z] = [up.x, up.y, up.z].map(|x| x + 0.0);
        let at = bent.run.at;
        let [p, q, r] = [at.x, at.y, at.z].map(|x| (x * 10.0).round() / 10.0 + 0.0);
        Some(format!(
            "{{ at_mm = [{p}, {q}, {r}], up = [{x}, {y}, {z}] }}"
        ))
    }
}

#[cfg(test)]
mod tests {
    use design::PrinterId;
    use printing::{PrintProfile, Printer};
    use solid::{Isometry, Point, Solid};

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
