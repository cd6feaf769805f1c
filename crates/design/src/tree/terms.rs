//! What the joints of a seam and of each of its contacts are made from.

use joinery::{JointKind, JointRules};

use crate::ids::PieceId;
use crate::joint_choice::JointChoice;
use crate::rule_changes::BadChange;
use crate::settings::Settings;
use crate::tree::planned_seam::PlannedSeam;

/// The joints to try on a contact, and the numbers they are made from.
#[derive(Clone, Debug, PartialEq)]
pub struct Terms {
    /// The joints to try, in order.
    pub choice: JointChoice,
    /// The numbers.
    pub rules: JointRules,
}

impl Terms {
    /// The joints that slide, in order, up to where a plain seam is preferred.
    pub fn sliding_kinds(&self) -> Vec<JointKind> {
        self.wanted().filter(|kind| kind.slides()).collect()
    }

    /// The joints to try, in order, up to where a plain seam is preferred.
    pub fn wanted(&self) -> impl Iterator<Item = JointKind> {
        let kinds = self.choice.kinds().iter().copied();
        kinds.take_while(|kind| kind.joins())
    }

    /// Whether keys may hold what these are for.
    pub fn may_be_keyed(&self) -> bool {
        self.choice.kinds().iter().any(|kind| kind.is_key())
    }
}

/// The terms of a seam and of those of its contacts that differ.
#[derive(Clone, Debug, PartialEq)]
pub struct SeamTerms {
    common: Terms,
    differing: Vec<([PieceId; 2], Terms)>,
}

impl SeamTerms {
    /// What a seam says, on top of the settings.
    ///
    /// # Errors
    ///
    /// When a number that is changed is none of the joints' or breaks a rule.
    pub fn of(seam: &PlannedSeam, settings: &Settings) -> Result<Self, BadChange> {
        let common = Terms {
            choice: seam.joint.as_ref().unwrap_or(&settings.joint).clone(),
            rules: seam.joints.applied(&settings.joints)?,
        };
        let differing = seam
            .contacts
            .iter()
            .map(|own| {
                let terms = Terms {
                    choice: own.joint.as_ref().unwrap_or(&common.choice).clone(),
                    rules: own.joints.applied(&common.rules)?,
                };
                Ok((own.pieces.clone(), terms))
            })
            .collect::<Result<_, BadChange>>()?;
        Ok(Self { common, differing })
    }

    /// Those of the settings, for what has none of its own.
    pub(crate) fn of_settings(settings: &Settings) -> Self {
        Self {
            common: Terms {
                choice: settings.joint.clone(),
                rules: settings.joints.clone(),
            },
            differing: Vec::new(),
        }
    }

    /// Those that hold where no contact differs.
    pub fn common(&self) -> &Terms {
        &self.common
    }

    /// Those for the contact of two pieces.
    pub fn between(&self, [a, b]: [&PieceId; 2]) -> &Terms {
        let own = self
            .differing
            .iter()
            .find(|([x, y], _)| (x, y) == (a, b) || (x, y) == (b, a));
        own.map_or(&self.common, |(_, terms)| terms)
    }

    /// The contacts that differ.
    pub fn differing(&self) -> impl Iterator<Item = &[PieceId; 2]> {
        self.differing.iter().map(|(pieces, _)| pieces)
    }

    /// All of them, those of the seam first.
    pub fn all(&self) -> impl Iterator<Item = &Terms> {
        std::iter::once(&self.common).chain(self.differing.iter().map(|(_, terms)| terms))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rule_changes::RuleChanges;
    use crate::tree::planned_seam::PlannedContact;

    #[test]
    fn a_contact_builds_on_its_seam_and_the_seam_on_the_settings() {
        let [one, two, three] = [1, 2, 3].map(|k| PieceId::cut(k, 2));
        let seam = PlannedSeam {
            joints: RuleChanges::one("clearance_mm", 0.2),
            contacts: vec![PlannedContact {
                pieces: [one.clone(), two.clone()],
                joint: Some("tenon".parse().unwrap()),
                joints: RuleChanges::one("tail_width_mm", 9.0),
            }],
            ..PlannedSeam::at([1.0, 0.0, 0.0], 10.0)
        };
        let terms = SeamTerms::of(&seam, &Settings::default()).unwrap();
        let own = terms.between([&two, &one]);
        assert_eq!(
            (own.rules.clearance_mm, own.rules.tail_width_mm),
            (0.2, 9.0)
        );
        assert_eq!(own.choice.to_string(), "tenon");
        assert_eq!(terms.between([&two, &three]), terms.common());
        assert_eq!(terms.all().count(), 2);
    }

    #[test]
    fn a_wrong_number_is_an_error_and_not_the_default() {
        let seam = PlannedSeam {
            joints: RuleChanges::one("tail_depth_mm", 90.0),
            ..PlannedSeam::at([1.0, 0.0, 0.0], 10.0)
        };
        assert!(SeamTerms::of(&seam, &Settings::default()).is_err());
    }
}
