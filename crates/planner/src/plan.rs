use joinery::BrokenRule;
use serde::{Deserialize, Serialize};
use solid::Vector;

use crate::{BadBed, BadChange, PlannedSeam, PrintProfile, Printer, Region, Settings};

/// Everything that makes a split, apart from the model itself.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Plan {
    /// Always `seamwright-plan`.
    pub format: String,
    /// Of this layout: 1.
    pub version: u32,
    /// The model it was made for.
    pub model: ModelReference,
    /// Joint preference, clearance, walls.
    pub settings: Settings,
    /// The printers.
    #[serde(rename = "printer")]
    pub printers: Vec<Printer>,
    /// The cut tree, a seam an entry; a seam stands after the one whose side
    /// it cuts.
    #[serde(rename = "seam", default)]
    pub seams: Vec<PlannedSeam>,
}

/// Which file a plan is for.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ModelReference {
    /// The file's name.
    pub file: String,
    /// Digest of its bytes.
    pub sha256: String,
    /// The unit it was read in.
    pub unit: String,
}

/// A node of the cut tree.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Node {
    /// A future piece (or several, where its content falls apart).
    Cell,
    /// A seam, by its index in the plan, and what lies on either side.
    Seam {
        /// Index in [`Plan::seams`].
        index: usize,
        /// The side of the normal.
        above: Box<Self>,
        /// The other side.
        below: Box<Self>,
    },
}

impl Node {
    /// How many cells hang from it.
    pub fn cells(&self) -> usize {
        match self {
            Self::Cell => 1,
            Self::Seam { above, below, .. } => above.cells() + below.cells(),
        }
    }
}

