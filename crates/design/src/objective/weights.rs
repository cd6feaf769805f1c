//! The weights that a maker can set.

use printing::{BrokenRule, within};
use serde::{Deserialize, Serialize};

/// What makes one plan better than another, in pieces: what weighs 0.5 costs as
/// much as half a piece. The defaults are our choice, without a source.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Weights {
    /// Each seam.
    pub seam: f64,
    /// A seam none of whose section has material a joint deep on both sides.
    pub unsound: f64,
    /// A seam none of whose sound section is wide enough for a joint.
    pub roomless: f64,
    /// A seam that can bear nothing: the estimates of joints grow with the
    /// section that has room for them, and half of this is left at 400 mm².
    pub weak: f64,
    /// A seam none of whose section has material 24 mm behind it on both sides:
    /// it runs along a board, or close to where something ends.
    pub shallow: f64,
    /// A seam with 100 mm of feather edge: where it meets the surface at less than
    /// 20°, one side of it is too thin to print.
    pub feather: f64,
    /// A piece so thin or short that it is a sliver.
    pub sliver: f64,
    /// A piece as large as the bed against several small ones: evens sizes.
    pub unequal: f64,
    /// A seam as large as the model's largest section.
    pub area: f64,
    /// A seam whose line shows on a hidden side.
    pub shown: f64,
    /// A seam flush with the face of a panel, in which what ends on it is
    /// housed.
    pub housed: f64,
    /// A seam in the middle of the model's length, where bending is greatest;
    /// less towards the ends.
    pub mid_span: f64,
    /// A piece, for each unit of slenderness above what stands steady on the
    /// bed.
    pub wobble: f64,
    /// A piece, for each litre of space under what hangs over by more than 45° the
    /// way it lies: the plastic, the hours and the cleaning that support takes.
    pub support: f64,
    /// A piece that stands on none of its sides while it is printed.
    pub footing: f64,
    /// A piece, for each hour that its print takes.
    pub print_hour: f64,
    /// Two seams that end on a third from its two sides at one place, so that
    /// four corners meet; twice where they end within 15 mm of each other.
    pub four_corners: f64,
    /// A side of a piece that is held by keys because the bed has no room for
    /// tails there.
    pub keyed: f64,
    /// What each piece saves that has the shape of another.
    pub alike: f64,
}

impl Default for Weights {
    fn default() -> Self {
        Self {
            seam: 0.05,
            unsound: 3.0,
            roomless: 1.2,
            weak: 0.05,
            shallow: 0.5,
            feather: 5.0,
            sliver: 0.4,
            unequal: 0.08,
            area: 0.05,
            shown: 0.1,
            housed: 0.1,
            mid_span: 0.02,
            wobble: 0.06,
            support: 0.5,
            footing: 3.0,
            print_hour: 0.01,
            four_corners: 0.2,
            keyed: 0.25,
            alike: 0.05,
        }
    }
}

impl Weights {
    /// Checks that every weight is a number from 0 to 100.
    ///
    /// # Errors
    ///
    /// The first that is not.
    pub fn checked(&self) -> Result<(), BrokenRule> {
        let Self {
            seam,
            unsound,
            roomless,
            weak,
            shallow,
            feather,
            sliver,
            unequal,
            area,
            shown,
            housed,
            mid_span,
            wobble,
            support,
            footing,
            print_hour,
            four_corners,
            keyed,
            alike,
        } = *self;
        for (name, value) in [
            ("weights.seam", seam),
            ("weights.unsound", unsound),
            ("weights.roomless", roomless),
            ("weights.weak", weak),
            ("weights.shallow", shallow),
            ("weights.feather", feather),
            ("weights.sliver", sliver),
            ("weights.unequal", unequal),
            ("weights.area", area),
            ("weights.shown", shown),
            ("weights.housed", housed),
            ("weights.mid_span", mid_span),
            ("weights.wobble", wobble),
            ("weights.support", support),
            ("weights.footing", footing),
            ("weights.print_hour", print_hour),
            ("weights.four_corners", four_corners),
            ("weights.keyed", keyed),
            ("weights.alike", alike),
        ] {
            within(name, value, 0.0, 100.0)?;
        }
        Ok(())
    }
}
