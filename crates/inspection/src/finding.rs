//! Something found about a piece, a seam or the whole.

use design::{PieceId, SeamId};
use serde::{Deserialize, Serialize};

use crate::code::{Code, Severity};

/// Something found about a piece, a seam or the whole.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Finding {
    /// How much it matters.
    pub severity: Severity,
    /// What kind it is.
    pub code: Code,
    /// The piece it is about.
    pub piece: Option<PieceId>,
    /// The seam it is about.
    pub seam: Option<SeamId>,
    /// Where it is, in the model's coordinates.
    pub at_mm: Option<[f64; 3]>,
    /// What was measured.
    pub value: Option<f64>,
    /// What it is held against.
    pub limit: Option<f64>,
    /// The finding in a sentence, with what to do.
    pub message: String,
}

impl Finding {
    /// A finding about nothing in particular yet.
    pub fn new(code: Code, message: impl Into<String>) -> Self {
        Self {
            severity: code.severity(),
            code,
            piece: None,
            seam: None,
            at_mm: None,
            value: None,
            limit: None,
            message: message.into(),
        }
    }

    /// Says which piece it is about.
    #[must_use]
    pub fn piece(mut self, id: &PieceId) -> Self {
        self.piece = Some(id.clone());
        self
    }

    /// Says which seam it is about.
    #[must_use]
    pub fn seam(mut self, id: &SeamId) -> Self {
        self.seam = Some(id.clone());
        self
    }

    /// Says where it is.
    #[must_use]
    pub fn at(mut self, p: &solid::Point) -> Self {
        // Micrometres are finer than anything that can be printed.
        self.at_mm = Some([p.x, p.y, p.z].map(|x| (x * 1e3).round() / 1e3 + 0.0));
        self
    }

    /// Says what was measured and what it is held against.
    #[must_use]
    pub fn measured(mut self, value: f64, limit: f64) -> Self {
        let tidy = |x: f64| x.is_finite().then(|| (x * 1e4).round() / 1e4 + 0.0);
        self.value = tidy(value);
        self.limit = tidy(limit);
        self
    }
}
