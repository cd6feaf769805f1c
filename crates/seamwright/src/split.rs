//! A model split: planned or by a given plan, carried out, judged.

use design::{PieceId, Plan, Recall, SeamId, Settings};
use exchange::PieceFormat;
use inspection::{Code, Finding, Severity};
use planner::{KeepOut, NoPlan};
use printing::Printer;
use solid::{Bounds, Point};
use workshop::{Build, BuildError, NoSplit, engrave, written};

use crate::failure::Failure;
use crate::model::Model;
use crate::outcome::{Context, Outcome};

/// What is to be done with a model.
#[derive(Clone, Debug)]
pub enum Request {
    /// Find where to cut.
    Find {
        /// The printers, never none.
        printers: Vec<Printer>,
        /// Joints, wishes, weights.
        settings: Box<Settings>,
    },
    /// Carry this plan out, cut further where a piece of it would fit no printer.
    Plan(Box<Plan>),
}

/// How far a run is: called with each stage as it begins.
pub type Stages<'a> = &'a dyn Fn(&str);

/// Splits a model and judges the pieces as they will lie on disk, but for what earlier runs
/// came to of the same.
///
/// # Errors
///
/// When no plan has fitting pieces, or the plan that is given cannot be carried
/// out on this model.
///
/// ```no_run
/// use exchange::LengthUnit;
/// use seamwright::{Model, Request, split};
///
/// let model = Model::read("shelf.stl".as_ref(), LengthUnit::Millimetre)?;
/// let request = Request::Find {
///     printers: vec!["220x220x250".parse().unwrap()],
///     settings: Default::default(),
/// };
/// // What a split of it that lies there came to already.
/// let recall = seamwright::recalled(["shelf-pieces".as_ref()]);
/// let stage = |stage: &str| eprintln!("{stage}");
/// let outcome = split(&model, request, Default::default(), &recall, &stage)?;
/// outcome.write("shelf-pieces".as_ref(), Default::default())?;
/// # Ok::<(), seamwright::Failure>(())
/// ```
pub fn split(
    model: &Model,
    request: Request,
    format: PieceFormat,
    recall: &Recall,
    stage: Stages,
) -> Result<Outcome, Failure> {
    stage("finding where to cut, cutting and joining");
    let mut extra = model.notes.clone();
    match request {
        Request::Find { printers, settings } => {
            astray(model, &settings)?;
            let mut best = found(model, (&printers, &settings), (format, recall), &[], stage)?;
            for _ in 0..ROUNDS {
                let spared = thin_places(&best);
                if spared.is_empty() {
                    break;
                }
                stage("finding where to cut without the seams beside which walls are thin");
                let anew = best.recall().anew();
                let other = found(
                    model,
                    (&printers, &settings),
                    (format, &anew),
                    &spared,
                    stage,
                );
                let Ok(other) = other else { break };
                if other.report.count(Severity::Error) >= best.report.count(Severity::Error) {
                    break;
                }
                best = other;
            }
            Ok(best)
        }
        Request::Plan(plan) => {
            extra.extend(of_another_model(model, &plan));
            extra.extend(printed_anew(&plan));
            let plan = plan.for_model(model.reference());
            let made = workshop::build_extended(&model.solid, plan)
                .map_err(|e| refused(model, NoSplit::Build(e)))?;
            extra.extend(extended(&made.added));
            let context = Context {
                extra,
                given: true,
                ..Context::of(recall)
            };
            carried_out(model, (made.plan, made.build), format, context, stage)
        }
    }
}

/// A plan that was carried out, labelled and judged.
fn carried_out(
    model: &Model,
    (plan, mut build): (Plan, Build),
    format: PieceFormat,
    context: Context,
    stage: Stages,
) -> Result<Outcome, Failure> {
    if plan.settings().labels {
        engrave(&mut build, &plan, &[]).map_err(|e| {
            let what = format!("the labels could not be cut: {e}");
            Failure::input(&model.path, what, "Split it with --no-labels.")
        })?;
    }
    let files = written(&build, format, &context.recall)
        .map_err(|e| Failure::input(&model.path, e, "Split it with --plan."))?;
    stage("judging the pieces");
    Outcome::of(model, plan, build, files, context)
}

/// How often a plan is sought again whose walls are too thin.
const ROUNDS: usize = 2;
/// A seam keeps so far from where a wall was too thin.
const BESIDE_MM: f64 = 12.0;

