//! A run over the folder of another: what is the same is not made anew, and what comes out is
//! what a fresh run writes.

use std::fs;
use std::path::{Path, PathBuf};

use solid::{Point, Solid};
use whole_program::{files, said, seamwright};

/// How many looks, and how many pictures, served again of how many: as the run says.
fn served(said: &str) -> [[usize; 2]; 2] {
    let flat = said.split_whitespace().collect::<Vec<_>>().join(" ");
    let Some((_, told)) = flat.split_once("not looked at or drawn again: ") else {
        return [[0; 2]; 2];
    };
    let numbers: Vec<usize> = told
        .split(' ')
        .filter_map(|word| word.parse().ok())
        .collect();
    [[numbers[0], numbers[1]], [numbers[2], numbers[3]]]
}

#[test]
fn a_run_again_makes_only_what_changed_and_writes_what_a_fresh_one_does() {
    let home = tempfile::tempdir().unwrap();
    let model = home.path().join("plank.stl");
    let plank = Solid::cuboid(Point::origin(), Point::new(2000.0, 90.0, 18.0));
    fs::write(&model, exchange::write_stl(&plank).unwrap()).unwrap();
    let run = |words: &[&str]| {
        let run = seamwright()
            .current_dir(home.path())
            .arg("split")
            .arg(&model)
            .args(words)
            .output()
            .unwrap();
        assert!(run.status.success(), "{}", said(&run));
        String::from_utf8(run.stdout).unwrap()
    };
    let first = run(&["--bed", "220x220x250", "--out", "one"]);
    assert_eq!(served(&first), [[0; 2]; 2], "nothing was there");
    let plan = fs::read_to_string(home.path().join("one/plan.toml")).unwrap();
    // Nothing changed: nothing is made.
    let same = run(&["--plan", "one/plan.toml", "--out", "one", "--force"]);
    let [looks, pictures] = served(&same);
    assert!(looks[0] == looks[1] && looks[0] > 20, "{same}");
    assert!(pictures[0] == pictures[1] && pictures[0] > 10, "{same}");
    // One seam moved a little.
    let at = plan.rfind("at_mm = ").unwrap() + "at_mm = ".len();
    let end = at + plan[at..].find('\n').unwrap();
    let moved: f64 = plan[at..end].parse::<f64>().unwrap() + 1.5;
    let edited = format!("{}{moved:?}{}", &plan[..at], &plan[end..]);
    fs::write(home.path().join("one/plan.toml"), &edited).unwrap();
    fs::write(home.path().join("alone.toml"), &edited).unwrap();
    let again = run(&["--plan", "one/plan.toml", "--out", "one", "--force"]);
    let [looks, pictures] = served(&again);
    assert!(looks[0] > 0 && looks[0] < looks[1], "{again}");
    assert!(pictures[0] > 0 && pictures[0] < pictures[1], "{again}");
    let fresh = run(&["--plan", "alone.toml", "--out", "two"]);
    assert_eq!(served(&fresh), [[0; 2]; 2], "{fresh}");
    let [again, fresh] = ["one", "two"].map(|name| files(&home.path().join(name)));
    assert!(again.contains_key(Path::new("recall.bin")));
    let differ: Vec<&PathBuf> = again
        .keys()
        .filter(|k| fresh.get(*k) != again.get(*k))
        .collect();
    assert!(
        differ.is_empty() && again.len() == fresh.len(),
        "{differ:?}"
    );
    // Bytes that are not what a run wrote are no memory, and in nobody's way.
    let recall = home.path().join("one/recall.bin");
    let mut bytes = fs::read(&recall).unwrap();
    let middle = bytes.len() / 2;
    bytes[middle] ^= 1;
    fs::write(&recall, bytes).unwrap();
    let after = run(&["--plan", "one/plan.toml", "--out", "one", "--force"]);
    assert_eq!(served(&after), [[0; 2]; 2], "{after}");
    assert_eq!(files(&home.path().join("one")), fresh);
}
