//! The report, for programs: `report.json`.

use design::{
    BodyApart, PieceEntry, PieceId, Plan, PlanSeam, ResplitEntry, SeamEntry, SeamId, Side,
    StepEntry, Worth, rigid,
};
use exchange::LengthUnit;
use inspection::{Finding, Severity};
use planner::Certificate;
use printing::{Bed, BedArea, Material, PrintProfile, Printer};
use serde::{Deserialize, Serialize};
use solid::{Isometry, Solid};

use crate::page::fewest::Takes;
use crate::record::made_of::MadeOf;
use crate::record::undoing::Undoing;

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
    /// The bodies that stand apart and are brought to their places.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub bodies: Vec<BodyEntry>,
    /// The assembly.
    pub steps: Vec<StepEntry>,
    /// What has to come apart so that a piece can be replaced.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub undoing: Vec<Undoing>,
    /// What the split costs, term by term, in minutes of work: what it was chosen by
    /// among those that were carried out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub worth: Option<Worth>,
    /// How few pieces there could be, where the plan was found by this run.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub certificate: Option<Certificate>,
    /// What the model is made of, where that is boards, legs, posts or rails.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub made_of: Option<MadeOf>,
    /// What a re-split made of the earlier pieces, where it is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub resplit: Option<ResplitEntry>,
    /// What was found.
    pub findings: Vec<Finding>,
    /// What this report does not promise.
    #[serde(default)]
    pub cautions: Vec<String>,
}

/// A body that stands apart.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct BodyEntry {
    /// `B1`, …
    pub id: SeamId,
    /// What the maker, or the model's file, calls it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// What it is.
    #[serde(default)]
    pub reason: String,
}

impl BodyEntry {
    /// Those of a plan.
    pub(crate) fn all(plan: &Plan) -> Vec<Self> {
        let entry = |(k, body): (PlanSeam, &BodyApart)| Self {
            id: plan.tree().id(k).clone(),
            name: body.name.clone(),
            reason: body.reason.clone(),
        };
        plan.tree().bodies().map(entry).collect()
    }
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

    /// What the split takes, as far as its cost tells.
    pub fn takes(&self) -> Takes {
        let amount = |what: &str| self.worth.as_ref().map_or(0.0, |w| w.amount_of(what));
        Takes {
            pieces: self.pieces_cut(),
            keys: self.keys(),
            hours: amount(Worth::HOURS),
            start_h: self.settings.print.start_s / 3600.0,
            plastic_g: amount(Worth::PLASTIC_G),
            support_g: self.support_g(),
            density_g_cm3: self.settings.density_g_cm3,
        }
    }

    /// How many findings there are of a severity.
    pub fn count(&self, severity: Severity) -> usize {
        let of = self.findings.iter().filter(|f| f.severity == severity);
        of.count()
    }

    /// Plastic of all plates, in grams, an estimate.
    pub fn plastic_g(&self) -> f64 {
        // A sum of no floats is −0.
        self.plates.iter().fold(0.0, |sum, p| sum + p.plastic_g)
    }

    /// What of it is support.
    pub fn support_g(&self) -> f64 {
        self.plates.iter().fold(0.0, |sum, p| sum + p.support_g)
    }

    /// Print time that the supports take on all plates, in minutes, an estimate.
    pub fn support_min(&self) -> f64 {
        self.plates.iter().fold(0.0, |sum, p| sum + p.support_min)
    }

    /// Print time of all plates, in minutes, an estimate.
    pub fn print_min(&self) -> f64 {
        self.plates.iter().fold(0.0, |sum, p| sum + p.print_min)
    }

    /// The ids of all pieces that a file is printed for.
    pub fn alike(&self, file: &str) -> Vec<&PieceId> {
        self.pieces
            .iter()
            .filter(|p| p.file == file)
            .map(|p| &p.id)
            .collect()
    }

