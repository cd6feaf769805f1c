//! A seam carried out: its slide, its contacts and its joints.

use design::{JointRecord, PlanSeam, SeamId, SeamRecord, SeamSide};
use geo::{Area, BooleanOps};
use joinery::{Joint, JointShape, Transfer};
use solid::{Frame, Outline, Vector, grow};

use crate::layout::joining::SeamContact;
use crate::partition::contacts::Contact;

/// A seam carried out: its slide and what it got.
#[derive(Clone, Debug)]
pub struct Seam {
    /// `S1`, `S2`, …
    pub id: SeamId,
    /// The seam of the plan.
    pub planned: PlanSeam,
    /// Its plane; `n` points to what lies above.
    pub frame: Frame,
    /// The way the half that lies below moves to go home.
    pub slide: Vector,
    /// How far it moves.
    pub travel_mm: f64,
    /// The side that carries the tails.
    pub tails_on: SeamSide,
    /// Where pieces meet, and how they are joined there.
    pub contacts: Vec<SeamContact>,
    /// The joints, with the contacts that share them.
    pub joints: Vec<PlacedJoint>,
}

/// A joint on a seam.
#[derive(Clone, Debug)]
pub struct PlacedJoint {
    /// What it is, by its numbers.
    pub shape: JointShape,
    /// The frame that it was laid out in.
    pub frame: Frame,
    /// Its solids.
    pub joint: Joint,
    /// Contacts that it lies on, by index.
    pub contacts: Vec<usize>,
    /// The way it goes in.
    pub way_in: Vector,
    /// How far.
    pub run_mm: f64,
    /// Its keys are cut across into parts no longer than this, so that they fit a
    /// bed.
    pub key_longest_mm: Option<f64>,
}

impl Seam {
    /// Whether its halves slide together: others meet along the normal.
    pub fn slides(&self) -> bool {
        self.joints
            .iter()
            .any(|j| matches!(j.shape, JointShape::InLane(_)))
    }

    /// The way the half that carries the tails moves to go home.
    pub fn way_of_tails(&self) -> Vector {
        self.slide * self.tails_on.out()
    }

    /// The record of this seam.
    pub fn record(&self) -> SeamRecord {
        SeamRecord {
            id: self.id.clone(),
            slide: self.slide.into(),
            travel_mm: self.travel_mm,
            tails_on: self.tails_on,
            joints: self.joints.iter().map(PlacedJoint::record).collect(),
        }
    }

    /// The pairs of pieces that meet on it, each with its contacts by index.
    pub fn pairs(&self) -> Vec<([usize; 2], Vec<usize>)> {
        let mut out: Vec<([usize; 2], Vec<usize>)> = Vec::new();
        for (k, contact) in self.contacts.iter().enumerate() {
            let pieces = contact.contact.pieces;
            match out.iter_mut().find(|(pair, _)| *pair == pieces) {
                Some((_, limbs)) => limbs.push(k),
                None => out.push((pieces, vec![k])),
            }
        }
        out
    }

    /// The pairs of cells between which a joint lies, each with the first contact of
    /// them, by index, that it lies on.
    pub(crate) fn cells_of(&self, joint: &PlacedJoint) -> Vec<(usize, [usize; 2])> {
        let mut out: Vec<(usize, [usize; 2])> = Vec::new();
        for &k in &joint.contacts {
            let cells = self.contacts[k].contact.cells;
            if !out.iter().any(|(_, c)| *c == cells) {
                out.push((k, cells));
            }
        }
        out
    }

    /// Whether nothing holds a contact, by index: it has no joint, and is no web beside
    /// joints of the same pieces.
    pub fn is_bare(&self, contact: usize) -> bool {
        let own = &self.contacts[contact];
        let beside = |c: &SeamContact| c.is_joined() && c.contact.pieces == own.contact.pieces;
        !(own.is_joined() || own.contact.slight && self.contacts.iter().any(beside))
    }

