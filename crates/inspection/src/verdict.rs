use joinery::JointKind;

use crate::bed::lying;
use crate::together::together;
use crate::wall::thinnest_walls;
use crate::{Assembly, Finding, Severity};

/// What pieces are held against.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// The thinnest wall that may be.
    pub min_wall_mm: f64,
}

impl Default for Limits {
    fn default() -> Self {
        Self { min_wall_mm: 1.2 }
    }
}

/// What came out of an inspection.
#[derive(Clone, Debug, PartialEq)]
pub struct Verdict {
    /// Everything found, errors first.
    pub findings: Vec<Finding>,
    /// The thinnest wall of each piece, where it has facing walls.
    pub thinnest_mm: Vec<Option<f64>>,
}

impl Verdict {
    /// Whether no error stands.
    pub fn is_sound(&self) -> bool {
        self.count(Severity::Error) == 0
    }

    /// How many findings there are of a severity.
    pub fn count(&self, severity: Severity) -> usize {
        self.findings
            .iter()
            .filter(|f| f.severity == severity)
            .count()
    }
}

/// Judges an assembly.
pub fn inspect(assembly: &Assembly, limits: &Limits) -> Verdict {
    let (walls, (together, lying)) = rayon::join(
        || thinnest_walls(assembly, limits.min_wall_mm),
        || rayon::join(|| together(assembly), || lying(assembly)),
    );
    let mut findings = lying;
    for (piece, walls) in assembly.pieces.iter().zip(&walls) {
        let id = &piece.id;
        if let Some(w) = walls.made {
            let message = format!(
                "a wall of {id} beside a joint or seam is {:.2} mm thick ({} places under {} mm); \
                 move the seam, or choose a smaller joint",
                w.thickness_mm, w.places, limits.min_wall_mm
            );
            findings.push(
                Finding::new(Severity::Error, "thin-wall", message)
                    .piece(id)
                    .at(&w.at)
                    .measured(w.thickness_mm, limits.min_wall_mm),
            );
        }
        if let Some(w) = walls.models {
            let message = format!(
                "a wall of {id} is {:.2} mm thick, as the model has it ({} places under {} mm)",
                w.thickness_mm, w.places, limits.min_wall_mm
            );
            findings.push(
                Finding::new(Severity::Warning, "thin-wall-in-model", message)
                    .piece(id)
                    .at(&w.at)
                    .measured(w.thickness_mm, limits.min_wall_mm),
            );
        }
    }
    findings.extend(together);
    findings.extend(seams(assembly));
    findings.sort_by_key(|f| f.severity);
    Verdict {
        findings,
        thinnest_mm: walls.into_iter().map(|w| w.thinnest_mm).collect(),
    }
}

/// What to know of the seams: contacts that nothing holds, and such as only
/// friction holds.
fn seams(assembly: &Assembly) -> Vec<Finding> {
    let mut findings = Vec::new();
    for seam in &assembly.seams {
        for contact in &seam.contacts {
            let [a, b] = contact.pieces.map(|i| assembly.pieces[i].id.as_str());
            match contact.joint {
                JointKind::Plain => findings.push(
                    Finding::new(
                        Severity::Warning,
                        "plain-contact",
                        format!(
                            "{a} and {b} only meet at {} and nothing holds them there: {}",
                            seam.id, contact.reason
                        ),
                    )
                    .piece(a)
                    .seam(&seam.id)
                    .at(&seam.frame.origin),
                ),
                JointKind::Tenon => findings.push(
                    Finding::new(
                        Severity::Note,
                        "friction-only",
                        format!(
                            "{a} and {b} are held at {} by the friction of a tapered tenon only: \
                             they come apart the way they went together",
                            seam.id
                        ),
                    )
                    .piece(a)
                    .seam(&seam.id),
                ),
                JointKind::Tongue => findings.push(
                    Finding::new(
                        Severity::Warning,
                        "not-locked",
                        format!(
                            "{a} and {b} are located at {} by tongue and groove, which does not \
                             hold them together",
                            seam.id
                        ),
                    )
                    .piece(a)
                    .seam(&seam.id),
                ),
                _ => {}
            }
        }
    }
    findings
}
