//! Whether pieces lie as the maker asked for.

use design::{Assembly, LyingWish, PieceInPlace, Side};
use printing::Support;
use rayon::prelude::*;
use solid::{Point, RayCaster, Vector};

use crate::code::Code;
use crate::finding::Finding;
use crate::limits::Limits;

/// Less space under an overhang is no support: it sags by a layer, and no more.
const NEGLIGIBLE_MM3: f64 = 200.0;
const NEGLIGIBLE_MM2: f64 = 10.0;
/// The cosine of the angle by which a way up may be off: nobody writes more digits.
const SAME_WAY: f64 = 0.9998;

/// What was asked of how pieces lie and is not so: wishes that name no piece, another way up,
/// support where there was to be none, and on faces that were to be clean of it.
pub(crate) fn unmet(assembly: &Assembly, limits: &Limits) -> Vec<Finding> {
    let wishes = &limits.wishes;
    if wishes.lying.is_empty() && !wishes.no_supports {
        return Vec::new();
    }
    let pieces = assembly.pieces();
    let mut of_pieces: Vec<Option<&LyingWish>> = vec![None; pieces.len()];
    let mut out = Vec::new();
    let rays: Vec<Option<RayCaster>> = match wishes.lying.is_empty() {
        true => Vec::new(),
        false => pieces
            .par_iter()
            .map(|p| RayCaster::new(&p.in_place))
            .collect(),
    };
    for wish in &wishes.lying {
        let at = Point::from(wish.at_mm);
        let holds = |c: &Option<RayCaster>| c.as_ref().is_some_and(|c| c.contains(&at));
        match rays.iter().position(holds) {
            Some(k) => of_pieces[k] = Some(wish),
            None => out.push(no_such_piece(wish)),
        }
    }
    let each = pieces.par_iter().zip(&of_pieces);
    let each: Vec<Vec<Finding>> = each
        .map(|(piece, wish)| {
            let own = wish.and_then(|w| w.supports);
            let none = own.map_or(wishes.no_supports, |may| !may);
            of_piece(assembly, piece, (*wish, none), limits)
        })
        .collect();
    out.extend(each.into_iter().flatten());
    out
}

fn no_such_piece(wish: &LyingWish) -> Finding {
    let [x, y, z] = wish.at_mm;
    let message = format!(
        "no piece holds the point {x}, {y}, {z} that a wish of how it lies names; write a point \
         within the piece"
    );
    Finding::new(Code::NoSuchPiece, message)
}

fn of_piece(
    assembly: &Assembly,
    piece: &PieceInPlace,
    (wish, none): (Option<&LyingWish>, bool),
    limits: &Limits,
) -> Vec<Finding> {
    let mut out = Vec::new();
    let id = &piece.id;
    if let Some(up) = wish.and_then(LyingWish::up)
        && up.dot(&piece.printed_up()) < SAME_WAY
    {
        let [x, y, z] = piece
            .printed_up()
            .map(|x| (x * 100.0).round() / 100.0 + 0.0)
            .into();
        let message = format!(
            "{id} was to be printed another way up than it lies: what looks up is ({x}, {y}, {z}) \
             of the furniture; split by the plan again (of a re-split: again around what is \
             printed), or take the wish out of it"
        );
        out.push(Finding::new(Code::LiesOtherwise, message).piece(id));
    }
    let sides = wish.map_or(&[][..], |w| &w.clean[..]);
    if !none && sides.is_empty() {
        return out;
    }
    let back = piece.placed.rotation.inverse();
    let clean: Vec<Vector> = sides.iter().map(|s: &Side| back * s.direction()).collect();
    let profile = assembly.printer(piece).print.unwrap_or(limits.print);
    let support = Support::sparing(&piece.as_printed, &profile, &clean);
    if none && support.space_mm3 > NEGLIGIBLE_MM3 {
        let message = format!(
            "{id} was to print without support and lies with {:.1} cm³ of it underneath; allow that, \
             turn the slide of a seam whose joints hang over, or move a seam to where it does",
            support.space_mm3 / 1000.0
        );
        let finding = Finding::new(Code::NeedsSupport, message);
        out.push(finding.piece(id).measured(support.space_mm3, 0.0));
    }
    if support.clean_mm2 > NEGLIGIBLE_MM2 {
        let message = format!(
            "support touches {:.0} mm² of faces of {id} that were to be clean of it; say which way \
             is up, or give one of them up",
            support.clean_mm2
        );
        let finding = Finding::new(Code::MarkedFace, message);
        out.push(finding.piece(id).measured(support.clean_mm2, 0.0));
    }
    out
}
