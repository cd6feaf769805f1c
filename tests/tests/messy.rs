//! Models as people have them: what is read of them, and what is said.

use std::fs;
use std::path::{Path, PathBuf};

use exchange::LengthUnit;
use proptest::prelude::*;
use seamwright::{Model, Reading};
use solid::{Mends, Solid, TriangleCorners};
use whole_program::{ascii_stl, fixture, run_split, said, seamwright};

fn block(low: [f64; 3], high: [f64; 3]) -> Solid {
    Solid::cuboid(low.into(), high.into())
}

/// A top that floats so far over four legs, each a body of its own.
fn table(gap_mm: f64) -> Vec<Solid> {
    let mut parts = vec![block([0., 0., 400. + gap_mm], [400., 400., 428. + gap_mm])];
    for x in [20., 340.] {
        for y in [20., 340.] {
            parts.push(block([x, y, 0.], [x + 40., y + 40., 400.]));
        }
    }
    parts
}

const TABLE_MM3: f64 = 400. * 400. * 28. + 4. * 40. * 40. * 400.;

fn written(home: &Path, name: &str, parts: &[Solid]) -> PathBuf {
    let path = home.join(name);
    let soup = parts.iter().flat_map(Solid::triangle_corners);
    fs::write(&path, ascii_stl(soup)).unwrap();
    path
}

fn read(path: &Path, join_gaps_mm: Option<f64>) -> Model {
    let reading = Reading {
        join_gaps_mm,
        ..LengthUnit::Millimetre.into()
    };
    Model::read(path, reading).unwrap()
}

fn codes(model: &Model) -> Vec<&'static str> {
    model.notes.iter().map(|f| f.code.word()).collect()
}

#[test]
fn gaps_are_told_and_joined() {
    let home = tempfile::tempdir().unwrap();
    // No file is exact to a hundred-thousandth of a millimetre.
    for (name, gap, join, bodies, words) in [
        ("against.stl", 0.0, None, 1, vec!["rebuilt"]),
        ("exact.stl", 1e-5, None, 1, vec!["rebuilt"]),
        ("near.stl", 0.1, Some(0.12), 1, vec!["rebuilt"]),
        ("far.stl", 0.7, None, 5, vec!["bodies-apart"]),
    ] {
        let model = read(&written(home.path(), name, &table(gap)), join);
        assert_eq!(model.solid.bodies().len(), bodies, "{name}");
        assert_eq!(codes(&model), words, "{name}");
        let joined = if join.is_some() {
            4. * 1600. * gap
        } else {
            0.0
        };
        let off = model.solid.volume_mm3() - TABLE_MM3 - joined;
        assert!(off.abs() < 1.0, "{name}: {off}");
    }
    let near = read(&home.path().join("near.stl"), None);
    let gaps = codes(&near).into_iter().filter(|w| *w == "near-gap");
    assert_eq!((near.solid.bodies().len(), gaps.count()), (5, 4));
    // A plan keeps how its model was read.
    let out = home.path().join("near");
    let out_dir = out.to_str().unwrap();
    let near = home.path().join("near.stl");
    let more = [
        "--bed",
        "500x500x500",
        "--join-gaps",
        "0.12",
        "--out",
        out_dir,
    ];
    let run = run_split(&near, &more);
    assert!(run.status.success(), "{}", said(&run));
    let plan = out.join("plan.toml");
    let plan = plan.to_str().unwrap();
    let again = home.path().join("again");
    let run = run_split(&near, &["--plan", plan, "--out", again.to_str().unwrap()]);
    assert!(run.status.success(), "{}", said(&run));
    let pieces = |folder: &Path| fs::read(folder.join("pieces/P01.stl")).unwrap();
    assert_eq!(pieces(&out), pieces(&again));
    let run = run_split(
        &near,
        &["--plan", plan, "--join-gaps", "0.2", "--out", "none"],
    );
    assert_eq!(run.status.code(), Some(2));
    assert!(
        said(&run).contains("gaps of 0.12 mm joined"),
        "{}",
        said(&run)
    );
}

