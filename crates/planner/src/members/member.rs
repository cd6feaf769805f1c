//! What furniture is made of.

use std::fmt;

use serde::{Deserialize, Serialize};
use solid::{Bounds, Frame, Point, Solid, Vector};

/// The box in which a member lies, along its own axes.
#[derive(Clone, Debug, PartialEq)]
pub struct Member {
    /// What it is.
    pub kind: MemberKind,
    /// The middle of its box; `u` runs along its length, `v` along its width, `n`
    /// through its thickness.
    pub frame: Frame,
    /// Length, width and thickness of its box, in mm. Of what tapers, width and
    /// thickness at the thicker end.
    pub size_mm: [f64; 3],
    /// Of what tapers, its width at the thinner end, in mm.
    pub thin_end_mm: Option<f64>,
    /// Whether its section is round; of a board, its face.
    pub round: bool,
    /// Whether it is a board whose faces are not flat.
    pub bent: bool,
}

/// Sides of what is drawn round.
const SIDES: usize = 48;

/// What a member is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum MemberKind {
    /// Two parallel faces, far wider than they are apart.
    Board,
    /// Long, upright, and stands on the floor.
    Leg,
    /// Long and upright.
    Post,
    /// Long and lies.
    Rail,
}

impl fmt::Display for MemberKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Board => "board",
            Self::Leg => "leg",
            Self::Post => "post",
            Self::Rail => "rail",
        })
    }
}

impl Member {
    /// The corners of its box.
    pub fn corners(&self) -> [Point; 8] {
        let [l, w, t] = self.size_mm.map(|s| s / 2.0);
        let signs = [-1.0, 1.0];
        std::array::from_fn(|k| {
            let sign = |place: usize| signs[(k >> place) & 1];
            self.frame.place(sign(0) * l, sign(1) * w, sign(2) * t)
        })
    }

    /// How far it reaches along a direction of length one, from its least height to its
    /// greatest: of what is round the cylinder about it.
    pub fn reach_along(&self, direction: &Vector) -> (f64, f64) {
        let Frame { u, v, n, origin } = &self.frame;
        let [along_u, along_v, along_n] = [u, v, n].map(|axis| axis.dot(direction).abs());
        let [l, w, t] = self.size_mm.map(|s| s / 2.0);
        let half = match (self.round, self.kind) {
            (false, _) => l * along_u + w * along_v + t * along_n,
            (true, MemberKind::Board) => {
                l * (1.0 - along_n * along_n).max(0.0).sqrt() + t * along_n
            }
            (true, _) => l * along_u + w * (1.0 - along_u * along_u).max(0.0).sqrt(),
        };
        let middle = origin.coords.dot(direction);
        (middle - half, middle + half)
    }

    /// The box about it along the model's axes.
    pub fn bounds(&self) -> Bounds {
        let reach = [Vector::x(), Vector::y(), Vector::z()].map(|axis| self.reach_along(&axis));
        Bounds {
            min: reach.map(|r| r.0).into(),
            max: reach.map(|r| r.1).into(),
        }
    }

    /// About how much it holds: all of its box, or of the round stick in it.
    pub fn volume_mm3(&self) -> f64 {
        let [l, w, t] = self.size_mm;
        let thin = self.thin_end_mm.unwrap_or(w) / w;
        let tapered = l * w * t * (1.0 + thin + thin * thin) / 3.0;
        if self.round {
            tapered * std::f64::consts::FRAC_PI_4
        } else {
            tapered
        }
    }

    /// The box or the cylinder in which it lies, to be drawn; `None` where it has no size.
    pub fn about(&self) -> Option<Solid> {
        let (frame, [length, width, thickness]) = (&self.frame, self.size_mm);
        if !self.size_mm.iter().all(|s| *s > 0.0) {
            return None;
        }
        if self.round && self.kind != MemberKind::Board {
            let base = frame.place(-length / 2.0, 0.0, 0.0);
            return Solid::cylinder(base, frame.u * length, width / 2.0, SIDES).ok();
        }
        if self.round {
            let base = frame.place(0.0, 0.0, -thickness / 2.0);
            return Solid::cylinder(base, frame.n * thickness, length / 2.0, SIDES).ok();
        }
        let half = Vector::new(length, width, thickness) / 2.0;
        let block = Solid::cuboid(Point::from(-half), Point::from(half));
        Some(block.moved(&frame.isometry()))
    }

    /// Size in words, in mm: length, width, thickness; of what is round its
    /// diameter in the place of two of them.
    ///
    /// ```
    /// use planner::{Member, MemberKind};
    /// use solid::{Frame, Point, Vector};
    ///
    /// let leg = Member {
    ///     kind: MemberKind::Leg,
    ///     frame: Frame::with_axes(Point::origin(), Vector::x(), Vector::z()),
    ///     size_mm: [430.0, 36.0, 36.0],
    ///     thin_end_mm: Some(28.0),
    ///     round: true,
    ///     bent: false,
    /// };
    /// assert_eq!(leg.size(), "430 × ⌀36 to ⌀28");
    /// ```
    pub fn size(&self) -> String {
        let mm = |x: f64| {
            let text = format!("{x:.2}");
            text.trim_end_matches('0').trim_end_matches('.').to_owned()
        };
        let [l, w, t] = self.size_mm.map(mm);
        let thin = self.thin_end_mm.map(mm);
        match (self.round, thin) {
            _ if self.round && self.kind == MemberKind::Board => format!("⌀{l} × {t}"),
            (true, None) => format!("{l} × ⌀{w}"),
            (true, Some(thin)) => format!("{l} × ⌀{w} to ⌀{thin}"),
            (false, None) => format!("{l} × {w} × {t}"),
            (false, Some(thin)) => format!("{l} × {w} × {t}, {thin} wide at its thin end"),
        }
    }
}
