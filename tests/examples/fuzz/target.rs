//! What is fuzzed: every reader, the plan, the records of a folder, the words of
//! the command line.

use std::fs;
use std::io::{Cursor, Read, Write};
use std::path::Path;
use std::rc::Rc;

use design::{JointChoice, Plan, Recall, SeamAt, Side, Whole, corners};
use exchange::{LengthUnit, Named, PieceFormat};
use paperwork::{OutputFolder, Replace};
use printing::Printer;
use seamwright::{Model, Request, split};
use solid::{Isometry, Point, Solid};
use tempfile::TempDir;
use whole_program::{fixture, plank_in};
use zip::write::{SimpleFileOptions, ZipWriter};

use crate::change::Dice;

/// One reader and what it is fed with.
pub(crate) struct Target {
    pub(crate) name: &'static str,
    seeds: Vec<Vec<u8>>,
    /// Reads a case; `Err` says what did not hold although nothing panicked.
    #[expect(clippy::type_complexity, reason = "a name would only hide what it is")]
    pub(crate) reads: Box<dyn Fn(&[u8]) -> Result<(), String>>,
}

impl Target {
    /// One of the seeds, changed.
    pub(crate) fn case(&self, dice: &mut Dice) -> Vec<u8> {
        let mut case = dice.one(&self.seeds).clone();
        dice.changed(&mut case, &self.seeds);
        case
    }
}

/// Every target.
pub(crate) fn targets() -> Vec<Target> {
    let package = seed_3mf();
    let folder = Folder::new();
    let [ownership, journal] = liars();
    vec![
        of_models("stl", seeds_stl()),
        of_models("obj", vec![seed_obj()]),
        of_models("ply", seeds_ply()),
        of_models("3mf", vec![package.clone()]),
        Target {
            name: "3mf-xml",
            seeds: vec![model_part(&package)],
            reads: Box::new(move |case| {
                model(&with_model_part(&package, case));
                Ok(())
            }),
        },
        Target {
            name: "plan",
            seeds: seeds_plan(),
            reads: Box::new(|case| plan(&String::from_utf8_lossy(case))),
        },
        Target {
            name: "words",
            seeds: WORDS.map(|word| word.as_bytes().to_vec()).to_vec(),
            reads: Box::new(|case| {
                words(&String::from_utf8_lossy(case));
                Ok(())
            }),
        },
        folder.target("report", "report.json"),
        folder.target("joints", "joints.json"),
        folder.target("piece", "pieces/P01.stl"),
        ownership,
        journal,
    ]
}

fn of_models(name: &'static str, seeds: Vec<Vec<u8>>) -> Target {
    Target {
        name,
        seeds,
        reads: Box::new(|case| {
            model(case);
            Ok(())
        }),
    }
}

/// A model read and mended as the program does before all else.
fn model(bytes: &[u8]) {
    if let Ok(model) = exchange::read_model(bytes, LengthUnit::Millimetre) {
        let _ = Solid::mended(model.triangles());
    }
}

fn plan(text: &str) -> Result<(), String> {
    let Ok(plan) = Plan::from_toml(text) else {
        return Ok(());
    };
    let written = plan.to_toml().map_err(|e| format!("not written: {e}"))?;
    match Plan::from_toml(&written) {
        Ok(again) if again == plan => Ok(()),
        Ok(_) => Err("the plan reads back as another".to_owned()),
        Err(e) => Err(format!("the plan does not read back: {e}")),
    }
}

const WORDS: [&str; 9] = [
    "220x220x250",
    "round200x300",
    "P01,P02",
    "0,0,0:10,20.5,-3e2",
    "seat=0,0,0:10,20,30",
    "x=300",
    "+z",
    "auto",
    "dovetail,butterfly",
];

fn words(word: &str) {
    let _ = word.parse::<Printer>();
    let _ = word.parse::<JointChoice>();
    let _ = word.parse::<design::PieceId>();
    let _ = word.parse::<SeamAt>();
    let _ = word.parse::<Side>();
    let _ = word.parse::<Whole>();
    let _ = word.parse::<LengthUnit>();
    let _ = corners(word);
}

fn block() -> Solid {
    Solid::cuboid(Point::origin(), Point::new(30.0, 20.0, 10.0))
}

