//! The end that every split and re-split shares: judged as read back, written
//! whole, told.

use std::path::Path;
use std::process::ExitCode;

use exchange::{LengthUnit, Named};
use inspection::{Assembly, Finding, Limits, Severity};
use paperwork::{ModelEntry, OnPlate, OutputFolder, PlateEntry, Report, Written, piece_colours};
use planner::Plan;
use rayon::prelude::*;
use solid::{Isometry, Solid};
use workshop::{Build, Remark, Seam, SeamRecord};

use crate::args::{PieceFormat, Voice};
use crate::failure::Failure;
use crate::summary::summary;

/// A piece as it goes to disk: how it reads back, and its bytes; none where
/// the file of its twin serves.
pub(crate) type PieceFile = (Written, Option<Vec<u8>>);

/// Engraves the pieces, where that is wished.
pub(crate) fn label(build: &mut Build, plan: &Plan, leave: &[bool]) -> Result<(), Failure> {
    if !plan.settings.labels {
        return Ok(());
    }
    workshop::engrave(build, plan, leave)
        .map_err(|e| Failure::Usage(format!("the labels could not be cut: {e}; try --no-labels")))
}

/// The pieces as they go to disk, with their bytes.
pub(crate) fn written(build: &Build, format: PieceFormat) -> Result<Vec<PieceFile>, Failure> {
    files(build, format).map_err(|(id, why)| {
        Failure::Usage(format!(
            "piece {id} could not be written: {why}; move the seams beside it a little in the plan"
        ))
    })
}

fn files(build: &Build, format: PieceFormat) -> Result<Vec<PieceFile>, (String, String)> {
    let mut files: Vec<Option<PieceFile>> = build
        .pieces
        .par_iter()
        .map(|piece| {
            // A twin that fits no bed is only shifted there, each by itself.
            if piece.twin.is_some() && piece.placement.is_ok() {
                return Ok(None);
            }
            let fail = |e: String| (piece.id.clone(), e);
            let as_printed = piece.solid.moved(&piece.onto_bed());
            let bytes = piece_bytes(&piece.id, &as_printed, format).map_err(fail)?;
            let soup = exchange::read_triangles(&bytes, LengthUnit::default())
                .map_err(|e| fail(e.to_string()))?;
            let as_printed = Solid::from_triangles(soup).map_err(|e| fail(e.to_string()))?;
            let file = format!("pieces/{}.{}", piece.id, format.extension());
            Ok(Some((Written { file, as_printed }, Some(bytes))))
        })
        .collect::<Result<_, (String, String)>>()?;
    for k in 0..files.len() {
        if let (None, Some(twin)) = (&files[k], build.pieces[k].twin) {
            files[k] = files[twin.of].as_ref().map(|(w, _)| (w.clone(), None));
        }
    }
    Ok(files.into_iter().flatten().collect())
}

fn remarks(build: &Build) -> Vec<Finding> {
    build
        .remarks
        .iter()
        .filter_map(|remark| match remark {
            Remark::FallsApart { piece, part } => {
                let id = &build.pieces[*piece].id;
                let finding = Finding::new(
                    Severity::Error,
                    "loose-part",
                    format!(
                        "a joint or seam cuts {:.0} mm³ off {id} that hangs on nothing and is not \
                         in any piece; move the seam beside it",
                        part.volume_mm3()
                    ),
                )
                .piece(id);
                Some(match part.bounds() {
                    Some(b) => finding.at(&b.centre()),
                    None => finding,
                })
            }
            Remark::NotWhole { name, pieces } => {
                let ids: Vec<&str> = pieces
                    .iter()
                    .map(|&k| build.pieces[k].id.as_str())
                    .collect();
                Some(Finding::new(
                    Severity::Warning,
                    "not-whole",
                    format!(
                        "{name} was to be in one piece and is in {}; move the seams between them, \
                         or make the box reach to where its parts hang together",
                        ids.join(" and ")
                    ),
                ))
            }
            Remark::Dropped { volume_mm3 } => Some(
                Finding::new(
                    Severity::Note,
                    "chips",
                    format!("{volume_mm3:.2} mm³ of chips that hang on nothing were dropped"),
                )
                .measured(*volume_mm3, 0.0),
            ),
            Remark::NoLabel { piece } => {
                let id = &build.pieces[*piece].id;
                Some(
                    Finding::new(
                        Severity::Note,
                        "no-label",
                        format!("{id} has no hidden face with room for its id; mark it by hand"),
                    )
                    .piece(id),
                )
            }
            // The inspection says it of the contact itself.
            Remark::PlainContact { .. } => None,
        })
        .collect()
}

