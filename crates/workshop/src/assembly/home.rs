//! Bodies that stand apart from others, brought to their places among them.

use std::ops::Range;

use design::{Closes, Plan, SeamId};
use solid::{Solid, Vector};

use crate::assembly::steps::Step;
use crate::assembly::ways::{Way, Ways};
use crate::carve::keys::Key;
use crate::layout::seam::Seam;
use crate::partition::cells::{BodyCells, Parted};
use crate::partition::contacts::PieceIndex;
use crate::remark::Remark;

/// A body that comes to its place.
pub(crate) struct Comer {
    pub(crate) id: SeamId,
    /// Its pieces.
    pub(crate) own: Vec<usize>,
    /// All pieces of what it comes to.
    pub(crate) others: Vec<usize>,
    /// What of them is no key.
    pub(crate) cut: Range<usize>,
    /// The way, where it is given.
    pub(crate) way_in: Option<Vector>,
}

/// Bodies that stand apart, with their pieces and those of what each comes to, the first to
/// come home first.
pub(crate) fn comers(
    plan: &Plan,
    parted: &Parted,
    index: &PieceIndex,
    (seams, keys): (&[Seam], &[Key]),
) -> Vec<Comer> {
    let cut = index.pieces(&(0..parted.cells.len())).end;
    let with_keys = |cells: &Range<usize>| -> Vec<usize> {
        let pieces = index.pieces(cells);
        let holds = |key: &Key| {
            let contact = &seams[key.seam].contacts[key.contact].contact;
            pieces.contains(&contact.pieces[0])
        };
        let keys = (keys.iter().enumerate()).filter(|(_, key)| holds(key));
        pieces.clone().chain(keys.map(|(k, _)| cut + k)).collect()
    };
    let comer = |body: &BodyCells| Comer {
        id: plan.tree().id(body.planned).clone(),
        own: with_keys(&body.own),
        others: with_keys(&body.others),
        cut: 0..cut,
        way_in: plan
            .tree()
            .body(body.planned)
            .and_then(|b| b.way_in)
            .map(Vector::from),
    };
    parted.bodies.iter().rev().map(comer).collect()
}

/// The steps with those that bring bodies home, in this order; those for which there is no
/// way are told.
pub(crate) fn brought_home(
    steps: Vec<Step>,
    bodies: Vec<Comer>,
    solids: &[Solid],
    up: Vector,
) -> (Vec<Step>, Vec<Remark>) {
    if bodies.is_empty() {
        return (steps, Vec::new());
    }
    let mut order = Order::of(solids, steps, up);
    let nowhere = |body: Comer| match order.bring_home(&body) {
        Ok(()) => None,
        Err(Caught(by)) => Some(Remark::NoWayHome {
            body: body.id,
            pieces: body.own,
            caught_by: by,
        }),
    };
    let remarks = bodies.into_iter().filter_map(nowhere).collect();
    (order.steps, remarks)
}

/// No way leads home: the seams, as few as there can be, that would have to be closed another
/// way so that one did before; none where that would not help.
struct Caught(Vec<SeamId>);

/// The steps of an assembly, to which bodies are added.
struct Order<'a> {
    ways: Ways<'a>,
    steps: Vec<Step>,
}

impl<'a> Order<'a> {
    fn of(solids: &'a [Solid], steps: Vec<Step>, up: Vector) -> Self {
        Self {
            ways: Ways::of(solids, up),
            steps,
        }
    }

