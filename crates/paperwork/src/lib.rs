//! Cut list, report, pictures, the output folder.
//!
//! ```
//! let palette = paperwork::piece_colours(3);
//! assert_eq!(palette.len(), 3);
//! ```
#![deny(missing_docs)]

mod bed_mask;
mod colours;
mod cut_list;
mod fewest;
mod folder;
mod joint_drawing;
mod page;
mod pictures;
mod plates;
mod print_estimate;
mod raster;
mod read_back;
mod report;
mod report_entries;
mod seam_entries;
mod view;

pub use colours::piece_colours;
pub use cut_list::cut_list;
pub use fewest::beside_boxes;
pub use folder::{FolderError, OutputFolder};
pub use joint_drawing::{SeamDrawing, joint_drawing, seam_drawings};
pub use page::{NoPage, page};
pub use pictures::{PictureError, exploded, piece_picture, plate_picture, step_picture, whole};
pub use plates::{Plate, ToPack, pack};
pub use print_estimate::{PrintEstimate, print_estimate};
pub use read_back::{ReadBackError, read_back, read_joints, read_report};
pub use report::{Written, assembly, report};
pub use report_entries::{
    ModelEntry, OnPlate, PieceEntry, PlateEntry, PrinterEntry, Report, ResplitEntry, SettingsEntry,
    ToolEntry,
};
pub use seam_entries::{ContactEntry, EstimateEntry, SeamEntry, StepEntry};
