//! `survey --pictures`: where in a model is what was found, and what it is made of.

use std::path::Path;

use inspection::Finding;
use paperwork::{OutputFolder, Replace};
use planner::{MemberKind, Members};
use seamwright::{Failure, Model, Reading};
use solid::{Point, Solid};

/// More places are not drawn.
const MOST: usize = 24;

/// Draws what was found in a model, where that has a place, and its members, each as the box
/// or the round in which it lies, in the colour of its kind: the names of the files.
pub(crate) fn of_model(
    folder: &Path,
    model: &Solid,
    (findings, members): (&[Finding], Option<&Members>),
) -> Result<Vec<String>, Failure> {
    let place = |f: &Finding| Some((f.code.word().to_owned(), Point::from(f.at_mm?)));
    written(folder, model, findings.iter().filter_map(place), members)
}

/// The colour of a kind of member, and its word.
pub(crate) fn colour(kind: MemberKind) -> ([u8; 3], &'static str) {
    match kind {
        MemberKind::Board => ([112, 160, 204], "blue"),
        MemberKind::Leg => ([196, 98, 72], "red"),
        MemberKind::Post => ([222, 178, 74], "yellow"),
        MemberKind::Rail => ([112, 166, 106], "green"),
    }
}

/// Draws what a model is refused for, where its surface can be drawn at all.
pub(crate) fn of_refused(folder: &Path, path: &Path, reading: Reading) -> Result<(), Failure> {
    if let Some((surface, defects)) = Model::surface(path, reading) {
        let place = |d: &solid::Defect| (d.kind.word().to_owned(), d.at);
        written(folder, &surface, defects.found.iter().map(place), None)?;
    }
    Ok(())
}

fn written(
    folder: &Path,
    model: &Solid,
    places: impl Iterator<Item = (String, Point)>,
    members: Option<&Members>,
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
    let members = members.map_or(&[][..], |found| &found.members);
    let drawn = members
        .iter()
        .filter_map(|m| Some((m.about()?, colour(m.kind).0)));
    let (solids, colours): (Vec<Solid>, Vec<[u8; 3]>) = drawn.unzip();
    if !solids.is_empty() {
        let png = paperwork::plate_picture(&solids, &colours).map_err(Failure::output)?;
        output.write("members.png", &png)?;
        names.push("members.png".to_owned());
    }
    output.finish()?;
    Ok(names)
}
