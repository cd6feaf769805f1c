//! A plan: everything that makes a split, apart from the model itself.

use std::collections::HashSet;

use exchange::LengthUnit;
use joinery::capacity::Filling;
use printing::{BrokenRule, PrintProfile, Printer, within};
use serde::de::Error;
use serde::{Deserialize, Deserializer, Serialize};
use solid::Vector;

use crate::bad_plan::{BadPlan, LONGEST_NAME, MOST_SEAMS};
use crate::ids::{PieceId, PlanSeam, PrinterId, SeamId};
use crate::objective::emphasis::Found;
use crate::settings::Settings;
use crate::tree::body_apart::{BodyApart, Parting};
use crate::tree::cut_tree::CutTree;
use crate::tree::planned_seam::PlannedSeam;
use crate::tree::seam_side::SeamSide;
use crate::tree::terms::SeamTerms;

/// Everything that makes a split, apart from the model itself. A plan in hand is
/// checked: its numbers keep the rules, its seams form a tree, and it has a
/// printer.
///
/// ```
/// use design::{CutTree, ModelReference, Plan, PlannedSeam, Settings};
/// use printing::Printer;
///
/// let seam = PlannedSeam::at([1.0, 0.0, 0.0], 150.0);
/// let tree = CutTree::cut(None, seam, CutTree::uncut(), CutTree::uncut()).named(1);
/// let printers = vec![Printer::rectangular("bed-1", 220.0, 220.0, 250.0)];
/// let plan = Plan::new(ModelReference::default(), Settings::default(), printers, tree).unwrap();
/// assert_eq!(plan.tree().len(), 1);
/// assert!(Plan::new(ModelReference::default(), Settings::default(), vec![], CutTree::uncut()).is_err());
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    model: ModelReference,
    settings: Settings,
    printers: Vec<Printer>,
    tree: CutTree,
    terms: Vec<SeamTerms>,
    found: Option<Found>,
    printed: Vec<PieceId>,
}

/// Which file a plan is for.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ModelReference {
    /// The file's name.
    pub file: String,
    /// Digest of its bytes.
    pub sha256: String,
    /// The unit it was read in.
    #[serde(deserialize_with = "unit_or_none")]
    pub unit: LengthUnit,
    /// Bodies of it that are apart by no more than this were joined, in millimetres.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub join_gaps_mm: Option<f64>,
    /// Whether holes of it were closed whose rim is not flat.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub mend: bool,
    /// How thick surfaces of it without thickness were made, in millimetres.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub thicken_mm: Option<f64>,
}

impl ModelReference {
    /// How thin and how thick surfaces without thickness are made: what is thinner does not
    /// print, and what is thicker is no sheet.
    pub const THICK_MM: [f64; 2] = [0.4, 50.0];
    /// A wider gap is a way between two parts.
    pub const WIDEST_GAP_MM: f64 = 5.0;

    /// Checks how the model is to be read.
    ///
    /// # Errors
    ///
    /// The first number that is out of its range.
    ///
    /// ```
    /// use design::ModelReference;
    ///
    /// let thick = |mm| ModelReference { thicken_mm: Some(mm), ..ModelReference::default() };
    /// assert!(thick(3.0).checked().is_ok() && thick(-3.0).checked().is_err());
    /// ```
    pub fn checked(&self) -> Result<(), BrokenRule> {
        if let Some(mm) = self.join_gaps_mm {
            within("join_gaps_mm", mm, 0.0, Self::WIDEST_GAP_MM)?;
        }
        let [thin, thick] = Self::THICK_MM;
        self.thicken_mm
            .map_or(Ok(()), |mm| within("thicken_mm", mm, thin, thick))
    }
}

/// A unit by its sign. Plans of earlier versions that were made for no model have
/// an empty word, which stands for millimetres; no other word is taken on trust.
fn unit_or_none<'de, D: Deserializer<'de>>(from: D) -> Result<LengthUnit, D::Error> {
    let word = String::deserialize(from)?;
    if word.is_empty() {
        return Ok(LengthUnit::default());
    }
    word.parse().map_err(D::Error::custom)
}

