//! A number that breaks a rule: the error of every check of settings.

/// A number that breaks a rule.
///
/// ```
/// use printing::{BrokenRule, within};
///
/// assert!(within("infill", 0.25, 0.0, 1.0).is_ok());
/// let broken: BrokenRule = within("infill", 2.0, 0.0, 1.0).unwrap_err();
/// assert_eq!(broken.to_string(), "infill = 2 breaks a rule: it must lie from 0 to 1");
/// ```
#[derive(Clone, Debug, thiserror::Error, PartialEq)]
#[error("{name} = {value} breaks a rule: {rule}")]
pub struct BrokenRule {
    /// The field.
    pub name: &'static str,
    /// Its value.
    pub value: f64,
    /// The rule.
    pub rule: String,
}

/// Checks that a number lies in a range, ends included.
///
/// # Errors
///
/// When it does not, or is no number.
pub fn within(name: &'static str, value: f64, low: f64, high: f64) -> Result<(), BrokenRule> {
    if value >= low && value <= high {
        return Ok(());
    }
    Err(BrokenRule {
        name,
        value,
        rule: format!("it must lie from {low} to {high}"),
    })
}
