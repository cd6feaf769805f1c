//! Printers as the command line names them.

use std::path::{Path, PathBuf};

use design::Settings;
use printing::{BedArea, PrintProfile, Printer};
use seamwright::Failure;
use serde::Deserialize;

/// A printer as the command line names it: by its sizes, or by its name in a
/// `printers.toml`.
#[derive(Clone, Debug)]
pub(crate) struct KnownPrinter {
    pub(crate) printer: Printer,
    /// Whether it has the name of a file.
    is_named: bool,
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
    #[serde(default)]
    top_margin_mm: f64,
    #[serde(default)]
    no_go_mm: Vec<BedArea>,
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

/// The printers that some words name.
///
/// # Errors
///
/// When a word names none, or what a `printers.toml` says of it cannot be.
pub(crate) fn known(words: &[String]) -> Result<Vec<KnownPrinter>, Failure> {
    words.iter().map(|word| KnownPrinter::of(word)).collect()
}

/// Some printers under the names of their file, or by their order; no two have one name.
pub(crate) fn numbered(known: &[KnownPrinter]) -> Vec<Printer> {
    let mut out: Vec<Printer> = Vec::new();
    for (k, known) in known.iter().enumerate() {
        let first = match known.is_named {
            true => known.printer.name.clone(),
            false => format!("bed-{}", k + 1),
        };
        let later = (2..).map(|n| format!("{first}-{n}"));
        let free = |name: &String| out.iter().all(|p| p.name != *name);
        let name = std::iter::once(first.clone()).chain(later).find(free);
        out.push(Printer {
            name: name.unwrap_or(first),
            ..known.printer.clone()
        });
    }
    out
}

/// A bed on which no piece with a joint at either end has room is a slip of
/// the pen.
pub(crate) fn take_a_joint(known: &[KnownPrinter], settings: &Settings) -> Result<(), Failure> {
    let rules = &settings.joints;
    let least = 2.0 * rules.reach_mm() + rules.tail_width_mm;
    for KnownPrinter { printer, .. } in known {
        let longest = printer.usable_mm().into_iter().fold(0.0, f64::max);
        if longest < least {
            return Err(Failure::Usage(format!(
                "a bed of {printer} is smaller than a joint: a piece needs {least:.1} mm in some \
                 direction and the bed leaves {longest:.1}; give a larger --bed"
            )));
        }
    }
    Ok(())
}

impl KnownPrinter {
    fn of(word: &str) -> Result<Self, Failure> {
        let by_size = word.parse::<Printer>();
        if let Ok(printer) = by_size {
            return Ok(Self {
                printer,
                is_named: false,
            });
        }
        for place in places() {
            if let Some(known) = Self::in_file(word, &place)? {
                return Ok(known);
            }
        }
        by_size
            .map(|printer| Self {
                printer,
                is_named: false,
            })
            .map_err(|e| {
                Failure::Usage(format!(
                    "{e}; nor is it the name of a printer in {FILE}, here or in the configuration \
                     folder"
                ))
            })
    }

    /// The printer of a name in a file, if there is such a file and it has one.
    fn in_file(name: &str, file: &Path) -> Result<Option<Self>, Failure> {
        let Ok(text) = std::fs::read_to_string(file) else {
            return Ok(None);
        };
        let bad = |why: &dyn std::fmt::Display| {
            Failure::input(file, why, "Mend what it says of the printer.")
        };
        let read: PrintersFile = toml::from_str(&text).map_err(|e| bad(&e))?;
        let Some(entry) = read.printers.into_iter().find(|p| p.name == name) else {
            return Ok(None);
        };
        let mut printer: Printer = entry.bed.parse().map_err(|e| bad(&e))?;
        if let Some(margin_mm) = entry.margin_mm {
            printer.margin_mm = margin_mm;
        }
        printer.top_margin_mm = entry.top_margin_mm;
        printer.no_go_mm = entry.no_go_mm;
        printer.print = entry.print;
        printer.clearance_mm = entry.clearance_mm;
        printer.name = entry.name;
        let named = |e: &dyn std::fmt::Display| bad(&format!("{name}: {e}"));
        printer.checked().map_err(|e| named(&e))?;
        Ok(Some(Self {
            printer,
            is_named: true,
        }))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn printers_keep_the_names_of_their_file_and_no_two_have_one() {
        let known = |word: &str, is_named| KnownPrinter {
            printer: Printer {
                name: word.to_owned(),
                ..Printer::rectangular("bed-1", 220.0, 220.0, 250.0)
            },
            is_named,
        };
        let all = [
            known("bed-1", false),
            known("workshop", true),
            known("bed-1", false),
            known("workshop", true),
        ];
        let names: Vec<String> = numbered(&all).into_iter().map(|p| p.name).collect();
        assert_eq!(names, ["bed-1", "workshop", "bed-3", "workshop-2"]);
    }
}
