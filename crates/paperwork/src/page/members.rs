//! What the model is made of, on the page.

use design::PieceId;
use maud::{Markup, html};
use planner::MemberKind;
use solid::Vector;

use crate::pictures::colours::piece_colours;
use crate::record::entries::Report;
use crate::record::made_of::MemberEntry;
use crate::words::listed;

/// Boards, legs, posts and rails with the pieces that hold them; nothing where the model is
/// not made of such.
pub(crate) fn members(report: &Report, picture: Option<&str>) -> Markup {
    let up = report.settings.up.direction();
    html! {
        @if let Some(made_of) = &report.made_of {
            section #members {
                h2 { "Boards and legs" }
                p { "What the model is made of, which pieces are which part of it, and how their layers run: along a board or leg it is as strong as its plastic, across it only as strong as layers hold together." (parted(made_of.meetings, made_of.parted)) (rest(made_of.rest_percent)) }
                @if let Some(picture) = picture {
                    figure { img src=(picture) alt="The boards, legs, posts and rails of the model, one colour each"; figcaption { "Each in the box in which it lies" } }
                }
                div.scroll tabindex="0" role="region" aria-label="Boards and legs" {
                    table {
                        thead { tr { th scope="col" { "Member" } th scope="col" { "What it is, mm" } th scope="col" { "Pieces" } th scope="col" { "Layers run" } } }
                        tbody {
                            @for (m, colour) in made_of.members.iter().zip(piece_colours(made_of.members.len())) {
                                tr {
                                    th.what scope="row" { span.swatch style=(swatch(colour)) {} (m.id) }
                                    td.what { (m.words(&up)) }
                                    td { (pieces(m)) }
                                    td { (layers(report, m)) }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// What share of the model is in no row.
fn rest(percent: u32) -> String {
    match percent {
        0 => String::new(),
        _ => {
            format!(" {percent} % of it belongs to none of these: what is bent, carved or blended.")
        }
    }
}

/// At how many places it is parted where two of its members meet.
fn parted(meetings: usize, parted: usize) -> String {
    match meetings {
        0 => String::new(),
        1 if parted == 1 => {
            " One place was found where two of them meet, and a seam parts them there.".to_owned()
        }
        1 => " One place was found where two of them meet, and no seam runs there.".to_owned(),
        _ if parted == 0 => {
            format!(
                " {meetings} places were found where two of them meet, and no seam runs at any."
            )
        }
        _ => format!(
            " {meetings} places were found where two of them meet; at {parted} a seam parts them."
        ),
    }
}

/// The pieces of a member: all of it, or shares.
fn pieces(member: &MemberEntry) -> String {
    match &member.pieces[..] {
        [] => "–".to_owned(),
        [one] => one.piece.to_string(),
        several => {
            let each = several
                .iter()
                .map(|s| format!("{} {} %", s.piece, s.percent));
            each.collect::<Vec<_>>().join(", ")
        }
    }
}

/// How layers run in a member as its pieces are printed, in words: along its length it is as
/// strong as its plastic, across it only as its layers hold together.
fn layers(report: &Report, member: &MemberEntry) -> String {
    let length = Vector::from(member.along);
    let is_across = |id: &PieceId| {
        let piece = report.pieces.iter().find(|p| p.id == *id);
        // The column of the rotation that takes the file's z to the model.
        let up = piece.map(|p| Vector::from(p.placement.map(|row| row[2])));
        up.is_some_and(|up| up.dot(&length).abs() > ACROSS)
    };
    let ids = || member.pieces.iter().map(|share| &share.piece);
    let across: Vec<&PieceId> = ids().filter(|id| is_across(id)).collect();
    match across.len() {
        _ if member.round && member.kind == MemberKind::Board => "–".to_owned(),
        0 => "along it".to_owned(),
        n if n == member.pieces.len() => "across it".to_owned(),
        _ => format!("along it, across it in {}", listed(&across, ", ")),
    }
}

/// What of the pile of layers runs along a member that they lie across.
const ACROSS: f64 = 0.7;

fn swatch([r, g, b]: [u8; 3]) -> String {
    format!("background:rgb({r},{g},{b})")
}
