//! The arguments of every command.

use std::path::PathBuf;

use clap::{Parser, Subcommand};
use clap_complete::Shell;
use design::{Axis, JointChoice, ModelReference, SeamAt, Side, Whole, Wishes, corners};
use exchange::{LengthUnit, PieceFormat};
use joinery::JointKind;
use seamwright::{Failure, Reading};
use solid::Mends;

/// Splits furniture-scale models into pieces for a desktop 3-D printer and
/// joins them without fasteners or glue.
#[derive(Parser)]
#[command(name = "seamwright", version, max_term_width = 100)]
pub(crate) struct Args {
    #[command(subcommand)]
    pub(crate) command: Command,
}

#[derive(Subcommand)]
pub(crate) enum Command {
    /// Cut a model into pieces that fit a bed, joint every seam, write and judge them
    Split(Box<SplitArgs>),
    /// Split again for another printer, around the pieces that are printed already
    Resplit(ResplitArgs),
    /// Judge the pieces in a folder as they lie on disk
    Check(CheckArgs),
    /// Tell a model's size, bodies and defects, and what a split would need
    Survey(SurveyArgs),
    /// Make the report page of a folder again from what is on disk
    Report(ReportArgs),
    /// Write small test pieces that show which clearance suits a printer
    Coupon(CouponArgs),
    /// Tell what each joint would be in a material of some thickness
    Joints(JointsArgs),
    /// Print what a shell needs to complete the words of this program
    Completions {
        /// The shell
        shell: Shell,
    },
    /// Print the manual page, as man reads it
    Manual,
}

#[derive(clap::Args)]
pub(crate) struct SplitArgs {
    /// The model: an STL, 3MF, OBJ or PLY file
    pub(crate) model: PathBuf,

    /// The printer: WIDTHxDEPTHxHEIGHT in mm, roundDIAMETERxHEIGHT, or a name in printers.toml; of
    /// several a comma list, or the option again
    #[arg(
        long,
        required_unless_present_any = ["plan", "settings"],
        value_name = "SIZE",
        value_delimiter = ','
    )]
    pub(crate) bed: Vec<String>,

    /// Carry out this plan (a plan.toml, perhaps edited) instead of finding one; pieces of it that
    /// fit no printer are cut further
    #[arg(long, conflicts_with_all = ["joint", "hide", "up", "scarf", "keep_out", "whole", "seam_at", "no_cut", "largest", "smallest", "spool", "longest_print", "no_supports", "by_members", "together", "clearance", "min_wall", "density", "no_labels"])]
    pub(crate) plan: Option<PathBuf>,

    /// Find a plan with the settings of this plan.toml, and with its printers unless --bed is given
    #[arg(long, value_name = "FILE", conflicts_with_all = ["plan", "joint", "hide", "scarf", "keep_out", "whole", "seam_at", "no_cut", "largest", "smallest", "spool", "longest_print", "no_supports", "by_members", "together", "clearance", "min_wall", "density", "no_labels"])]
    pub(crate) settings: Option<PathBuf>,

    /// Joints to use: auto, or a comma list in order of preference
    #[arg(long)]
    pub(crate) joint: Option<JointChoice>,

    /// Sides of the furniture whose faces must not show a joint: a comma list such as +z,-y
    #[arg(
        long,
        value_name = "SIDE,…",
        value_delimiter = ',',
        allow_hyphen_values = true
    )]
    pub(crate) hide: Vec<Side>,

    /// Which way is up where the furniture stands [default: +z]
    #[arg(long, value_name = "SIDE", allow_hyphen_values = true)]
    pub(crate) up: Option<Side>,

    /// Tilt seams through boards by this angle off square, so that joints run longer
    #[arg(long, value_name = "DEG", num_args = 0..=1, default_missing_value = "30")]
    pub(crate) scarf: Option<f64>,

    /// Engrave no ids and no seams in the pieces
    #[arg(long)]
    pub(crate) no_labels: bool,

    /// What is wished of the cuts
    #[command(flatten)]
    pub(crate) wishes: WishArgs,

    /// Gap between the flanks of a joint, in mm [default: 0.05]
    #[arg(long, value_name = "MM")]
    pub(crate) clearance: Option<f64>,

    /// The thinnest wall that a cut may leave, in mm [default: 1.2]
    #[arg(long, value_name = "MM")]
    pub(crate) min_wall: Option<f64>,

    /// Density of the material for the masses in the cut list, in g/cm³ [default: 1.24]
    #[arg(long, value_name = "G_CM3")]
    pub(crate) density: Option<f64>,

    /// The form of the single pieces' files; plates are 3MF always
    #[arg(long, value_enum, default_value_t)]
    pub(crate) format: FileForm,

    /// The folder to write [default: the model's name with -pieces, in this folder]
    #[arg(long, value_name = "DIR")]
    pub(crate) out: Option<PathBuf>,

    /// What a number in the model stands for: mm, cm, m or in [default: mm, or what the plan says]
    #[arg(long)]
    pub(crate) unit: Option<LengthUnit>,

    #[command(flatten)]
    pub(crate) surface: SurfaceArgs,

    /// Replace what a split wrote there before, and nothing else
    #[arg(long)]
    pub(crate) force: bool,

    #[command(flatten)]
    pub(crate) voice: Voice,
}