/// One note for all pieces that cannot lie so that the profiles of all their
/// joints are in the layer plane.
fn across_layers(build: &Build) -> Option<Finding> {
    let ids: Vec<&str> = build
        .pieces
        .iter()
        .filter(|p| p.placement.as_ref().is_ok_and(|l| l.joints_across > 0))
        .map(|p| p.id.as_str())
        .collect();
    (!ids.is_empty()).then(|| {
        Finding::new(
            Severity::Note,
            "joints-across-layers",
            format!(
                "as they lie, some joints of {} have their profile across the layers: such flanks \
                 print with overhangs, and necks that layers cross bear less; the estimates count \
                 it",
                ids.join(", ")
            ),
        )
    })
}

fn to_json(report: &Report) -> Result<String, Failure> {
    serde_json::to_string_pretty(report).map_err(|e| Failure::Usage(e.to_string()))
}

/// A piece's file.
pub(crate) fn piece_bytes(
    id: &str,
    as_printed: &Solid,
    format: PieceFormat,
) -> Result<Vec<u8>, String> {
    match format {
        PieceFormat::Stl => exchange::write_stl(as_printed).map_err(|e| e.to_string()),
        PieceFormat::Threemf => {
            let item = Named {
                name: id,
                solid: as_printed,
                placed: Isometry::identity(),
            };
            exchange::write_3mf(id, &[item], None).map_err(|e| e.to_string())
        }
    }
}

/// A split judged.
pub(crate) struct Outcome {
    pub(crate) report: Report,
    pub(crate) assembly: Assembly,
    pub(crate) pieces: Vec<PieceFile>,
}

/// Judges the pieces as they will lie on disk, and writes the report.
pub(crate) fn judge(
    plan: &Plan,
    build: &Build,
    pieces: Vec<PieceFile>,
    model: ModelEntry,
    extra: Vec<Finding>,
    printed: &[usize],
) -> Outcome {
    let solids: Vec<Written> = pieces.iter().map(|(w, _)| w.clone()).collect();
    let assembly = paperwork::assembly(plan, build, &solids);
    let limits = Limits {
        min_wall_mm: plan.settings.joints.min_wall_mm,
    };
    let mut verdict = inspection::inspect(&assembly, &limits);
    verdict.findings.extend(remarks(build));
    verdict.findings.extend(across_layers(build));
    verdict.findings.extend(extra);
    verdict.findings.sort_by_key(|f| f.severity);
    Outcome {
        report: paperwork::report(model, plan, build, &solids, &verdict, printed),
        assembly,
        pieces,
    }
}

/// What a person or a program is told at the end.
pub(crate) fn tell(outcome: &Outcome, out: &Path, voice: Voice) -> Result<ExitCode, Failure> {
    if voice.json {
        println!("{}", to_json(&outcome.report)?);
    } else if !voice.quiet {
        print!("{}", summary(&outcome.report, out, true));
    }
    let errors = outcome
        .report
        .findings
        .iter()
        .any(|f| f.severity == Severity::Error);
    Ok(ExitCode::from(u8::from(errors)))
}

