//! What the model is made of, on the page.

use maud::{Markup, html};

use crate::pictures::colours::piece_colours;
use crate::record::entries::Report;
use crate::record::made_of::MemberEntry;

/// Boards, legs, posts and rails with the pieces that hold them; nothing where the model is
/// not made of such.
pub(crate) fn members(report: &Report, picture: Option<&str>) -> Markup {
    let up = report.settings.up.direction();
    html! {
        @if let Some(made_of) = &report.made_of {
            section #members {
                h2 { "Boards and legs" }
                p { "What the model is made of, and which pieces are which part of it." (parted(made_of.meetings, made_of.parted)) }
                @if let Some(picture) = picture {
                    figure { img src=(picture) alt="The boards, legs, posts and rails of the model, one colour each"; figcaption { "Each in the box in which it lies" } }
                }
                div.scroll tabindex="0" role="region" aria-label="Boards and legs" {
                    table {
                        thead { tr { th scope="col" { "Member" } th scope="col" { "What it is, mm" } th scope="col" { "Pieces" } } }
                        tbody {
                            @for (m, colour) in made_of.members.iter().zip(piece_colours(made_of.members.len())) {
                                tr {
                                    th.what scope="row" { span.swatch style=(swatch(colour)) {} (m.id) }
                                    td.what { (m.words(&up)) }
                                    td { (pieces(m)) }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// At how many places it is parted where two of its members meet.
fn parted(meetings: usize, parted: usize) -> String {
    match meetings {
        0 => String::new(),
        1 if parted == 1 => " It is parted where two of them meet.".to_owned(),
        1 => " Two of them meet, and are not parted there.".to_owned(),
        _ if parted == 0 => {
            format!(" No seam runs at any of the {meetings} places where two of them meet.")
        }
        _ => format!(
            " At {parted} of the {meetings} places where two of them meet a seam parts them."
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

fn swatch([r, g, b]: [u8; 3]) -> String {
    format!("background:rgb({r},{g},{b})")
}