#[test]
fn a_tray_drawn_as_a_sheet_is_given_walls() {
    let home = tempfile::tempdir().unwrap();
    // The outside of a block without its top, and a partition that ends in the middle of
    // faces: three faces meet at its edges.
    let mut tray: Vec<TriangleCorners> = block([0.; 3], [400., 300., 60.])
        .triangle_corners()
        .filter(|t| !t.iter().all(|p| p.z == 60.0))
        .collect();
    let [a, b, c, d] = [
        [200., 0., 0.],
        [200., 300., 0.],
        [200., 300., 60.],
        [200., 0., 60.],
    ]
    .map(solid::Point::from);
    tray.extend([[a, b, c], [a, c, d]]);
    let path = home.path().join("tray.stl");
    fs::write(&path, ascii_stl(tray)).unwrap();
    let thick = |mm| Reading {
        mends: Mends {
            thicken_mm: Some(mm),
            ..Mends::default()
        },
        ..LengthUnit::Millimetre.into()
    };
    for mm in [2.0, 4.0] {
        let model = Model::read(&path, thick(mm)).unwrap();
        // Floor, two long walls, and three across between them, half of each to either side.
        let (x, y, z) = (400.0 + mm, 300.0 + mm, 60.0 - mm / 2.0);
        let walls = 2.0 * x + 3.0 * (y - 2.0 * mm);
        let expected = x * y * mm + walls * z * mm;
        let found = model.solid.volume_mm3();
        assert!((found - expected).abs() < 1e-2, "{found} of {expected}");
        assert_eq!(model.solid.bodies().len(), 1);
        assert!(codes(&model).contains(&"volume-mended"));
    }
}

#[test]
fn a_hole_that_is_not_flat_is_closed_only_where_that_is_asked() {
    let home = tempfile::tempdir().unwrap();
    let path = home.path().join("corner.stl");
    // Two faces that meet at an edge are missing.
    let open = block([0.; 3], [300., 200., 100.]);
    let open = open
        .triangle_corners()
        .filter(|t| !t.iter().all(|p| p.z == 100.0) && !t.iter().all(|p| p.x == 300.0));
    fs::write(&path, ascii_stl(open)).unwrap();
    let refused = Model::read(&path, LengthUnit::Millimetre).unwrap_err();
    assert!(refused.to_string().contains("open edges"), "{refused}");
    let folder = home.path().join("out");
    let folder = folder.to_str().unwrap();
    let run = run_split(&path, &["--bed", "400x400x300", "--mend", "--out", folder]);
    assert!(run.status.success(), "{}", said(&run));
    let plan = home.path().join("out/plan.toml");
    assert!(fs::read_to_string(&plan).unwrap().contains("mend = true"));
    // The plan has it read so again, and nothing else may be said beside it.
    let plan = plan.to_str().unwrap();
    let again = home.path().join("again");
    let again = again.to_str().unwrap();
    let run = run_split(&path, &["--plan", plan, "--out", again]);
    assert!(run.status.success(), "{}", said(&run));
    let run = run_split(&path, &["--plan", plan, "--thicken", "3", "--out", "none"]);
    assert_eq!(run.status.code(), Some(2));
    let edited = fs::read_to_string(plan).unwrap();
    for wrong in ["0", "-3.0", "nan", "1e9"] {
        let thin = format!("mend = true\nthicken_mm = {wrong}");
        let mine = home.path().join("mine.toml");
        fs::write(&mine, edited.replace("mend = true", &thin)).unwrap();
        let run = run_split(&path, &["--plan", mine.to_str().unwrap(), "--out", "none"]);
        assert_eq!(run.status.code(), Some(3), "{wrong}");
        assert!(said(&run).contains("thicken_mm"), "{}", said(&run));
    }
    for wrong in ["0", "-3", "nan", "1e9"] {
        let thin = format!("--thicken={wrong}");
        let run = run_split(&path, &["--bed", "400x400x300", &thin, "--out", "none"]);
        assert_eq!(run.status.code(), Some(2), "{wrong}");
    }
}

#[test]
fn a_mesh_that_is_closed_by_its_numbers_is_closed() {
    let home = tempfile::tempdir().unwrap();
    // Two blocks that touch along an edge: by their places alone four faces meet there.
    let mut text = String::new();
    for [x, y] in [[0, 0], [200, 300]] {
        for (dx, dy, dz) in [(0, 0, 0), (200, 0, 0), (200, 300, 0), (0, 300, 0)] {
            text += &format!("v {} {} {dz}\n", x + dx, y + dy);
        }
        for (dx, dy) in [(0, 0), (200, 0), (200, 300), (0, 300)] {
            text += &format!("v {} {} 100\n", x + dx, y + dy);
        }
        text += "f -8 -5 -6 -7\nf -4 -3 -2 -1\nf -8 -7 -3 -4\nf -7 -6 -2 -3\nf -6 -5 -1 -2\nf -5 -8 -4 -1\n";
    }
    let path = home.path().join("touching.obj");
    fs::write(&path, text).unwrap();
    let strict = Reading {
        mend: false,
        ..LengthUnit::Millimetre.into()
    };
    for reading in [strict, LengthUnit::Millimetre.into()] {
        let model = Model::read(&path, reading).unwrap();
        assert_eq!(model.solid.bodies().len(), 2);
        assert!((model.solid.volume_mm3() - 12e6).abs() < 1e-3);
        assert!(!codes(&model).contains(&"mended"), "{:?}", codes(&model));
    }
}