/// A plate as 3MF, with a picture of it.
fn plate_file(
    plate: &PlateEntry,
    report: &Report,
    pieces: &[PieceFile],
) -> Result<Vec<u8>, Failure> {
    let text = |e: &dyn std::fmt::Display| Failure::Usage(e.to_string());
    let colours = piece_colours(report.pieces.len());
    let on_it: Vec<(usize, &OnPlate)> = plate
        .pieces
        .iter()
        .filter_map(|on| Some((report.pieces.iter().position(|p| p.id == on.id)?, on)))
        .collect();
    let motion = |on: &OnPlate| on.motion().unwrap_or_else(Isometry::identity);
    let placed: Vec<Solid> = on_it
        .iter()
        .map(|(k, on)| pieces[*k].0.as_printed.moved(&motion(on)))
        .collect();
    let shades: Vec<[u8; 3]> = on_it.iter().map(|(k, _)| colours[*k]).collect();
    let picture = paperwork::plate_picture(&placed, &shades).map_err(|e| text(&e))?;
    let items: Vec<Named> = on_it
        .iter()
        .map(|(k, on)| Named {
            name: &on.id,
            solid: &pieces[*k].0.as_printed,
            placed: motion(on),
        })
        .collect();
    exchange::write_3mf(&report.model.file, &items, Some(picture)).map_err(|e| text(&e))
}

/// Writes the output folder, whole or not at all.
pub(crate) fn write(
    out: &Path,
    force: bool,
    plan: &Plan,
    build: &Build,
    outcome: &Outcome,
) -> Result<(), Failure> {
    let Outcome {
        report,
        assembly,
        pieces,
    } = outcome;
    let text = |e: &dyn std::fmt::Display| Failure::Usage(e.to_string());
    let records: Vec<SeamRecord> = build.seams.iter().map(Seam::record).collect();
    let in_place: Vec<Solid> = assembly.pieces.iter().map(|p| p.in_place.clone()).collect();
    let (page, (whole, exploded)) = rayon::join(
        || paperwork::page(report, assembly, &records),
        || {
            rayon::join(
                || paperwork::whole(&in_place),
                || paperwork::exploded(&in_place),
            )
        },
    );
    let plates: Vec<(String, Vec<u8>)> = report
        .plates
        .par_iter()
        .map(|plate| Ok((plate.file.clone(), plate_file(plate, report, pieces)?)))
        .collect::<Result<_, Failure>>()?;
    let colours = piece_colours(in_place.len());
    let small: Vec<(String, Vec<u8>)> = pieces
        .par_iter()
        .enumerate()
        .filter(|(_, (_, bytes))| bytes.is_some())
        .map(|(k, (written, _))| {
            let png = paperwork::piece_picture(&written.as_printed, colours[k]);
            let name = format!("pictures/{}.png", report.pieces[k].id);
            png.map(|png| (name, png))
        })
        .chain(assembly.steps.par_iter().enumerate().map(|(k, step)| {
            let png = paperwork::step_picture(&in_place, &colours, step);
            png.map(|png| (format!("pictures/step-{:02}.png", k + 1), png))
        }))
        .collect::<Result<_, _>>()
        .map_err(|e| text(&e))?;
    let folder = OutputFolder::begin(out, force)?;
    folder.write(
        "plan.toml",
        plan.to_toml().map_err(|e| text(&e))?.as_bytes(),
    )?;
    folder.write(
        "joints.json",
        &serde_json::to_vec(&records).map_err(|e| text(&e))?,
    )?;
    for (piece, bytes) in pieces {
        if let Some(bytes) = bytes {
            folder.write(&piece.file, bytes)?;
        }
    }
    for (file, bytes) in &plates {
        folder.write(file, bytes)?;
    }
    folder.write(
        "cut-list.csv",
        paperwork::cut_list(report)
            .map_err(|e| text(&e))?
            .as_bytes(),
    )?;
    folder.write("report.json", (to_json(report)? + "\n").as_bytes())?;
    folder.write("report.html", page.map_err(|e| text(&e))?.as_bytes())?;
    folder.write("pictures/whole.png", &whole.map_err(|e| text(&e))?)?;
    folder.write("pictures/exploded.png", &exploded.map_err(|e| text(&e))?)?;
    for (file, png) in &small {
        folder.write(file, png)?;
    }
    folder.finish()?;
    Ok(())
}
