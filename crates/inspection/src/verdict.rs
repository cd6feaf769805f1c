//! Everything judged, and what came out.

use design::{Assembly, Recall, Tally};

use crate::asked::unmet;
use crate::bed::lying;
use crate::bend::bends;
use crate::code::{Code, Severity};
use crate::finding::Finding;
use crate::held::frail::frail;
use crate::held::hold::{joined_to_nothing, lift_off, seams};
use crate::held::load::freed;
use crate::held::long_slide::long_slides;
use crate::held::play::tight;
use crate::limits::Limits;
use crate::reach::out_of_reach;
use crate::surface::surfaces;
use crate::together::together;
use crate::wall::thinnest_walls;

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
    inspect_again(assembly, limits, &Recall::none())
}

/// Like [`inspect`], with the looks of an earlier run at what is the same.
pub fn inspect_again(assembly: &Assembly, limits: &Limits, recall: &Recall) -> Verdict {
    // At the walls of each, and at its surface.
    Tally::LooksTaken.expect(2 * assembly.pieces().len());
    let ((walls, surfaces), (together, lying)) = rayon::join(
        || {
            let walls = || thinnest_walls(assembly, limits.min_wall_mm, recall);
            rayon::join(walls, || surfaces(assembly, recall))
        },
        || {
            rayon::join(
                || together(assembly, recall),
                || lying(assembly, &limits.print),
            )
        },
    );
    let mut findings = lying;
    findings.extend(surfaces);
    for (piece, walls) in assembly.pieces().iter().zip(&walls) {
        let id = &piece.id;
        if let Some(w) = walls.made {
            let message = format!(
                "a wall of {id} beside a joint or seam is {:.2} mm thick ({} places under {} mm); \
                 move the seam, or choose a smaller joint",
                w.thickness_mm, w.places, limits.min_wall_mm
            );
            findings.push(
                Finding::new(Code::ThinWall, message)
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
                Finding::new(Code::ThinWallInModel, message)
                    .piece(id)
                    .at(&w.at)
                    .measured(w.thickness_mm, limits.min_wall_mm),
            );
        }
    }
    findings.extend(together);
    findings.extend(joined_to_nothing(assembly));
    findings.extend(seams(assembly));
    findings.extend(lift_off(assembly));
    findings.extend(frail(assembly));
    findings.extend(out_of_reach(assembly));
    findings.extend(long_slides(assembly));
    findings.extend(freed(assembly, &limits.up));
    findings.extend(tight(assembly));
    findings.extend(unmet(assembly, limits));
    findings.extend(bends(assembly, limits));
    findings.sort_by_key(|f| f.severity);
    Verdict {
        findings,
        thinnest_mm: walls.into_iter().map(|w| w.thinnest_mm).collect(),
    }
}
