//! The cut list as comma-separated values.

use crate::record::entries::Report;
use crate::words::listed;

/// The cut list: a row a shape, with the ids of all pieces that have it, as comma-separated values (RFC 4180).
///
/// # Errors
///
/// When a row cannot be written, which memory never refuses.
pub fn cut_list(report: &Report) -> Result<String, csv::Error> {
    let mut out = csv::Writer::from_writer(Vec::new());
    out.write_record([
        "id",
        "count",
        "printer",
        "width_mm",
        "depth_mm",
        "height_mm",
        "volume_mm3",
        "mass_g",
        "plastic_g",
        "support_g",
        "print_min",
        "support_min",
        "islands",
        "first_layer_mm2",
        "ears",
        "lies_askew",
        "contacts_across_layers",
        "seams",
        "members",
        "printed",
        "file",
    ])?;
    for (k, piece) in report.pieces.iter().enumerate() {
        if report.pieces[..k].iter().any(|p| p.file == piece.file) {
            continue;
        }
        let alike = report.alike(&piece.file);
        let seams = report.seams_of(&alike);
        let [w, d, h] = piece.size_mm.map(|x| format!("{x:.2}"));
        out.write_record([
            listed(&alike, " "),
            alike.len().to_string(),
            plain(report.printer_of(&piece.file)),
            w,
            d,
            h,
            format!("{:.1}", piece.volume_mm3),
            format!(
                "{:.1}",
                piece.volume_mm3 / 1000.0 * report.settings.density_g_cm3
            ),
            format!("{:.1}", piece.plastic_g),
            format!("{:.1}", piece.support_g),
            format!("{:.1}", piece.print_min),
            format!("{:.1}", piece.support_min),
            piece.islands.to_string(),
            format!("{:.1}", piece.first_layer_mm2),
            piece.ears().laid().len().to_string(),
            if piece.lies_askew { "yes" } else { "no" }.to_owned(),
            piece.joints_across.to_string(),
            listed(&seams, " "),
            listed(&report.members_of(&alike), " "),
            report.printed_of(&piece.file).to_string(),
            plain(&piece.file),
        ])?;
    }
    let bytes = out.into_inner().map_err(|e| e.into_error())?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

/// A word that no spreadsheet takes for a formula: one that begins like one gets
/// an apostrophe before it, as the guidance on CSV injection of the Open
/// Worldwide Application Security Project has it.
fn plain(word: &str) -> String {
    match word.starts_with(['=', '+', '-', '@', '\t', '\r']) {
        true => format!("'{word}"),
        false => word.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_word_that_begins_like_a_formula_is_none() {
        assert_eq!(plain("=1+1"), "'=1+1");
        assert_eq!(plain("@sum(a1)"), "'@sum(a1)");
        assert_eq!(plain("bed-1"), "bed-1");
    }
}