    /// The members of the model of which some pieces hold some.
    pub fn members_of(&self, pieces: &[&PieceId]) -> Vec<&str> {
        let made_of = self.made_of.as_ref();
        made_of.map_or_else(Vec::new, |made_of| made_of.of_pieces(pieces))
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
    pub fn seams_of(&self, pieces: &[&PieceId]) -> Vec<&SeamId> {
        self.seams
            .iter()
            .filter(|s| {
                s.contacts
                    .iter()
                    .flat_map(|c| c.pieces.iter().chain(&c.keys))
                    .any(|id| pieces.contains(&id))
            })
            .map(|s| &s.id)
            .collect()
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
    pub unit: LengthUnit,
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
    pub fn of(model: &Solid, file: &str, sha256: &str, unit: LengthUnit) -> Self {
        Self {
            file: file.to_owned(),
            sha256: sha256.to_owned(),
            unit,
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
    /// What of that a piece may take.
    pub usable_mm: [f64; 3],
    /// The margin of the bed; told from the two above where it is not there.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub margin_mm: Option<f64>,
    /// The margin at the top.
    #[serde(default)]
    pub top_margin_mm: f64,
    /// Where nothing may be printed.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub no_go_mm: Vec<BedArea>,
    /// Whether the bed is round.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub round: bool,
    /// The clearance that its coupons showed to be right, where that is not that of all.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clearance_mm: Option<f64>,
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
            margin_mm: Some(printer.margin_mm),
            top_margin_mm: printer.top_margin_mm,
            no_go_mm: printer.no_go_mm.clone(),
            round: matches!(printer.bed, Bed::Round { .. }),
            clearance_mm: printer.clearance_mm,
            print: printer.print,
        }
    }

    /// The printer again.
    pub fn printer(&self) -> Printer {
        let [width_mm, depth_mm, height_mm] = self.bed_mm;
        let bed = if self.round {
            Bed::Round {
                diameter_mm: width_mm,
            }
        } else {
            Bed::Rectangle { width_mm, depth_mm }
        };
        let told = (width_mm - self.usable_mm[0]) / 2.0;
        Printer {
            name: self.name.clone(),
            bed,
            height_mm,
            margin_mm: self.margin_mm.unwrap_or(told),
            top_margin_mm: self.top_margin_mm,
            no_go_mm: self.no_go_mm.clone(),
            clearance_mm: self.clearance_mm,
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
    /// Which way is up.
    #[serde(default = "top")]
    pub up: Side,
    /// Density of the material.
    #[serde(default)]
    pub density_g_cm3: f64,
    /// What pieces are printed in.
    #[serde(default)]
    pub material: Material,
    /// What the estimates of time and material are made from.
    #[serde(default)]
    pub print: PrintProfile,
}

fn top() -> Side {
    Side::TOP
}

impl SettingsEntry {
    /// What a report says of the settings of a plan.
    pub(crate) fn of(plan: &Plan) -> Self {
        let settings = plan.settings();
        Self {
            joint: settings.joint.to_string(),
            clearance_mm: settings.joints.clearance_mm,
            min_wall_mm: settings.joints.min_wall_mm,
            up: settings.up,
            density_g_cm3: settings.material.density_g_cm3,
            material: settings.material.clone(),
            print: settings.print,
        }
    }
}

impl OnPlate {
    /// The rigid motion of its placement, if it is one.
    pub fn motion(&self) -> Option<Isometry> {
        rigid(&self.placement)
    }
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
    /// Joints that can be tried once it is printed, and the plates before it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub can_be_tried: Vec<String>,
    /// Plastic that it takes with its supports, an estimate.
    pub plastic_g: f64,
    /// What of it is support.
    #[serde(default)]
    pub support_g: f64,
    /// Time that it takes, an estimate.
    pub print_min: f64,
    /// What of it the support takes.
    #[serde(default)]
    pub support_min: f64,
}

/// A piece on a plate.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct OnPlate {
    /// Its id.
    pub id: PieceId,
    /// Takes a point of the piece's file to the bed, whose front left corner is
    /// zero.
    pub placement: [[f64; 4]; 3],
}