    /// How many contacts nothing holds.
    pub fn bare(&self) -> usize {
        (0..self.contacts.len())
            .filter(|&k| self.is_bare(k))
            .count()
    }

    /// How many pairs of pieces nothing holds.
    pub fn unheld(&self) -> usize {
        let pairs = self.pairs().into_iter();
        let held = |limbs: &[usize]| limbs.iter().any(|&k| self.contacts[k].is_joined());
        pairs.filter(|(_, limbs)| !held(limbs)).count()
    }

    /// How many limbs, webs beside them not counted, hold by keys or by nothing.
    pub fn unslid(&self) -> usize {
        let slid = |c: &SeamContact| c.is_joined() && !c.joint().is_key();
        let limbs = self.contacts.iter().filter(|c| !c.contact.slight);
        limbs.filter(|c| !slid(c)).count()
    }

    /// How much of each contact lies within so many mm of a joint of the seam.
    pub fn near_joints_mm2(&self, within_mm: f64) -> Vec<f64> {
        let footprints = self.transfers().map(|t| t.tail.section(&self.frame));
        let near = footprints.map(|f| grow(&f, within_mm));
        let near = near.reduce(|a, b| a.union(&b));
        let area = |c: &SeamContact| {
            let near = near.as_ref();
            near.map_or(0.0, |n| n.intersection(&c.contact.outline).unsigned_area())
        };
        self.contacts.iter().map(area).collect()
    }

    /// All that goes over from one side to the other.
    pub fn transfers(&self) -> impl Iterator<Item = &Transfer> {
        self.joints.iter().flat_map(|j| &j.joint.transfers)
    }
}

impl PlacedJoint {
    /// The record of this joint.
    pub fn record(&self) -> JointRecord {
        JointRecord {
            frame: self.frame.rows(),
            way_in: self.way_in.into(),
            run_mm: self.run_mm,
            key_longest_mm: self.key_longest_mm,
            shape: self.shape.clone(),
        }
    }
}

/// Contacts that a joint lies on, the one that it was laid in among them.
pub(crate) fn touching(
    contacts: &[Contact],
    joint: &Joint,
    seam: &Frame,
    own: Option<usize>,
) -> Vec<usize> {
    let footprints: Vec<Outline> = joint
        .transfers
        .iter()
        .map(|t| t.tail.section(seam))
        .collect();
    (0..contacts.len())
        .filter(|&k| {
            Some(k) == own
                || footprints
                    .iter()
                    .any(|f| contacts[k].outline.intersection(f).unsigned_area() > 1.0)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use joinery::{JointKind, JointRules, Lane, Sliding};
    use solid::{Point, rectangle};

    use super::*;

    #[test]
    fn a_tail_that_runs_on_into_the_next_contact_lies_on_both() {
        let lane = Lane {
            across_mm: 0.0,
            from_mm: -9.0,
            to_mm: 9.0,
            blind: false,
        };
        let rules = JointRules::default();
        let tail = Sliding::full_size(JointKind::Dovetail, &lane, &rules).unwrap();
        let frame = Frame::with_axes(Point::origin(), Vector::x(), Vector::y());
        let contact = |low: [f64; 2], high: [f64; 2]| Contact {
            pieces: [0, 1],
            cells: [0, 1],
            outline: rectangle(low, high),
            area_mm2: 1.0,
            thick_mm: 9.0,
            slight: false,
        };
        let contacts = [
            contact([-20.0, -9.0], [20.0, 0.0]),
            contact([-20.0, 0.0], [20.0, 9.0]),
            contact([30.0, -9.0], [60.0, 9.0]),
        ];
        let joint = tail.joint(&frame).unwrap();
        assert_eq!(touching(&contacts, &joint, &frame, None), [0, 1]);
        assert_eq!(touching(&contacts, &joint, &frame, Some(2)), [0, 1, 2]);
    }
}
