//! Labels as data: what is engraved where.

use serde::{Deserialize, Serialize};
use solid::{Frame, Isometry, Vector};

/// Words engraved in a face of a piece, and an arrow where it has a way to go.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Label {
    /// What it says.
    pub text: String,
    /// The arrow that follows, if any, along the label's axes: the way that
    /// the piece goes home at this seam.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub arrow: Option<[i8; 2]>,
    /// The middle of the words on the face, the way they run, the way up, and
    /// the way out of the face.
    pub frame: [[f64; 3]; 4],
    /// Height of a capital.
    pub cap_mm: f64,
    /// Width of the strokes.
    pub stroke_mm: f64,
    /// How deep they are.
    pub depth_mm: f64,
}

impl Label {
    /// The frame in which the words stand.
    pub fn frame(&self) -> Frame {
        Frame::from_rows(self.frame)
    }

    /// The way that the arrow points, where there is one.
    pub fn way(&self) -> Option<Vector> {
        let frame = self.frame();
        self.arrow
            .map(|[x, y]| frame.u * f64::from(x) + frame.v * f64::from(y))
    }

    /// The same words on a piece that was moved.
    #[must_use]
    pub fn moved(&self, motion: &Isometry) -> Self {
        let frame = self.frame();
        let turned = Frame {
            origin: motion * frame.origin,
            u: motion.rotation * frame.u,
            v: motion.rotation * frame.v,
            n: motion.rotation * frame.n,
        };
        Self {
            frame: turned.rows(),
            ..self.clone()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use solid::Point;

    #[test]
    fn the_arrow_goes_with_the_piece() {
        let top = Frame::facing(Point::new(0.0, 0.0, 20.0), Vector::z());
        let label = Label {
            text: "S1".into(),
            arrow: Some([1, 0]),
            frame: top.rows(),
            cap_mm: 8.0,
            stroke_mm: 0.9,
            depth_mm: 0.4,
        };
        let turn = Isometry::rotation(Vector::z() * std::f64::consts::FRAC_PI_2);
        let (before, after) = (label.way().unwrap(), label.moved(&turn).way().unwrap());
        assert!((turn * before - after).norm() < 1e-12);
    }
}
