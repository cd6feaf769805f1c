//! Seams on the very faces where boards meet: what is written is sound.

use solid::Solid;
use whole_program::{drawer, seamwright, small_rack};

fn pieces_of(model: &Solid, seam: &str) -> Vec<Solid> {
    let home = tempfile::tempdir().unwrap();
    let path = home.path().join("model.stl");
    std::fs::write(&path, exchange::write_stl(model).unwrap()).unwrap();
    let run = seamwright()
        .current_dir(home.path())
        .args(["split", "model.stl", "--bed", "256x256x256", "--quiet"])
        .args(["--seam-at", seam, "--out", "out"])
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&run.stderr).into_owned();
    assert!(run.status.success(), "{seam}: {said}");
    let mut paths: Vec<_> = std::fs::read_dir(home.path().join("out/pieces"))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    paths.sort();
    paths
        .iter()
        .map(|path| {
            let soup = exchange::read_stl(&std::fs::read(path).unwrap()).unwrap();
            Solid::from_triangles(soup).unwrap()
        })
        .collect()
}

fn clear(model: &Solid, seams: &[&str]) {
    for seam in seams {
        let pieces = pieces_of(model, seam);
        assert!(pieces.len() > 1);
        for (k, piece) in pieces.iter().enumerate() {
            let touching = piece
                .touches_itself()
                .and_then(|pair| piece.middle_of(pair));
            assert_eq!(touching, None, "{seam}: file {k}");
        }
    }
}

#[test]
fn no_piece_of_a_drawer_touches_itself() {
    clear(&drawer(), &["z=8", "x=12"]);
}

#[test]
fn no_piece_of_a_rack_touches_itself() {
    clear(&small_rack(), &["x=18"]);
}