impl Plan {
    /// A plan from its parts.
    ///
    /// # Errors
    ///
    /// The first thing that is wrong.
    pub fn new(
        model: ModelReference,
        settings: Settings,
        printers: Vec<Printer>,
        tree: CutTree,
    ) -> Result<Self, BadPlan> {
        if printers.is_empty() {
            return Err(BadPlan::NoPrinter);
        }
        for printer in &printers {
            printer.checked()?;
        }
        let mut names = HashSet::new();
        if let Some(twice) = printers.iter().find(|p| !names.insert(p.name.as_str())) {
            return Err(BadPlan::SameName(twice.name.clone()));
        }
        settings.checked()?;
        model.checked().map_err(BadPlan::Model)?;
        if tree.len() > MOST_SEAMS {
            return Err(BadPlan::TooManySeams(tree.len()));
        }
        let terms = terms(&tree, &settings)?;
        Ok(Self {
            model,
            settings,
            printers,
            tree,
            terms,
            found: None,
            printed: Vec::new(),
        })
    }

    /// The model it was made for.
    pub fn model(&self) -> &ModelReference {
        &self.model
    }

    /// Joint preference, clearance, walls.
    pub fn settings(&self) -> &Settings {
        &self.settings
    }

    /// The printers, never none.
    pub fn printers(&self) -> &[Printer] {
        &self.printers
    }

    /// A printer of this plan.
    ///
    /// # Panics
    ///
    /// When the plan has no such printer.
    pub fn printer(&self, id: PrinterId) -> &Printer {
        &self.printers[id.place()]
    }

    /// The ids of its printers.
    pub fn printer_ids(&self) -> impl Iterator<Item = PrinterId> + use<> {
        (0..self.printers.len()).map(PrinterId::at)
    }

    /// How a printer prints.
    ///
    /// # Panics
    ///
    /// As [`Plan::printer`].
    pub fn profile(&self, id: PrinterId) -> &PrintProfile {
        self.printer(id)
            .print
            .as_ref()
            .unwrap_or(&self.settings.print)
    }

    /// How sections are filled: of several printers what all of them print.
    pub fn filling(&self) -> Filling {
        let profiles = (0..self.printers.len()).map(|k| self.profile(PrinterId::at(k)));
        let least = profiles.map(Filling::from).reduce(Filling::least);
        least.unwrap_or(Filling::from(&self.settings.print))
    }

    /// The cut tree.
    pub fn tree(&self) -> &CutTree {
        &self.tree
    }

    /// What the joints of a seam are made from.
    pub fn terms(&self, seam: PlanSeam) -> &SeamTerms {
        &self.terms[seam.place()]
    }

    /// How it was found, where a search found it.
    pub fn found(&self) -> Option<&Found> {
        self.found.as_ref()
    }

    /// The same, said to be found so.
    #[must_use]
    pub fn found_by(self, found: Option<Found>) -> Self {
        Self { found, ..self }
    }

    /// The same, said to go around pieces that are printed already.
    #[must_use]
    pub fn around_printed(self, printed: Vec<PieceId>) -> Self {
        Self { printed, ..self }
    }

    /// The pieces that were printed already when the plan was made around them: carried out by
    /// itself it makes them anew.
    pub fn printed(&self) -> &[PieceId] {
        &self.printed
    }

    /// The same with names for bodies that stand apart and have none; what is longer than a
    /// name or has no letters is none.
    #[must_use]
    pub fn bodies_named(self, name: impl Fn(&BodyApart) -> Option<String>) -> Self {
        let tree = self.tree.bodies_named(|body| {
            let clean: String = name(body)?.chars().filter(|c| !c.is_control()).collect();
            let clean: String = clean.trim().chars().take(LONGEST_NAME).collect();
            (!clean.is_empty()).then_some(clean)
        });
        Self { tree, ..self }
    }

    /// The same for another state of the model.
    #[must_use]
    pub fn for_model(self, model: ModelReference) -> Self {
        Self { model, ..self }
    }

    /// The same on other printers.
    ///
    /// # Errors
    ///
    /// When there are none, or one of them is out of range.
    pub fn on_printers(&self, printers: Vec<Printer>) -> Result<Self, BadPlan> {
        self.remade(printers, self.tree.clone())
    }

    /// The same settings for the same model, cut otherwise on other printers.
    ///
    /// # Errors
    ///
    /// When the parts make no plan.
    pub fn remade(&self, printers: Vec<Printer>, tree: CutTree) -> Result<Self, BadPlan> {
        let plan = Self::new(self.model.clone(), self.settings.clone(), printers, tree)?;
        Ok(plan.around_printed(self.printed.clone()))
    }
}

