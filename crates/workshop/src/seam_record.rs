use joinery::JointError;
use joinery::capacity::MATERIALS;
use serde::{Deserialize, Serialize};
use solid::{Frame, Vector};

use crate::Contact;
use crate::cells::SeamPlane;
use crate::seam::{JointShape, PlacedJoint, Seam};
use crate::seam_layout::touching;

/// The joints of a seam by their numbers: enough to cut them again, to the last
/// bit, whatever stands on the seam's sides then.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct SeamRecord {
    /// The seam's id.
    pub id: String,
    /// The way the half that lies below moves to go home.
    pub slide: [f64; 3],
    /// How far it moves.
    pub travel_mm: f64,
    /// Whether tails go from below upward.
    pub tails_point_up: bool,
    /// The joints.
    pub joints: Vec<JointRecord>,
}

/// One joint of a record.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct JointRecord {
    /// Origin and axes `u`, `v`, `n` of the frame that it was laid out in.
    pub frame: [[f64; 3]; 4],
    /// The way it goes in.
    pub way_in: [f64; 3],
    /// How far.
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

impl Seam {
    /// The record of this seam.
    pub fn record(&self) -> SeamRecord {
        SeamRecord {
            id: self.id.clone(),
            slide: self.slide.into(),
            travel_mm: self.travel_mm,
            tails_point_up: self.tails_point_up,
            joints: self
                .joints
                .iter()
                .map(|j| JointRecord {
                    frame: j.frame.rows(),
                    way_in: j.way_in.into(),
                    run_mm: j.run_mm,
                    key_longest_mm: j.key_longest_mm,
                    shape: j.shape.clone(),
                })
                .collect(),
        }
    }
}

/// A seam with the joints of a record, on the contacts that it has now.
///
/// # Errors
///
/// When a recorded joint can not be made.
pub(crate) fn from_record(
    record: &SeamRecord,
    plane: &SeamPlane,
    mut contacts: Vec<Contact>,
) -> Result<Seam, JointError> {
    let mut joints = Vec::new();
    for kept in &record.joints {
        let frame = kept.frame();
        let joint = kept.shape.joint(&frame)?;
        let touched = touching(&contacts, &joint, &plane.frame, None);
        for &k in &touched {
            contacts[k].gain(&kept.shape, &MATERIALS[0]);
        }
        joints.push(PlacedJoint {
            shape: kept.shape.clone(),
            frame,
            joint,
            contacts: touched,
            way_in: Vector::from(kept.way_in),
            run_mm: kept.run_mm,
            key_longest_mm: kept.key_longest_mm,
        });
    }
    for contact in &mut contacts {
        contact.reason = if contact.count > 0 {
            format!(
                "{} × {} of {:.1} mm, as they were: this seam is kept",
                contact.count, contact.joint, contact.width_mm
            )
        } else {
            "this seam is kept, and none of its joints lies here".to_owned()
        };
    }
    Ok(Seam {
        id: record.id.clone(),
        index: plane.index,
        frame: plane.frame,
        slide: record.slide.into(),
        travel_mm: record.travel_mm,
        tails_point_up: record.tails_point_up,
        contacts,
        joints,
    })
}
