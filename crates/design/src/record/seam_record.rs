//! Seams by the numbers of their joints: `joints.json`.

use joinery::JointShape;
use serde::de::Error;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use solid::{Frame, Vector};

use crate::ids::SeamId;
use crate::tree::seam_side::SeamSide;

/// The joints of a seam by their numbers: enough to cut them again, to the last
/// bit, whatever stands on the seam's sides then.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct SeamRecord {
    /// The seam's id.
    pub id: SeamId,
    /// The way the half that lies below moves to go home.
    #[serde(deserialize_with = "direction")]
    pub slide: [f64; 3],
    /// How far it moves.
    #[serde(deserialize_with = "length")]
    pub travel_mm: f64,
    /// The side that carries the tails; written as whether they point up.
    #[serde(
        rename = "tails_point_up",
        serialize_with = "is_below",
        deserialize_with = "below_or_above"
    )]
    pub tails_on: SeamSide,
    /// The joints.
    pub joints: Vec<JointRecord>,
}

/// One joint of a record.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct JointRecord {
    /// Origin and axes `u`, `v`, `n` of the frame that it was laid out in.
    #[serde(deserialize_with = "frame_rows")]
    pub frame: [[f64; 3]; 4],
    /// The way it goes in.
    #[serde(deserialize_with = "direction")]
    pub way_in: [f64; 3],
    /// How far.
    #[serde(deserialize_with = "length")]
    pub run_mm: f64,
    /// Its keys are cut across into parts no longer than this.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub key_longest_mm: Option<f64>,
    /// What it is.
    pub shape: JointShape,
}

impl JointRecord {
    /// The frame that it was laid out in.
    pub fn frame(&self) -> Frame {
        Frame::from_rows(self.frame)
    }
}

fn is_below<S: Serializer>(side: &SeamSide, to: S) -> Result<S::Ok, S::Error> {
    to.serialize_bool(*side == SeamSide::Below)
}

fn below_or_above<'de, D: Deserializer<'de>>(from: D) -> Result<SeamSide, D::Error> {
    Ok(match bool::deserialize(from)? {
        true => SeamSide::Below,
        false => SeamSide::Above,
    })
}

/// Nothing of a piece of furniture is longer.
const LONGEST_MM: f64 = 1e5;
/// Rows of a frame are rounded in the last digits only.
const SLACK: f64 = 1e-6;

fn length<'de, D: Deserializer<'de>>(from: D) -> Result<f64, D::Error> {
    let mm = f64::deserialize(from)?;
    if !(0.0..=LONGEST_MM).contains(&mm) {
        return Err(D::Error::custom(format!("{mm} mm is no length of a move")));
    }
    Ok(mm)
}

fn direction<'de, D: Deserializer<'de>>(from: D) -> Result<[f64; 3], D::Error> {
    let v = <[f64; 3]>::deserialize(from)?;
    let off = (Vector::from(v).norm() - 1.0).abs();
    if off.is_nan() || off >= SLACK {
        return Err(D::Error::custom(format!(
            "{v:?} is no direction of length one"
        )));
    }
    Ok(v)
}

fn frame_rows<'de, D: Deserializer<'de>>(from: D) -> Result<[[f64; 3]; 4], D::Error> {
    let rows = <[[f64; 3]; 4]>::deserialize(from)?;
    let [origin, u, v, n] = rows.map(Vector::from);
    let near = |x: f64, to: f64| (x - to).abs() < SLACK;
    let lengths = [&u, &v, &n].iter().all(|a| near(a.norm(), 1.0));
    let square = near(u.dot(&v), 0.0) && near(v.dot(&n), 0.0) && near(n.dot(&u), 0.0);
    let place = origin.iter().all(|x| x.abs() <= LONGEST_MM);
    if !(lengths && square && place) {
        return Err(D::Error::custom(
            "a joint's frame must be three axes square to each other",
        ));
    }
    Ok(rows)
}

#[cfg(test)]
mod tests {
    use joinery::{JointKind, JointRules, Lane, Sliding};
    use serde_json::Value;
    use solid::Point;

    use super::*;

    fn record() -> SeamRecord {
        let lane = Lane {
            across_mm: 0.0,
            from_mm: -9.0,
            to_mm: 9.0,
            blind: false,
        };
        let tail = Sliding::full_size(JointKind::Dovetail, &lane, &JointRules::default()).unwrap();
        let frame = Frame::with_axes(Point::origin(), Vector::x(), Vector::y());
        SeamRecord {
            id: SeamId::numbered(1),
            slide: [0.0, 0.0, 1.0],
            travel_mm: 20.0,
            tails_on: SeamSide::Below,
            joints: vec![JointRecord {
                frame: frame.rows(),
                way_in: [0.0, 0.0, 1.0],
                run_mm: 18.0,
                key_longest_mm: None,
                shape: JointShape::InLane(tail),
            }],
        }
    }

    #[test]
    fn a_record_survives_being_written_and_read() {
        let text = serde_json::to_string(&record()).unwrap();
        assert!(text.contains("\"tails_point_up\":true"));
        assert_eq!(serde_json::from_str::<SeamRecord>(&text).unwrap(), record());
    }

    #[test]
    fn numbers_that_no_joint_has_are_refused() {
        let good = serde_json::to_value(record()).unwrap();
        let tail = "/joints/0/shape/in-lane/main";
        for (at, to) in [
            ("/slide/2", Value::from(7.0)),
            ("/travel_mm", Value::from(-1.0)),
            ("/joints/0/frame/1/0", Value::from(3.0)),
            ("/joints/0/run_mm", Value::from(1e300)),
            (&*format!("{tail}/taper"), Value::from(1.5)),
            (&*format!("{tail}/depth_mm"), Value::from(-4.0)),
            (&*format!("{tail}/half_neck_mm"), Value::from(0.0)),
            (&*format!("{tail}/lane/to_mm"), Value::from(-90.0)),
            (&*format!("{tail}/rules/clearance_mm"), Value::from(-9.0)),
            ("/joints/0/shape/in-lane/width_mm", Value::from(-1.0)),
        ] {
            let mut bad = good.clone();
            *bad.pointer_mut(at).unwrap() = to;
            assert!(serde_json::from_value::<SeamRecord>(bad).is_err(), "{at}");
        }
    }
}
