//! Boxes about joints that are there already, for new seams to keep out of.

use joinery::{Joint, JointShape};
use planner::KeepOut;
use solid::{Frame, Solid};

/// Boxes about the solids of a joint on a frame. What lies in a lane may be cut
/// across, and each part holds; what is pushed in may not.
pub(crate) fn around_joint(shape: &JointShape, joint: &Joint, frame: &Frame) -> Vec<KeepOut> {
    let run = match shape {
        JointShape::InLane(_) => Some(frame.v),
        JointShape::Tenon(_) => None,
    };
    let solids = joint.transfers.iter().flat_map(|t| [&t.tail, &t.socket]);
    let boxes = solids.filter_map(Solid::bounds);
    boxes.map(|bounds| KeepOut { bounds, run }).collect()
}

#[cfg(test)]
mod tests {
    use joinery::tenon::Tenon;
    use joinery::{JointKind, JointRules, Lane, Sliding};
    use solid::{Point, Vector};

    use super::*;

    #[test]
    fn a_tail_may_be_cut_across_and_a_tenon_may_not() {
        let frame = Frame::with_axes(Point::origin(), Vector::x(), Vector::y());
        let rules = JointRules::default();
        let lane = Lane {
            across_mm: 0.0,
            from_mm: -9.0,
            to_mm: 9.0,
            blind: false,
        };
        let tail = Sliding::full_size(JointKind::Dovetail, &lane, &rules).unwrap();
        let tenon = Tenon::sized([0.0, 0.0], [10.0, 10.0], &rules).unwrap();
        for (shape, run) in [
            (JointShape::InLane(tail), Some(frame.v)),
            (JointShape::Tenon(tenon), None),
        ] {
            let joint = shape.joint(&frame).unwrap();
            let boxes = around_joint(&shape, &joint, &frame);
            assert_eq!(boxes.len(), 2);
            assert!(boxes.iter().all(|b| b.run == run));
        }
    }
}