/// What may be done to the model before it is split.
#[derive(clap::Args)]
pub(crate) struct SurfaceArgs {
    /// Join bodies that are apart by no more than this, over the area where flat faces of
    /// theirs stand across from each other
    #[arg(long, value_name = "MM")]
    pub(crate) join_gaps: Option<f64>,

    /// Refuse a model whose surface is not sound, instead of mending what is certain
    #[arg(long, conflicts_with_all = ["mend", "thicken"])]
    pub(crate) no_mend: bool,

    /// Close holes too whose rim is not flat, as it seems best
    #[arg(long)]
    pub(crate) mend: bool,

    /// Give surfaces without thickness one, half of it to either side
    #[arg(long, value_name = "MM")]
    pub(crate) thicken: Option<f64>,
}

impl SurfaceArgs {
    /// How a model is read, with its numbers in a unit.
    pub(crate) fn reading(&self, unit: LengthUnit) -> Result<Reading, Failure> {
        let [thin, thick] = ModelReference::THICK_MM;
        if let Some(mm) = self.thicken.filter(|mm| !(thin..=thick).contains(mm)) {
            return Err(Failure::Usage(format!(
                "--thicken {mm}: give a thickness from {thin} to {thick} mm"
            )));
        }
        match self.join_gaps {
            Some(mm) if !(mm > 0.0 && mm <= ModelReference::WIDEST_GAP_MM) => {
                Err(Failure::Usage(format!(
                    "--join-gaps {mm}: give a width over 0 and up to {} mm",
                    ModelReference::WIDEST_GAP_MM
                )))
            }
            join_gaps_mm => Ok(Reading {
                unit,
                mend: !self.no_mend,
                join_gaps_mm,
                mends: Mends {
                    guess: self.mend,
                    thicken_mm: self.thicken,
                },
            }),
        }
    }
}

/// The form of a piece's file.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, clap::ValueEnum)]
pub(crate) enum FileForm {
    /// Binary STL, in millimetres
    #[default]
    Stl,
    /// 3MF, which states its unit and the piece's name
    #[value(name = "3mf")]
    Threemf,
}

impl From<FileForm> for PieceFormat {
    fn from(form: FileForm) -> Self {
        match form {
            FileForm::Stl => Self::Stl,
            FileForm::Threemf => Self::Threemf,
        }
    }
}

#[derive(clap::Args)]
pub(crate) struct ResplitArgs {
    /// The folder of the earlier split
    pub(crate) folder: PathBuf,

    /// The printer to use from now on: WIDTHxDEPTHxHEIGHT in mm, roundDIAMETERxHEIGHT, or a name
    /// in printers.toml; of several a comma list, or the option again
    #[arg(long, required = true, value_name = "SIZE", value_delimiter = ',')]
    pub(crate) bed: Vec<String>,

    /// The pieces that are printed already: a comma list of ids such as P03,P07
    #[arg(long, value_name = "ID,…", value_delimiter = ',')]
    pub(crate) printed: Vec<String>,

    /// The model, where it is not found beside the folder
    #[arg(long, value_name = "FILE")]
    pub(crate) model: Option<PathBuf>,

    /// The folder to write [default: the earlier folder's name with -again]
    #[arg(long, value_name = "DIR")]
    pub(crate) out: Option<PathBuf>,

    /// Replace what a split wrote there before, and nothing else
    #[arg(long)]
    pub(crate) force: bool,

    #[command(flatten)]
    pub(crate) voice: Voice,
}

#[derive(clap::Args)]
pub(crate) struct WishArgs {
    /// A box through which no seam goes, by two corners: X,Y,Z:X,Y,Z in mm; may be repeated
    #[arg(long, value_name = "BOX", value_parser = corners, allow_hyphen_values = true)]
    pub(crate) keep_out: Vec<[[f64; 3]; 2]>,

    /// A part that must be in one piece: its name, and the box that it lies in; may be repeated
    #[arg(long, value_name = "NAME=BOX", allow_hyphen_values = true)]
    pub(crate) whole: Vec<Whole>,

