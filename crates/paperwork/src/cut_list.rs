use crate::Report;

/// The cut list: a row a piece, as comma-separated values (RFC 4180).
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
        "file",
    ])?;
    for piece in &report.pieces {
        let seams: Vec<&str> = report
            .seams
            .iter()
            .filter(|s| s.contacts.iter().any(|c| c.pieces.contains(&piece.id)))
            .map(|s| s.id.as_str())
            .collect();
        let [w, d, h] = piece.size_mm.map(|x| format!("{x:.2}"));
        out.write_record([
            piece.id.clone(),
            "1".to_owned(),
            piece.printer.clone(),
            w,
            d,
            h,
            format!("{:.1}", piece.volume_mm3),
            format!(
                "{:.1}",
                piece.volume_mm3 / 1000.0 * report.settings.density_g_cm3
            ),
            seams.join(" "),
            piece.file.clone(),
        ])?;
    }
    let bytes = out.into_inner().map_err(|e| e.into_error())?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}
