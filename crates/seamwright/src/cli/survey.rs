//! `survey`: a model's size, bodies and defects, and what a split would need.

use std::process::ExitCode;

use design::Settings;
use planner::{Brief, FoundCuts, Member, MemberKind, Members, NoPlan, find_cuts, find_member_cuts};
use printing::{Printer, place};
use seamwright::{Failure, Model};
use solid::{Solid, Vector};

use crate::cli::args::SurveyArgs;
use crate::cli::printers::known;
use crate::cli::survey_pictures;
use crate::cli::terminal::progress::Progress;
use crate::cli::terminal::table;

/// A bed in words, what a split for it would have, and what one between members.
struct Cuts {
    bed: String,
    found: Result<Counts, NoPlan>,
    by_members: Option<Counts>,
}

/// What some cuts leave.
#[derive(Clone, Copy, Default)]
struct Counts {
    pieces: usize,
    seams: usize,
}

impl Counts {
    fn of(found: &FoundCuts) -> Self {
        Self {
            pieces: found.pieces,
            seams: found.tree.len(),
        }
    }

    fn and(self, other: Self) -> Self {
        Self {
            pieces: self.pieces + other.pieces,
            seams: self.seams + other.seams,
        }
    }
}

/// Boards and legs are looked for in models of no more triangles: it takes some times the
/// room that the model does.
const MEMBERS_UP_TO: usize = 1_000_000;
/// More than this share of a model that belongs to no member is told.
const MOSTLY: f64 = 0.02;

pub(crate) fn run(args: &SurveyArgs) -> Result<ExitCode, Failure> {
    let beds = known(&args.bed)?;
    if let Some(folder) = args.pictures.as_ref().filter(|folder| folder.exists()) {
        return Err(Failure::Usage(format!(
            "{} is there already; give --pictures a new folder",
            folder.display()
        )));
    }
    let reading = args.surface.reading(args.unit)?;
    // Reading and measuring, and a search for each bed.
    let progress = Progress::new(2 + beds.len() as u64, args.voice);
    progress.stage(&format!("reading {}", args.model.display()));
    let model = match (Model::read(&args.model, reading), &args.pictures) {
        (Ok(model), _) => model,
        (Err(why), None) => return Err(why),
        (Err(why), Some(folder)) => {
            survey_pictures::of_refused(folder, &args.model, reading)?;
            return Err(why);
        }
    };
    let bodies = model.solid.bodies().len();
    let mut apart = workshop::bodies_apart(&model.solid, &Settings::default());
    if apart.is_empty() {
        apart.push(model.solid.clone());
    }
    let cuts = beds.iter().map(|known| {
        progress.stage(&format!(
            "finding how many pieces it takes for {}",
            known.printer
        ));
        cuts(&apart, &known.printer)
    });
    let cuts: Vec<Cuts> = cuts.collect();
    progress.stage("looking for boards and legs");
    let members = (model.solid.triangles().len() <= MEMBERS_UP_TO)
        .then(|| Members::of(&model.solid, &Vector::z()).ok())
        .flatten();
    let drawn = match &args.pictures {
        Some(folder) => {
            let found = (&model.notes[..], members.as_ref());
            survey_pictures::of_model(folder, &model.solid, found)?
        }
        None => Vec::new(),
    };
    progress.done();
    if args.voice.json {
        let mut json = as_json(&model, bodies, members.as_ref(), &cuts);
        if args.pictures.is_some() {
            json["pictures"] = drawn.into();
        }
        sayln!("{json:#}");
    } else if !args.voice.quiet {
        let mut table = as_table(&model, bodies, members.as_ref(), &cuts);
        if let Some(folder) = &args.pictures {
            let kinds = [
                MemberKind::Board,
                MemberKind::Leg,
                MemberKind::Post,
                MemberKind::Rail,
            ];
            let colours = kinds.map(|kind| format!("{kind}s {}", survey_pictures::colour(kind).1));
            let words = match drawn.iter().any(|name| name == "members.png") {
                true => format!(
                    "{} in {}; in members.png {}",
                    drawn.len(),
                    folder.display(),
                    colours.join(", ")
                ),
                false => format!("{} in {}", drawn.len(), folder.display()),
            };
            table.add_row(["pictures", &words]);
        }
        sayln!("{table}");
    }
    Ok(ExitCode::SUCCESS)
}

/// What a split needs that cuts each body by itself.
fn cuts(bodies: &[Solid], printer: &Printer) -> Cuts {
    let settings = Settings::default();
    let triangles: usize = bodies.iter().map(|b| b.triangles().len()).sum();
    let mut found = Ok(Counts::default());
    let mut by_members = (triangles <= MEMBERS_UP_TO).then(Counts::default);
    let mut parted = false;
    for body in bodies {
        let brief = Brief::new(body, std::slice::from_ref(printer), &settings);
        let whole = Counts {
            pieces: 1,
            seams: 0,
        };
        let own = match place(body, printer).is_ok() {
            true => Ok(whole),
            false => find_cuts(&brief).map(|found| Counts::of(&found)),
        };
        let members = match (&own, by_members) {
            (Ok(Counts { seams: 0, .. }), _) | (_, None) => None,
            _ => find_member_cuts(&brief).ok().flatten(),
        };
        parted |= members.is_some();
        let of_members = members
            .map(|m| Counts::of(&m))
            .or(own.as_ref().ok().copied());
        by_members = Option::zip(by_members, of_members).map(|(all, own)| all.and(own));
        found = found.and_then(|all: Counts| own.map(|own| all.and(own)));
    }
    Cuts {
        bed: printer.to_string(),
        found,
        by_members: by_members.filter(|_| parted),
    }
}

