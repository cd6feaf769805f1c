//! `plan.toml`: the only form that a plan has outside the program.

use std::collections::HashSet;

use printing::Printer;
use serde::{Deserialize, Serialize};
use toml_edit::{ArrayOfTables, DocumentMut, Item};

use crate::bad_plan::BadPlan;
use crate::ids::{PieceId, SeamId};
use crate::objective::emphasis::Found;
use crate::plan::{ModelReference, Plan};
use crate::plan_text::{BodyText, SeamText};
use crate::settings::Settings;
use crate::tree::cut_tree::CutTree;

/// What stands in a plan file's `format`.
const FORMAT: &str = "seamwright-plan";
/// The version of its layout.
const VERSION: u32 = 1;

/// A plan as it is written, not checked yet.
///
/// ```
/// use design::{Plan, PlanFile};
///
/// let file: PlanFile = toml::from_str(
///     "format = 'seamwright-plan'\nversion = 1\n\
///      [model]\nfile = 'shelf.stl'\nsha256 = ''\nunit = 'mm'\n[settings]\n\
///      [[printer]]\nname = 'bed-1'\nbed.round.diameter_mm = 200\nheight_mm = 300\nmargin_mm = 2",
/// )
/// .unwrap();
/// assert!(Plan::try_from(file).is_ok());
/// ```
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PlanFile {
    format: String,
    version: u32,
    model: ModelReference,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    found: Option<Found>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    printed: Vec<PieceId>,
    settings: Settings,
    #[serde(rename = "printer")]
    printers: Vec<Printer>,
    #[serde(rename = "body", default, skip_serializing_if = "Vec::is_empty")]
    bodies: Vec<BodyText>,
    #[serde(rename = "seam", default)]
    seams: Vec<SeamText>,
}

/// Seams by themselves.
#[derive(Serialize)]
struct MoreSeams {
    #[serde(rename = "seam")]
    seams: Vec<SeamText>,
}

impl TryFrom<PlanFile> for Plan {
    type Error = BadPlan;

    fn try_from(file: PlanFile) -> Result<Self, BadPlan> {
        if file.format != FORMAT || file.version != VERSION {
            return Err(BadPlan::Format {
                format: file.format,
                version: file.version,
            });
        }
        let names: Vec<(SeamId, String)> = file
            .bodies
            .iter()
            .map(|b| (&b.id, &b.of))
            .chain(file.seams.iter().map(|s| (&s.id, &s.cuts)))
            .map(|(id, cuts)| (id.clone(), cuts.clone().into()))
            .collect();
        let mut seen = HashSet::new();
        if let Some((twice, _)) = names.iter().find(|(id, _)| !seen.insert(id)) {
            return Err(BadPlan::DoubleId(twice.clone()));
        }
        let bodies = file.bodies.into_iter().map(BodyText::parts);
        let seams = file.seams.into_iter().map(SeamText::parts);
        let tree = CutTree::of_list(bodies.chain(seams).collect()).map_err(|(k, why)| {
            let (seam, region) = names[k].clone();
            BadPlan::Region { seam, region, why }
        })?;
        let plan = Self::new(file.model, file.settings, file.printers, tree)?;
        Ok(plan.found_by(file.found).around_printed(file.printed))
    }
}

impl From<&Plan> for PlanFile {
    fn from(plan: &Plan) -> Self {
        Self {
            format: FORMAT.to_owned(),
            version: VERSION,
            model: plan.model().clone(),
            found: plan.found().cloned(),
            printed: plan.printed().to_vec(),
            settings: plan.settings().clone(),
            printers: plan.printers().to_vec(),
            bodies: BodyText::all(plan.tree()),
            seams: SeamText::all(plan.tree()),
        }
    }
}

impl Plan {
    /// Reads a plan and checks it.
    ///
    /// # Errors
    ///
    /// When it is no plan, or one that cannot be carried out.
    pub fn from_toml(text: &str) -> Result<Self, BadPlan> {
        let file: PlanFile = toml::from_str(text).map_err(|e| BadPlan::Syntax(e.to_string()))?;
        file.try_into()
    }

