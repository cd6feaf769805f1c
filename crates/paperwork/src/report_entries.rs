use inspection::Finding;
use planner::{Certificate, PrintProfile, Printer};
use serde::{Deserialize, Serialize};
use solid::{Isometry, Solid};
use workshop::Label;

use crate::seam_entries::{SeamEntry, StepEntry};

/// Everything about a split, for programs: `report.json`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Report {
    /// Always `seamwright-report`.
    pub format: String,
    /// Of this layout: 1.
    pub version: u32,
    /// Who wrote it.
    pub tool: ToolEntry,
    /// The model.
    pub model: ModelEntry,
    /// The printers.
    pub printers: Vec<PrinterEntry>,
    /// What applied to all.
    pub settings: SettingsEntry,
    /// The pieces.
    pub pieces: Vec<PieceEntry>,
    /// The plates to print.
    #[serde(default)]
    pub plates: Vec<PlateEntry>,
    /// The seams.
    pub seams: Vec<SeamEntry>,
    /// The assembly.
    pub steps: Vec<StepEntry>,
    /// How few pieces there could be, where the plan was found by this run.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub certificate: Option<Certificate>,
    /// What a re-split made of the earlier pieces, where it is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub resplit: Option<ResplitEntry>,
    /// What was found.
    pub findings: Vec<Finding>,
    /// What this report does not promise.
    #[serde(default)]
    pub cautions: Vec<String>,
}

impl Report {
    /// How many pieces are keys.
    pub fn keys(&self) -> usize {
        let contacts = self.seams.iter().flat_map(|s| &s.contacts);
        contacts.map(|c| c.keys.len()).sum()
    }

    /// How many pieces the model was cut into: all but the keys.
    pub fn pieces_cut(&self) -> usize {
        self.pieces.len().saturating_sub(self.keys())
    }

    /// The ids of all pieces that a file is printed for.
    pub fn alike(&self, file: &str) -> Vec<&str> {
        self.pieces
            .iter()
            .filter(|p| p.file == file)
            .map(|p| p.id.as_str())
            .collect()
    }

    /// How many of the pieces that a file is printed for are printed already.
    pub fn printed_of(&self, file: &str) -> usize {
        self.pieces
            .iter()
            .filter(|p| p.file == file && p.printed)
            .count()
    }

    /// The printer that a file is for: of the first piece that is still to be
    /// printed from it, or of those that were.
    pub fn printer_of(&self, file: &str) -> &str {
        let of_file = || self.pieces.iter().filter(|p| p.file == file);
        let open = of_file().find(|p| !p.printed);
        open.or_else(|| of_file().next())
            .map_or("", |p| p.printer.as_str())
    }

    /// The ids of the seams that any of some pieces meets.
    pub fn seams_of(&self, pieces: &[&str]) -> Vec<&str> {
        self.seams
            .iter()
            .filter(|s| {
                s.contacts
                    .iter()
                    .flat_map(|c| &c.pieces)
                    .any(|id| pieces.contains(&id.as_str()))
            })
            .map(|s| s.id.as_str())
            .collect()
    }
}

/// What a re-split made of the pieces of the split before.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct ResplitEntry {
    /// Printed, and as they were.
    pub printed: Vec<String>,
    /// Not printed, and as they were.
    pub kept: Vec<String>,
    /// Mostly what they were, but not the same: print them anew.
    pub changed: Vec<String>,
    /// Not there any more.
    pub gone: Vec<String>,
    /// Not there before.
    pub new: Vec<String>,
}

impl ResplitEntry {
    /// Its rows, each with what it says of the pieces.
    pub fn rows(&self) -> [(&'static str, &[String]); 5] {
        [
            ("printed, kept", &self.printed),
            ("kept", &self.kept),
            ("changed", &self.changed),
            ("gone", &self.gone),
            ("new", &self.new),
        ]
    }
}

/// Who wrote a report.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ToolEntry {
    /// `seamwright`.
    pub name: String,
    /// Its version.
    pub version: String,
}

