//! A split judged, and the folder that it is written to.

use std::path::{Path, PathBuf};

use design::{Assembly, PieceId, Plan, Recall, Recalled, SeamRecord};
use exchange::Named;
use inspection::{Code, Finding, Limits, Severity, Verdict};
use paperwork::{OnPlate, OutputFolder, Pictures, PlateEntry, Replace, Report, piece_colours};
use planner::Members;
use rayon::prelude::*;
use solid::{Isometry, Solid};
use workshop::{Build, PieceFile, Seam, Written};

use crate::failure::Failure;
use crate::model::Model;
use crate::not_sought::{not_sought, other_slides};
use crate::remarks::{findings, no_members, not_affordable};

/// A split, judged as its pieces will lie on disk.
#[derive(Clone, Debug)]
pub struct Outcome {
    /// The plan.
    pub plan: Plan,
    /// What came of it.
    pub build: Build,
    /// The pieces in place, as they read back.
    pub assembly: Assembly,
    /// Everything about it.
    pub report: Report,
    files: Vec<PieceFile>,
    model: PathBuf,
    plan_text: Option<String>,
    recall: Recall,
}

/// What a split is judged with besides its pieces.
#[derive(Clone, Debug)]
pub(crate) struct Context {
    /// What else was found.
    pub(crate) extra: Vec<Finding>,
    /// Pieces that are printed already, by index.
    pub(crate) printed: Vec<usize>,
    /// Whether the plan was given and not sought.
    pub(crate) given: bool,
    /// What earlier runs came to.
    pub(crate) recall: Recall,
}

impl Context {
    /// That of pieces of which nothing else is known.
    pub(crate) fn of(recall: &Recall) -> Self {
        Self {
            extra: Vec::new(),
            printed: Vec::new(),
            given: false,
            recall: recall.anew(),
        }
    }
}

/// The pieces of a build in place, as they read back, and what an inspection says
/// of them.
///
/// # Errors
///
/// When the build names what it does not have, which none of ours does.
pub fn judged(
    plan: &Plan,
    build: &Build,
    written: &[Written],
    recall: &Recall,
) -> Result<(Assembly, Verdict), Failure> {
    let assembly = paperwork::assembly(plan, build, written)
        .map_err(|e| Failure::Usage(format!("the split does not hold together: {e}")))?;
    let limits = Limits {
        min_wall_mm: plan.settings().joints.min_wall_mm,
        print: plan.settings().print,
        density_g_cm3: plan.settings().material.density_g_cm3,
        up: plan.settings().up.direction(),
        wishes: plan.settings().wishes.clone(),
    };
    let verdict = inspection::inspect_again(&assembly, &limits, recall);
    Ok((assembly, verdict))
}

/// Leaves out how pieces stand that are printed already: they did.
pub(crate) fn spare_printed(findings: &mut Vec<Finding>, printed: &[&PieceId]) {
    findings.retain(|f| {
        let of_standing = matches!(
            f.code,
            Code::FirstLayer
                | Code::NeedsBrim
                | Code::NeedsSupport
                | Code::MarkedFace
                | Code::LiesOtherwise
        );
        !of_standing || f.piece.as_ref().is_none_or(|id| !printed.contains(&id))
    });
}

/// Members are told of models of no more triangles: to find them takes some times the room
/// that the model does.
const MEMBERS_UP_TO: usize = 200_000;

/// What a model is made of.
fn made_of(model: &Model, plan: &Plan) -> Option<Members> {
    let few = model.solid.triangles().len() <= MEMBERS_UP_TO;
    let found = few.then(|| Members::of(&model.solid, &plan.settings().up.direction()));
    found?.ok()
}