    /// Another plan's text, comments and all, with this one's model and the seams
    /// that it lacks after its own, where that says what this plan is.
    ///
    /// ```
    /// use design::{CutTree, ModelReference, Plan, PlannedSeam, Settings};
    /// use printing::Printer;
    ///
    /// let plan = |tree| {
    ///     let printers = vec![Printer::rectangular("bed-1", 220.0, 220.0, 250.0)];
    ///     Plan::new(ModelReference::default(), Settings::default(), printers, tree).unwrap()
    /// };
    /// let bare = plan(CutTree::uncut().named(1)).to_toml().unwrap() + "# Oak.\n";
    /// let seam = PlannedSeam::at([1.0, 0.0, 0.0], 150.0);
    /// let cut = plan(CutTree::cut(None, seam, CutTree::uncut(), CutTree::uncut()).named(1));
    /// let text = cut.as_written_on(&bare).unwrap();
    /// assert!(text.contains("# Oak.") && Plan::from_toml(&text).unwrap() == cut);
    /// ```
    pub fn as_written_on(&self, text: &str) -> Option<String> {
        let other = Self::from_toml(text).ok()?;
        let mut document: DocumentMut = text.parse().ok()?;
        let model = document.get_mut("model")?.as_table_like_mut()?;
        for (key, was, is) in [
            ("file", &other.model().file, &self.model().file),
            ("sha256", &other.model().sha256, &self.model().sha256),
        ] {
            let there = model.get_mut(key).and_then(Item::as_value_mut);
            if let Some(there) = there.filter(|_| was != is) {
                let decor = there.decor().clone();
                *there = is.as_str().into();
                *there.decor_mut() = decor;
            }
        }
        let mut seams = SeamText::all(self.tree());
        seams.retain(|seam| other.tree().find(&seam.id).is_none());
        if !seams.is_empty() {
            let more = toml::to_string_pretty(&MoreSeams { seams }).ok()?;
            let more: DocumentMut = more.parse().ok()?;
            let more = more.get("seam")?.as_array_of_tables()?.iter().cloned();
            let seams = document
                .entry("seam")
                .or_insert_with(|| Item::ArrayOfTables(ArrayOfTables::new()));
            for mut seam in more {
                // Its place in a text of its own says nothing here.
                seam.set_position(None);
                seam.decor_mut().set_prefix("\n");
                match seams {
                    Item::ArrayOfTables(seams) => seams.push(seam),
                    Item::Value(seams) => seams.as_array_mut()?.push(seam.into_inline_table()),
                    _ => return None,
                }
            }
        }
        let out = document.to_string();
        let again = Self::from_toml(&out).ok()?;
        again.says_the_same(self).then_some(out)
    }

    /// Whether two plans are the same, in whatever order their seams are listed.
    fn says_the_same(&self, other: &Self) -> bool {
        let sorted = |plan: &Self| {
            let mut file = PlanFile::from(plan);
            file.seams.sort_by(|a, b| a.id.cmp(&b.id));
            file.bodies.sort_by(|a, b| a.id.cmp(&b.id));
            file
        };
        sorted(self) == sorted(other)
    }

    /// The plan as text, with a word on how to edit it.
    ///
    /// # Errors
    ///
    /// When a value has no form in TOML.
    pub fn to_toml(&self) -> Result<String, BadPlan> {
        let file = PlanFile::from(self);
        let body = toml::to_string_pretty(&file).map_err(|e| BadPlan::Syntax(e.to_string()))?;
        Ok(format!(
            "# The plan of a split. Edit it and run `seamwright split --plan` with this file.\n\
             # A [[seam]] cuts `whole` or one side of an earlier seam; `at_mm` is its place\n\
             # along its normal. `joint`, `slide` and [seam.joints] may be set for one seam, `joint`\n\
             # and [seam.contact.joints] for the contact of two pieces ([[seam.contact]]).\n{}\n{body}",
            match self.tree().bodies().next() {
                None => "",
                Some(_) => BODIES,
            }
        ))
    }
}

