//! Fit coupons: small pairs that show which clearance suits a printer.

use solid::{Bounds, Frame, KernelError, Point, Solid, Vector};

use crate::kind::abilities::Form;
use crate::kind::joint_kind::JointKind;
use crate::rules::JointRules;
use crate::shape::joint::{Half, Joint, JointError};
use crate::shape::lane::Lane;
use crate::shape::sliding::Sliding;
use crate::shape::tenon::Tenon;
use crate::sizing::TailSize;
use printing::BrokenRule;

/// A coupon could not be made.
#[derive(Clone, Debug, thiserror::Error, PartialEq)]
pub enum CouponError {
    /// The joint could not be made.
    #[error(transparent)]
    Joint(#[from] JointError),
    /// A number breaks a rule.
    #[error(transparent)]
    Rule(#[from] BrokenRule),
    /// The kernel refused.
    #[error(transparent)]
    Kernel(#[from] KernelError),
    /// A plain seam has nothing to try.
    #[error("a plain seam has no fit to try; name a joint")]
    Plain,
}

/// The two halves of one coupon, as they lie on the plate.
#[derive(Clone, Debug)]
pub struct CouponPair {
    /// The clearance that it tries.
    pub clearance_mm: f64,
    /// The half with the tail, the half with the socket, and the key where
    /// the joint has one.
    pub parts: Vec<Solid>,
}

/// Height of a coupon: the run of its joint.
const HEIGHT_MM: f64 = 6.0;
/// Free space between coupons.
const APART_MM: f64 = 4.0;
/// Pairs in a row.
const IN_A_ROW: usize = 5;

/// A plate of coupons of one joint, a pair for each clearance, marked with it.
/// The profile lies in the layer plane, so they print without support.
///
/// # Errors
///
/// When a clearance breaks a rule or the joint cannot be made.
///
/// ```
/// use joinery::{JointKind, JointRules, coupon};
///
/// let plate = coupon::plate(JointKind::Dovetail, &[0.0, 0.1], &JointRules::default()).unwrap();
/// assert_eq!(plate.len(), 2);
/// ```
pub fn plate(
    kind: JointKind,
    clearances_mm: &[f64],
    rules: &JointRules,
) -> Result<Vec<CouponPair>, CouponError> {
    let mut pairs = Vec::new();
    let mut at = Vector::zeros();
    for (k, &clearance_mm) in clearances_mm.iter().enumerate() {
        let rules = JointRules {
            clearance_mm,
            ..rules.clone()
        };
        rules.checked()?;
        let (mut beside, mut row) = (0.0, 0.0f64);
        let parts = pair(kind, &rules)?
            .into_iter()
            .map(|part| {
                let bounds = part.bounds().unwrap_or(Bounds {
                    min: Point::origin(),
                    max: Point::origin(),
                });
                let low = Vector::new(bounds.min.x - beside, bounds.min.y, 0.0);
                beside += bounds.size_mm().x + APART_MM;
                row = row.max(bounds.size_mm().y + APART_MM);
                part.shifted(at - low)
            })
            .collect();
        pairs.push(CouponPair {
            clearance_mm,
            parts,
        });
        at.y += row;
        if (k + 1) % IN_A_ROW == 0 {
            at = Vector::new(at.x + beside + APART_MM, 0.0, 0.0);
        }
    }
    Ok(pairs)
}

/// Both halves in place, standing on z = 0, with their marks on top; a key
/// after them.
fn pair(kind: JointKind, rules: &JointRules) -> Result<Vec<Solid>, CouponError> {
    // The tails' half lies towards -x and goes home upward.
    let seam = Frame::with_axes(Point::origin(), Vector::x(), Vector::y());
    let lane = Lane {
        across_mm: 0.0,
        from_mm: 0.0,
        to_mm: HEIGHT_MM,
        blind: false,
    };
    let tail_strip = TailSize::of_width(kind, rules.tail_width_mm, rules).strip_mm();
    let (joint, half_width): (Joint, f64) = match kind.abilities().form {
        Form::Flat => return Err(CouponError::Plain),
        Form::Block => {
            let foot = rules.tail_width_mm.min(0.5 * HEIGHT_MM);
            let tenon = Tenon::sized([0.0, HEIGHT_MM / 2.0], [rules.tail_width_mm, foot], rules)?;
            (tenon.joint(&seam)?, tail_strip / 2.0)
        }
        Form::Fingers => {
            let row = Sliding::full_size(kind, &lane, rules)?;
            let width = 3.0 * rules.finger_width_mm + 1e-6;
            let half = width / 2.0 + rules.wall_beside_fingers_mm();
            (row.joint(&seam)?, half)
        }
        Form::Tail | Form::BracedTail | Form::Tongue | Form::Key => {
            let tail = Sliding::full_size(kind, &lane, rules)?;
            (tail.joint(&seam)?, tail_strip / 2.0)
        }
    };
    let (forward, back) = rules.reach_of_mm(kind);
    let block = |low: f64, high: f64| {
        Solid::cuboid(
            Point::new(low, -half_width, 0.0),
            Point::new(high, half_width, HEIGHT_MM),
        )
    };
    // Room for the mark behind the joint.
    let depth = |reach: f64| reach + MARK_MM + 1.8;
    let mut halves = [block(-depth(back), 0.0), block(0.0, depth(forward))];
    let whole = block(-depth(back), depth(forward));
    let mut keys = Vec::new();
    for transfer in &joint.transfers {
        let (gains, loses) = match transfer.to {
            Half::Tails => (0, 1),
            Half::Sockets => (1, 0),
            Half::Key => {
                for half in &mut halves {
                    *half = half.difference(&transfer.socket)?;
                }
                keys.push(transfer.tail.intersection(&whole)?);
                continue;
            }
        };
        halves[gains] = halves[gains].union(&transfer.tail.intersection(&whole)?)?;
        halves[loses] = halves[loses].difference(&transfer.socket)?;
    }
    let [tails, sockets] = halves;
    let edge = |s: &Solid, far: bool| {
        s.bounds()
            .map_or(0.0, |b| if far { b.max.x } else { b.min.x })
    };
    let (low, high) = (edge(&tails, false), edge(&sockets, true));
    let mark = |x: f64| mark(rules.clearance_mm, Point::new(x, 0.0, HEIGHT_MM));
    let mut parts = vec![
        tails.union(&mark(low + 0.6)?)?,
        sockets.union(&mark(high - 0.6 - MARK_MM)?)?,
    ];
    parts.extend(keys);
    Ok(parts)
}

/// Height of a figure of the mark.
const MARK_MM: f64 = 3.4;
/// Width of its strokes: two lines of the usual nozzle of 0.4 mm.
const STROKE_MM: f64 = 0.8;
/// How far it stands out.
const RAISED_MM: f64 = 0.6;

/// A number in raised strokes. Seen from above with y to the right, figures
/// stand side by side and upright.
fn mark(value: f64, at: Point) -> Result<Solid, KernelError> {
    let text = format!("{value:.2}");
    let pitch = 3.3;
    let width = |c: char| if c == '.' { 1.6 } else { pitch };
    let total: f64 = text.chars().map(width).sum();
    let mut y = at.y - total / 2.0;
    let mut strokes = Vec::new();
    for c in text.chars() {
        for [a, b] in segments(c) {
            // Figure coordinates: right along y, up along -x.
            let place = |p: [f64; 2]| [at.x + MARK_MM - p[1] * MARK_MM, y + 0.3 + p[0] * 2.2];
            let (p, q) = (place(a), place(b));
            let low = [
                p[0].min(q[0]) - STROKE_MM / 2.0,
                p[1].min(q[1]) - STROKE_MM / 2.0,
            ];
            let high = [
                p[0].max(q[0]) + STROKE_MM / 2.0,
                p[1].max(q[1]) + STROKE_MM / 2.0,
            ];
            strokes.push(Solid::cuboid(
                Point::new(low[0], low[1], at.z - 0.3),
                Point::new(high[0], high[1], at.z + RAISED_MM),
            ));
        }
        y += width(c);
    }
    Solid::union_of(&strokes)
}

/// Straight strokes of a figure in a box of one by one, lower left at zero.
fn segments(c: char) -> Vec<[[f64; 2]; 2]> {
    const TOP: [[f64; 2]; 2] = [[0.0, 1.0], [1.0, 1.0]];
    const MIDDLE: [[f64; 2]; 2] = [[0.0, 0.5], [1.0, 0.5]];
    const BOTTOM: [[f64; 2]; 2] = [[0.0, 0.0], [1.0, 0.0]];
    const UPPER_LEFT: [[f64; 2]; 2] = [[0.0, 0.5], [0.0, 1.0]];
    const UPPER_RIGHT: [[f64; 2]; 2] = [[1.0, 0.5], [1.0, 1.0]];
    const LOWER_LEFT: [[f64; 2]; 2] = [[0.0, 0.0], [0.0, 0.5]];
    const LOWER_RIGHT: [[f64; 2]; 2] = [[1.0, 0.0], [1.0, 0.5]];
    match c {
        '0' => vec![
            TOP,
            BOTTOM,
            UPPER_LEFT,
            UPPER_RIGHT,
            LOWER_LEFT,
            LOWER_RIGHT,
        ],
        '1' => vec![UPPER_RIGHT, LOWER_RIGHT],
        '2' => vec![TOP, UPPER_RIGHT, MIDDLE, LOWER_LEFT, BOTTOM],
        '3' => vec![TOP, UPPER_RIGHT, MIDDLE, LOWER_RIGHT, BOTTOM],
        '4' => vec![UPPER_LEFT, MIDDLE, UPPER_RIGHT, LOWER_RIGHT],
        '5' => vec![TOP, UPPER_LEFT, MIDDLE, LOWER_RIGHT, BOTTOM],
        '6' => vec![TOP, UPPER_LEFT, MIDDLE, LOWER_LEFT, LOWER_RIGHT, BOTTOM],
        '7' => vec![TOP, UPPER_RIGHT, LOWER_RIGHT],
        '8' => vec![
            TOP,
            MIDDLE,
            BOTTOM,
            UPPER_LEFT,
            UPPER_RIGHT,
            LOWER_LEFT,
            LOWER_RIGHT,
        ],
        '9' => vec![TOP, MIDDLE, BOTTOM, UPPER_LEFT, UPPER_RIGHT, LOWER_RIGHT],
        '.' => vec![[[0.1, 0.0], [0.1, 0.0]]],
        _ => Vec::new(),
    }
}

/// A real joint of two finished pieces, cut out as a small pair: the first
/// tail of the first piece that stands over the seam, with some material
/// about it.
///
/// # Errors
///
/// When the kernel refuses, or nothing stands over the seam.
pub fn cut_out(
    seam: &Frame,
    below: &Solid,
    above: &Solid,
) -> Result<Option<(Solid, Solid)>, KernelError> {
    for (plane, tails) in [(*seam, below), (seam.flipped(), above)] {
        let over = tails.trimmed(&plane.raised(0.05))?;
        let Some(tail) = over.bodies().into_iter().next() else {
            continue;
        };
        let Some(reach) = tail.bounds() else { continue };
        // The joint, a wall about it and some of either half to hold it by.
        let margin = Vector::new(6.0, 6.0, 6.0) + plane.n.map(f64::abs) * 4.0;
        let crop = Bounds {
            min: reach.min - margin,
            max: reach.max + margin,
        };
        let crop = Solid::cuboid(crop.min, crop.max);
        let nearest = |s: Solid| {
            s.bodies()
                .into_iter()
                .max_by(|a, b| a.volume_mm3().total_cmp(&b.volume_mm3()))
        };
        if let (Some(a), Some(b)) = (
            nearest(below.intersection(&crop)?),
            nearest(above.intersection(&crop)?),
        ) {
            return Ok(Some((a, b)));
        }
    }
    Ok(None)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn coupons_of_every_joint_are_single_bodies_that_do_not_overlap() {
        for kind in JointKind::ALL.into_iter().filter(|k| k.joins()) {
            let pairs = plate(kind, &[0.0, 0.05, 0.1, 0.15, 0.2], &JointRules::default()).unwrap();
            let solids: Vec<&Solid> = pairs.iter().flat_map(|p| &p.parts).collect();
            for (i, a) in solids.iter().enumerate() {
                assert_eq!(a.bodies().len(), 1, "{kind}");
                assert!(a.bounds().unwrap().min.z.abs() < 1e-9);
                for b in &solids[i + 1..] {
                    assert!(
                        !a.bounds().unwrap().overlaps(&b.bounds().unwrap(), 0.0),
                        "{kind}"
                    );
                }
            }
            // An hour at 8 mm³/s (common practice for a slow print) is 28.8 cm³.
            let volume: f64 = solids.iter().map(|s| s.volume_mm3()).sum();
            assert!(volume < 28_800.0, "{kind}: {volume} mm³");
        }
    }
}
