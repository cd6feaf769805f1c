//! Seams, contacts and bodies apart as they stand in `plan.toml`.

use serde::{Deserialize, Serialize};

use crate::ids::{PieceId, PlanSeam, SeamId};
use crate::joint_choice::JointChoice;
use crate::plan::region_word;
use crate::rule_changes::RuleChanges;
use crate::tree::body_apart::BodyApart;
use crate::tree::cut_tree::{CutTree, Region};
use crate::tree::listed::Listed;
use crate::tree::planned_seam::{PlannedContact, PlannedSeam};
use crate::tree::seam_side::SeamSide;

/// A body apart as it is written.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct BodyText {
    pub(crate) id: SeamId,
    pub(crate) of: Cuts,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    name: Option<String>,
    at_mm: [f64; 3],
    #[serde(default, skip_serializing_if = "Option::is_none")]
    way_in: Option<[f64; 3]>,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    reason: String,
}

/// A seam as it is written.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct SeamText {
    pub(crate) id: SeamId,
    pub(crate) cuts: Cuts,
    normal: [f64; 3],
    at_mm: f64,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    within_mm: Option<[[f64; 3]; 2]>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    joint: Option<JointChoice>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    slide: Option<[f64; 3]>,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    reason: String,
    #[serde(default, skip_serializing_if = "RuleChanges::is_empty")]
    joints: RuleChanges,
    #[serde(rename = "contact", default, skip_serializing_if = "Vec::is_empty")]
    contacts: Vec<ContactText>,
}

/// A contact as it is written.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct ContactText {
    pieces: [PieceId; 2],
    #[serde(default, skip_serializing_if = "Option::is_none")]
    joint: Option<JointChoice>,
    #[serde(default, skip_serializing_if = "RuleChanges::is_empty")]
    joints: RuleChanges,
}

/// What a seam cuts, by words: `whole`, or a side of another by its id.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub(crate) struct Cuts(Option<(String, SeamSide)>);

impl Cuts {
    fn of(tree: &CutTree, region: Region) -> Self {
        Self(match region {
            Region::Whole => None,
            Region::Side(parent, side) => Some((tree.id(parent).to_string(), side)),
        })
    }
}

impl TryFrom<String> for Cuts {
    type Error = String;

    fn try_from(word: String) -> Result<Self, String> {
        match word.split_whitespace().collect::<Vec<_>>()[..] {
            ["whole"] => Ok(Self(None)),
            [seam, "above"] => Ok(Self(Some((seam.to_owned(), SeamSide::Above)))),
            [seam, "below"] => Ok(Self(Some((seam.to_owned(), SeamSide::Below)))),
            _ => Err(format!(
                "'{word}' is no region; write 'whole', 'S1 above' or 'S1 below'"
            )),
        }
    }
}

impl From<Cuts> for String {
    fn from(cuts: Cuts) -> Self {
        region_word(cuts.0.as_ref().map(|(seam, side)| (seam.as_str(), *side)))
    }
}

impl BodyText {
    pub(crate) fn parts(self) -> Listed {
        let body = BodyApart {
            name: self.name,
            at_mm: self.at_mm,
            way_in: self.way_in,
            reason: self.reason,
        };
        (self.id, body.into(), self.of.0)
    }

    pub(crate) fn all(tree: &CutTree) -> Vec<Self> {
        let text = |(k, body): (PlanSeam, &BodyApart)| Self {
            id: tree.id(k).clone(),
            of: Cuts::of(tree, tree.cuts(k)),
            name: body.name.clone(),
            at_mm: body.at_mm,
            way_in: body.way_in,
            reason: body.reason.clone(),
        };
        tree.bodies().map(text).collect()
    }
}

impl SeamText {
    pub(crate) fn parts(self) -> Listed {
        let contacts = self.contacts.into_iter().map(|own| PlannedContact {
            pieces: own.pieces,
            joint: own.joint,
            joints: own.joints,
        });
        let seam = PlannedSeam {
            normal: self.normal,
            at_mm: self.at_mm,
            within_mm: self.within_mm,
            joint: self.joint,
            slide: self.slide,
            reason: self.reason,
            joints: self.joints,
            contacts: contacts.collect(),
        };
        (self.id, seam.into(), self.cuts.0)
    }

    pub(crate) fn all(tree: &CutTree) -> Vec<Self> {
        tree.seams()
            .map(|k| {
                let seam = tree.seam(k);
                let contacts = seam.contacts.iter().map(|own| ContactText {
                    pieces: own.pieces.clone(),
                    joint: own.joint.clone(),
                    joints: own.joints.clone(),
                });
                Self {
                    id: tree.id(k).clone(),
                    cuts: Cuts::of(tree, tree.cuts(k)),
                    normal: seam.normal,
                    at_mm: seam.at_mm,
                    within_mm: seam.within_mm,
                    joint: seam.joint.clone(),
                    slide: seam.slide,
                    reason: seam.reason.clone(),
                    joints: seam.joints.clone(),
                    contacts: contacts.collect(),
                }
            })
            .collect()
    }
}