    /// A seam that must be, such as x=300; may be repeated
    #[arg(long, value_name = "AXIS=MM")]
    pub(crate) seam_at: Vec<SeamAt>,

    /// Axes that no seam is square to: a comma list such as z
    #[arg(long, value_name = "AXIS,…", value_delimiter = ',')]
    pub(crate) no_cut: Vec<Axis>,

    /// The longest that a piece may be along any axis, in mm
    #[arg(long, value_name = "MM")]
    pub(crate) largest: Option<f64>,

    /// Avoid pieces whose longest side is under this, in mm [default: 40]
    #[arg(long, value_name = "MM")]
    pub(crate) smallest: Option<f64>,

    /// What a spool holds, in grams: no piece takes more, less a twentieth, if that can be
    /// [default: 1000]
    #[arg(long, value_name = "G")]
    pub(crate) spool: Option<f64>,

    /// The longest that a piece or a plate prints, in hours, if that can be
    #[arg(long, value_name = "HOURS")]
    pub(crate) longest_print: Option<f64>,

    /// Cut and lay the pieces so that they print without support
    #[arg(long)]
    pub(crate) no_supports: bool,

    /// Part the model where its boards and legs meet, and cut only what does not fit further
    #[arg(long)]
    pub(crate) by_members: bool,

    /// Cut bodies that stand apart by the same planes, not each by itself
    #[arg(long)]
    pub(crate) together: bool,
}

impl WishArgs {
    pub(crate) fn wishes(&self) -> Wishes {
        Wishes {
            keep_out_mm: self.keep_out.clone(),
            whole: self.whole.clone(),
            seam_at: self.seam_at.clone(),
            no_cut: self.no_cut.clone(),
            largest_mm: self.largest,
            smallest_mm: self.smallest,
            spool_g: self.spool,
            longest_print_h: self.longest_print,
            no_supports: self.no_supports,
            by_members: self.by_members,
            together: self.together,
            lying: Vec::new(),
        }
    }
}

#[derive(clap::Args)]
pub(crate) struct CheckArgs {
    /// The folder of a split
    pub(crate) folder: PathBuf,

    #[command(flatten)]
    pub(crate) voice: Voice,
}

#[derive(clap::Args)]
pub(crate) struct SurveyArgs {
    /// The model: an STL, 3MF, OBJ or PLY file
    pub(crate) model: PathBuf,

    /// Also tell how many pieces a split for this printer would have
    #[arg(long, value_name = "SIZE", value_delimiter = ',')]
    pub(crate) bed: Vec<String>,

    /// What a number in the model stands for: mm, cm, m or in
    #[arg(long, default_value = "mm")]
    pub(crate) unit: LengthUnit,

    /// Draw where that is which was mended, is odd, or has the model refused, into a new folder
    #[arg(long, value_name = "FOLDER")]
    pub(crate) pictures: Option<PathBuf>,

    #[command(flatten)]
    pub(crate) surface: SurfaceArgs,

    #[command(flatten)]
    pub(crate) voice: Voice,
}

#[derive(clap::Args)]
pub(crate) struct ReportArgs {
    /// The folder of a split
    pub(crate) folder: PathBuf,
}

#[derive(clap::Args)]
pub(crate) struct CouponArgs {
    /// The folder of a split, with --seam: try a real joint of it
    #[arg(requires = "seam")]
    pub(crate) folder: Option<PathBuf>,

    /// The joint to try
    #[arg(long, default_value = "dovetail")]
    pub(crate) joint: JointKind,

    /// The gaps to try, in mm
    #[arg(
        long,
        value_delimiter = ',',
        default_value = "0,0.05,0.1,0.15,0.2",
        value_name = "MM,…"
    )]
    pub(crate) clearances: Vec<f64>,

    /// Cut the joint of this seam out of two finished pieces
    #[arg(long, requires = "folder", value_name = "ID")]
    pub(crate) seam: Option<String>,

    /// The folder to write [default: coupon-JOINT or coupon-SEAM, in this folder]
    #[arg(long, value_name = "DIR")]
    pub(crate) out: Option<PathBuf>,
}

#[derive(clap::Args)]
pub(crate) struct JointsArgs {
    /// Thickness of the material, in mm
    #[arg(long, default_value_t = 18.0, value_name = "MM")]
    pub(crate) thickness: f64,
}

/// How much is said, and how.
#[derive(clap::Args, Clone, Copy)]
pub(crate) struct Voice {
    /// Say nothing but errors
    #[arg(long)]
    pub(crate) quiet: bool,

    /// Print the report as JSON on standard output, and nothing else
    #[arg(long)]
    pub(crate) json: bool,
}
