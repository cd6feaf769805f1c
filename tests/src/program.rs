use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::OnceLock;

use solid::{Point, Solid, TriangleCorners};

/// The path of a shipped fixture.
pub fn fixture(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../fixtures")
        .join(name)
}

/// Writes a plank of three pieces' length into a folder: where it does not
/// matter what is split, this is quick.
///
/// # Panics
///
/// When it cannot be written.
pub fn plank_in(folder: &Path) -> PathBuf {
    let plank = Solid::cuboid(Point::origin(), Point::new(600.0, 90.0, 18.0));
    let bytes = exchange::write_stl(&plank).expect("a plank can be written");
    let path = folder.join("plank.stl");
    std::fs::write(&path, bytes).expect("the folder can be written to");
    path
}

/// Loose triangles as ASCII STL, whose numbers are not rounded, whether they bound a solid or
/// not.
pub fn ascii_stl(soup: impl IntoIterator<Item = TriangleCorners>) -> String {
    let corner = |p: &Point| format!("vertex {:?} {:?} {:?}\n", p.x, p.y, p.z);
    let facet = |t: TriangleCorners| {
        let corners: String = t.iter().map(corner).collect();
        format!("facet normal 0 0 0\nouter loop\n{corners}endloop\nendfacet\n")
    };
    let facets: String = soup.into_iter().map(facet).collect();
    format!("solid loose\n{facets}endsolid loose\n")
}

/// A run of the real program, built as the tests are if it is not yet.
///
/// # Panics
///
/// When it does not build.
pub fn seamwright() -> Command {
    static BUILT: OnceLock<PathBuf> = OnceLock::new();
    let path = BUILT.get_or_init(|| {
        let cargo = std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into());
        let profile = if cfg!(debug_assertions) {
            "dev"
        } else {
            "release"
        };
        let built = Command::new(cargo)
            .args(["build", "--quiet", "-p", "seamwright", "--profile", profile])
            .current_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join(".."))
            .status()
            .expect("cargo can be run");
        assert!(built.success(), "the program does not build");
        // Tests lie in the folder deps beside it.
        let own = std::env::current_exe().expect("a test has a path");
        own.ancestors()
            .find(|p| p.file_name().is_some_and(|n| n == "deps"))
            .map(|deps| deps.with_file_name(format!("seamwright{}", std::env::consts::EXE_SUFFIX)))
            .expect("tests are built in a target folder")
    });
    Command::new(path)
}

/// A run of `seamwright split` on a model.
///
/// # Panics
///
/// When the program does not build or start.
pub fn run_split(model: &Path, more: &[&str]) -> Output {
    seamwright()
        .arg("split")
        .arg(model)
        .args(more)
        .output()
        .expect("the program starts")
}

/// The report of a run in a folder that is to succeed; its options say where `--out` is.
///
/// # Panics
///
/// When it does not succeed, or writes no report.
pub fn reported(home: &Path, options: &[&str]) -> serde_json::Value {
    let run = seamwright()
        .current_dir(home)
        .args(options)
        .arg("--quiet")
        .output()
        .expect("the program starts");
    let said = String::from_utf8_lossy(&run.stderr).into_owned();
    assert!(run.status.success(), "{said}");
    let folder = options.iter().skip_while(|word| **word != "--out").nth(1);
    let report = home.join(folder.expect("--out")).join("report.json");
    let report = std::fs::read(report).expect("a report is written");
    serde_json::from_slice(&report).expect("a report is JSON")
}

/// The report of a split of a model, `model.stl` in a folder, into `out` there.
///
/// # Panics
///
/// As [`reported`].
pub fn split_report(home: &Path, model: &Solid, options: &[&str]) -> serde_json::Value {
    let stl = exchange::write_stl(model).expect("a model can be written");
    std::fs::write(home.join("model.stl"), stl).expect("a model can be written");
    reported(
        home,
        &[&["split", "model.stl", "--out", "out"], options].concat(),
    )
}

/// The codes of all findings of a report.
///
/// # Panics
///
/// When it has none that are one.
pub fn codes(report: &serde_json::Value) -> Vec<&str> {
    let findings = report["findings"].as_array().expect("a list");
    let each = findings.iter();
    each.map(|f| f["code"].as_str().expect("a word")).collect()
}

/// A command under a limit of the shell's, such as `ulimit -v 1048576`; where there
/// is no such shell, the command as it is.
pub fn limited(limit: &str, run: &Command) -> Command {
    let mut out = match cfg!(unix) {
        true => Command::new("sh"),
        false => Command::new(run.get_program()),
    };
    if cfg!(unix) {
        out.args(["-c", &format!("{limit}; exec \"$0\" \"$@\"")]);
        out.arg(run.get_program());
    }
    out.args(run.get_args());
    if let Some(folder) = run.get_current_dir() {
        out.current_dir(folder);
    }
    out
}
