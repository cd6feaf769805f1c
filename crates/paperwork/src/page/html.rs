//! The report for people: one page that needs nothing else.

use base64::Engine;
use design::{Assembly, EstimateEntry, SeamId, SeamRecord, Worth};
use inspection::{Code, Finding, Severity};
use joinery::JointError;
use maud::{DOCTYPE, Markup, PreEscaped, html};
use rayon::prelude::*;

use crate::page::fewest::{fewest, in_short};
use crate::page::joint_drawing::{SeamDrawing, seam_drawings};
use crate::page::members::members;
use crate::page::to_print::{cut_list, hours, plates};
use crate::page::view::{script, view};
use crate::pictures::scenes::Pictures;
use crate::pictures::step::StepPicture;
use crate::record::entries::Report;
use crate::record::manual::instructions;
use crate::words::{counted, listed};

/// The report for people: one page that needs nothing else, opens from disk
/// and prints as an assembly manual.
///
/// # Errors
///
/// When a recorded joint cannot be drawn.
pub fn page(
    report: &Report,
    assembly: &Assembly,
    joints: &[SeamRecord],
    pictures: &Pictures,
) -> Result<String, JointError> {
    let drawings = joints
        .par_iter()
        .map(|record| Ok((record.id.clone(), seam_drawings(record)?)))
        .collect::<Result<_, JointError>>()?;
    let uris = |all: &[Vec<u8>]| all.iter().map(|png| data_uri(png)).collect();
    let illustrated = Illustrations {
        whole: data_uri(&pictures.whole),
        apart: data_uri(&pictures.exploded),
        members: pictures.members.as_deref().map(data_uri),
        pieces: uris(&pictures.pieces),
        steps: pictures
            .steps
            .iter()
            .map(|step| step_figures(step, assembly))
            .collect(),
        seams: drawings,
    };
    Ok(document(report, &illustrated, view(report, assembly)).into_string())
}

/// What the page shows, as it stands in the page.
struct Illustrations {
    whole: String,
    apart: String,
    members: Option<String>,
    pieces: Vec<String>,
    steps: Vec<StepFigures>,
    /// Drawings of the joints of each seam, by its id.
    seams: Vec<(SeamId, Vec<SeamDrawing>)>,
}

/// The picture of a step, and close-ups with what they are of.
struct StepFigures {
    whole: String,
    close_ups: Vec<(String, String)>,
}

fn step_figures(step: &StepPicture, assembly: &Assembly) -> StepFigures {
    let named = |of: &[usize]| {
        let ids: Vec<_> = of
            .iter()
            .map(|&k| assembly.pieces()[k].id.clone())
            .collect();
        listed(&ids, ", ")
    };
    let close_ups = step.close_ups.iter();
    StepFigures {
        whole: data_uri(&step.whole),
        close_ups: close_ups
            .map(|c| (data_uri(&c.png), named(&c.of)))
            .collect(),
    }
}

fn data_uri(png: &[u8]) -> String {
    format!(
        "data:image/png;base64,{}",
        base64::engine::general_purpose::STANDARD.encode(png)
    )
}

fn document(report: &Report, pictures: &Illustrations, view: Markup) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { "Split of " (report.model.file) }
                style { (PreEscaped(include_str!("page.css"))) }
            }
            body {
                header {
                    p.kind { "Seamwright · split report" }
                    h1 { (report.model.file) }
                }
                nav aria-label="Sections" {
                    a href="#findings" { "Findings" }
                    a href="#glance" { "At a glance" }
                    a href="#view" { "3-D" }
                    @if report.made_of.is_some() { a href="#members" { "Boards and legs" } }
                    a href="#cut-list" { "Cut list" }
                    a href="#plates" { "Plates" }
                    a href="#assembly" { "Assembly" }
                    a href="#seams" { "Seams" }
                    a href="#cautions" { "Cautions" }
                }
                main {
                    (findings(report))
                    (glance(report, pictures))
                    (view)
                    (resplit(report))
                    (members(report, pictures.members.as_deref()))
                    (cut_list(report, &pictures.pieces))
                    (plates(report))
                    (assembly(report, pictures))
                    (seams(report, pictures))
                    (cautions(report))
                }
                (script())
            }
        }
    }
}

/// How many pieces there are, keys counted apart.
fn pieces_and_keys(report: &Report) -> String {
    let pieces = report.pieces_cut();
    match report.keys() {
        0 => pieces.to_string(),
        1 => format!("{pieces} and 1 key"),
        keys => format!("{pieces} and {keys} keys"),
    }
}

fn mass_g(report: &Report, volume_mm3: f64) -> f64 {
    volume_mm3 / 1000.0 * report.settings.density_g_cm3
}