#[test]
fn a_survey_draws_where_it_is() {
    let home = tempfile::tempdir().unwrap();
    let survey = |model: &str, more: &[&str]| {
        seamwright()
            .current_dir(home.path())
            .args(["survey", model, "--json", "--pictures", "where"])
            .args(more)
            .output()
            .unwrap()
    };
    let open = block([0.; 3], [300., 200., 100.]);
    let without = |which: &dyn Fn(&solid::Point) -> bool| {
        let kept = open.triangle_corners();
        ascii_stl(kept.filter(|t| !t.iter().all(which)))
    };
    // Of one that is mended, and of one that is refused.
    fs::write(home.path().join("hole.stl"), without(&|p| p.z == 100.0)).unwrap();
    let corner = open.triangle_corners();
    let corner =
        corner.filter(|t| !t.iter().all(|p| p.z == 100.0) && !t.iter().all(|p| p.x == 300.0));
    fs::write(home.path().join("corner.stl"), ascii_stl(corner)).unwrap();
    let run = survey("hole.stl", &[]);
    assert!(run.status.success(), "{}", said(&run));
    let json: serde_json::Value = serde_json::from_slice(&run.stdout).unwrap();
    let drawn = ["01-mended.png", "01-mended-nearer.png"];
    assert_eq!(json["pictures"], serde_json::json!(drawn));
    let is_there = |name: &str| {
        let png = fs::read(home.path().join("where").join(name));
        png.is_ok_and(|bytes| bytes.starts_with(b"\x89PNG"))
    };
    assert!(drawn.iter().all(|name| is_there(name)));
    // What is there already is not touched.
    assert_eq!(survey("corner.stl", &[]).status.code(), Some(2));
    fs::remove_dir_all(home.path().join("where")).unwrap();
    let run = survey("corner.stl", &[]);
    assert_eq!(run.status.code(), Some(3), "{}", said(&run));
    assert!(is_there("01-open-edge.png") && is_there("01-open-edge-nearer.png"));
}

#[test]
fn what_lies_in_the_material_counts_once() {
    let home = tempfile::tempdir().unwrap();
    let mut parts = table(0.0);
    parts.push(block([100., 100., 405.], [150., 150., 420.]));
    let model = read(&written(home.path(), "nested.stl", &parts), None);
    assert!((model.solid.volume_mm3() - TABLE_MM3).abs() < 1e-3);
    // Off the middle of a body by itself, and touching nothing of it.
    let outer = block([0., 0., 0.], [300., 200., 40.]);
    let inner = block([250., 50., 10.], [290., 90., 30.]);
    let model = read(&written(home.path(), "inner.stl", &[outer, inner]), None);
    assert!((model.solid.volume_mm3() - 2.4e6).abs() < 1e-3);
    assert_eq!(codes(&model), ["rebuilt"]);
}

#[test]
fn strays_are_left_out_and_what_hangs_is_told() {
    let home = tempfile::tempdir().unwrap();
    let mut parts = table(0.0);
    parts.push(block([500., 500., 10.], [503., 503., 12.]));
    let model = read(&written(home.path(), "debris.stl", &parts), None);
    assert_eq!(codes(&model), ["rebuilt", "debris"]);
    assert!((model.solid.volume_mm3() - TABLE_MM3).abs() < 1e-3);
    parts.pop();
    parts.push(block([100., 100., 200.], [300., 300., 218.]));
    let model = read(&written(home.path(), "shelf.stl", &parts), None);
    assert_eq!(codes(&model), ["rebuilt", "bodies-apart", "in-the-air"]);
    // On pegs that do not touch it, it stands.
    parts.pop();
    for (x, y) in [(60., 20.), (338., 20.), (60., 340.), (338., 340.)] {
        parts.push(block([x, y, 190.], [x + 2., y + 40., 196.]));
    }
    parts.push(block([61., 20., 200.], [339., 380., 218.]));
    let model = read(&written(home.path(), "pegs.stl", &parts), None);
    assert!(!codes(&model).contains(&"in-the-air"), "{:?}", model.notes);
}

