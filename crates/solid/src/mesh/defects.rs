//! What can be wrong with a mesh that should bound a solid.

use std::fmt;

use crate::Point;

/// What can be wrong with a triangle mesh that should bound a solid.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum DefectKind {
    /// There is no triangle at all.
    NoTriangles,
    /// A triangle names a vertex that does not exist.
    IndexOutOfRange,
    /// A coordinate is not a finite number.
    NotFinite,
    /// A triangle has no area: two corners meet or all three are in line.
    ZeroArea,
    /// An edge belongs to one triangle only: the surface has a hole there.
    OpenEdge,
    /// An edge belongs to more than two triangles.
    CrowdedEdge,
    /// Two triangles run along their common edge in the same direction: one of
    /// them faces the wrong way.
    FlippedFace,
    /// A body's outward is inward.
    InsideOut,
}

impl DefectKind {
    /// Whether there is nothing to look at, or not with these numbers.
    pub(crate) fn is_of_numbers(self) -> bool {
        matches!(
            self,
            Self::NoTriangles | Self::IndexOutOfRange | Self::NotFinite
        )
    }

    /// The defect in a word, as it may stand in the name of a file.
    ///
    /// ```
    /// assert_eq!(solid::DefectKind::OpenEdge.word(), "open-edge");
    /// ```
    pub fn word(self) -> &'static str {
        match self {
            Self::NoTriangles => "no-triangles",
            Self::IndexOutOfRange => "missing-vertex",
            Self::NotFinite => "not-a-number",
            Self::ZeroArea => "zero-area",
            Self::OpenEdge => "open-edge",
            Self::CrowdedEdge => "crowded-edge",
            Self::FlippedFace => "flipped-face",
            Self::InsideOut => "inside-out",
        }
    }

    /// The defect in a few words, for one and for several.
    fn words(self) -> (&'static str, &'static str) {
        match self {
            Self::NoTriangles => ("mesh without triangles", "meshes without triangles"),
            Self::IndexOutOfRange => ("missing vertex", "missing vertices"),
            Self::NotFinite => (
                "coordinate that is not a number",
                "coordinates that are not numbers",
            ),
            Self::ZeroArea => ("zero-area face", "zero-area faces"),
            Self::OpenEdge => ("open edge", "open edges"),
            Self::CrowdedEdge => (
                "edge with more than two faces",
                "edges with more than two faces",
            ),
            Self::FlippedFace => ("flipped face", "flipped faces"),
            Self::InsideOut => ("inside-out body", "inside-out bodies"),
        }
    }
}

/// One kind of defect: how often, and where the first is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Defect {
    /// What is wrong.
    pub kind: DefectKind,
    /// How many there are.
    pub count: usize,
    /// Where the first one is.
    pub at: Point,
}

impl fmt::Display for Defect {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (one, many) = self.kind.words();
        let words = if self.count == 1 { one } else { many };
        let p = self.at;
        write!(
            f,
            "{} {words}, the first at ({:.3}, {:.3}, {:.3}) mm",
            self.count, p.x, p.y, p.z
        )
    }
}

/// Everything found wrong with a mesh; never empty.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub struct Defects {
    /// One entry a kind, in the order of [`DefectKind`].
    pub found: Vec<Defect>,
}

impl fmt::Display for Defects {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, defect) in self.found.iter().enumerate() {
            if i > 0 {
                write!(f, "; ")?;
            }
            write!(f, "{defect}")?;
        }
        Ok(())
    }
}

impl Defects {
    /// Whether a kind of defect was found.
    pub fn has(&self, kind: DefectKind) -> bool {
        self.found.iter().any(|d| d.kind == kind)
    }
}

/// Defects as they are found.
#[derive(Default)]
pub(crate) struct Tally(Vec<Defect>);

impl Tally {
    pub(crate) fn add(&mut self, kind: DefectKind, at: Point) {
        match self.0.iter_mut().find(|d| d.kind == kind) {
            Some(held) => held.count += 1,
            None => self.0.push(Defect { kind, count: 1, at }),
        }
    }

    pub(crate) fn result(mut self) -> Result<(), Defects> {
        if self.0.is_empty() {
            return Ok(());
        }
        self.0.sort_by_key(|d| d.kind);
        Err(Defects { found: self.0 })
    }
}
