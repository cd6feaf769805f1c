//! The end of a run on a terminal.

use std::path::Path;
use std::process::ExitCode;

use comfy_table::CellAlignment;
use design::Recall;
use inspection::{Code, Finding, Severity};
use paperwork::{Report, in_short};
use seamwright::{Failure, Outcome};

use crate::cli::args::Voice;
use crate::cli::terminal::table;
use crate::cli::terminal::wrapped::for_stdout;

/// What a person or a program is told at the end.
pub(crate) fn tell(outcome: &Outcome, out: &Path, voice: Voice) -> Result<ExitCode, Failure> {
    if voice.json {
        sayln!("{}", as_json(&outcome.report)?);
    } else if !voice.quiet {
        let next = Next {
            folder: out,
            model: outcome.model(),
        };
        say!("{}", for_stdout(&summary(&outcome.report, Some(&next))));
        say!("{}", for_stdout(&served_again(outcome.recall())));
    }
    Ok(ExitCode::from(u8::from(!outcome.is_sound())))
}

/// What of an earlier run served again, where anything did.
fn served_again(recall: &Recall) -> String {
    let (looks, pictures) = (recall.judged(), recall.drawn());
    if looks.served + pictures.served == 0 {
        return String::new();
    }
    format!(
        "What is the same as before was not looked at or drawn again: {} of {} looks at the \
         pieces, {} of {} pictures.\n",
        looks.served, looks.asked, pictures.served, pictures.asked
    )
}

/// A report as a program reads it.
pub(crate) fn as_json(report: &Report) -> Result<String, Failure> {
    serde_json::to_string_pretty(report).map_err(Failure::output)
}

/// What a run leaves to be looked at.
pub(crate) struct Next<'a> {
    /// The folder that was written.
    folder: &'a Path,
    /// The model's file.
    model: &'a Path,
}

/// A path as a shell takes it for one word.
fn word(path: &Path) -> String {
    let text = path.display().to_string();
    let plain = |c: char| c.is_alphanumeric() || "/._-+".contains(c);
    match text.chars().all(plain) {
        true => text,
        false => format!("'{}'", text.replace('\'', "'\\''")),
    }
}

/// How many findings of one severity are listed before the rest is counted.
const LISTED: usize = 4;

/// The end of a run on a terminal: a short table, the findings, and where to
/// look next.
pub(crate) fn summary(report: &Report, next: Option<&Next>) -> String {
    let mut table = table::ruled();
    table.set_header(["pieces", "seams", "steps", "errors", "warnings", "notes"]);
    table.add_row(
        [
            report.pieces.len(),
            report
                .seams
                .iter()
                .filter(|s| !s.contacts.is_empty())
                .count(),
            report.steps.len(),
            report.count(Severity::Error),
            report.count(Severity::Warning),
            report.count(Severity::Note),
        ]
        .map(|n| n.to_string()),
    );
    for column in table.column_iter_mut() {
        column.set_cell_alignment(CellAlignment::Right);
    }
    let mut out = format!("{table}\n");
    if next.is_some() {
        out.insert_str(0, &cut_list(report));
    }
    out.push_str(&fewest(report));
    out.push_str(&parted(report));
    if let Some(again) = &report.resplit {
        let mut table = table::ruled();
        table.set_header(["of the earlier split", "count", "pieces"]);
        for (what, ids) in again.rows() {
            table.add_row([what, &ids.len().to_string(), &words(ids)]);
        }
        out.push_str(&format!("{table}\n"));
    }
    // All else may come of that.
    let (first, others): (Vec<&Finding>, Vec<&Finding>) =
        (report.findings.iter()).partition(|f| f.code == Code::ChangedFile);
    out.push_str(&listed(&first));
    for severity in [Severity::Error, Severity::Warning] {
        let of = others.iter().copied();
        let of: Vec<&Finding> = of.filter(|f| f.severity == severity).collect();
        out.push_str(&listed(&of));
    }
    if let Some(Next { folder, model }) = next {
        let (at, model) = (word(folder), word(model));
        let notes = match report.count(Severity::Note) {
            0 => String::new(),
            1 => ", also for the note".to_owned(),
            n => format!(", also for the {n} notes"),
        };
        out.push_str(&format!(
            "\nPlates to print: {at}/plates   Pieces: {at}/pieces   Cut list: {at}/cut-list.csv\n\
             Look at {at}/report.html{notes}{}\n\
             No load rating is given: test before trusting, and anchor what can tip.\n",
            match report.pieces.iter().any(|p| p.printed) {
                // Carried out as it stands, the plan would give printed pieces other files.
                true => ".".to_owned(),
                false => format!(
                    "; move a seam in {at}/plan.toml and run\n\
                     `seamwright split {model} --plan {at}/plan.toml --out {at} --force` again."
                ),
            }
        ));
    }
    out
}