impl Outcome {
    /// Judges the pieces as they will lie on disk, and makes the report.
    pub(crate) fn of(
        model: &Model,
        plan: Plan,
        build: Build,
        files: Vec<PieceFile>,
        context: Context,
    ) -> Result<Self, Failure> {
        let written: Vec<Written> = files.iter().map(|f| f.written.clone()).collect();
        let (assembly, mut verdict) = judged(&plan, &build, &written, &context.recall)?;
        let printed: Vec<&PieceId> = context
            .printed
            .iter()
            .map(|&k| &build.pieces[k].id)
            .collect();
        spare_printed(&mut verdict.findings, &printed);
        verdict.findings.extend(findings(&plan, &build));
        verdict.findings.extend(match context.given {
            true => not_sought(&plan, &build),
            false => no_members(&plan),
        });
        verdict.findings.extend(other_slides(&plan, &build));
        verdict.findings.extend(context.extra);
        verdict.findings.sort_by_key(|f| f.severity);
        let members = made_of(model, &plan);
        let mut report = paperwork::report(
            (model.entry(), members.as_ref()),
            &plan,
            &build,
            (&written, &assembly),
            &verdict,
            &context.printed,
        );
        let wishes = &plan.settings().wishes;
        report.findings.extend(not_affordable(&report, wishes));
        report.findings.sort_by_key(|f| f.severity);
        Ok(Self {
            plan,
            build,
            assembly,
            report,
            files,
            model: model.path.clone(),
            plan_text: None,
            recall: context.recall,
        })
    }

    /// Keeps the text of the plan that was carried out, with its comments, where
    /// it still says what the plan is, once the seams that it lacks stand at its
    /// end.
    pub fn keep_plan_text(&mut self, text: &str) {
        self.plan_text = self.plan.as_written_on(text);
    }

    /// What of it earlier runs had come to already.
    pub fn recall(&self) -> &Recall {
        &self.recall
    }

    /// The file of the model that was split.
    pub fn model(&self) -> &Path {
        &self.model
    }

    /// How many errors were found.
    pub fn errors(&self) -> usize {
        self.report.count(Severity::Error)
    }

    /// Whether none was.
    pub fn is_sound(&self) -> bool {
        self.errors() == 0
    }

    /// Writes the output folder, whole or not at all; `replace` says what of a
    /// split that lies there gives way to it.
    ///
    /// # Errors
    ///
    /// When something stands in its place, a printed piece would get another
    /// file, or the disk refuses.
    pub fn write(&self, out: &Path, replace: Replace) -> Result<(), Failure> {
        // Written anew, an edited plan would lose its comments.
        let replace = match replace {
            Replace::OwnedAndPlan(_) if self.plan_text.is_none() => Replace::Owned,
            other => other,
        };
        let rendered = Rendered::of(self)?;
        let mut folder = OutputFolder::begin(out, replace)?;
        self.keeps_what_is_printed(out)?;
        folder.remember_model(&self.model);
        let plan = match &self.plan_text {
            Some(text) => text.clone(),
            None => self.plan.to_toml().map_err(Failure::output)?,
        };
        folder.write("plan.toml", plan.as_bytes())?;
        let records = serde_json::to_vec(&self.records()).map_err(Failure::output)?;
        folder.write("joints.json", &records)?;
        for PieceFile { written, bytes } in &self.files {
            if let Some(bytes) = bytes {
                folder.write(&written.file, bytes)?;
            }
        }
        let list = paperwork::cut_list(&self.report).map_err(Failure::output)?;
        folder.write("cut-list.csv", list.as_bytes())?;
        let report = serde_json::to_string_pretty(&self.report).map_err(Failure::output)?;
        folder.write("report.json", (report + "\n").as_bytes())?;
        folder.write("report.html", rendered.page.as_bytes())?;
        for (file, bytes) in rendered.plates.iter().chain(&rendered.pictures) {
            folder.write(file, bytes)?;
        }
        if let Some(bytes) = self.recall.to_bytes() {
            folder.write(paperwork::RECALL, &bytes)?;
        }
        folder.finish()?;
        Ok(())
    }

    /// Checks that the files of pieces that are printed, of the split that lies
    /// in a folder, stay what they are.
    fn keeps_what_is_printed(&self, out: &Path) -> Result<(), Failure> {
        let Ok(before) = paperwork::read_report(out) else {
            return Ok(());
        };
        let stays = |file: &str| {
            let same = self.files.iter().filter(|f| f.written.file == file);
            let mut new = same.filter_map(|f| f.bytes.as_ref());
            let there = paperwork::piece_bytes(out, file).ok();
            new.next()
                .is_some_and(|bytes| Some(bytes) == there.as_ref())
        };
        let printed = before.pieces.iter().filter(|p| p.printed);
        let lost = printed.filter(|p| !stays(&p.file));
        let lost: Vec<&str> = lost.map(|p| p.id.as_str()).collect();
        if lost.is_empty() {
            return Ok(());
        }
        Err(Failure::Usage(format!(
            "{} in {} printed, and this split has other files for them; split around them with \
             `seamwright resplit`, or give another --out",
            lost.join(", "),
            match lost.len() {
                1 => format!("{} is", out.display()),
                _ => format!("{} are", out.display()),
            }
        )))
    }

