//! `survey --pictures`: where in a model is what was found.

use std::path::Path;

use inspection::Finding;
use paperwork::{OutputFolder, Replace};
use seamwright::{Failure, Model, Reading};
use solid::{Point, Solid};

/// More places are not drawn.
const MOST: usize = 24;

/// Draws what was found in a model, where that has a place: the names of the files.
pub(crate) fn of_findings(
    folder: &Path,
    model: &Solid,
    findings: &[Finding],
) -> Result<Vec<String>, Failure> {
    let place = |f: &Finding| Some((f.code.word().to_owned(), Point::from(f.at_mm?)));
    written(folder, model, findings.iter().filter_map(place))
}

/// Draws what a model is refused for, where its surface can be drawn at all.
pub(crate) fn of_refused(folder: &Path, path: &Path, reading: Reading) -> Result<(), Failure> {
    if let Some((surface, defects)) = Model::surface(path, reading) {
        let place = |d: &solid::Defect| (d.kind.word().to_owned(), d.at);
        written(folder, &surface, defects.found.iter().map(place))?;
    }
    Ok(())
}

fn written(
    folder: &Path,
    model: &Solid,
    places: impl Iterator<Item = (String, Point)>,
) -> Result<Vec<String>, Failure> {
    let mut output = OutputFolder::begin(folder, Replace::Nothing)?;
    let mut names = Vec::new();
    for (k, (what, at)) in places.take(MOST).enumerate() {
        let drawn = paperwork::place_pictures(model, &at).map_err(Failure::output)?;
        for (end, png) in ["", "-nearer"].into_iter().zip(drawn) {
            let name = format!("{:02}-{what}{end}.png", k + 1);
            output.write(&name, &png)?;
            names.push(name);
        }
    }
    output.finish()?;
    Ok(names)
}
