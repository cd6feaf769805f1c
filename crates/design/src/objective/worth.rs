//! A sum of costs, kept term by term.

use serde::{Deserialize, Serialize};

/// One term of a cost: how much of something there is, and what each costs.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Term {
    /// What is counted or measured.
    pub what: String,
    /// How much of it there is.
    pub amount: f64,
    /// What each costs, in pieces.
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

/// What something costs, term by term, in pieces: a term of 0.5 is worth half a
/// piece more.
///
/// ```
/// use design::{Term, Worth};
///
/// let worth = Worth::of([Term::new("pieces", 10.0, 1.0), Term::new("keys", 2.0, 0.25)]);
/// assert_eq!(worth.total(), 10.5);
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

    /// Its terms.
    pub fn terms(&self) -> &[Term] {
        &self.terms
    }

    /// What it comes to.
    pub fn total(&self) -> f64 {
        self.terms.iter().map(Term::cost).sum()
    }
}
