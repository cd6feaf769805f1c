//! Runs that are cut short, refused by the disk, or not alone.

use std::fs;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use whole_program::{Bench, files, limited, said, seamwright};

/// How often runs are cut short: the variable `CUT_SHORT`, where more than a few
/// are wanted.
fn times() -> u32 {
    let given = std::env::var("CUT_SHORT").ok();
    given.and_then(|n| n.parse().ok()).unwrap_or(18)
}

/// A run that changes the folder of a bench.
type Run = fn(&Bench) -> Command;

fn split(bench: &Bench) -> Command {
    let mut run = seamwright();
    run.current_dir(bench.home.path())
        .args(["split", "plank.stl", "--out", "mine", "--quiet"])
        .args(["--bed", "300x300x300", "--force"]);
    run
}

fn resplit(bench: &Bench) -> Command {
    let mut run = seamwright();
    run.current_dir(bench.home.path())
        .args(["resplit", "mine", "--out", "mine", "--quiet"])
        .args(["--bed", "300x300x300", "--printed", "P01", "--force"]);
    run
}

/// A page made again, where the one that was there is of another version.
fn report(bench: &Bench) -> Command {
    let mut run = seamwright();
    run.current_dir(bench.home.path())
        .args(["report", "mine"])
        .stdout(Stdio::null());
    run
}

/// Ends a run: at once, or as from a keyboard. How long it took to end.
fn ended(run: &mut Child, gently: bool) -> Duration {
    let begun = Instant::now();
    match gently {
        true => {
            let id = run.id().to_string();
            let sent = Command::new("kill").args(["-INT", &id]).output();
            assert!(sent.unwrap().status.success() || run.try_wait().unwrap().is_some());
        }
        false => {
            let _ = run.kill();
        }
    }
    run.wait().unwrap();
    begun.elapsed()
}

#[test]
fn a_run_cut_short_at_any_moment_leaves_the_old_folder_or_the_new() {
    let runs: [(&str, Run); 3] = [("split", split), ("resplit", resplit), ("report", report)];
    let (mut cut_short, mut olds, mut news) = (0, 0, 0);
    let mut slowest = Vec::new();
    for (name, command) in runs {
        let bench = Bench::new();
        fs::write(bench.out.join("notes.md"), "mine").unwrap();
        let old = files(&bench.out);
        let begun = Instant::now();
        assert!(command(&bench).status().unwrap().success(), "{name}");
        let takes = begun.elapsed();
        let new = files(&bench.out);
        let each = times().div_ceil(3);
        for k in 0..each {
            restored(&bench.out, &old);
            // Densest towards the end, where files go to their places.
            let share = 1.0 - 0.9 * (1.0 - f64::from(k + 1) / f64::from(each)).powi(2);
            let mut run = command(&bench).stderr(Stdio::null()).spawn().unwrap();
            std::thread::sleep(takes.mul_f64(share));
            let going = run.try_wait().unwrap().is_none();
            cut_short += u32::from(going);
            let took = ended(&mut run, k % 2 == 0);
            if going {
                slowest.push(took);
            }
            let next = seamwright().arg("check").arg(&bench.out).output().unwrap();
            assert!(next.status.success(), "{name}: {}", said(&next));
            let now = files(&bench.out);
            olds += u32::from(now == old);
            news += u32::from(now == new);
            assert!(now == old || now == new, "{name} after {share} of a run");
            assert_eq!(fs::read_dir(bench.home.path()).unwrap().count(), 2);
        }
    }
    slowest.sort();
    println!(
        "{cut_short} of {} runs cut short, {olds} old and {news} new folders; the slowest ended \
         after {:?}",
        3 * times().div_ceil(3),
        slowest.last()
    );
    assert!(cut_short > 0 && olds > 0, "{cut_short} {olds} {news}");
    // Half of them and more end at once; the machine may be busy with others.
    assert!(slowest[slowest.len() / 2] < Duration::from_millis(100));
}

/// A folder as it was.
fn restored(folder: &Path, old: &std::collections::BTreeMap<std::path::PathBuf, Vec<u8>>) {
    fs::remove_dir_all(folder).unwrap();
    for (name, bytes) in old {
        let place = folder.join(name);
        fs::create_dir_all(place.parent().unwrap()).unwrap();
        fs::write(place, bytes).unwrap();
    }
}