fn seeds_stl() -> Vec<Vec<u8>> {
    let binary = exchange::write_stl(&block()).expect("a block can be written");
    let mut text = String::from("solid block\n");
    for [a, b, c] in block().triangle_corners() {
        text += "facet normal 0 0 0\nouter loop\n";
        for p in [a, b, c] {
            text += &format!("vertex {} {} {}\n", p.x, p.y, p.z);
        }
        text += "endloop\nendfacet\n";
    }
    text += "endsolid block\n";
    let other = fs::read(fixture("board.stl")).expect("the fixture is there");
    vec![binary, text.into_bytes(), other]
}

fn seed_obj() -> Vec<u8> {
    let mut text = String::from("# a block\no block\n");
    for p in block().vertices() {
        text += &format!("v {} {} {} 1.0\n", p.x, p.y, p.z);
    }
    text += "vt 0 0\ng top\n";
    for t in block().triangles() {
        let [a, b, c] = t.map(|k| k + 1);
        text += &format!("f {a}/1 {b} {}\n", i64::from(c) - 9);
    }
    text += "f 1 2 3 4 5 \\\n 6 7 8\n";
    text.into_bytes()
}

fn seeds_ply() -> Vec<Vec<u8>> {
    let header = |encoding: &str| {
        format!(
            "ply\nformat {encoding} 1.0\nelement vertex 8\nproperty float x\nproperty float y\n\
             property float z\nelement face 12\nproperty list uchar int vertex_indices\n\
             end_header\n"
        )
    };
    let mut text = header("ascii");
    let mut binary = header("binary_little_endian").into_bytes();
    for p in block().vertices() {
        text += &format!("{} {} {}\n", p.x, p.y, p.z);
        binary.extend(p.iter().flat_map(|x| (*x as f32).to_le_bytes()));
    }
    for t in block().triangles() {
        text += &format!("3 {} {} {}\n", t[0], t[1], t[2]);
        binary.push(3);
        binary.extend(t.iter().flat_map(|k| k.to_le_bytes()));
    }
    vec![text.into_bytes(), binary]
}

fn seed_3mf() -> Vec<u8> {
    let block = block();
    let at = |name, x| Named {
        name,
        solid: &block,
        placed: Isometry::translation(x, 0.0, 0.0),
    };
    exchange::write_3mf("two blocks", &[at("P01", 0.0), at("P02", 50.0)], None)
        .expect("blocks can be written")
}

fn is_model(name: &str) -> bool {
    name.ends_with(".model")
}

fn model_part(package: &[u8]) -> Vec<u8> {
    let mut zip = zip::ZipArchive::new(Cursor::new(package)).expect("it is an archive");
    let name = zip.file_names().find(|n| is_model(n)).map(str::to_owned);
    let mut out = Vec::new();
    let name = name.expect("it has a model");
    let mut file = zip.by_name(&name).expect("it has a model");
    file.read_to_end(&mut out).expect("it can be unpacked");
    out
}

/// The package with other bytes as its model, not packed.
fn with_model_part(package: &[u8], part: &[u8]) -> Vec<u8> {
    let mut zip = zip::ZipArchive::new(Cursor::new(package)).expect("it is an archive");
    let mut out = ZipWriter::new(Cursor::new(Vec::new()));
    let stored = SimpleFileOptions::default().compression_method(zip::CompressionMethod::Stored);
    for k in 0..zip.len() {
        let mut file = zip.by_index(k).expect("it has as many files as it says");
        let name = file.name().to_owned();
        out.start_file(&name, stored).expect("memory takes it");
        let mut bytes = Vec::new();
        match is_model(&name) {
            true => bytes.extend_from_slice(part),
            false => drop(file.read_to_end(&mut bytes)),
        }
        out.write_all(&bytes).expect("memory takes it");
    }
    out.finish().expect("memory takes it").into_inner()
}

fn seeds_plan() -> Vec<Vec<u8>> {
    let folders = fs::read_dir(fixture("earlier")).expect("the fixtures are there");
    let plans = folders.flatten().map(|f| f.path().join("plan.toml"));
    let mut seeds: Vec<Vec<u8>> = plans.filter_map(|p| fs::read(p).ok()).collect();
    seeds.sort();
    assert!(!seeds.is_empty(), "there is no plan to begin with");
    seeds
}

