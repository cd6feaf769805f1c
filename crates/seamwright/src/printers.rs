use std::path::PathBuf;
use std::str::FromStr;

use planner::{PrintProfile, Printer};
use serde::Deserialize;

/// A printer as the command line names it: by its sizes, or by its name in a
/// `printers.toml`.
#[derive(Clone, Debug)]
pub(crate) struct KnownPrinter {
    pub(crate) printer: Printer,
    /// The clearance that its coupons showed to be right.
    pub(crate) clearance_mm: Option<f64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PrintersFile {
    #[serde(default, rename = "printer")]
    printers: Vec<Entry>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Entry {
    name: String,
    bed: String,
    margin_mm: Option<f64>,
    clearance_mm: Option<f64>,
    print: Option<PrintProfile>,
}

const FILE: &str = "printers.toml";

/// The working folder's file, then that of the user's configuration folder.
fn places() -> Vec<PathBuf> {
    let configuration = std::env::var_os("XDG_CONFIG_HOME")
        .map(PathBuf::from)
        .or_else(|| {
            std::env::var_os("APPDATA")
                .map(PathBuf::from)
                .or_else(|| std::env::var_os("HOME").map(|h| PathBuf::from(h).join(".config")))
        });
    std::iter::once(PathBuf::from(FILE))
        .chain(configuration.map(|c| c.join("seamwright").join(FILE)))
        .collect()
}

impl FromStr for KnownPrinter {
    type Err = String;

    fn from_str(word: &str) -> Result<Self, String> {
        let by_size = word.parse::<Printer>();
        if let Ok(printer) = by_size {
            return Ok(Self {
                printer,
                clearance_mm: None,
            });
        }
        for place in places() {
            let Ok(text) = std::fs::read_to_string(&place) else {
                continue;
            };
            let file: PrintersFile =
                toml::from_str(&text).map_err(|e| format!("{}: {e}", place.display()))?;
            let Some(entry) = file.printers.iter().find(|p| p.name == word) else {
                continue;
            };
            let mut printer: Printer = entry
                .bed
                .parse()
                .map_err(|e| format!("{}: {e}", place.display()))?;
            if let Some(margin_mm) = entry.margin_mm {
                printer.margin_mm = margin_mm;
            }
            if let Some(print) = &entry.print {
                print
                    .checked()
                    .map_err(|e| format!("{}: {word}: {e}", place.display()))?;
            }
            printer.print = entry.print;
            printer
                .checked()
                .map_err(|e| format!("{}: {e}", place.display()))?;
            return Ok(Self {
                printer,
                clearance_mm: entry.clearance_mm,
            });
        }
        by_size.map(|printer| Self { printer, clearance_mm: None }).map_err(|e| {
            format!("{e}; nor is it the name of a printer in {FILE}, here or in the configuration folder")
        })
    }
}
