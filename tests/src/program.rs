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
