//! Splits judged as the program judges them.

use design::{Plan, Recall, Settings};
use exchange::PieceFormat;
use inspection::{Finding, Severity, Verdict};
use planner::{Brief, Certificate, FoundCuts, NoPlan, find_cuts};
use printing::Printer;
use solid::Solid;
use workshop::{Build, NoSplit, Written};

/// A split and what the inspection says of it.
pub struct Judged {
    /// The plan.
    pub plan: Plan,
    /// The build.
    pub build: Build,
    /// The verdict on the pieces as files would have them.
    pub verdict: Verdict,
    /// How few pieces there could be, where the plan was sought.
    pub certificate: Option<Certificate>,
}

impl Judged {
    /// The findings that are errors.
    pub fn errors(&self) -> Vec<&Finding> {
        self.verdict
            .findings
            .iter()
            .filter(|f| f.severity == Severity::Error)
            .collect()
    }
}

/// Splits a model and judges the pieces as they come back from STL.
///
/// # Errors
///
/// When no plan exists.
///
/// # Panics
///
/// When a piece cannot be built or written, which a test must know.
pub fn split_and_judge(
    model: &Solid,
    printers: &[Printer],
    settings: &Settings,
) -> Result<Judged, NoPlan> {
    match workshop::split(model, printers, settings, Default::default(), &[]) {
        Ok(split) => Ok(Judged {
            certificate: Some(split.certificate),
            ..judged(split.plan, split.build)
        }),
        Err(why) => Err(no_plan(why)),
    }
}

fn no_plan(why: NoSplit) -> NoPlan {
    match why {
        NoSplit::Plan(none) => none,
        NoSplit::Body { why, .. } => no_plan(*why),
        NoSplit::Build(e) => panic!("the plan can be carried out: {e}"),
    }
}

/// Carries a plan out and judges the pieces as they come back from STL.
///
/// # Panics
///
/// When a piece cannot be built or written, which a test must know.
pub fn carry_out_and_judge(model: &Solid, plan: Plan) -> Judged {
    let build = workshop::build(model, &plan).expect("the plan can be carried out");
    judged(plan, build)
}

fn judged(plan: Plan, build: Build) -> Judged {
    let files = workshop::written(&build, PieceFormat::Stl, &Recall::none())
        .expect("pieces can be written");
    let written: Vec<Written> = files.into_iter().map(|f| f.written).collect();
    let (_, verdict) =
        seamwright::judged(&plan, &build, &written, &Recall::none()).expect("a build is whole");
    Judged {
        plan,
        build,
        verdict,
        certificate: None,
    }
}

/// Where to cut a model, with nothing in the way.
///
/// # Errors
///
/// When no plan exists.
pub fn found(
    model: &Solid,
    printers: &[Printer],
    settings: &Settings,
) -> Result<FoundCuts, NoPlan> {
    find_cuts(&Brief::new(model, printers, settings))
}
