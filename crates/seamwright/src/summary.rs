use std::path::Path;

use comfy_table::{CellAlignment, Table, presets};
use inspection::{Finding, Severity};
use paperwork::Report;

/// How many findings of one severity are listed before the rest is counted.
const LISTED: usize = 12;

/// The end of a run on a terminal: a short table, the findings, and where to
/// look next.
pub(crate) fn summary(report: &Report, folder: &Path, look_next: bool) -> String {
    let count = |s: Severity| report.findings.iter().filter(|f| f.severity == s).count();
    let mut table = Table::new();
    table.load_style(presets::UTF8_HORIZONTAL_ONLY);
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
            count(Severity::Error),
            count(Severity::Warning),
            count(Severity::Note),
        ]
        .map(|n| n.to_string()),
    );
    for column in table.column_iter_mut() {
        column.set_cell_alignment(CellAlignment::Right);
    }
    let mut out = format!("{table}\n");
    if let Some(again) = &report.resplit {
        let mut table = Table::new();
        table.load_style(presets::UTF8_HORIZONTAL_ONLY);
        table.set_content_arrangement(comfy_table::ContentArrangement::Dynamic);
        table.set_header(["of the earlier split", "count", "pieces"]);
        for (what, ids) in again.rows() {
            table.add_row([what, &ids.len().to_string(), &ids.join(" ")]);
        }
        out.push_str(&format!("{table}\n"));
    }
    for severity in [Severity::Error, Severity::Warning] {
        let of: Vec<&Finding> = report
            .findings
            .iter()
            .filter(|f| f.severity == severity)
            .collect();
        for finding in of.iter().take(LISTED) {
            out.push_str(&line(finding));
        }
        if of.len() > LISTED {
            out.push_str(&format!(
                "… and {} more in report.json\n",
                of.len() - LISTED
            ));
        }
    }
    if look_next {
        let at = folder.display();
        out.push_str(&format!(
            "\nPieces to print: {at}/pieces   Cut list: {at}/cut-list.csv\n\
             Look at {at}/report.html; move a seam in {at}/plan.toml and run\n\
             `seamwright split MODEL --plan {at}/plan.toml --out {at} --force` again.\n\
             No load rating is given: test before trusting, and anchor what can tip.\n"
        ));
    }
    out
}

/// One finding, with its place.
fn line(finding: &Finding) -> String {
    let word = match finding.severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
        Severity::Note => "note",
    };
    let at = finding.at_mm.map_or_else(String::new, |[x, y, z]| {
        format!(" at ({x:.1}, {y:.1}, {z:.1})")
    });
    format!("{word} {}{at}: {}\n", finding.code, finding.message)
}
