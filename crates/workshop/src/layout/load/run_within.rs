//! How much of a joint's run lies in a contact.

use joinery::{JointShape, stretches};
use solid::Frame;

use crate::layout::way::in_frame;
use crate::partition::contacts::Contact;

/// How much of a joint's run, given in its own frame, lies in a contact on a seam: a long
/// tail may run through several, and through the air between them. Taken along its middle
/// and both edges.
pub(crate) fn run_within_mm(
    contact: &Contact,
    seam: &Frame,
    (shape, frame): (&JointShape, &Frame),
) -> f64 {
    let JointShape::InLane(joint) = shape else {
        return 0.0;
    };
    let outline = in_frame(&contact.outline, seam, frame);
    let lane = &joint.main.lane;
    let covered = |u: f64| -> f64 {
        let within =
            |&(low, high): &(f64, f64)| (high.min(lane.to_mm) - low.max(lane.from_mm)).max(0.0);
        stretches(&outline, u).iter().map(within).sum()
    };
    let half = joint.width_mm / 2.0;
    let lines = [-half, 0.0, half].map(|off| covered(lane.across_mm + off));
    lines.iter().sum::<f64>() / 3.0
}

#[cfg(test)]
mod tests {
    use geo::BooleanOps;
    use joinery::{JointKind, JointRules, Lane, Sliding};
    use solid::{Point, Vector, rectangle};

    use super::*;

    /// A tail through two boards of 6 mm, 100 mm apart.
    #[test]
    fn a_tail_bears_where_there_is_material_and_not_between() {
        let lane = Lane {
            across_mm: 5.0,
            from_mm: 0.0,
            to_mm: 112.0,
            blind: false,
        };
        let rules = JointRules::default();
        let tail = Sliding::full_size(JointKind::Dovetail, &lane, &rules).unwrap();
        let frame = Frame::with_axes(Point::origin(), Vector::z(), Vector::x());
        let boards =
            rectangle([-50.0, 0.0], [50.0, 6.0]).union(&rectangle([-50.0, 106.0], [50.0, 112.0]));
        let contact = |outline| Contact {
            pieces: [0, 1],
            cells: [0, 1],
            outline,
            area_mm2: 1.0,
            thick_mm: 6.0,
            slight: false,
        };
        let shape = (&JointShape::InLane(tail), &frame);
        let both = run_within_mm(&contact(boards), &frame, shape);
        assert!((both - 12.0).abs() < 1e-9);
        let one = contact(rectangle([-50.0, 106.0], [50.0, 112.0]));
        assert!((run_within_mm(&one, &frame, shape) - 6.0).abs() < 1e-9);
        // In a contact that ends under the tail's middle a third of each edge is beside it.
        let ends = contact(rectangle([5.5, 0.0], [50.0, 6.0]));
        assert!((run_within_mm(&ends, &frame, shape) - 2.0).abs() < 1e-9);
    }
}