fn glance(report: &Report, pictures: &Illustrations) -> Markup {
    let [low, high] = report.model.bounds_mm;
    let size = [0, 1, 2].map(|k| high[k] - low[k]);
    let volume: f64 = report.pieces.iter().map(|p| p.volume_mm3).sum();
    let count = |s: Severity| report.count(s);
    html! {
        section #glance {
            h2 { "At a glance" }
            div.pair {
                figure { img src=(pictures.whole) alt="The furniture put together, one colour a piece"; figcaption { "Together" } }
                figure { img src=(pictures.apart) alt="The pieces drawn apart"; figcaption { "Apart" } }
            }
            @if let Some(certificate) = &report.certificate {
                @for said in in_short(certificate, &report.takes()) { p { (said) } }
                details { summary { "How that is known" } p { (fewest(certificate, report.pieces_cut())) } }
            }
            dl.facts {
                (fact("Size", &format!("{:.0} × {:.0} × {:.0} mm", size[0], size[1], size[2])))
                @for p in &report.printers {
                    (fact("Printer", &format!("{} · {} × {} × {} mm", p.name, p.bed_mm[0], p.bed_mm[1], p.bed_mm[2])))
                }
                (fact("Pieces", &pieces_and_keys(report)))
                (fact("Assembly steps", &report.steps.len().to_string()))
                @if let Some(worth) = &report.worth {
                    (fact("What the split costs", &format!("{:.0} minutes of work", worth.total())))
                }
                (fact("Volume", &format!("{:.0} cm³, {:.2} kg if solid", volume / 1000.0, mass_g(report, volume) / 1000.0)))
                (fact("Plates", &report.plates.len().to_string()))
                (fact("Plastic, estimated", &format!("{:.2} kg, of it support {:.0} g", report.plastic_g() / 1000.0, report.support_g())))
                (fact("Print time, estimated", &format!("{}, {} without support", hours(report.print_min()), hours(report.print_min() - report.support_min()))))
                (fact("Joints", &report.settings.joint))
                (fact("Clearance", &format!("{} mm a flank", report.settings.clearance_mm)))
                (fact("Least wall", &format!("{} mm", report.settings.min_wall_mm)))
                (fact("Found", &[
                    counted(count(Severity::Error), "error"),
                    counted(count(Severity::Warning), "warning"),
                    counted(count(Severity::Note), "note"),
                ].join(", ")))
            }
            @if let Some(worth) = &report.worth { (term_by_term(worth)) }
        }
    }
}

/// What the split costs, term by term: what it was chosen by.
fn term_by_term(worth: &Worth) -> Markup {
    let terms = worth.terms().iter().filter(|t| t.amount > 0.0);
    html! {
        details {
            summary { "What makes up the minutes of work" }
            div.scroll tabindex="0" role="region" aria-label="What the split costs" {
                table {
                    thead { tr {
                        th scope="col" { "What" } th.number scope="col" { "How much" }
                        th.number scope="col" { "Minutes for each" } th.number scope="col" { "Minutes" }
                    } }
                    tbody {
                        @for t in terms {
                            tr {
                                th scope="row" { (t.what) }
                                td.number { (tidy(t.amount)) }
                                td.number { (tidy(t.each)) }
                                td.number { (format!("{:.0}", t.amount * t.each)) }
                            }
                        }
                    }
                }
            }
            p { "Of the plans that were carried out the one that costs least is this; the rates stand in plan.toml, under [settings.rates]." }
        }
    }
}

/// A number to a hundredth, without zeros at its end.
fn tidy(x: f64) -> String {
    ((x * 100.0).round() / 100.0).to_string()
}

fn fact(name: &str, value: &str) -> Markup {
    html! { div { dt { (name) } dd { (value) } } }
}

fn findings(report: &Report) -> Markup {
    html! {
        section #findings {
            h2 { "Findings" }
            @if report.findings.is_empty() {
                p { "Nothing was found: every piece is closed, in its bed and stands there as it is printed, no wall is too thin, no two pieces are in each other's way, every step is free, every joint holds." }
            } @else {
                ul.findings { @for f in &report.findings { (finding(f)) } }
            }
        }
    }
}

fn finding(f: &Finding) -> Markup {
    let (class, word) = match f.severity {
        Severity::Error => ("error", "Error"),
        Severity::Warning => ("warning", "Warning"),
        Severity::Note => ("note", "Note"),
    };
    html! {
        li class=(class) {
            strong { (word) } " " code { (f.code.word()) }
            @if let Some([x, y, z]) = f.at_mm { span.place { " at " (format!("{x:.1}, {y:.1}, {z:.1}")) " mm" } }
            p { (f.message) }
        }
    }
}

/// What a re-split made of the earlier pieces.
fn resplit(report: &Report) -> Markup {
    html! {
        @if let Some(again) = &report.resplit {
            section #again {
                h2 { "Since the earlier split" }
                table {
                    thead { tr { th scope="col" { "" } th.number scope="col" { "Count" } th scope="col" { "Pieces" } } }
                    tbody {
                        @for (what, ids) in again.rows() {
                            tr { th scope="row" { (what) } td.number { (ids.len()) } td { (listed(ids, " ")) } }
                        }
                    }
                }
            }
        }
    }
}