#[test]
fn a_hole_is_closed_with_a_word_and_a_warning() {
    let home = tempfile::tempdir().unwrap();
    let open = block([0., 0., 0.], [300., 90., 18.]);
    let soup = open
        .triangle_corners()
        .filter(|t| t.iter().any(|p| p.z == 0.0));
    let path = home.path().join("open.stl");
    fs::write(&path, ascii_stl(soup)).unwrap();
    let model = read(&path, None);
    assert_eq!(codes(&model), ["mended", "volume-mended"]);
    assert!((model.solid.volume_mm3() - 300. * 90. * 18.).abs() < 1e-6);
    let run = seamwright()
        .args(["survey", "--no-mend"])
        .arg(&path)
        .output()
        .unwrap();
    assert_eq!(run.status.code(), Some(3));
    assert!(said(&run).contains("4 open edges"), "{}", said(&run));
}

#[test]
fn obj_and_ply_split_as_stl_does() {
    let home = tempfile::tempdir().unwrap();
    let table = read(&fixture("side-table.stl"), None).solid;
    let corners = table.vertices().iter();
    let obj: String = corners
        .map(|p| format!("v {:?} {:?} {:?}\n", p.x, p.y, p.z))
        .collect();
    let faces = table.triangles().iter();
    let faces: String = faces
        .map(|t| format!("f {} {} {}\n", t[0] + 1, t[1] + 1, t[2] + 1))
        .collect();
    let ply = format!(
        "ply\nformat ascii 1.0\nelement vertex {}\nproperty double x\nproperty double y\n\
         property double z\nelement face {}\nproperty list uchar int vertex_indices\nend_header\n\
         {}{}",
        table.vertices().len(),
        table.triangles().len(),
        obj.replace("v ", ""),
        table
            .triangles()
            .iter()
            .map(|t| format!("3 {} {} {}\n", t[0], t[1], t[2]))
            .collect::<String>(),
    );
    for (name, text) in [
        ("table.obj", format!("# a table\n{obj}{faces}")),
        ("table.ply", ply),
    ] {
        let path = home.path().join(name);
        fs::write(&path, text).unwrap();
        let again = read(&path, None);
        assert!(again.notes.is_empty());
        assert_eq!(again.solid.vertices(), table.vertices());
        assert_eq!(again.solid.triangles(), table.triangles());
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// Whichever triangle comes first, and whichever of its corners: the model is the same to
    /// the last bit, and so is all that is made of it. A piece of the table is turned inside
    /// out, and one left open.
    #[test]
    fn the_order_of_triangles_decides_nothing(
        seed in any::<u64>(),
        inverted in 0..5usize,
        open in 0..5usize,
    ) {
        let home = tempfile::tempdir().unwrap();
        let mut soup: Vec<TriangleCorners> = Vec::new();
        for (k, part) in table(0.7).iter().enumerate() {
            let top = part.bounds().unwrap().max.z;
            let lid = |t: &TriangleCorners| k == open && t.iter().all(|p| p.z == top);
            let turned = |[a, b, c]: TriangleCorners| if k == inverted { [a, c, b] } else { [a, b, c] };
            soup.extend(part.triangle_corners().filter(|t| !lid(t)).map(turned));
        }
        let first = home.path().join("first.stl");
        fs::write(&first, ascii_stl(soup.iter().copied())).unwrap();
        let mut state = seed | 1;
        let mut dice = |n: usize| {
            // Marsaglia's xorshift (2003): any order will do.
            state ^= state << 13;
            state ^= state >> 7;
            state ^= state << 17;
            (state % n as u64) as usize
        };
        for k in (1..soup.len()).rev() {
            soup.swap(k, dice(k + 1));
            soup[k].rotate_left(dice(3));
        }
        let second = home.path().join("second.stl");
        fs::write(&second, ascii_stl(soup.into_iter())).unwrap();
        let [one, other] = [first, second].map(|path| read(&path, None));
        prop_assert_eq!(one.solid.vertices(), other.solid.vertices());
        prop_assert_eq!(one.solid.triangles(), other.solid.triangles());
        prop_assert!((one.solid.volume_mm3() - TABLE_MM3).abs() < 1e-3);
    }
}
