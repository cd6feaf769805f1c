//! `joints`: what each joint would be in a material of some thickness.

use std::process::ExitCode;

use comfy_table::{CellAlignment, ColumnConstraint};
use design::{EstimateEntry, two_digits};
use joinery::capacity::Filling;
use joinery::{Form, JointKind, JointRules, Laid, SeamFace, lay_sliding, lay_tenons};

use printing::{Material, PrintProfile, Span};

use crate::cli::args::JointsArgs;
use crate::cli::terminal::table;
use seamwright::Failure;

/// Length of the edge that the table is for.
const EDGE_MM: f64 = 200.0;

pub(crate) fn run(args: &JointsArgs) -> Result<ExitCode, Failure> {
    let thickness = args.thickness;
    if !(0.1..=2000.0).contains(&thickness) {
        return Err(Failure::Usage(format!(
            "a thickness of {thickness} mm is out of range"
        )));
    }
    let (rules, material) = (JointRules::default(), Material::default());
    let stock = (&material, &Filling::from(&PrintProfile::default()));
    let edge = solid::rectangle([0.0, 0.0], [EDGE_MM, thickness]);
    let face = SeamFace::across_prism(&edge);
    let mut table = table::ruled();
    table.set_header([
        "joint",
        "count",
        "width",
        "depth",
        "taper",
        "slack",
        "held by",
        "pull, kN",
        "gives first",
    ]);
    let mut without = Vec::new();
    for kind in JointKind::ALL {
        let row = match kind.abilities().form {
            Form::Flat => continue,
            Form::Block => tenon_row(&edge, &rules),
            Form::Tail | Form::BracedTail | Form::Tongue | Form::Fingers | Form::Key => {
                sliding_row(kind, lay_sliding(kind, &face, &rules), stock)
            }
        };
        match row {
            Ok(row) => {
                table.add_row(std::iter::once(kind.id().to_owned()).chain(row));
            }
            Err(why) => without.push(format!("No {}: {why}.", kind.id())),
        }
    }
    if let Some(names) = table.column_mut(0) {
        names.set_constraint(ColumnConstraint::ContentWidth);
    }
    for column in [1, 2, 3, 4, 5, 7] {
        if let Some(column) = table.column_mut(column) {
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
    sayln!("An edge {EDGE_MM} mm long and {thickness} mm thick, in mm:");
    if !table.is_empty() {
        sayln!("{table}");
    }
    for why in without {
        sayln!("{why}");
    }
    let m = &material;
    sayln!(
        "Slack: how far along the slide it moves before it is tight. Pull: along the normal of the \
         seam,\nfor the whole edge; an estimate for comparing joints and no load rating, from the \
         least to the\nmost: {} of {} MPa printed with {} mm of wall and {} % inside, slow, at \
         room temperature,\nprofile in the layer plane; at the least a notch beside the neck halves \
         it and half of a row\nbears. Plastics creep and soften with heat: test before trusting, \
         and anchor what can tip.",
        m.name,
        m.tensile_mpa,
        two_digits(stock.1.casing_mm),
        two_digits(100.0 * stock.1.infill)
    );
    Ok(ExitCode::SUCCESS)
}

/// What there is to tell of a kind of joint, or why there is none.
fn sliding_row(
    kind: JointKind,
    laid: Laid,
    stock: (&Material, &Filling),
) -> Result<Vec<String>, String> {
    let Some((_, first)) = laid.joints.first() else {
        return Err(reason(laid.refused.first()));
    };
    let count: usize = laid.joints.iter().map(|(_, j)| j.count()).sum();
    let estimates = laid
        .joints
        .iter()
        .map(|(_, j)| j.estimate(j.main.lane.run_mm(), stock.0, stock.1));
    let together = estimates.reduce(|a, b| Some(a?.with(b?))).flatten();
    let told = together.map(|e| EstimateEntry::of(&e, count, Span::from(1.0), stock));
    let none = || "–".to_owned();
    Ok(vec![
        count.to_string(),
        format!("{:.1}", first.width_mm),
        format!("{:.1}", first.main.depth_mm),
        format!("{:.2}°", first.main.taper.to_degrees()),
        first
            .main
            .seat_slack_mm()
            .map_or_else(none, |s| format!("{s:.1}")),
        if kind.locks() { "shape" } else { "nothing" }.into(),
        (told.as_ref()).map_or_else(none, |e| format!("{} to {}", e.pull_kn[0], e.pull_kn[1])),
        told.map_or_else(none, |e| e.weakest),
    ])
}

fn reason<P, R: ToString>(refused: Option<&(P, R)>) -> String {
    refused.map_or_else(|| "it finds no room".to_owned(), |(_, why)| why.to_string())
}

fn tenon_row(edge: &solid::Outline, rules: &JointRules) -> Result<Vec<String>, String> {
    let laid = lay_tenons(edge, rules);
    let Some((_, first)) = laid.tenons.first() else {
        return Err(reason(laid.refused.first()));
    };
    Ok(vec![
        laid.tenons.len().to_string(),
        format!("{:.1} × {:.1}", first.foot_mm[0], first.foot_mm[1]),
        format!("{:.1}", first.depth_mm),
        format!("{:.2}°", first.taper.to_degrees()),
        "–".into(),
        "friction".into(),
        "–".into(),
        "–".into(),
    ])
}