/// The best plan with no seam through some boxes, carried out and judged.
fn found(
    model: &Model,
    (printers, settings): (&[Printer], &Settings),
    (format, recall): (PieceFormat, &Recall),
    spared: &[KeepOut],
    stage: Stages,
) -> Result<Outcome, Failure> {
    let reference = model.reference();
    let split = workshop::split(&model.solid, printers, settings, reference, spared)
        .map_err(|e| refused(model, e))?;
    let plan = split
        .plan
        .bodies_named(|body| model.name_at(&body.at_mm.into()));
    let context = Context {
        extra: model.notes.clone(),
        ..Context::of(recall)
    };
    let mut outcome = carried_out(model, (plan, split.build), format, context, stage)?;
    outcome.report.certificate = Some(split.certificate);
    Ok(outcome)
}

/// Boxes about the walls that a seam or joint left too thin, and about those of the plan
/// before.
fn thin_places(outcome: &Outcome) -> Vec<KeepOut> {
    let thin = outcome.report.findings.iter();
    let thin = thin.filter(|f| f.code == Code::ThinWall);
    let places: Vec<Point> = thin.filter_map(|f| f.at_mm).map(Point::from).collect();
    if places.is_empty() {
        return Vec::new();
    }
    let before = outcome.plan.found().map(|f| f.keep_out_mm.clone());
    let before = before.unwrap_or_default().into_iter();
    let before = before.map(|[low, high]| Bounds::between(low.into(), high.into()));
    let about = places
        .into_iter()
        .map(|at| Bounds { min: at, max: at }.grown(BESIDE_MM));
    before.chain(about).map(KeepOut::from).collect()
}

/// Refuses a wish that lies beside the model.
fn astray(model: &Model, settings: &Settings) -> Result<(), Failure> {
    if let Some(bounds) = model.solid.bounds()
        && let Some(wish) = settings.wishes.astray(&bounds)
    {
        let corner = |p: Point| format!("({:.1}, {:.1}, {:.1})", p.x, p.y, p.z);
        return Err(Failure::Usage(format!(
            "the wish '{wish}' lies beside the model, which goes from {} to {}",
            corner(bounds.min),
            corner(bounds.max)
        )));
    }
    Ok(())
}

fn of_another_model(model: &Model, plan: &Plan) -> Option<Finding> {
    let made_for = plan.model();
    (made_for.sha256 != model.sha256).then(|| {
        Finding::new(
            Code::PlanOfAnotherModel,
            format!("the plan was made for another state of {}", made_for.file),
        )
    })
}

/// That pieces which the plan was made around are made anew.
fn printed_anew(plan: &Plan) -> Option<Finding> {
    let ids: Vec<&str> = plan.printed().iter().map(PieceId::as_str).collect();
    (!ids.is_empty()).then(|| {
        let message = format!(
            "the plan was made around {}, printed already; carried out by itself it makes all \
             pieces anew, and what is printed may fit none of them: split around it with \
             `seamwright resplit`, or take `printed` out of the plan",
            ids.join(", ")
        );
        Finding::new(Code::PrintedAnew, message)
    })
}

fn extended(added: &[SeamId]) -> Option<Finding> {
    let ids: Vec<&str> = added.iter().map(SeamId::as_str).collect();
    (!ids.is_empty()).then(|| {
        Finding::new(
            Code::PlanExtended,
            format!(
                "pieces of the plan fitted no printer and are cut further, at {}; pieces after \
                 them have other ids than before",
                ids.join(", ")
            ),
        )
    })
}

fn refused(model: &Model, error: NoSplit) -> Failure {
    let mut cause = &error;
    while let NoSplit::Body { why, .. } = cause {
        cause = why;
    }
    let remedy = match cause {
        NoSplit::Plan(NoPlan::Wish { .. }) => {
            "It may only be at odds with another wish: then give up that one."
        }
        NoSplit::Plan(NoPlan::TooManySeams { .. }) => {
            "Wish for fewer, or write them into a plan and split by it."
        }
        NoSplit::Plan(_) | NoSplit::Body { .. } => "Try another --bed or --joint.",
        NoSplit::Build(BuildError::Kernel(_)) => {
            "Repair the model in a mesh editor, or move the seams in the plan."
        }
        NoSplit::Build(_) => "Correct the plan, or let the program find one with --bed.",
    };
    Failure::input(&model.path, error, remedy)
}
