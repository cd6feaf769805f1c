//! A model split: planned or by a given plan, carried out, judged.

use design::{Plan, SeamId, Settings};
use exchange::PieceFormat;
use inspection::{Code, Finding};
use planner::Certificate;
use printing::Printer;
use solid::Point;
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

/// Splits a model and judges the pieces as they will lie on disk.
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
/// let outcome = split(&model, request, Default::default(), &|stage| eprintln!("{stage}"))?;
/// outcome.write("shelf-pieces".as_ref(), Default::default())?;
/// # Ok::<(), seamwright::Failure>(())
/// ```
pub fn split(
    model: &Model,
    request: Request,
    format: PieceFormat,
    stage: Stages,
) -> Result<Outcome, Failure> {
    stage("finding where to cut, cutting and joining");
    let mut context = Context {
        extra: model.notes.clone(),
        ..Context::default()
    };
    let (plan, mut build, certificate) = match request {
        Request::Find { printers, settings } => found(model, &printers, &settings)?,
        Request::Plan(plan) => {
            context.extra.extend(of_another_model(model, &plan));
            let plan = plan.for_model(model.reference());
            let made = workshop::build_extended(&model.solid, plan)
                .map_err(|e| refused(model, NoSplit::Build(e)))?;
            context.extra.extend(extended(&made.added));
            (made.plan, made.build, None)
        }
    };
    if plan.settings().labels {
        engrave(&mut build, &plan, &[]).map_err(|e| {
            let what = format!("the labels could not be cut: {e}");
            Failure::input(&model.path, what, "Split it with --no-labels.")
        })?;
    }
    let files = written(&build, format)
        .map_err(|e| Failure::input(&model.path, e, "Split it with --plan."))?;
    stage("judging the pieces");
    let mut outcome = Outcome::of(model, plan, build, files, context)?;
    outcome.report.certificate = certificate;
    Ok(outcome)
}

type Made = (Plan, Build, Option<Certificate>);

fn found(model: &Model, printers: &[Printer], settings: &Settings) -> Result<Made, Failure> {
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
    let split = workshop::split(&model.solid, printers, settings, model.reference())
        .map_err(|e| refused(model, e))?;
    Ok((split.plan, split.build, Some(split.certificate)))
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
    let remedy = match error {
        NoSplit::Plan(_) => "Try another --bed or --joint.",
        NoSplit::Build(BuildError::Kernel(_)) => {
            "Repair the model in a mesh editor, or move the seams in the plan."
        }
        NoSplit::Build(_) => "Correct the plan, or let the program find one with --bed.",
    };
    Failure::input(&model.path, error, remedy)
}
