//! What a model takes to print in equal boxes, and what it would in one piece: what a
//! plan is held against.

use nalgebra::{Translation3, UnitQuaternion};
use printing::{PrintBill, PrintPrice, PrintProfile, Printer, Stance};
use rayon::prelude::*;
use serde::{Deserialize, Serialize};
use solid::{Isometry, Solid, Vector};

use crate::cost::lie::{Lie, Standing};
use crate::lattice::kdop::{Kdop, directions};

/// What bodies take to print, each laid on the best of its six sides square to the axes, of
/// those with which it fits: one on which it stands, if there is one, with little support. Without start and
/// plates.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Laid {
    /// Hours, with those of the support.
    pub hours: f64,
    /// Plastic, with support.
    pub plastic_mm3: f64,
    /// Plastic of the support.
    pub support_mm3: f64,
    /// Space under what hangs over.
    pub space_mm3: f64,
    /// How many stand only with help.
    pub helped: usize,
    /// How many fall.
    pub falling: usize,
}

impl Laid {
    /// What it costs, in minutes of work; what falls costs more than anything.
    fn min(&self) -> f64 {
        FALLS * self.falling as f64 + PrintPrice::default().of(self.plastic_mm3, self.hours)
    }

    /// What some bodies take, each lying so that it fits one of some beds, given as width,
    /// depth and height; on any side where none is given, or where it fits none.
    ///
    /// ```
    /// use planner::Laid;
    /// use printing::PrintProfile;
    /// use solid::{Point, Solid};
    ///
    /// let plank = Solid::cuboid(Point::origin(), Point::new(440.0, 90.0, 18.0));
    /// let laid = Laid::of(&[plank.clone()], &[], &PrintProfile::default());
    /// assert_eq!((laid.support_mm3, laid.falling), (0.0, 0));
    /// assert!(laid.plastic_mm3 < plank.volume_mm3());
    /// ```
    pub fn of(bodies: &[Solid], beds_mm: &[[f64; 3]], profile: &PrintProfile) -> Self {
        let each = bodies.par_iter().map(|b| one(b, beds_mm, profile));
        let each: Vec<Self> = each.collect();
        each.into_iter().fold(Self::default(), |sum, one| Self {
            hours: sum.hours + one.hours,
            plastic_mm3: sum.plastic_mm3 + one.plastic_mm3,
            support_mm3: sum.support_mm3 + one.support_mm3,
            space_mm3: sum.space_mm3 + one.space_mm3,
            helped: sum.helped + one.helped,
            falling: sum.falling + one.falling,
        })
    }
}

fn one(piece: &Solid, beds_mm: &[[f64; 3]], profile: &PrintProfile) -> Laid {
    let reach = Kdop::of(piece, &directions());
    let ways = ways(&reach, beds_mm);
    if beds_mm.is_empty() {
        // Of a whole model a box about it tells little.
        let each: Vec<Laid> = ways.par_iter().map(|&w| laid(piece, w, profile)).collect();
        let each = each.into_iter();
        return each
            .min_by(|a, b| a.min().total_cmp(&b.min()))
            .unwrap_or_default();
    }
    let cost = |&way: &(usize, bool)| roughly_min(&reach, way, profile);
    let best = ways.into_iter().min_by(|a, b| cost(a).total_cmp(&cost(b)));
    laid(piece, best.unwrap_or((2, false)), profile)
}

/// What a piece takes with a side down.
fn laid(piece: &Solid, way: (usize, bool), profile: &PrintProfile) -> Laid {
    let lying = on_side(piece, way);
    let anywhere = Printer::rectangular("any", FAR_MM, FAR_MM, FAR_MM);
    let stance = Stance::of(&lying, &anywhere, profile);
    let bill = PrintBill::of(&lying, &stance, profile);
    let stands = |how| usize::from(stance.standing() == how);
    Laid {
        hours: bill.hours(profile),
        plastic_mm3: bill.plastic_mm3(),
        support_mm3: bill.support_mm3,
        space_mm3: stance.support.space_mm3,
        helped: stands(printing::Standing::Helped),
        falling: stands(printing::Standing::Falls),
    }
}

/// Beyond any furniture.
const FAR_MM: f64 = 1e5;

/// The sides on which a piece fits one of some beds, an axis and whether its end looks up;
/// all six where none is given, or where it fits none.
fn ways(reach: &Kdop, beds_mm: &[[f64; 3]]) -> Vec<(usize, bool)> {
    let size = [0, 1, 2].map(|k| reach.high[k] - reach.low[k] - 1e-6);
    let fits = |up: usize| {
        let (a, b) = (size[(up + 1) % 3], size[(up + 2) % 3]);
        let on = |&[w, d, h]: &[f64; 3]| size[up] <= h && (a <= w && b <= d || a <= d && b <= w);
        beds_mm.iter().any(on)
    };
    let anywhere = !(0..3).any(fits);
    let axes = (0..3).filter(|&axis| anywhere || fits(axis));
    axes.flat_map(|axis| [false, true].map(|looks_up| (axis, looks_up)))
        .collect()
}

/// What a print costs on a side, as far as a k-dop tells, in minutes of work.
fn roughly_min(reach: &Kdop, way: (usize, bool), profile: &PrintProfile) -> f64 {
    let lie = Lie::on_side(reach, reach, way, profile);
    let price = PrintPrice::default();
    let falls = if lie.standing == Standing::Firmly {
        0.0
    } else {
        FALLS
    };
    falls + price.of(lie.plastic_mm3, lie.hours) + price.of(lie.support_mm3, lie.support_hours)
}

/// The piece with a side down, its lowest point at z = 0.
fn on_side(piece: &Solid, (axis, looks_up): (usize, bool)) -> Solid {
    let down = Vector::ith(axis, if looks_up { 1.0 } else { -1.0 });
    let upside_down = || UnitQuaternion::from_axis_angle(&Vector::x_axis(), std::f64::consts::PI);
    let turn = UnitQuaternion::rotation_between(&down, &-Vector::z()).unwrap_or_else(upside_down);
    let lying = piece.moved(&Isometry::from_parts(Translation3::identity(), turn));
    let low = lying.bounds().map_or(Vector::zeros(), |b| b.min.coords);
    lying.shifted(-low)
}

/// More than anything else about a piece costs.
const FALLS: f64 = 1e6;

#[cfg(test)]
mod tests {
    use solid::Point;

    use super::*;

    /// A slab on a stem, whose best side, its top, is too broad for the bed.
    #[test]
    fn what_fits_on_no_broad_side_lies_on_a_narrow_one() {
        let slab = Solid::cuboid(Point::new(0.0, 0.0, 80.0), Point::new(225.0, 200.0, 100.0));
        let stem = Solid::cuboid(Point::new(90.0, 90.0, 0.0), Point::new(130.0, 130.0, 81.0));
        let body = slab.union(&stem).unwrap();
        let of = |beds: &[[f64; 3]]| {
            Laid::of(std::slice::from_ref(&body), beds, &PrintProfile::default())
        };
        assert_eq!(of(&[]).support_mm3, 0.0);
        assert_eq!(of(&[[230.0, 220.0, 250.0]]).support_mm3, 0.0);
        assert!(of(&[[220.0, 220.0, 250.0]]).support_mm3 > 0.0);
    }
}