/// A plan that cannot be carried out.
#[derive(Clone, Debug, thiserror::Error, PartialEq)]
pub enum BadPlan {
    /// It is not TOML, or a field is wrong.
    #[error("{0}")]
    Syntax(String),
    /// It is of another kind or version.
    #[error("this is no plan of version 1: format = \"{format}\", version = {version}")]
    Format {
        /// What stands there.
        format: String,
        /// What stands there.
        version: u32,
    },
    /// It has no printer.
    #[error("the plan names no printer; add a [[printer]]")]
    NoPrinter,
    /// A printer's size is wrong.
    #[error("printer: {0}")]
    Printer(#[from] BadBed),
    /// A number of the joints is wrong.
    #[error("settings: {0}")]
    Rule(#[from] BrokenRule),
    /// A number set for one seam or contact is wrong.
    #[error("seam {seam}, joints: {why}")]
    Change {
        /// The seam.
        seam: String,
        /// What is wrong.
        why: BadChange,
    },
    /// Two seams have one id.
    #[error("the id {0} is given to two seams")]
    DoubleId(String),
    /// A seam's normal has no length.
    #[error("seam {0}: its normal must be a direction of length one, and its place a number")]
    Normal(String),
    /// The box within which a seam cuts is none.
    #[error("seam {0}: within_mm must be two opposite corners of a box")]
    Box(String),
    /// A seam cuts a side that another cuts already, or that does not exist.
    #[error("seam {seam} cuts '{region}', which {why}")]
    Region {
        /// The seam.
        seam: String,
        /// What it says it cuts.
        region: String,
        /// What is wrong with that.
        why: String,
    },
}

/// What stands in [`Plan::format`].
pub const PLAN_FORMAT: &str = "seamwright-plan";

impl Plan {
    /// How a printer prints, by its index.
    pub fn profile(&self, printer: usize) -> &PrintProfile {
        self.printers
            .get(printer)
            .and_then(|p| p.print.as_ref())
            .unwrap_or(&self.settings.print)
    }

    /// Reads a plan and checks it.
    ///
    /// # Errors
    ///
    /// When it is no plan, or one that cannot be carried out.
    pub fn from_toml(text: &str) -> Result<Self, BadPlan> {
        let plan: Self = toml::from_str(text).map_err(|e| BadPlan::Syntax(e.to_string()))?;
        plan.checked()?;
        Ok(plan)
    }

    /// The plan as text, with a word on how to edit it.
    ///
    /// # Errors
    ///
    /// When a value has no form in TOML.
    pub fn to_toml(&self) -> Result<String, BadPlan> {
        let body = toml::to_string_pretty(self).map_err(|e| BadPlan::Syntax(e.to_string()))?;
        Ok(format!(
            "# The plan of a split. Edit it and run `seamwright split --plan` with this file.\n\
             # A [[seam]] cuts `whole` or one side of an earlier seam; `at_mm` is its place\n\
             # along its normal. `joint`, `slide` and [seam.joints] may be set for one seam, `joint`\n\
             # and [seam.contact.joints] for the contact of two pieces ([[seam.contact]]).\n\n{body}"
        ))
    }

    /// Checks everything that does not need the model.
    ///
    /// # Errors
    ///
    /// The first thing that is wrong.
    pub fn checked(&self) -> Result<(), BadPlan> {
        if self.format != PLAN_FORMAT || self.version != 1 {
            return Err(BadPlan::Format {
                format: self.format.clone(),
                version: self.version,
            });
        }
        if self.printers.is_empty() {
            return Err(BadPlan::NoPrinter);
        }
        for printer in &self.printers {
            printer.checked()?;
        }
        self.settings.checked()?;
        for seam in &self.seams {
            let changed = |why| BadPlan::Change {
                seam: seam.id.clone(),
                why,
            };
            let rules = seam
                .joints
                .applied(&self.settings.joints)
                .map_err(changed)?;
            for contact in &seam.contacts {
                contact.joints.applied(&rules).map_err(changed)?;
            }
        }
        self.tree().map(|_| ())
    }

    /// The number of the first id `S1`, `S2`, … beyond all that are taken; ids
    /// of more than nine digits, which no plan of ours has, do not count.
    pub fn next_seam_number(&self) -> usize {
        let digits = self.seams.iter().filter_map(|s| s.id.strip_prefix('S'));
        let numbers = digits.filter(|d| d.len() <= 9);
        numbers
            .filter_map(|d| d.parse::<usize>().ok())
            .max()
            .unwrap_or(0)
            + 1
    }

    /// The cut tree.
    ///
    /// # Errors
    ///
    /// When the seams do not form one.
    pub fn tree(&self) -> Result<Node, BadPlan> {
        for (i, seam) in self.seams.iter().enumerate() {
            if self.seams[..i].iter().any(|s| s.id == seam.id) {
                return Err(BadPlan::DoubleId(seam.id.clone()));
            }
            let n = Vector::from(seam.normal);
            if !((n.norm() - 1.0).abs() < 1e-6 && seam.at_mm.is_finite()) {
                return Err(BadPlan::Normal(seam.id.clone()));
            }
            if let Some([a, b]) = seam.within_mm
                && !(0..3).all(|k| (a[k] - b[k]).abs().is_normal())
            {
                return Err(BadPlan::Box(seam.id.clone()));
            }
            let fail = |why: String| {
                Err(BadPlan::Region {
                    seam: seam.id.clone(),
                    region: seam.cuts.clone().into(),
                    why,
                })
            };
            if let Some(other) = self.seams[..i].iter().find(|s| s.cuts == seam.cuts) {
                return fail(format!("seam {} cuts already", other.id));
            }
            match &seam.cuts {
                Region::Whole if i > 0 => return fail("only the first seam can cut".into()),
                Region::Above(parent) | Region::Below(parent)
                    if !self.seams[..i].iter().any(|s| &s.id == parent) =>
                {
                    return fail(format!("names no earlier seam '{parent}'"));
                }
                _ => {}
            }
        }
        Ok(self.node(&Region::Whole))
    }

    fn node(&self, region: &Region) -> Node {
        let Some(index) = self.seams.iter().position(|s| &s.cuts == region) else {
            return Node::Cell;
        };
        let id = &self.seams[index].id;
        Node::Seam {
            index,
            above: Box::new(self.node(&Region::Above(id.clone()))),
            below: Box::new(self.node(&Region::Below(id.clone()))),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{PlannedContact, RuleChanges};

    fn plan() -> Plan {
        let seam = |id: &str, cuts: Region| PlannedSeam::at(id, cuts, [1.0, 0.0, 0.0], 10.0);
        Plan {
            format: PLAN_FORMAT.into(),
            version: 1,
            model: ModelReference::default(),
            settings: Settings::default(),
            printers: vec![Printer::rectangular("bed-1", 220.0, 220.0, 250.0)],
            seams: vec![
                seam("S1", Region::Whole),
                seam("S2", Region::Above("S1".into())),
            ],
        }
    }

    #[test]
    fn a_plan_survives_being_written_and_read() {
        let mut plan = plan();
        plan.settings.hide = vec!["+z".parse().unwrap()];
        plan.seams[1].joints = RuleChanges::one("tail_width_mm", 8.0);
        plan.seams[1].contacts = vec![PlannedContact {
            pieces: ["P01".into(), "P02".into()],
            joint: Some("tenon".parse().unwrap()),
            joints: RuleChanges::one("clearance_mm", 0.1),
        }];
        let again = Plan::from_toml(&plan.to_toml().unwrap()).unwrap();
        assert_eq!(again, plan);
        assert_eq!(again.tree().unwrap().cells(), 3);
    }

    #[test]
    fn new_seams_get_numbers_beyond_all_others() {
        let mut plan = plan();
        assert_eq!(plan.next_seam_number(), 3);
        plan.seams[0].id = "S41".into();
        assert_eq!(plan.next_seam_number(), 42);
        plan.seams[1].id = format!("S{}", usize::MAX);
        assert_eq!(plan.next_seam_number(), 42);
    }

    #[test]
    fn typos_are_named() {
        let text = plan().to_toml().unwrap();
        let typo = text.replace("at_mm", "at_m");
        assert!(matches!(Plan::from_toml(&typo), Err(BadPlan::Syntax(e)) if e.contains("at_m")));
        let region = text.replace("S1 above", "S9 above");
        assert!(matches!(
            Plan::from_toml(&region),
            Err(BadPlan::Region { .. })
        ));
        let flat = text.replace(
            "at_mm = 10.0",
            "at_mm = 10.0\nwithin_mm = [[0.0, 0.0, 0.0], [1.0, 0.0, 5.0]]",
        );
        assert_eq!(Plan::from_toml(&flat), Err(BadPlan::Box("S1".into())));
        let rule = text.replace("clearance_mm = 0.05", "clearance_mm = -2.0");
        assert!(matches!(Plan::from_toml(&rule), Err(BadPlan::Rule(_))));
        let own = format!("{text}\n[seam.joints]\ntail_depth_mm = 90.0\n");
        assert!(matches!(
            Plan::from_toml(&own),
            Err(BadPlan::Change { seam, .. }) if seam == "S2"
        ));
    }
}
