//! A sum of costs, kept term by term.

use serde::{Deserialize, Serialize};

/// One term of a cost: how much of something there is, and what each costs.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Term {
    /// What is counted or measured.
    pub what: String,
    /// How much of it there is.
    pub amount: f64,
    /// What each costs, in minutes of work.
    pub each: f64,
}

impl Term {
    /// A term.
    pub fn new(what: &str, amount: f64, each: f64) -> Self {
        Self {
            what: what.to_owned(),
            amount,
            each,
        }
    }

    /// What it comes to.
    pub fn cost(&self) -> f64 {
        self.amount * self.each
    }
}

/// What something costs, term by term, in minutes of work.
///
/// ```
/// use design::{Term, Worth};
///
/// let worth = Worth::of([Term::new("pieces", 10.0, 30.0), Term::new("keys", 2.0, 8.0)]);
/// assert_eq!(worth.total(), 316.0);
/// ```
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Worth {
    terms: Vec<Term>,
}

impl Worth {
    /// The sum of some terms, in their order.
    pub fn of(terms: impl IntoIterator<Item = Term>) -> Self {
        Self {
            terms: terms.into_iter().collect(),
        }
    }

    /// The term of the hours of all prints, one after the other.
    pub const HOURS: &'static str = "hours of print";
    /// The term of their plastic.
    pub const PLASTIC_G: &'static str = "grams of plastic";

    /// How much of something there is, nothing where it has no term.
    pub fn amount_of(&self, what: &str) -> f64 {
        let term = self.terms.iter().find(|t| t.what == what);
        term.map_or(0.0, |t| t.amount)
    }

    /// Its terms.
    pub fn terms(&self) -> &[Term] {
        &self.terms
    }

    /// What it comes to.
    pub fn total(&self) -> f64 {
        self.terms.iter().map(Term::cost).sum()
    }
}
