use std::path::{Path, PathBuf};

use inspection::Assembly;
use paperwork::Report;
use planner::Plan;
use workshop::SeamRecord;

use crate::args::ResplitArgs;
use crate::failure::Failure;
use crate::split::read_plan;

/// A folder of a split, read back.
pub(crate) struct Earlier {
    pub(crate) plan: Plan,
    pub(crate) records: Vec<SeamRecord>,
    pub(crate) report: Report,
    pub(crate) assembly: Assembly,
}

impl Earlier {
    /// Reads the folder of a split.
    pub(crate) fn read(folder: &Path) -> Result<Self, Failure> {
        let advice = "Give the folder that `seamwright split` wrote, as it wrote it.";
        let report =
            paperwork::read_report(folder).map_err(|e| Failure::input(folder, e, advice))?;
        let assembly =
            paperwork::read_back(folder, &report).map_err(|e| Failure::input(folder, e, advice))?;
        let plan = read_plan(&folder.join("plan.toml"))?;
        let records =
            paperwork::read_joints(folder).map_err(|e| Failure::input(folder, e, advice))?;
        Ok(Self {
            plan,
            records,
            report,
            assembly,
        })
    }

    /// The model that a folder was split from: where it is said to be, else in the
    /// working folder, the split's own or the one above it.
    pub(crate) fn model_path(&self, args: &ResplitArgs) -> Result<PathBuf, Failure> {
        if let Some(path) = &args.model {
            return Ok(path.clone());
        }
        let name = &self.plan.model.file;
        let above = args.folder.join("..");
        let places = [
            PathBuf::from("."),
            args.folder.clone(),
            above,
            "fixtures".into(),
        ];
        places
            .iter()
            .map(|p| p.join(name))
            .find(|p| p.is_file())
            .ok_or_else(|| {
                Failure::input(
                    &args.folder,
                    format!("the model {name} is not in this folder, in the split's or above it"),
                    "Say where it is with --model.",
                )
            })
    }
}