/// The terms of every seam, checked with the seams.
fn terms(tree: &CutTree, settings: &Settings) -> Result<Vec<SeamTerms>, BadPlan> {
    let mut ids = std::collections::HashSet::new();
    let mut out = Vec::with_capacity(tree.len());
    for k in tree.partings() {
        let id = tree.id(k);
        if !ids.insert(id) {
            return Err(BadPlan::DoubleId(id.clone()));
        }
        let seam = match tree.parting(k) {
            Parting::Seam(seam) => seam,
            Parting::Body(body) => {
                body_checked(id, body)?;
                out.push(SeamTerms::of_settings(settings));
                continue;
            }
        };
        plane_checked(id, seam)?;
        let changed = |why| BadPlan::Change {
            seam: id.clone(),
            why,
        };
        out.push(SeamTerms::of(seam, settings).map_err(changed)?);
    }
    Ok(out)
}

/// How far a length may be off one, and a direction off a plane: numbers written
/// by hand have six digits.
const SLACK: f64 = 1e-6;
fn plane_checked(id: &SeamId, seam: &PlannedSeam) -> Result<(), BadPlan> {
    let n = Vector::from(seam.normal);
    if !((n.norm() - 1.0).abs() < SLACK && seam.at_mm.is_finite()) {
        return Err(BadPlan::Normal(id.clone()));
    }
    if let Some(slide) = seam.slide.map(Vector::from)
        && !((slide.norm() - 1.0).abs() < SLACK && slide.dot(&n).abs() < 1e-3)
    {
        return Err(BadPlan::Slide(id.clone()));
    }
    if let Some([a, b]) = seam.within_mm
        && !(0..3).all(|k| (a[k] - b[k]).abs().is_normal())
    {
        return Err(BadPlan::Box(id.clone()));
    }
    Ok(())
}

fn body_checked(id: &SeamId, body: &BodyApart) -> Result<(), BadPlan> {
    let is_way = |v: [f64; 3]| (Vector::from(v).norm() - 1.0).abs() < SLACK;
    let is_name =
        |name: &String| name.chars().count() <= LONGEST_NAME && !name.chars().any(char::is_control);
    let right = body.at_mm.iter().all(|x| x.is_finite())
        && body.way_in.is_none_or(is_way)
        && body.name.as_ref().is_none_or(is_name);
    right.then_some(()).ok_or_else(|| BadPlan::Body(id.clone()))
}

/// A region as a plan file and an error name it.
pub(crate) fn region_word(cuts: Option<(&str, SeamSide)>) -> String {
    match cuts {
        None => "whole".to_owned(),
        Some((seam, side)) => format!("{seam} {}", side.word()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of_one(seam: PlannedSeam) -> Result<Plan, BadPlan> {
        let tree = CutTree::cut(None, seam, CutTree::uncut(), CutTree::uncut()).named(1);
        let printers = vec![Printer::rectangular("bed-1", 220.0, 220.0, 250.0)];
        Plan::new(
            ModelReference::default(),
            Settings::default(),
            printers,
            tree,
        )
    }

    #[test]
    fn a_plan_with_a_wrong_number_cannot_be_made() {
        let at = |normal| PlannedSeam::at(normal, 10.0);
        let x = [1.0, 0.0, 0.0];
        assert!(of_one(at(x)).is_ok());
        assert!(matches!(
            of_one(at([2.0, 0.0, 0.0])),
            Err(BadPlan::Normal(_))
        ));
        let nowhere = PlannedSeam::at(x, f64::NAN);
        assert!(matches!(of_one(nowhere), Err(BadPlan::Normal(_))));
        let slide = |slide| PlannedSeam {
            slide: Some(slide),
            ..at(x)
        };
        assert!(of_one(slide([0.0, 0.0, -1.0])).is_ok());
        assert!(matches!(
            of_one(slide([1.0, 0.0, 0.0])),
            Err(BadPlan::Slide(_))
        ));
        assert!(matches!(
            of_one(slide([0.0, 0.0, 0.0])),
            Err(BadPlan::Slide(_))
        ));
        let flat = PlannedSeam {
            within_mm: Some([[0.0; 3], [1.0, 0.0, 5.0]]),
            ..at(x)
        };
        assert!(matches!(of_one(flat), Err(BadPlan::Box(_))));
    }

    #[test]
    fn two_seams_of_one_id_are_no_plan() {
        let seam = || PlannedSeam::at([1.0, 0.0, 0.0], 10.0);
        let id = || Some(SeamId::numbered(1));
        let inner = CutTree::cut(id(), seam(), CutTree::uncut(), CutTree::uncut());
        let tree = CutTree::cut(id(), seam(), inner, CutTree::uncut()).named(1);
        let printers = vec![Printer::rectangular("bed-1", 220.0, 220.0, 250.0)];
        let plan = Plan::new(
            ModelReference::default(),
            Settings::default(),
            printers,
            tree,
        );
        assert_eq!(plan, Err(BadPlan::DoubleId(SeamId::numbered(1))));
    }
}
