use serde::{Deserialize, Serialize};

/// How much a finding matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Severity {
    /// The split did wrong, or it will not print or go together.
    Error,
    /// The maker should know.
    Warning,
    /// Worth a word.
    Note,
}

/// Something found about a piece, a seam or the whole.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Finding {
    /// How much it matters.
    pub severity: Severity,
    /// What kind it is, in one hyphenated word.
    pub code: String,
    /// The piece it is about.
    pub piece: Option<String>,
    /// The seam it is about.
    pub seam: Option<String>,
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
    pub fn new(severity: Severity, code: &str, message: impl Into<String>) -> Self {
        Self {
            severity,
            code: code.to_owned(),
            piece: None,
            seam: None,
            at_mm: None,
            value: None,
            limit: None,
            message: message.into(),
        }
    }

    /// Says which piece it is about.
    pub fn piece(mut self, id: &str) -> Self {
        self.piece = Some(id.to_owned());
        self
    }

    /// Says which seam it is about.
    pub fn seam(mut self, id: &str) -> Self {
        self.seam = Some(id.to_owned());
        self
    }

    /// Says where it is.
    pub fn at(mut self, p: &solid::Point) -> Self {
        // Micrometres are finer than anything that can be printed.
        self.at_mm = Some([p.x, p.y, p.z].map(|x| (x * 1e3).round() / 1e3 + 0.0));
        self
    }

    /// Says what was measured and what it is held against.
    pub fn measured(mut self, value: f64, limit: f64) -> Self {
        let tidy = |x: f64| x.is_finite().then(|| (x * 1e4).round() / 1e4 + 0.0);
        self.value = tidy(value);
        self.limit = tidy(limit);
        self
    }
}