    /// The joints of all seams by their numbers.
    fn records(&self) -> Vec<SeamRecord> {
        self.build.seams.iter().map(Seam::record).collect()
    }
}

/// What is drawn for the folder.
struct Rendered {
    page: String,
    plates: Vec<(String, Vec<u8>)>,
    pictures: Vec<(String, Vec<u8>)>,
}

impl Rendered {
    fn of(outcome: &Outcome) -> Result<Self, Failure> {
        let Outcome {
            report,
            assembly,
            files,
            recall,
            ..
        } = outcome;
        let plates = || {
            let each = report.plates.par_iter();
            each.map(|plate| {
                Ok((
                    plate.file.clone(),
                    plate_file(plate, report, files, recall)?,
                ))
            })
            .collect::<Result<_, Failure>>()
        };
        let (drawn, plates) = rayon::join(
            || Pictures::of(assembly, report.made_of.as_ref(), recall),
            plates,
        );
        let drawn = drawn.map_err(Failure::output)?;
        let page = paperwork::page(report, assembly, &outcome.records(), &drawn);
        Ok(Self {
            page: page.map_err(Failure::output)?,
            plates: plates?,
            pictures: named(drawn, report, files),
        })
    }
}

/// Pictures by the names of their files; alike pieces have one.
fn named(drawn: Pictures, report: &Report, files: &[PieceFile]) -> Vec<(String, Vec<u8>)> {
    let pieces = drawn.pieces.into_iter().zip(&report.pieces).zip(files);
    let pieces = pieces
        .filter(|(_, file)| file.bytes.is_some())
        .map(|((png, entry), _)| (format!("pictures/{}.png", entry.id), png));
    let steps = drawn.steps.into_iter().zip(&report.steps);
    let steps = steps.flat_map(|(picture, step)| {
        let name = format!("pictures/step-{:02}", step.step);
        let nearer = picture.close_ups.into_iter().zip(1..);
        let nearer = nearer.map(|(near, k)| (format!("{name}-nearer-{k}.png"), near.png));
        let all = [(format!("{name}.png"), picture.whole)].into_iter();
        all.chain(nearer).collect::<Vec<_>>()
    });
    let large = [("whole", drawn.whole), ("exploded", drawn.exploded)].into_iter();
    let large = large.chain(drawn.members.map(|png| ("members", png)));
    let large = large.map(|(name, png)| (format!("pictures/{name}.png"), png));
    pieces.chain(steps).chain(large).collect()
}

/// A plate as 3MF, with a picture of it.
fn plate_file(
    plate: &PlateEntry,
    report: &Report,
    pieces: &[PieceFile],
    recall: &Recall,
) -> Result<Vec<u8>, Failure> {
    let colours = piece_colours(report.pieces.len());
    let on_it: Vec<(usize, &OnPlate)> = plate
        .pieces
        .iter()
        .filter_map(|on| Some((report.pieces.iter().position(|p| p.id == on.id)?, on)))
        .collect();
    let motion = |on: &OnPlate| on.motion().unwrap_or_else(Isometry::identity);
    let placed: Vec<Solid> = on_it
        .iter()
        .map(|(k, on)| pieces[*k].written.as_printed.moved(&motion(on)))
        .collect();
    let shades: Vec<[u8; 3]> = on_it.iter().map(|(k, _)| colours[*k]).collect();
    let digests: Vec<_> = placed.iter().map(|solid| recall.digest(solid)).collect();
    let picture = recall
        .of_fallible(Recalled::Picture, &("plate", digests, &shades), || {
            paperwork::plate_picture(&placed, &shades)
        })
        .map_err(Failure::output)?;
    let items: Vec<Named> = on_it
        .iter()
        .map(|(k, on)| Named {
            name: on.id.as_str(),
            solid: &pieces[*k].written.as_printed,
            placed: motion(on),
        })
        .collect();
    exchange::write_3mf(&report.model.file, &items, Some(picture)).map_err(Failure::output)
}
