//! Files made to hang a program, to eat the machine, or to break it.

use std::fs;
use std::io::{Cursor, Read, Write};
use std::path::Path;
use std::process::Stdio;
use std::time::{Duration, Instant};

use solid::{Isometry, Point, Solid};
use whole_program::{fixture, limited, plank_in, seamwright};
use zip::write::{SimpleFileOptions, ZipWriter};

/// Writes a package of the standard whose model has these resources and this
/// build: one of ours with other contents.
fn package(path: &Path, (resources, build): (&str, &str)) {
    let block = Solid::cuboid(Point::origin(), Point::new(1.0, 1.0, 1.0));
    let item = exchange::Named {
        name: "P01",
        solid: &block,
        placed: Isometry::identity(),
    };
    let ours = exchange::write_3mf("block", &[item], None).unwrap();
    let mut ours = zip::ZipArchive::new(Cursor::new(ours)).unwrap();
    let mut zip = ZipWriter::new(fs::File::create(path).unwrap());
    for k in 0..ours.len() {
        let mut file = ours.by_index(k).unwrap();
        let mut text = String::new();
        file.read_to_string(&mut text).unwrap();
        if file.name().ends_with(".model") {
            text = within(&within(&text, "resources", resources), "build", build);
        }
        zip.start_file(file.name(), SimpleFileOptions::default())
            .unwrap();
        zip.write_all(text.as_bytes()).unwrap();
    }
    zip.finish().unwrap();
}

/// A text with other contents of its only element of a name.
fn within(text: &str, name: &str, contents: &str) -> String {
    let begins = text.find(&format!("<{name}")).unwrap();
    let from = begins + text[begins..].find('>').unwrap() + 1;
    let to = text.find(&format!("</{name}>")).unwrap();
    format!("{}{contents}{}", &text[..from], &text[to..])
}

/// A tetrahedron as object 1.
const MESH: &str = r#"<object id="1" type="model"><mesh><vertices><vertex x="0" y="0" z="0"/><vertex x="300" y="0" z="0"/><vertex x="0" y="300" z="0"/><vertex x="0" y="0" z="300"/></vertices><triangles><triangle v1="0" v2="2" v3="1"/><triangle v1="0" v2="1" v3="3"/><triangle v1="1" v2="2" v3="3"/><triangle v1="0" v2="3" v3="2"/></triangles></mesh></object>"#;

/// No hostile file may take more memory.
const A_GIBIBYTE: &str = "ulimit -v 1048576";

/// Runs a split that must be refused in good time, and in little memory, with a
/// reason.
fn refused(home: &Path, args: &[&str], says: &str) {
    let begun = Instant::now();
    let mut run = seamwright();
    run.current_dir(home).arg("split").args(args);
    run.args(["--out", "out"]);
    let run = limited(A_GIBIBYTE, &run).output().unwrap();
    let said = String::from_utf8_lossy(&run.stderr).into_owned();
    assert_eq!(run.status.code(), Some(3), "{said}");
    assert!(said.contains(says), "'{says}' is not in: {said}");
    assert!(!said.contains("panicked"), "{said}");
    assert!(!home.join("out").exists());
    // A hang is what this is about, not speed.
    assert!(begun.elapsed() < Duration::from_secs(60));
}

