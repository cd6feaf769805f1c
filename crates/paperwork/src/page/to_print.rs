//! What is to be printed: the cut list and the plates of the page.

use design::PieceEntry;
use maud::{Markup, html};
use printing::EAR_MM;

use crate::record::entries::Report;
use crate::words::{counted, listed};

/// What to print, a row a shape, with a picture of each as it lies.
pub(crate) fn cut_list(report: &Report, pictures: &[String]) -> Markup {
    let first = |k: usize| {
        !report.pieces[..k]
            .iter()
            .any(|p| p.file == report.pieces[k].file)
    };
    html! {
        section #cut-list {
            h2 { "Cut list" }
            p { "Sizes as printed: turned for the bed, resting on it. Pieces of one shape share a row: print its file as often as it says." }
            div.scroll tabindex="0" role="region" aria-label="Cut list" {
                table {
                    thead { tr {
                        th scope="col" { "Piece" } th.number scope="col" { "Times" }
                        @if report.made_of.is_some() { th scope="col" { a href="#members" { "Of" } } }
                        th scope="col" { "As printed" }
                        th.number scope="col" { "Width × depth × height, mm" } th.number scope="col" { "Volume, cm³" }
                        th.number scope="col" { "Plastic, g" } th.number scope="col" { "Of it support, g" } th.number scope="col" { "Print time" }
                        th scope="col" { "As it lies" } th.number scope="col" { "Thinnest wall, mm" }
                        th scope="col" { "Seams" }
                        th scope="col" { "Printer" }
                    } }
                    tbody {
                        @for (k, (p, picture)) in report.pieces.iter().zip(pictures).enumerate().filter(|(k, _)| first(*k)) {
                            @let ids = report.alike(&p.file);
                            tr {
                                th scope="row" { @for id in &ids { span id=(id) data-piece=(id) { (id) } " " } }
                                td.number {
                                    (ids.len())
                                    @if report.printed_of(&p.file) > 0 { ", " (report.printed_of(&p.file)) " printed" }
                                }
                                @if report.made_of.is_some() { td { (listed(&report.members_of(&ids), " ")) } }
                                td { img.piece src=(picture) alt={ "Piece " (report.pieces[k].id) " as it lies on the bed" }; }
                                td.number { (format!("{:.1} × {:.1} × {:.1}", p.size_mm[0], p.size_mm[1], p.size_mm[2])) }
                                td.number { (format!("{:.1}", p.volume_mm3 / 1000.0)) }
                                td.number { (format!("{:.0}", p.plastic_g)) }
                                td.number { (grams(p.support_g)) }
                                td.number { (hours(p.print_min)) }
                                td.lies { (as_it_lies(p)) }
                                td.number { (p.thinnest_mm.map_or_else(|| "–".to_owned(), |t| format!("{t:.2}"))) }
                                td { (listed(&report.seams_of(&ids), " ")) }
                                td { (report.printer_of(&p.file)) }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// Grams, or a dash where there are none.
fn grams(g: f64) -> String {
    match g.round() > 0.0 {
        true => format!("{g:.0}"),
        false => "–".to_owned(),
    }
}

/// How a piece lies: what it stands on, whether askew, what layers cross.
fn as_it_lies(p: &PieceEntry) -> String {
    let mut words = vec![format!("on {:.0} mm²", p.first_layer_mm2)];
    if p.lies_askew {
        words.push("askew".to_owned());
    }
    if p.joints_across > 0 {
        words.push(format!(
            "layers cross the joints of {}",
            counted(p.joints_across, "contact")
        ));
    }
    if p.islands > 0 {
        let begin = if p.islands == 1 { "begins" } else { "begin" };
        let parts = counted(p.islands, "part");
        words.push(format!("{parts} of it {begin} in the air, on support"));
    }
    words.extend(ears(p));
    words.join(", ")
}

/// What to lay about the corners that lift.
fn ears(p: &PieceEntry) -> Option<String> {
    let corners = counted(p.ears_mm.len(), "corner");
    let words = match p.ears().laid() {
        [] => format!("{corners} may lift, and the bed has no room for ears"),
        _ => format!("an ear of {:.0} mm about {corners}", 2.0 * EAR_MM),
    };
    (!p.ears_mm.is_empty()).then_some(words)
}

/// Minutes as hours and minutes.
pub(crate) fn hours(minutes: f64) -> String {
    let all = minutes.round() as u64;
    match all / 60 {
        0 => format!("{all} min"),
        h => format!("{h} h {:02} min", all % 60),
    }
}

/// The plates, and what the estimates are made from.
pub(crate) fn plates(report: &Report) -> Markup {
    let p = &report.settings.print;
    html! {
        section #plates {
            h2 { "Plates" }
            p { "Printed in this order, the joints that are least certain can be tried first." }
            div.scroll tabindex="0" role="region" aria-label="Plates" {
                table {
                    thead { tr { th scope="col" { "File" } th scope="col" { "Printer" } th scope="col" { "Pieces" } th scope="col" { "Then you can try" } th.number scope="col" { "Plastic, g" } th.number scope="col" { "Of it support, g" } th.number scope="col" { "Print time" } } }
                    tbody {
                        @for plate in &report.plates {
                            tr {
                                th scope="row" { (plate.file) } td { (plate.printer) }
                                td { (listed(&plate.pieces.iter().map(|on| &on.id).collect::<Vec<_>>(), " ")) }
                                td { (plate.can_be_tried.join("; ")) }
                                td.number { (format!("{:.0}", plate.plastic_g)) } td.number { (grams(plate.support_g)) } td.number { (hours(plate.print_min)) }
                            }
                        }
                    }
                }
            }
            p.small {
                "Time and plastic are estimates. Plastic: " (p.walls) " lines of " (p.line_mm) " mm along every outline and " (p.solid_layers)
                " solid layers above and below, the rest filled to " (format!("{:.0}", 100.0 * p.infill)) " %, at " (report.settings.density_g_cm3)
                " g/cm³. Time: plastic over " (p.flow_mm3_s) " mm³/s, " (p.layer_s) " s for each layer of " (p.layer_mm) " mm, the first at " (format!("{:.0}", 100.0 * p.first_layer_speed)) " % of the speed, none in less than " (p.least_layer_s) " s, " (p.start_s)
                " s a plate. Support: under what leans from the vertical by more than " (p.overhang_deg) "°, but for ceilings that bridges of " (p.bridge_mm)
                " mm span, " (format!("{:.0}", 100.0 * p.support_share)) " % of the space filled. No skirt, no failed prints; the numbers stand in plan.toml."
            }
        }
    }
}