#[test]
#[cfg(unix)]
fn a_file_that_cannot_be_written_leaves_the_folder_as_it_was() {
    let bench = Bench::new();
    let old = files(&bench.out);
    let mut refused = 0;
    // Files larger than so many blocks are refused: fewer and fewer of them, as
    // the limit grows, the page the last.
    for blocks in [0, 1, 2, 4, 8, 16, 32, 64, 128, 256, 512, 1024] {
        let limit = format!("trap '' XFSZ; ulimit -f {blocks}");
        let run = limited(&limit, &split(&bench)).output().unwrap();
        if run.status.success() {
            break;
        }
        refused += 1;
        assert_eq!(run.status.code(), Some(4), "{}", said(&run));
        assert!(!said(&run).contains("panicked"), "{}", said(&run));
        assert!(files(&bench.out) == old, "with {blocks} blocks");
    }
    assert!(refused > 4, "only {refused} of the limits were felt");
}

#[test]
#[cfg(unix)]
fn a_folder_behind_a_link_is_the_folder_itself() {
    let bench = Bench::new();
    let link = bench.home.path().join("link");
    std::os::unix::fs::symlink(&bench.out, &link).unwrap();
    let run = seamwright()
        .current_dir(bench.home.path())
        .args(["split", "plank.stl", "--out", "link/", "--quiet"])
        .args(["--bed", "300x300x300", "--force"])
        .output()
        .unwrap();
    assert!(run.status.success(), "{}", said(&run));
    assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
    let plan = fs::read_to_string(bench.out.join("plan.toml")).unwrap();
    assert!(plan.contains("width_mm = 300.0"));
}

#[test]
#[cfg(unix)]
fn a_link_in_the_place_of_a_file_is_replaced_and_not_followed() {
    let bench = Bench::new();
    // The maker keeps a piece elsewhere and links it: the same bytes, so as written.
    let kept = bench.home.path().join("kept.stl");
    let piece = bench.out.join("pieces/P01.stl");
    fs::rename(&piece, &kept).unwrap();
    std::os::unix::fs::symlink(&kept, &piece).unwrap();
    let before = fs::read(&kept).unwrap();
    let run = split(&bench).output().unwrap();
    assert!(run.status.success(), "{}", said(&run));
    assert_eq!(fs::read(&kept).unwrap(), before);
}

#[test]
fn of_two_runs_at_once_one_is_refused_or_waits_its_turn() {
    let bench = Bench::new();
    let old = files(&bench.out);
    let both: Vec<Child> = (0..2)
        .map(|_| split(&bench).stderr(Stdio::piped()).spawn().unwrap())
        .collect();
    let mut done = 0;
    for run in both {
        let run = run.wait_with_output().unwrap();
        match run.status.code() {
            Some(0) => done += 1,
            Some(4 | 2) => assert!(said(&run).contains("another run"), "{}", said(&run)),
            other => panic!("{other:?}: {}", said(&run)),
        }
    }
    assert!(done > 0);
    let now = files(&bench.out);
    assert!(now != old && !bench.out.join("unfinished-run").exists());
    assert_eq!(fs::read_dir(bench.home.path()).unwrap().count(), 2);
}

#[test]
fn a_plan_that_a_run_cut_short_had_yet_to_put_in_its_place_is_the_one_that_runs() {
    let bench = Bench::new();
    let (plan, run) = (
        bench.out.join("plan.toml"),
        bench.out.join("unfinished-run"),
    );
    let text = fs::read_to_string(&plan).unwrap();
    let digest = exchange::digest(text.as_bytes());
    fs::create_dir_all(run.join("new")).unwrap();
    fs::write(run.join("lock"), "").unwrap();
    let newer = text + "# newer\n";
    let list = fs::read_to_string(bench.out.join("owned-files.json")).unwrap();
    let newer_list = list.replace(&digest, &exchange::digest(newer.as_bytes()));
    fs::write(run.join("new/plan.toml"), &newer).unwrap();
    fs::write(run.join("new/owned-files.json"), newer_list).unwrap();
    let before = exchange::digest(list.as_bytes());
    let ready = format!(
        "{{\"install\": {{\"plan.toml\": \"{digest}\", \"owned-files.json\": \"{before}\"}}, \
         \"remove\": {{}}}}"
    );
    fs::write(run.join("ready.json"), ready).unwrap();
    let next = bench.split(&["--plan", "mine/plan.toml", "--force"]);
    assert!(next.status.success(), "{}", said(&next));
    assert_eq!(fs::read_to_string(&plan).unwrap(), newer);
    assert!(!run.exists());
}