#[test]
fn transforms_that_are_no_matrices_are_refused() {
    let home = tempfile::tempdir().unwrap();
    for numbers in ["1 0 0 0 1 0 0 0 1 0 0", "1 0 0 0 1 0 0 0 1 0 0 0 0"] {
        let build = format!(r#"<item objectid="1" transform="{numbers}"/>"#);
        package(&home.path().join("m.3mf"), (MESH, &build));
        refused(
            home.path(),
            &["m.3mf", "--bed", "220x220x250"],
            "must have 12",
        );
    }
    // The same file with a matrix is read.
    let build = r#"<item objectid="1" transform="1 0 0 0 1 0 0 0 1 0 0 0"/>"#;
    package(&home.path().join("m.3mf"), (MESH, build));
    let survey = seamwright()
        .current_dir(home.path())
        .args(["survey", "m.3mf", "--bed", "220x220x250"])
        .output()
        .unwrap();
    assert!(
        survey.status.success(),
        "{}",
        String::from_utf8_lossy(&survey.stderr)
    );
}

/// Objects 2 to 16, each the one before it so many times.
fn doubled(first: &str, times: usize) -> String {
    let mut objects = first.to_owned();
    for id in 2..=16 {
        let part = format!(r#"<component objectid="{}"/>"#, id - 1);
        objects += &format!(
            r#"<object id="{id}" type="model"><components>{}</components></object>"#,
            part.repeat(times)
        );
    }
    objects
}

#[test]
fn components_that_repeat_without_end_are_refused() {
    let home = tempfile::tempdir().unwrap();
    let empty = r#"<object id="1" type="model"><components></components></object>"#;
    for first in [MESH, empty] {
        package(
            &home.path().join("m.3mf"),
            (&doubled(first, 8), r#"<item objectid="16"/>"#),
        );
        refused(
            home.path(),
            &["m.3mf", "--bed", "220x220x250"],
            "100000 parts",
        );
    }
}

#[test]
fn an_archive_that_unpacks_to_gigabytes_is_refused() {
    let home = tempfile::tempdir().unwrap();
    let mut zip = ZipWriter::new(fs::File::create(home.path().join("m.3mf")).unwrap());
    zip.start_file("3D/3dmodel.model", SimpleFileOptions::default())
        .unwrap();
    let blank = vec![b' '; 1 << 20];
    for _ in 0..300 {
        zip.write_all(&blank).unwrap();
    }
    zip.finish().unwrap();
    refused(
        home.path(),
        &["m.3mf", "--bed", "220x220x250"],
        "larger than 256 MB",
    );
}

#[test]
fn coordinates_beyond_everything_that_is_built_are_refused() {
    let home = tempfile::tempdir().unwrap();
    for far in ["-1e308", "1e30", "-2e7"] {
        let facet = |a: &str, b: &str, c: &str| {
            format!(
                "facet normal 0 0 0\nouter loop\nvertex {a}\nvertex {b}\nvertex {c}\n\
                 endloop\nendfacet\n"
            )
        };
        let top = format!("0 0 {far}");
        let (o, x, y) = ("0 0 0", "300 0 0", "0 300 0");
        let text = format!(
            "solid far\n{}{}{}{}endsolid far\n",
            facet(o, y, x),
            facet(o, x, &top),
            facet(x, y, &top),
            facet(o, &top, y)
        );
        fs::write(home.path().join("m.stl"), text).unwrap();
        refused(
            home.path(),
            &["m.stl", "--bed", "220x220x250"],
            "beyond 1e7 mm",
        );
    }
}

/// A plan for the plank whose seams hang from each other like a chain, so far
/// apart.
fn chain(home: &Path, seams: u32, apart_mm: f64) {
    plank_in(home);
    let stool = fs::read_to_string(fixture("earlier/stool/plan.toml")).unwrap();
    let mut plan = stool[..stool.find("\n[[seam]]").unwrap() + 1].to_owned();
    for k in 1..=seams {
        let cuts = match k {
            1 => "whole".to_owned(),
            k => format!("S{} above", k - 1),
        };
        plan += &format!(
            "[[seam]]\nid = \"S{k}\"\ncuts = \"{cuts}\"\nnormal = [1.0, 0.0, 0.0]\n\
             at_mm = {}\n\n",
            f64::from(k) * apart_mm
        );
    }
    fs::write(home.join("plan.toml"), plan).unwrap();
}

#[test]
fn a_plan_of_more_seams_than_anyone_puts_together_is_refused() {
    let home = tempfile::tempdir().unwrap();
    chain(home.path(), 5000, 0.1);
    let args = ["plank.stl", "--plan", "plan.toml"];
    refused(home.path(), &args, "a plan may have 1000");
}

#[test]
fn a_plan_as_deep_as_it_is_long_is_carried_out() {
    let home = tempfile::tempdir().unwrap();
    chain(home.path(), 600, 0.5);
    let mut run = seamwright();
    run.current_dir(home.path()).args([
        "split",
        "plank.stl",
        "--plan",
        "plan.toml",
        "--out",
        "out",
    ]);
    let run = limited(A_GIBIBYTE, &run).output().unwrap();
    let said = String::from_utf8_lossy(&run.stderr).into_owned();
    // Slices of half a millimetre hold nothing, and the judges say so.
    assert_eq!(run.status.code(), Some(1), "{said}");
    let pieces = fs::read_dir(home.path().join("out/pieces")).unwrap();
    assert!(pieces.count() >= 1);
    let report = fs::read_to_string(home.path().join("out/report.json")).unwrap();
    assert!(report.contains("P601"), "{said}");
}

#[test]
fn a_closed_pipe_ends_a_run_quietly() {
    let home = tempfile::tempdir().unwrap();
    plank_in(home.path());
    let split = ["split", "plank.stl", "--bed", "220x220x250", "--out", "out"];
    for args in [&["joints", "--thickness", "18"][..], &["manual"], &split] {
        let mut run = seamwright()
            .current_dir(home.path())
            .args(args)
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        drop(run.stdout.take());
        let done = run.wait_with_output().unwrap();
        let said = String::from_utf8_lossy(&done.stderr).into_owned();
        assert!(!said.contains("panicked"), "{args:?}: {said}");
    }
    assert!(home.path().join("out/report.json").is_file());
}