    /// Adds the step that brings a body home among others, by a given way or by the first
    /// that is free: last, or where none is free then, as late before that as one is, while
    /// the others are still in parts, and so that no later step meets it.
    fn bring_home(&mut self, body: &Comer) -> Result<(), Caught> {
        let (own, others) = (&body.own, &body.others);
        let step = |onto: Vec<usize>, (direction, travel_mm): Way| Step {
            moving: own.clone(),
            onto,
            closes: Closes::Body(body.id.clone()),
            direction,
            travel_mm,
        };
        let travel_mm = |way: &Vector| self.ways.travel_mm(own, others, way);
        let given = body.way_in.map(|way| (way, travel_mm(&way)));
        if let Some(way) = given.or_else(|| self.ways.way(own, others)) {
            self.steps.push(step(others.clone(), way));
            return Ok(());
        }
        let (before, among): (Vec<Step>, Vec<Step>) = self.steps.iter().cloned().partition(|s| {
            let mut pieces = s.moving.iter().chain(&s.onto);
            !pieces.all(|piece| others.contains(piece))
        });
        let mut caught_by: Option<Vec<SeamId>> = None;
        for k in (0..among.len()).rev() {
            for part in [&among[k].onto, &among[k].moving] {
                let holds = part.iter().any(|piece| body.cut.contains(piece));
                let Some(way) = self
                    .ways
                    .way(own, part)
                    .filter(|_| holds && self.ways.near(own, part))
                else {
                    continue;
                };
                let (later, in_its_way) = self.later(body, part, &among[k..]);
                if in_its_way.is_empty() {
                    let home = step(part.clone(), way);
                    let until = among[..k].iter().cloned();
                    self.steps = before.into_iter().chain(until).collect();
                    self.steps.push(home);
                    self.steps.extend(later);
                    return Ok(());
                }
                let fewest = caught_by.as_ref().map_or(usize::MAX, Vec::len);
                if in_its_way.len() < fewest {
                    caught_by = Some(in_its_way);
                }
            }
        }
        Err(Caught(caught_by.unwrap_or_default()))
    }

    /// Steps with a body along with a part that takes part in them, and the seams of those
    /// that it is in the way of. What carries the body, or goes about it, has to come all the
    /// way from where both are clear of each other: no further turn brings it to where a
    /// slide begins. A key is small enough to be put there.
    fn later(&self, body: &Comer, part: &[usize], steps: &[Step]) -> (Vec<Step>, Vec<SeamId>) {
        let own = &body.own;
        let mut in_its_way = Vec::new();
        let with_it = steps.iter().map(|step| {
            let mut step = step.clone();
            let has = |side: &[usize]| part.iter().any(|piece| side.contains(piece));
            let from_afar = step.moving.iter().any(|piece| body.cut.contains(piece));
            let free = if has(&step.onto) {
                let away_mm = self.ways.travel_mm(&step.moving, own, &step.direction);
                if from_afar && self.ways.near(&step.moving, own) {
                    step.travel_mm = step.travel_mm.max(away_mm);
                }
                let free = self
                    .ways
                    .is_free(&step.moving, own, &(step.direction, step.travel_mm));
                step.onto.extend(own);
                free
            } else if has(&step.moving) {
                let away_mm = self.ways.travel_mm(own, &step.onto, &step.direction);
                if self.ways.near(own, &step.onto) {
                    step.travel_mm = step.travel_mm.max(away_mm);
                }
                step.moving.extend(own);
                self.ways
                    .is_free(&step.moving, &step.onto, &(step.direction, step.travel_mm))
            } else {
                true
            };
            if !free && !in_its_way.contains(step.closes.id()) {
                in_its_way.push(step.closes.id().clone());
            }
            step
        });
        let with_it = with_it.collect();
        (with_it, in_its_way)
    }
}

#[cfg(test)]
mod tests {
    use solid::Point;

    use super::*;

    fn block(a: [f64; 3], b: [f64; 3]) -> Solid {
        Solid::cuboid(Point::from(a), Point::from(b))
    }

    fn comer(own: usize, others: &[usize]) -> Comer {
        Comer {
            id: "B1".parse().unwrap(),
            own: vec![own],
            others: others.to_vec(),
            cut: 0..9,
            way_in: None,
        }
    }

    /// A case open at the front, and a drawer in it.
    fn case_and_drawer() -> [Solid; 2] {
        let case = block([0.0, 0.0, 0.0], [200.0, 150.0, 80.0])
            .difference(&block([10.0, -1.0, 10.0], [190.0, 140.0, 70.0]))
            .unwrap();
        [case, block([11.0, 0.0, 11.0], [189.0, 138.0, 68.0])]
    }

    #[test]
    fn a_drawer_comes_in_from_the_front() {
        let solids = case_and_drawer();
        let mut order = Order::of(&solids, Vec::new(), Vector::z());
        assert!(order.bring_home(&comer(1, &[0])).is_ok());
        let step = &order.steps[0];
        assert_eq!((step.direction, step.travel_mm), (Vector::y(), 148.0));
        assert_eq!(step.closes.seam(), None);
    }

