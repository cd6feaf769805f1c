//! A seam as it is planned: its plane, and what is said of its joints.

use solid::{Bounds, Frame, Isometry, KernelError, Point, Solid, Vector};

use crate::ids::PieceId;
use crate::joint_choice::JointChoice;
use crate::rule_changes::RuleChanges;
use crate::tree::seam_side::SeamSide;

/// One plane of the cut tree.
#[derive(Clone, Debug, PartialEq)]
pub struct PlannedSeam {
    /// The plane's normal, of length one.
    pub normal: [f64; 3],
    /// The plane's place along its normal, from the model's origin.
    pub at_mm: f64,
    /// The box, by two opposite corners, within which it cuts, where it does not
    /// go right through: what lies below the plane outside the box counts as
    /// above it. The box's sides must stand in the air.
    pub within_mm: Option<[[f64; 3]; 2]>,
    /// The joints for this seam, where they differ from the settings.
    pub joint: Option<JointChoice>,
    /// The way the tails' half moves to go home, where it is prescribed.
    pub slide: Option<[f64; 3]>,
    /// Why it is here, for people.
    pub reason: String,
    /// Numbers of the joints that differ from the settings on this seam.
    pub joints: RuleChanges,
    /// Contacts of this seam that differ from it.
    pub contacts: Vec<PlannedContact>,
}

/// What one contact has that its seam has not.
#[derive(Clone, Debug, PartialEq)]
pub struct PlannedContact {
    /// The two pieces that meet, in either order.
    pub pieces: [PieceId; 2],
    /// The joints for this contact, where they differ from the seam's.
    pub joint: Option<JointChoice>,
    /// Numbers of the joints that differ from the seam's.
    pub joints: RuleChanges,
}

/// What a turn by a quarter leaves of its rounding.
const ROUNDING: f64 = 1e-12;

impl PlannedSeam {
    /// A seam with the terms of the settings.
    pub fn at(normal: [f64; 3], at_mm: f64) -> Self {
        Self {
            normal,
            at_mm,
            within_mm: None,
            joint: None,
            slide: None,
            reason: String::new(),
            joints: RuleChanges::default(),
            contacts: Vec::new(),
        }
    }

    /// The same where a motion takes it, with terms for no single contact.
    ///
    /// ```
    /// use design::PlannedSeam;
    /// use solid::{Isometry, Vector};
    ///
    /// let turn = Isometry::rotation(Vector::z() * std::f64::consts::FRAC_PI_2);
    /// let seam = PlannedSeam::at([1.0, 0.0, 0.0], 150.0).moved(&turn);
    /// assert_eq!((seam.normal, seam.at_mm), ([0.0, 1.0, 0.0], 150.0));
    /// ```
    #[must_use]
    pub fn moved(&self, motion: &Isometry) -> Self {
        let turned = |v: [f64; 3]| -> [f64; 3] {
            let v = motion.rotation * Vector::from(v);
            v.map(|x| {
                if (x - x.round()).abs() < ROUNDING {
                    x.round() + 0.0
                } else {
                    x
                }
            })
            .into()
        };
        let normal = turned(self.normal);
        let within_mm = self.within().map(|b| {
            let b = b.moved(motion);
            [b.min.into(), b.max.into()]
        });
        Self {
            normal,
            at_mm: self.at_mm + motion.translation.vector.dot(&Vector::from(normal)),
            within_mm,
            slide: self.slide.map(turned),
            contacts: Vec::new(),
            ..self.clone()
        }
    }

    /// The seam's plane; the normal is the plane's positive side.
    pub fn frame(&self) -> Frame {
        let n = Vector::from(self.normal);
        Frame::facing(Point::from(n * self.at_mm), n)
    }

    /// The box within which it cuts, where it does not go right through.
    pub fn within(&self) -> Option<Bounds> {
        let [a, b] = self.within_mm?;
        Some(Bounds::between(a.into(), b.into()))
    }

    /// What lies on one side of it.
    ///
    /// # Errors
    ///
    /// When the kernel refuses the solid.
    ///
    /// ```
    /// use design::{PlannedSeam, SeamSide};
    /// use solid::{Point, Solid};
    ///
    /// // Two posts on a plate; the seam cuts the one at the left.
    /// let block = |a: [f64; 3], b: [f64; 3]| Solid::cuboid(Point::from(a), Point::from(b));
    /// let left = block([0.0, 0.0, 0.0], [20.0, 20.0, 100.0]);
    /// let right = block([80.0, 0.0, 0.0], [100.0, 20.0, 100.0]);
    /// let plate = block([0.0, 0.0, 100.0], [100.0, 20.0, 110.0]);
    /// let stool = Solid::union_of([&left, &right, &plate]).unwrap();
    /// let seam = PlannedSeam {
    ///     within_mm: Some([[-5.0, -5.0, -5.0], [25.0, 25.0, 120.0]]),
    ///     ..PlannedSeam::at([0.0, 0.0, 1.0], 40.0)
    /// };
    /// let below = seam.side_of(&stool, SeamSide::Below).unwrap();
    /// assert!((below.volume_mm3() - 20.0 * 20.0 * 40.0).abs() < 1e-6);
    /// let above = seam.side_of(&stool, SeamSide::Above).unwrap();
    /// assert_eq!(above.bodies().len(), 1);
    /// assert!((above.volume_mm3() + below.volume_mm3() - stool.volume_mm3()).abs() < 1e-6);
    /// ```
    pub fn side_of(&self, solid: &Solid, side: SeamSide) -> Result<Solid, KernelError> {
        let frame = self.frame();
        match (self.within(), side) {
            (None, SeamSide::Above) => solid.trimmed(&frame),
            (None, SeamSide::Below) => solid.trimmed(&frame.flipped()),
            (Some(b), side) => {
                let below = Solid::cuboid(b.min, b.max).trimmed(&frame.flipped())?;
                match side {
                    SeamSide::Above => solid.difference(&below),
                    SeamSide::Below => solid.intersection(&below),
                }
            }
        }
    }

    /// The side on which a point lies, by the same measure.
    pub fn side_at(&self, p: &Point) -> SeamSide {
        if self.within().is_some_and(|b| !b.contains(p, 0.0)) {
            return SeamSide::Above;
        }
        SeamSide::of_height(self.frame().height(p))
    }
}
