use inspection::{Finding, Limits, Severity, Verdict};
use paperwork::Written;
use planner::{Certificate, NoPlan, Plan, Printer, Settings};
use solid::Solid;
use workshop::{Build, NoSplit};

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
    match workshop::split(model, printers, settings, Default::default()) {
        Ok(split) => Ok(Judged {
            certificate: Some(split.certificate),
            ..judged(split.plan, split.build)
        }),
        Err(NoSplit::Plan(none)) => Err(none),
        Err(NoSplit::Build(e)) => panic!("the plan can be carried out: {e}"),
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
    let written: Vec<Written> = build
        .pieces
        .iter()
        .map(|piece| {
            let bytes = exchange::write_stl(&piece.solid.moved(&piece.onto_bed()))
                .expect("a piece can be written");
            let soup = exchange::read_stl(&bytes).expect("what was written reads back");
            Written {
                file: String::new(),
                as_printed: Solid::from_triangles(soup).expect("what was written is closed"),
            }
        })
        .collect();
    let assembly = paperwork::assembly(&plan, &build, &written);
    let limits = Limits {
        min_wall_mm: plan.settings.joints.min_wall_mm,
    };
    let verdict = inspection::inspect(&assembly, &limits);
    Judged {
        plan,
        build,
        verdict,
        certificate: None,
    }
}