fn size_mm(solid: &Solid) -> Vector {
    solid.bounds().map_or_else(Vector::zeros, |b| b.size_mm())
}

fn as_json(
    model: &Model,
    bodies: usize,
    members: Option<&Members>,
    cuts: &[Cuts],
) -> serde_json::Value {
    let (solid, size) = (&model.solid, size_mm(&model.solid));
    serde_json::json!({
        "format": "seamwright-survey",
        "version": 1,
        "file": model.name,
        "sha256": model.sha256,
        "unit": model.unit,
        "triangles": solid.triangles().len(),
        "bodies": bodies,
        "size_mm": [size.x, size.y, size.z],
        "volume_mm3": solid.volume_mm3(),
        "area_mm2": solid.area_mm2(),
        "notes": model.notes,
        "members": members.map(|m| m.alike().iter().map(|(count, m)| serde_json::json!({
            "kind": m.kind.to_string(),
            "count": count,
            "size_mm": m.size_mm,
            "thin_end_mm": m.thin_end_mm,
            "round": m.round,
        })).collect::<Vec<_>>()),
        "meetings": members.map(|m| m.met().iter().map(|(count, kind)| serde_json::json!({
            "kind": kind.to_string(),
            "count": count,
        })).collect::<Vec<_>>()),
        "no_member": members.map(|m| m.rest),
        "splits": cuts.iter().map(|c| serde_json::json!({
            "bed": c.bed,
            "pieces": c.found.as_ref().ok().map(|c| c.pieces),
            "seams": c.found.as_ref().ok().map(|c| c.seams),
            "problem": c.found.as_ref().err().map(ToString::to_string),
            "pieces_by_members": c.by_members.as_ref().map(|c| c.pieces),
            "seams_by_members": c.by_members.as_ref().map(|c| c.seams),
        })).collect::<Vec<_>>(),
    })
}

fn as_table(
    model: &Model,
    bodies: usize,
    members: Option<&Members>,
    cuts: &[Cuts],
) -> comfy_table::Table {
    let (solid, size) = (&model.solid, size_mm(&model.solid));
    let mut table = table::plain();
    table.add_row(["model", &model.name]);
    table.add_row([
        "size",
        &format!("{:.1} × {:.1} × {:.1} mm", size.x, size.y, size.z),
    ]);
    table.add_row(["volume", &format!("{:.1} cm³", solid.volume_mm3() / 1000.0)]);
    table.add_row(["surface", &format!("{:.1} cm²", solid.area_mm2() / 100.0)]);
    table.add_row(["triangles", &solid.triangles().len().to_string()]);
    table.add_row(["bodies", &bodies.to_string()]);
    table.add_row(["defects", "none that stand in the way of a split"]);
    for (name, words) in made_of(members) {
        table.add_row([name.to_owned(), words]);
    }
    for note in &model.notes {
        let at = note.at_mm.map_or_else(String::new, |[x, y, z]| {
            format!("at ({x:.1}, {y:.1}, {z:.1}): ")
        });
        let message = format!("{at}{}", note.message);
        table.add_row([note.severity.word(), &message]);
    }
    for Cuts {
        bed,
        found,
        by_members,
    } in cuts
    {
        let words = match found {
            Ok(cuts) if cuts.seams == 0 => "fits as it is".to_owned(),
            Ok(cuts) => format!("{} pieces, {} seams", cuts.pieces, cuts.seams),
            Err(e) => e.to_string(),
        };
        let words = match by_members {
            Some(c) => format!(
                "{words}; parted where members meet (--by-members) {} pieces, {} seams",
                c.pieces, c.seams
            ),
            None => words,
        };
        table.add_row([format!("on {bed}"), words]);
    }
    if cuts.is_empty() {
        table.add_row(["split", "give a --bed to see how many pieces it takes"]);
    }
    table
}

/// What the model is made of, and where that meets.
fn made_of(members: Option<&Members>) -> Vec<(&'static str, String)> {
    let Some(members) = members else {
        let words = format!(
            "boards and legs are not looked for in more than {} million triangles",
            MEMBERS_UP_TO / 1_000_000
        );
        return vec![("made of", words)];
    };
    if members.are_hardly_any() {
        return vec![(
            "made of",
            "no boards, legs or rails, or hardly any".to_owned(),
        )];
    }
    let plural = |count: usize| if count == 1 { "" } else { "s" };
    let one = |(count, m): &(usize, &Member)| {
        let s = plural(*count);
        let bent = if m.kind == MemberKind::Board && m.bent {
            "bent "
        } else {
            ""
        };
        format!("{count} {bent}{}{s} {}", m.kind, m.size())
    };
    let mut alike: Vec<String> = members.alike().iter().map(one).collect();
    if members.rest > MOSTLY {
        alike.push(format!(
            "{:.0} % of it nothing of these",
            100.0 * members.rest
        ));
    }
    let met: Vec<String> = members
        .met()
        .iter()
        .map(|(count, kind)| format!("{count} × {kind}"))
        .collect();
    let mut out = vec![("made of", alike.join(", "))];
    if !met.is_empty() {
        out.push(("meeting in", met.join(", ")));
    }
    out
}