/// What the plan takes and how little any could, where the run found the plan itself.
fn fewest(report: &Report) -> String {
    let Some(certificate) = &report.certificate else {
        return String::new();
    };
    let said = in_short(certificate, &report.takes());
    said.into_iter().map(|s| s + "\n").collect()
}

/// At how many places a seam parts two boards or legs, where it does.
fn parted(report: &Report) -> String {
    let made_of = report.made_of.as_ref().filter(|made_of| made_of.parted > 0);
    made_of.map_or_else(String::new, |made_of| {
        format!(
            "Seams part {} of the {} places where boards and legs meet.\n",
            made_of.parted, made_of.meetings
        )
    })
}

/// A row a shape: what to print, how often, how large, how long.
fn cut_list(report: &Report) -> String {
    let mut table = table::ruled();
    table.set_header([
        "pieces",
        "times",
        "as printed, mm",
        "plastic",
        "support",
        "time",
        "printer",
    ]);
    for (k, piece) in report.pieces.iter().enumerate() {
        if report.pieces[..k].iter().any(|p| p.file == piece.file) {
            continue;
        }
        let alike = report.alike(&piece.file);
        let printed = report.printed_of(&piece.file);
        let [w, d, h] = piece.size_mm.map(|x| format!("{x:.1}"));
        table.add_row([
            words(&alike),
            match printed {
                0 => alike.len().to_string(),
                _ => format!("{}, {printed} printed", alike.len()),
            },
            format!("{w} × {d} × {h}"),
            format!("{:.0} g", piece.plastic_g),
            match piece.support_g.round() > 0.0 {
                true => format!("{:.0} g", piece.support_g),
                false => "–".to_owned(),
            },
            format!("{:.1} h", piece.print_min / 60.0),
            report.printer_of(&piece.file).to_owned(),
        ]);
    }
    for column in [1, 3, 4, 5] {
        if let Some(column) = table.column_mut(column) {
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
    format!(
        "{table}\n{} plates, about {:.1} kg and {:.0} h{} (estimates)\n{}",
        report.plates.len(),
        report.plastic_g() / 1000.0,
        report.print_min() / 60.0,
        of_it_support(report),
        askew(report),
    )
}

/// What of all plates is support.
fn of_it_support(report: &Report) -> String {
    match report.support_g() < 0.5 {
        true => ", none of it support".to_owned(),
        false => format!(
            ", of it support {:.0} g and {:.1} h",
            report.support_g(),
            report.support_min() / 60.0
        ),
    }
}

/// Which pieces lie square to none of the model's sides.
fn askew(report: &Report) -> String {
    let askew = report.pieces.iter().filter(|p| p.lies_askew && !p.printed);
    let ids: Vec<_> = askew.map(|p| &p.id).collect();
    match ids.is_empty() {
        true => String::new(),
        false => format!(
            "On a side that leans from the model's axes: {}\n",
            words(&ids)
        ),
    }
}

/// Some ids in a row.
fn words<T: std::fmt::Display>(ids: &[T]) -> String {
    let words: Vec<String> = ids.iter().map(ToString::to_string).collect();
    words.join(" ")
}

/// Findings of one severity, a few of each code with all they say, and of the rest what they
/// are of.
fn listed(findings: &[&Finding]) -> String {
    let mut codes: Vec<Code> = Vec::new();
    for finding in findings {
        if !codes.contains(&finding.code) {
            codes.push(finding.code);
        }
    }
    let mut out = String::new();
    for code in codes {
        let of = findings.iter().filter(|f| f.code == code);
        let (told, rest): (Vec<_>, Vec<_>) = of.enumerate().partition(|(k, _)| *k < LISTED);
        out.extend(told.iter().map(|(_, finding)| line(finding)));
        if let Some((_, first)) = rest.first() {
            let subject = |f: &Finding| {
                let piece = f.piece.as_ref().map(ToString::to_string);
                piece.or_else(|| f.seam.as_ref().map(ToString::to_string))
            };
            let mut of: Vec<String> = rest.iter().filter_map(|(_, f)| subject(f)).collect();
            of.dedup();
            out.push_str(&format!(
                "{} {code}: {} more in report.json, of {}\n",
                first.severity.word(),
                rest.len(),
                words(&of)
            ));
        }
    }
    out
}

/// One finding, with its place.
fn line(finding: &Finding) -> String {
    let word = finding.severity.word();
    let at = finding.at_mm.map_or_else(String::new, |[x, y, z]| {
        format!(" at ({x:.1}, {y:.1}, {z:.1})")
    });
    format!("{word} {}{at}: {}\n", finding.code, finding.message)
}