/// The model of a split.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ModelEntry {
    /// The file's name.
    pub file: String,
    /// Digest of its bytes.
    pub sha256: String,
    /// The unit it was read in.
    pub unit: String,
    /// Triangles.
    pub triangles: usize,
    /// Volume.
    pub volume_mm3: f64,
    /// Least and greatest corner.
    pub bounds_mm: [[f64; 3]; 2],
    /// Connected bodies.
    pub bodies: usize,
}

impl ModelEntry {
    /// What a report says of a model.
    pub fn of(model: &Solid, file: &str, sha256: &str, unit: &str) -> Self {
        Self {
            file: file.to_owned(),
            sha256: sha256.to_owned(),
            unit: unit.to_owned(),
            triangles: model.triangles().len(),
            volume_mm3: model.volume_mm3(),
            bounds_mm: model.bounds().map_or([[0.0; 3]; 2], |b| {
                [b.min.coords.into(), b.max.coords.into()]
            }),
            bodies: model.bodies().len(),
        }
    }
}

/// One printer.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PrinterEntry {
    /// Its name.
    pub name: String,
    /// Width, depth and height.
    pub bed_mm: [f64; 3],
    /// The same within the margin.
    pub usable_mm: [f64; 3],
    /// Whether the bed is round.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub round: bool,
    /// How it prints, where that is otherwise than the settings say.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub print: Option<PrintProfile>,
}

impl PrinterEntry {
    pub(crate) fn of(printer: &Printer) -> Self {
        Self {
            name: printer.name.clone(),
            bed_mm: printer.size_mm(),
            usable_mm: printer.usable_mm(),
            round: matches!(printer.bed, planner::Bed::Round { .. }),
            print: printer.print,
        }
    }

    /// The printer again.
    pub fn printer(&self) -> Printer {
        let [width_mm, depth_mm, height_mm] = self.bed_mm;
        let bed = if self.round {
            planner::Bed::Round {
                diameter_mm: width_mm,
            }
        } else {
            planner::Bed::Rectangle { width_mm, depth_mm }
        };
        let margin_mm = (width_mm - self.usable_mm[0]) / 2.0;
        Printer {
            name: self.name.clone(),
            bed,
            height_mm,
            margin_mm,
            print: self.print,
        }
    }
}

/// What applied to all seams and pieces.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct SettingsEntry {
    /// Joint preference.
    pub joint: String,
    /// Gap between flanks.
    pub clearance_mm: f64,
    /// The thinnest wall that may be.
    pub min_wall_mm: f64,
    /// Density of the material.
    #[serde(default)]
    pub density_g_cm3: f64,
    /// What the estimates of time and material are made from.
    #[serde(default)]
    pub print: PrintProfile,
}

/// One piece.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PieceEntry {
    /// `P01`, …
    pub id: String,
    /// Its file in the folder.
    pub file: String,
    /// Whether it is printed already.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub printed: bool,
    /// The printer it is for.
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
    /// Area that hangs over the bed by more than 45°.
    #[serde(default)]
    pub overhang_mm2: f64,
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

impl PieceEntry {
    /// The rigid motion of its placement, if it is one.
    pub fn motion(&self) -> Option<Isometry> {
        rigid(&self.placement)
    }
}

impl OnPlate {
    /// The rigid motion of its placement, if it is one.
    pub fn motion(&self) -> Option<Isometry> {
        rigid(&self.placement)
    }
}

fn rigid(p: &[[f64; 4]; 3]) -> Option<Isometry> {
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

/// One plate: pieces on a bed, to print together.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PlateEntry {
    /// Its file in the folder.
    pub file: String,
    /// The printer it is for.
    pub printer: String,
    /// The pieces on it.
    pub pieces: Vec<OnPlate>,
    /// Plastic that it takes, an estimate.
    pub plastic_g: f64,
    /// Time that it takes, an estimate.
    pub print_min: f64,
}

/// A piece on a plate.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct OnPlate {
    /// Its id.
    pub id: String,
    /// Takes a point of the piece's file to the bed, whose front left corner is
    /// zero.
    pub placement: [[f64; 4]; 3],
}
