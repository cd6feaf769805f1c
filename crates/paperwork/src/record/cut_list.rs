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
        "seams",
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
            report.printer_of(&piece.file).to_owned(),
            w,
            d,
            h,
            format!("{:.1}", piece.volume_mm3),
            format!(
                "{:.1}",
                piece.volume_mm3 / 1000.0 * report.settings.density_g_cm3
            ),
            listed(&seams, " "),
            report.printed_of(&piece.file).to_string(),
            piece.file.clone(),
        ])?;
    }
    let bytes = out.into_inner().map_err(|e| e.into_error())?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}
