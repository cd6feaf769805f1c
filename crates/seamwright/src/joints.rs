use std::process::ExitCode;

use comfy_table::{Table, presets};
use joinery::capacity::MATERIALS;
use joinery::{JointKind, JointRules, Laid, SeamFace, lay_sliding, lay_tenons};

use crate::args::JointsArgs;
use crate::failure::Failure;

/// Length of the edge that the table is for.
const EDGE_MM: f64 = 200.0;

pub(crate) fn run(args: &JointsArgs) -> Result<ExitCode, Failure> {
    let thickness = args.thickness;
    if !(0.1..=2000.0).contains(&thickness) {
        return Err(Failure::Usage(format!(
            "a thickness of {thickness} mm cannot be meant"
        )));
    }
    let rules = JointRules::default();
    let edge = solid::rectangle([0.0, 0.0], [EDGE_MM, thickness]);
    let face = SeamFace::across_prism(&edge);
    let mut table = Table::new();
    table.load_style(presets::UTF8_HORIZONTAL_ONLY);
    table.set_header([
        "joint",
        "count",
        "width",
        "depth",
        "taper",
        "seats within",
        "holds",
        "pull, estimate",
    ]);
    for kind in JointKind::ALL {
        let row = match kind {
            JointKind::Plain => continue,
            JointKind::Tenon => tenon_row(&edge, &rules),
            _ => sliding_row(kind, lay_sliding(kind, &face, &rules)),
        };
        table.add_row(std::iter::once(kind.id().to_owned()).chain(row));
    }
    println!("An edge {EDGE_MM} mm long and {thickness} mm thick, in mm:\n{table}");
    let m = &MATERIALS[0];
    println!(
        "Pull: along the normal of the seam, for the whole edge; an estimate for comparing joints \
         and no load\nrating: solid {} of {} MPa (from memory), slow, at room temperature, profile \
         in the layer plane. Plastics creep\nand soften with heat: test before trusting, and \
         anchor what can tip.",
        m.name, m.tensile_mpa
    );
    Ok(ExitCode::SUCCESS)
}

fn sliding_row(kind: JointKind, laid: Laid) -> Vec<String> {
    let Some((_, first)) = laid.joints.first() else {
        let why = laid
            .refused
            .first()
            .map_or_else(String::new, |(_, why)| why.to_string());
        return vec!["none".into(), why];
    };
    let count: usize = laid.joints.iter().map(|(_, j)| j.count()).sum();
    let pull: Option<f64> = laid
        .joints
        .iter()
        .map(|(_, j)| j.estimate(&MATERIALS[0]).map(|e| e.pull_n))
        .sum();
    let weakest = first.estimate(&MATERIALS[0]).map(|e| e.weakest.words());
    vec![
        count.to_string(),
        format!("{:.1}", first.width_mm),
        format!("{:.1}", first.main.depth_mm),
        format!("{:.2}°", first.main.taper.to_degrees()),
        first
            .main
            .seat_slack_mm()
            .map_or_else(|| "–".into(), |s| format!("{s:.1}")),
        if kind.locks() {
            "by its shape"
        } else {
            "sideways only"
        }
        .into(),
        match (pull, weakest) {
            (Some(n), Some(w)) => format!("{n:.0} N, {w}"),
            _ => "–".into(),
        },
    ]
}

fn tenon_row(edge: &solid::Outline, rules: &JointRules) -> Vec<String> {
    let laid = lay_tenons(edge, rules);
    let Some((_, first)) = laid.tenons.first() else {
        let why = laid
            .refused
            .first()
            .map_or_else(String::new, |(_, why)| why.to_string());
        return vec!["none".into(), why];
    };
    vec![
        laid.tenons.len().to_string(),
        format!("{:.1} × {:.1}", first.foot_mm[0], first.foot_mm[1]),
        format!("{:.1}", first.depth_mm),
        format!("{:.2}°", first.taper.to_degrees()),
        "–".into(),
        "by friction only".into(),
        "–".into(),
    ]
}
