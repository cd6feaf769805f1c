//! Cut list, report, pictures, the output folder.
//!
//! ```
//! let palette = paperwork::piece_colours(3);
//! assert_eq!(palette.len(), 3);
//! ```
#![deny(missing_docs)]

mod folder;
mod page;
mod pictures;
mod record;
mod words;

pub use folder::output_folder::{FolderError, OutputFolder, Replace, settled};
pub use folder::owned::{
    RECALL, changed_pieces, changed_plates, remembered_model, remembered_results,
};
pub use page::fewest::{Takes, in_short};
pub use page::html::page;
pub use page::joint_drawing::{SeamDrawing, joint_drawing, seam_drawings};
pub use pictures::colours::piece_colours;
pub use pictures::place::place_pictures;
pub use pictures::png_file::PictureError;
pub use pictures::scenes::{Pictures, plate_picture};
pub use pictures::step::{CloseUp, StepPicture};
pub use record::cut_list::cut_list;
pub use record::entries::{
    BodyEntry, ModelEntry, OnPlate, PlateEntry, PrinterEntry, Report, SettingsEntry, ToolEntry,
};
pub use record::made_of::{MadeOf, MemberEntry, ShareEntry};
pub use record::manual::{Instruction, instructions, manual};
pub use record::read_back::{ReadBackError, piece_bytes, read_back, read_joints, read_report};
pub use record::recorded::assembly;
pub use record::report::report;
pub use record::undoing::Undoing;
