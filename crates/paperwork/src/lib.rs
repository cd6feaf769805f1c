//! Cut list, report, pictures, the output folder.
//!
//! ```
//! let palette = paperwork::piece_colours(3);
//! assert_eq!(palette.len(), 3);
//! ```
#![deny(missing_docs)]

mod colours;
mod cut_list;
mod folder;
mod joint_drawing;
mod page;
mod pictures;
mod raster;
mod read_back;
mod report;
mod report_entries;

pub use colours::piece_colours;
pub use cut_list::cut_list;
pub use folder::{FolderError, OutputFolder};
pub use joint_drawing::joint_drawing;
pub use page::page;
pub use pictures::{PictureError, exploded, whole};
pub use read_back::{ReadBackError, read_back, read_report};
pub use report::{Written, assembly, report};
pub use report_entries::{
    ContactEntry, EstimateEntry, ModelEntry, PieceEntry, PrinterEntry, Report, ResplitEntry,
    SeamEntry, SettingsEntry, StepEntry, ToolEntry,
};