/// A folder of a split, one file of which is changed and put back.
struct Folder {
    home: Rc<TempDir>,
}

impl Folder {
    fn new() -> Self {
        let home = tempfile::tempdir().expect("there is room for a folder");
        let out = home.path().join("out");
        let plank = Model::read(&plank_in(home.path()), LengthUnit::Millimetre);
        let request = Request::Find {
            printers: vec![Printer::rectangular("bed-1", 320.0, 220.0, 250.0)],
            settings: Box::default(),
        };
        plank
            .and_then(|plank| split(&plank, request, PieceFormat::Stl, &Recall::none(), &|_| {}))
            .and_then(|outcome| outcome.write(&out, Replace::Nothing))
            .expect("a plank can be split");
        Self {
            home: Rc::new(home),
        }
    }

    /// One file of the folder changed, read, and put back.
    fn target(&self, name: &'static str, file: &'static str) -> Target {
        let home = Rc::clone(&self.home);
        let seed = fs::read(home.path().join("out").join(file)).expect("a split wrote it");
        Target {
            name,
            seeds: vec![seed.clone()],
            reads: Box::new(move |case| {
                let out = home.path().join("out");
                fs::write(out.join(file), case).map_err(|e| e.to_string())?;
                match name {
                    "joints" => {
                        let _ = paperwork::read_joints(&out);
                    }
                    _ => {
                        let _ = seamwright::check(&out, &|_| {});
                    }
                }
                fs::write(out.join(file), &seed).map_err(|e| e.to_string())
            }),
        }
    }
}

/// A list of owned files, or a journal, that lies; and a file beside the folder
/// that its lies are about.
fn liars() -> [Target; 2] {
    let digest = exchange::digest(NOTES.as_bytes());
    let outside = ["../thesis.txt", "a/../../thesis.txt", "./../thesis.txt"];
    let all = |place: &str, list: &dyn Fn(&str) -> String| {
        let lists = outside.iter().map(|name| list(name).into_bytes());
        lists.chain([list(place).into_bytes()]).collect()
    };
    let owned = all("gone.txt", &|name| {
        format!("{{\"files\": {{\"list.csv\": \"00\", \"{name}\": \"{digest}\"}}}}")
    });
    let journal = all("gone.txt", &|name| {
        format!(
            "{{\"install\": {{\"list.csv\": null, \"{name}\": \"{digest}\"}}, \
             \"remove\": {{\"{name}\": \"{digest}\"}}}}"
        )
    });
    let target = |name, seeds, put: fn(&Path, &[u8]) -> std::io::Result<()>| Target {
        name,
        seeds,
        reads: Box::new(move |case| {
            let home = tempfile::tempdir().map_err(|e| e.to_string())?;
            let out = home.path().join("out");
            let notes = [home.path().join("thesis.txt"), out.join("notes.md")];
            fs::create_dir(&out).map_err(|e| e.to_string())?;
            for place in &notes {
                fs::write(place, NOTES).map_err(|e| e.to_string())?;
            }
            put(&out, case).map_err(|e| e.to_string())?;
            // A run on top of it, that removes what is owned and not written again.
            let run = OutputFolder::begin(&out, Replace::Owned);
            let _ = run.and_then(|mut folder| {
                folder.write("list.csv", b"P01")?;
                folder.finish()
            });
            let kept = |place: &Path| fs::read_to_string(place).is_ok_and(|text| text == NOTES);
            match notes.iter().all(|place| kept(place)) {
                true => Ok(()),
                false => Err("a file that no split wrote is gone".to_owned()),
            }
        }),
    };
    [
        target("ownership", owned, |out, case| {
            fs::write(out.join("owned-files.json"), case)
        }),
        target("journal", journal, |out, case| {
            let run = out.join("unfinished-run");
            fs::create_dir_all(run.join("new"))?;
            fs::write(run.join("lock"), "")?;
            fs::write(run.join("new/list.csv"), "new")?;
            fs::write(run.join("ready.json"), case)
        }),
    ]
}

const NOTES: &str = "what no split wrote";
