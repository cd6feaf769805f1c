//! Seams on the very faces where boards meet: what is written is sound.

use solid::{Point, Solid};
use whole_program::seamwright;

/// A drawer 372 × 318 × 116, sides of 12 and a bottom of 8.
fn drawer() -> Solid {
    let outer = Solid::cuboid(Point::origin(), Point::new(372.0, 318.0, 116.0));
    let room = Solid::cuboid(Point::new(12.0, 12.0, 8.0), Point::new(360.0, 306.0, 120.0));
    outer.difference(&room).unwrap()
}

/// Two sides, three shelves and a back, of boards of 18 and 6.
fn rack() -> Solid {
    let block = |a: [f64; 3], b: [f64; 3]| Solid::cuboid(Point::from(a), Point::from(b));
    let mut boards = vec![
        block([0.0, 0.0, 0.0], [18.0, 200.0, 380.0]),
        block([282.0, 0.0, 0.0], [300.0, 200.0, 380.0]),
        block([0.0, 194.0, 0.0], [300.0, 200.0, 380.0]),
    ];
    for z in [0.0, 180.0, 362.0] {
        boards.push(block([0.0, 0.0, z], [300.0, 200.0, z + 18.0]));
    }
    Solid::union_of(&boards).unwrap()
}

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
    clear(&rack(), &["x=18"]);
}