fn assembly(report: &Report, pictures: &Illustrations) -> Markup {
    html! {
        section #assembly {
            h2 { "Assembly" }
            @if report.pieces.len() < 2 { p { "There is one piece: nothing to put together." } }
            @else { p {
                "What moves is in colour and drawn where its move starts; what stands is grey. The red arrow is the move. The small arrows in the corner: red to the right, green to the back, blue up (the model's x, y and z). Left, right, front and back are yours, standing before the furniture with its −y side towards you. Push straight, by hand, until the shoulders meet. Part 3 is what step 3 made."
            } }
            ol.steps {
                @for (s, picture) in instructions(report).iter().zip(&pictures.steps) {
                    li {
                        img src=(picture.whole) alt={ "Step " (s.step) };
                        div {
                            h3 { "Step " (s.step) }
                            p { (s.text) }
                            @for heed in &s.heed { p.small { (heed) } }
                            @if !picture.close_ups.is_empty() {
                                div.nearer {
                                    @for (near, of) in &picture.close_ups {
                                        figure { img src=(near) alt={ "Nearer: " (of) }; figcaption { "Nearer: " (of) } }
                                    }
                                }
                            }
                        }
                    }
                }
            }
            @for stuck in report.findings.iter().filter(|f| f.code == Code::NoWayHome) {
                p { strong { "No step brings this home: " } (stuck.message) }
            }
            @if !report.steps.is_empty() {
                h3 { "Taking it apart" }
                p { "The steps backwards, each against its arrow. A piece that is to be replaced asks for these, and nothing else has to come apart:" }
                ul { @for u in &report.undoing { li { (u.words()) } } }
            }
        }
    }
}

/// A direction in words a person can follow with the model before them.
fn direction(d: &[f64; 3]) -> String {
    for (k, name) in ["x", "y", "z"].iter().enumerate() {
        if (d[k].abs() - 1.0).abs() < 1e-6 {
            let word = match (k, d[k] > 0.0) {
                (2, true) => " (up)",
                (2, false) => " (down)",
                _ => "",
            };
            return format!("{}{name}{word}", if d[k] > 0.0 { '+' } else { '−' });
        }
    }
    format!("({:.2}, {:.2}, {:.2})", d[0], d[1], d[2])
}

fn seams(report: &Report, pictures: &Illustrations) -> Markup {
    html! {
        section #seams {
            h2 { "Seams" }
            @for s in report.seams.iter().filter(|s| !s.contacts.is_empty()) {
                article.seam id=(s.id) {
                    h3 { (s.id) }
                    p { "At " (format!("{:.1}, {:.1}, {:.1}", s.origin_mm[0], s.origin_mm[1], s.origin_mm[2])) " mm, square to " (direction(&s.normal)) ": " (s.reason) "." }
                    @for (_, drawings) in pictures.seams.iter().filter(|d| d.0 == s.id) {
                        div.drawings { @for d in drawings {
                            figure { (PreEscaped(&d.svg)) figcaption { (d.caption) } }
                        } }
                    }
                    div.scroll tabindex="0" role="region" aria-label={ "Contacts of " (s.id) } {
                        table {
                            thead { tr {
                                th scope="col" { "Pieces" } th scope="col" { "Joint" } th.number scope="col" { "Area, mm²" }
                                th.number scope="col" { "Thick, mm" } th.number scope="col" { "Near a joint" }
                                th.number scope="col" { "Taper" } th.number scope="col" { "Seats within, mm" }
                                th.number scope="col" { "Pull, estimate" } th scope="col" { "Why" }
                            } }
                            tbody { @for c in &s.contacts {
                                tr {
                                    td { a href={ "#" (c.pieces[0]) } { (c.pieces[0]) } " – " a href={ "#" (c.pieces[1]) } { (c.pieces[1]) } }
                                    td { (c.count) " × " (c.joint) }
                                    td.number { (format!("{:.0}", c.area_mm2)) }
                                    td.number { (format!("{:.1}", c.thick_mm)) }
                                    td.number { (c.near_joints_mm2.map_or_else(|| "–".to_owned(), |near| format!("{:.0} %", 100.0 * near / c.area_mm2.max(1e-9)))) }
                                    td.number { (format!("{:.2}°", c.taper_deg)) }
                                    td.number { (c.seat_slack_mm.map_or_else(|| "–".to_owned(), |x| format!("{x:.1}"))) }
                                    td.number { (c.estimate.as_ref().map_or_else(|| "–".to_owned(), EstimateEntry::pull)) }
                                    td { (c.reason) }
                                }
                            } }
                        }
                    }
                }
            }
            @if let Some(e) = report.seams.iter().flat_map(|s| &s.contacts).find_map(|c| c.estimate.as_ref()) {
                p.small { "Pull: " (e.assumes) "." }
            }
        }
    }
}

fn cautions(report: &Report) -> Markup {
    html! {
        section #cautions {
            h2 { "Cautions" }
            ul { @for c in &report.cautions { li { (c) } } }
        }
    }
}
