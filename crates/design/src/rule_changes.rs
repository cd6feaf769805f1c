//! Numbers of the joints that differ from the settings.

use std::collections::BTreeMap;

use joinery::JointRules;
use printing::BrokenRule;
use serde::{Deserialize, Serialize};

/// Numbers of the joints that differ from the settings, by name.
///
/// ```
/// use joinery::JointRules;
/// use design::RuleChanges;
///
/// let changes: RuleChanges = toml::from_str("tail_width_mm = 8.0").unwrap();
/// let rules = changes.applied(&JointRules::default()).unwrap();
/// assert_eq!(rules.tail_width_mm, 8.0);
/// assert_eq!(rules.clearance_mm, JointRules::default().clearance_mm);
/// ```
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct RuleChanges(BTreeMap<String, f64>);

/// Changes that cannot be applied.
#[derive(Clone, Debug, thiserror::Error, PartialEq)]
pub enum BadChange {
    /// A name is none of the joints' numbers.
    #[error("{0}")]
    Name(String),
    /// The numbers break a rule.
    #[error(transparent)]
    Rule(#[from] BrokenRule),
}

impl RuleChanges {
    /// One change.
    pub fn one(name: &str, value: f64) -> Self {
        Self(BTreeMap::from([(name.to_owned(), value)]))
    }

    /// The same with one more.
    #[must_use]
    pub fn and(mut self, name: &str, value: f64) -> Self {
        self.0.insert(name.to_owned(), value);
        self
    }

    /// Whether nothing differs.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Some rules with these changes.
    ///
    /// # Errors
    ///
    /// When a name is unknown or the changed numbers break a rule.
    pub fn applied(&self, base: &JointRules) -> Result<JointRules, BadChange> {
        if self.is_empty() {
            return Ok(base.clone());
        }
        let name = |e: &dyn std::fmt::Display| BadChange::Name(e.to_string().trim().to_owned());
        let mut table = toml::Table::try_from(base).map_err(|e| name(&e))?;
        for (key, &value) in &self.0 {
            table.insert(key.clone(), toml::Value::Float(value));
        }
        let rules: JointRules = table.try_into().map_err(|e| name(&e))?;
        rules.checked()?;
        Ok(rules)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn unknown_names_and_broken_rules_are_told() {
        let base = JointRules::default();
        let typo = RuleChanges::one("tail_widht_mm", 8.0)
            .applied(&base)
            .unwrap_err();
        assert!(typo.to_string().contains("tail_widht_mm"), "{typo}");
        let broken = RuleChanges::one("tail_depth_mm", 40.0)
            .applied(&base)
            .unwrap_err();
        assert!(matches!(broken, BadChange::Rule(r) if r.name == "tail_depth_mm"));
    }
}