/// What a plan says of its bodies.
const BODIES: &str = "\
# A [[body]] stands apart from all others: `at_mm` is a point in it, `way_in` the way it comes\n\
# home. A seam cuts `B1 below`, the body, or `B1 above`, what is left without it.\n";

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ids::PieceId;
    use crate::rule_changes::RuleChanges;
    use crate::tree::planned_seam::{PlannedContact, PlannedSeam};

    fn plan() -> Plan {
        let seam = || PlannedSeam::at([1.0, 0.0, 0.0], 10.0);
        let second = PlannedSeam {
            joints: RuleChanges::one("tail_width_mm", 8.0),
            contacts: vec![PlannedContact {
                pieces: [PieceId::cut(1, 2), PieceId::cut(2, 2)],
                joint: Some("tenon".parse().unwrap()),
                joints: RuleChanges::one("clearance_mm", 0.1),
            }],
            ..seam()
        };
        let above = CutTree::cut(None, second, CutTree::uncut(), CutTree::uncut());
        let tree = CutTree::cut(None, seam(), CutTree::uncut(), above).named(1);
        let settings = Settings {
            hide: vec!["+z".parse().unwrap()],
            ..Settings::default()
        };
        let printers = vec![Printer::rectangular("bed-1", 220.0, 220.0, 250.0)];
        Plan::new(ModelReference::default(), settings, printers, tree).unwrap()
    }

    #[test]
    fn a_plan_survives_being_written_and_read() {
        let again = Plan::from_toml(&plan().to_toml().unwrap()).unwrap();
        assert_eq!(again, plan());
        assert_eq!(again.tree().leaves().len(), 3);
    }

    #[test]
    fn typos_are_named() {
        let text = plan().to_toml().unwrap();
        let read = |from: &str, to: &str| {
            assert!(text.contains(from), "{from}");
            Plan::from_toml(&text.replace(from, to))
        };
        let typo = read("at_mm", "at_m");
        assert!(matches!(typo, Err(BadPlan::Syntax(e)) if e.contains("at_m")));
        let region = read("S1 above", "S9 above");
        assert!(matches!(region, Err(BadPlan::Region { .. })));
        let flat = "at_mm = 10.0\nwithin_mm = [[0.0, 0.0, 0.0], [1.0, 0.0, 5.0]]";
        let flat = read("at_mm = 10.0", flat);
        assert_eq!(flat, Err(BadPlan::Box(SeamId::numbered(1))));
        let rule = read("clearance_mm = 0.05", "clearance_mm = -2.0");
        assert!(matches!(rule, Err(BadPlan::Rule(_))));
        let own = read("tail_width_mm = 8.0", "tail_depth_mm = 90.0");
        assert!(matches!(own, Err(BadPlan::Change { seam, .. }) if seam == SeamId::numbered(2)));
        let unit = read("unit = \"mm\"", "unit = \"furlong\"");
        assert!(matches!(unit, Err(BadPlan::Syntax(e)) if e.contains("furlong")));
        let margin = read("margin_mm = 2.0", "margin_mm = -40.0");
        assert!(matches!(margin, Err(BadPlan::Printer(_))));
        let seam_id = read("id = \"S2\"", "id = \"=1+1\"");
        assert!(matches!(seam_id, Err(BadPlan::Syntax(_))));
    }

    #[test]
    fn the_density_of_earlier_plans_is_that_of_the_material() {
        let text = plan().to_toml().unwrap();
        let (before, rest) = text.split_once("[settings.material]").unwrap();
        let after = rest.split_once("\n[").unwrap().1;
        let earlier = format!("{before}[{after}")
            .replace("labels = true", "labels = true\ndensity_g_cm3 = 1.05");
        let read = Plan::from_toml(&earlier).unwrap();
        assert_eq!(read.settings().material.density_g_cm3, 1.05);
        assert_eq!(read.settings().material.name, "PLA");
    }

    #[test]
    fn weights_of_earlier_plans_are_read_and_written_again() {
        let text = plan().to_toml().unwrap();
        let weights = "[settings.weights]\nsupport = 0.5\n\n[settings.rates]";
        let earlier = text.replace("[settings.rates]", weights);
        let read = Plan::from_toml(&earlier).unwrap();
        assert_eq!(read.settings().former_weights["support"], 0.5);
        assert_eq!(read.settings().rates, plan().settings().rates);
        assert_eq!(Plan::from_toml(&read.to_toml().unwrap()).unwrap(), read);
        let wrong = earlier.replace("support = 0.5", "support = nan");
        assert!(Plan::from_toml(&wrong).is_err());
    }
}
