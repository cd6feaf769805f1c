//! Pieces as they are recorded.

use printing::Ears;
use serde::{Deserialize, Serialize};
use solid::Isometry;

use crate::ids::PieceId;
use crate::record::label::Label;

/// One piece.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PieceEntry {
    /// `P01`, …
    pub id: PieceId,
    /// Its file in the folder.
    pub file: String,
    /// Whether it is printed already.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub printed: bool,
    /// The printer it is for, by name.
    pub printer: String,
    /// Triangles in the file.
    pub triangles: usize,
    /// Volume.
    pub volume_mm3: f64,
    /// As it lies on the bed.
    pub size_mm: [f64; 3],
    /// Its thinnest wall between facing faces; null where none faces another.
    pub thinnest_mm: Option<f64>,
    /// Takes a point of the file to the model's coordinates.
    pub placement: [[f64; 4]; 3],
    /// Area of the section a tenth of a millimetre above the bed.
    #[serde(default)]
    pub first_layer_mm2: f64,
    /// By how much it can be tipped, as it lies, before its centre of volume leaves the
    /// hull of its first layer.
    #[serde(default)]
    pub tips_deg: f64,
    /// Whether it lies on none of the sides of the model's box.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub lies_askew: bool,
    /// Corners of its first layer that lift while the plastic cools, in the coordinates of its
    /// file: an ear goes about each where the bed has room.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub ears_mm: Vec<[f64; 2]>,
    /// How far past the corners the bed has room for ears, along x and along y.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ears_reach_mm: Option<[f64; 2]>,
    /// How many parts of it begin in the air while it is printed.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub islands: usize,
    /// Area that hangs over and rests on support.
    #[serde(default)]
    pub overhang_mm2: f64,
    /// Space under it, down to the bed or to the piece itself.
    #[serde(default)]
    pub support_mm3: f64,
    /// Plastic in its support, an estimate.
    #[serde(default)]
    pub support_g: f64,
    /// Time that its support takes besides, an estimate.
    #[serde(default)]
    pub support_min: f64,
    /// Height over the least width of what touches the bed.
    #[serde(default)]
    pub slenderness: f64,
    /// Contacts whose joints have their profile across the layers as it lies.
    #[serde(default)]
    pub joints_across: usize,
    /// What is engraved in it, in the model's coordinates.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub labels: Vec<Label>,
    /// Plastic that it takes, an estimate.
    #[serde(default)]
    pub plastic_g: f64,
    /// Time that it takes alone on a plate, an estimate.
    #[serde(default)]
    pub print_min: f64,
}

fn is_zero(count: &usize) -> bool {
    *count == 0
}

impl PieceEntry {
    /// The corners that lift, and how far ears about them may reach.
    pub fn ears(&self) -> Ears {
        Ears {
            at_mm: self.ears_mm.clone(),
            reach_mm: self.ears_reach_mm.unwrap_or_default(),
        }
    }

    /// The rigid motion of its placement, if it is one.
    pub fn motion(&self) -> Option<Isometry> {
        rigid(&self.placement)
    }
}

/// The rigid motion of three rows of four numbers, if they are one.
///
/// ```
/// let quarter = [[0.0, -1.0, 0.0, 5.0], [1.0, 0.0, 0.0, 0.0], [0.0, 0.0, 1.0, 0.0]];
/// let motion = design::rigid(&quarter).unwrap();
/// assert!((motion * solid::Point::new(1.0, 0.0, 0.0) - solid::Point::new(5.0, 1.0, 0.0)).norm() < 1e-12);
/// assert!(design::rigid(&[[2.0, 0.0, 0.0, 0.0], [0.0, 1.0, 0.0, 0.0], [0.0, 0.0, 1.0, 0.0]]).is_none());
/// ```
pub fn rigid(p: &[[f64; 4]; 3]) -> Option<Isometry> {
    let m = nalgebra::Matrix3::from_fn(|i, j| p[i][j]);
    let rigid = (m.transpose() * m - nalgebra::Matrix3::identity()).norm() < 1e-6
        && m.determinant() > 0.0
        && p.iter().flatten().all(|x| x.is_finite());
    rigid.then(|| {
        let turn = nalgebra::Rotation3::from_matrix_unchecked(m);
        Isometry::from_parts(
            nalgebra::Translation3::new(p[0][3], p[1][3], p[2][3]),
            nalgebra::UnitQuaternion::from_rotation_matrix(&turn),
        )
    })
}

/// The rows of a rigid motion. Numbers such as -0 and 0.9999999999999999 come
/// from turning by quarters and are tidied.
pub fn rows(motion: &Isometry) -> [[f64; 4]; 3] {
    let r = motion.rotation.to_rotation_matrix();
    let t = motion.translation.vector;
    std::array::from_fn(|i| [tidy(r[(i, 0)]), tidy(r[(i, 1)]), tidy(r[(i, 2)]), t[i]])
}

/// A number without the last digits that turning by quarters leaves.
pub fn tidy(x: f64) -> f64 {
    let whole = x.round();
    if (x - whole).abs() < 1e-12 {
        whole + 0.0
    } else {
        x
    }
}