    /// A frame in two halves and a panel in its groove, and how the halves close.
    fn frame_and_panel(way: Vector) -> ([Solid; 3], Step) {
        // A groove runs around inside: no way leads into it once both halves meet.
        let frame = block([0.0, 0.0, 0.0], [200.0, 20.0, 200.0])
            .difference(&block([20.0, -1.0, 20.0], [180.0, 21.0, 180.0]))
            .unwrap()
            .difference(&block([10.0, 7.0, 10.0], [190.0, 13.0, 190.0]))
            .unwrap();
        let half = |x: f64| block([x, -1.0, -1.0], [x + 100.0, 21.0, 201.0]);
        let halves = [0.0, 100.0].map(|x| frame.intersection(&half(x)).unwrap());
        let panel = block([10.5, 7.5, 10.5], [189.5, 12.5, 189.5]);
        let [left, right] = halves;
        let closing = Step {
            moving: vec![1],
            onto: vec![0],
            closes: Closes::Seam(SeamId::numbered(1)),
            direction: way,
            travel_mm: 120.0,
        };
        ([left, right, panel], closing)
    }

    #[test]
    fn a_panel_goes_into_its_frame_before_that_is_closed() {
        let (solids, closing) = frame_and_panel(-Vector::x());
        let mut order = Order::of(&solids, vec![closing], Vector::z());
        assert!(order.bring_home(&comer(2, &[0, 1])).is_ok());
        let [first, second] = &order.steps[..] else {
            panic!("{:?}", order.steps)
        };
        assert_eq!((&first.moving, &first.onto), (&vec![2], &vec![0]));
        assert_eq!((&second.moving, &second.onto), (&vec![1], &vec![0, 2]));
    }

    #[test]
    fn a_frame_that_closes_along_its_seam_has_no_place_for_a_panel() {
        let (solids, closing) = frame_and_panel(-Vector::z());
        let mut order = Order::of(&solids, vec![closing], Vector::z());
        let Err(Caught(by)) = order.bring_home(&comer(2, &[0, 1])) else {
            panic!("{:?}", order.steps)
        };
        assert_eq!(by, [SeamId::numbered(1)]);
        assert_eq!(order.steps.len(), 1);
    }

    #[test]
    fn what_is_caught_has_no_way() {
        let cage = block([0.0; 3], [100.0; 3])
            .difference(&block([10.0; 3], [90.0; 3]))
            .unwrap();
        let solids = [cage, block([20.0; 3], [80.0; 3])];
        let mut order = Order::of(&solids, Vec::new(), Vector::z());
        assert!(order.bring_home(&comer(1, &[0])).is_err());
        assert!(order.steps.is_empty());
    }

    #[test]
    fn nothing_is_put_into_its_place_in_a_key() {
        // The cage closes about the block, and a key stands off to one side of it.
        let cage = block([0.0; 3], [100.0; 3])
            .difference(&block([10.0; 3], [90.0; 3]))
            .unwrap();
        let half = |x: f64| block([x, -1.0, -1.0], [x + 50.0, 101.0, 101.0]);
        let [left, right] = [0.0, 50.0].map(|x| cage.intersection(&half(x)).unwrap());
        let key = block([47.0, 40.0, 1.0], [53.0, 60.0, 7.0]);
        let solids = [left, right, block([20.0; 3], [80.0; 3]), key];
        let step = |moving: usize, onto: &[usize], direction: Vector, travel_mm: f64| Step {
            moving: vec![moving],
            onto: onto.to_vec(),
            closes: Closes::Seam(SeamId::numbered(1)),
            direction,
            travel_mm,
        };
        // The halves slide shut across the block, by less than it is long.
        let steps = vec![
            step(1, &[0], -Vector::y(), 12.0),
            step(3, &[0, 1], Vector::y(), 22.0),
        ];
        let mut order = Order::of(&solids, steps, Vector::z());
        let body = Comer {
            cut: 0..3,
            ..comer(2, &[0, 1, 3])
        };
        let Err(Caught(by)) = order.bring_home(&body) else {
            panic!("{:?}", order.steps)
        };
        assert_eq!(by, [SeamId::numbered(1)]);
    }

    #[test]
    fn a_drawer_that_stands_askew_comes_in_square_to_its_front() {
        let turn = solid::Isometry::rotation(Vector::z() * 0.6);
        let solids = case_and_drawer().map(|s| s.moved(&turn));
        let mut order = Order::of(&solids, Vec::new(), Vector::z());
        assert!(order.bring_home(&comer(1, &[0])).is_ok());
        let way = turn.rotation * Vector::y();
        assert!((order.steps[0].direction - way).norm() < 1e-6);
    }
}
