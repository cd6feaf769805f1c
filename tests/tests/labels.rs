//! What is engraved, read from the written files.

use std::path::Path;

use design::Label;
use geo::Area;
use inspection::Code;
use solid::{RayCaster, Vector};
use whole_program::{fixture, seamwright};

fn split(model: &str, out: &Path, more: &[&str]) {
    let run = seamwright()
        .arg("split")
        .arg(fixture(model))
        .args(["--bed", "220x220x250", "--quiet", "--out"])
        .arg(out)
        .args(more)
        .output()
        .unwrap();
    assert!(
        run.status.success(),
        "{}",
        String::from_utf8_lossy(&run.stderr)
    );
}

/// Whether a label is the mark of a seam.
fn names(label: &Label, seam: &str) -> bool {
    label.text.split([' ', '-']).any(|word| word == seam)
}

#[test]
fn labels_read_right_way_round_as_deep_and_wide_as_stated() {
    let home = tempfile::tempdir().unwrap();
    let out = home.path().join("out");
    split("side-table.stl", &out, &[]);
    let report = paperwork::read_report(&out).unwrap();
    let assembly = paperwork::read_back(&out, &report).unwrap();
    let mut with_id = 0;
    for (entry, piece) in report.pieces.iter().zip(assembly.pieces()) {
        let caster = RayCaster::new(&piece.in_place).unwrap();
        for label in &entry.labels {
            let frame = label.frame();
            // Seen from outside, the words run to the right and stand upright.
            assert!((frame.u.cross(&frame.v) - frame.n).norm() < 1e-9);
            let depth = |x: f64, y: f64| {
                let from = frame.place(x, y, 0.3);
                assert!(!caster.contains(&from), "{}: not an outer face", entry.id);
                let hit = caster.first_entry(&from, &-frame.n, 5.0).unwrap();
                hit.distance_mm - 0.3
            };
            assert!(depth(0.0, workshop::label_size_mm(label)[1] / 2.0 + 0.3).abs() < 2e-3);
            if label.text.starts_with('P') {
                with_id += 1;
                // The stem of the P is its left side over its whole height;
                // to the lower right of it there is nothing.
                let [width, _] = workshop::label_size_mm(label);
                let stem = -width / 2.0 + label.stroke_mm / 2.0;
                for share in [-0.45, -0.2, 0.1, 0.45] {
                    let y = share * label.cap_mm;
                    assert!((depth(stem, y) - label.depth_mm).abs() < 2e-3);
                    let beside = 0.5 * label.stroke_mm - 0.05;
                    assert!((depth(stem + beside, y) - label.depth_mm).abs() < 2e-3);
                }
                let empty = stem + 0.45 * label.cap_mm;
                assert!(depth(empty, -0.35 * label.cap_mm).abs() < 2e-3);
                let beyond = 0.5 * label.stroke_mm + 0.05;
                assert!(depth(stem + beyond, -0.3 * label.cap_mm).abs() < 2e-3);
            }
            // Behind every groove there is the least wall.
            let wall = report.settings.min_wall_mm;
            let behind = frame.place(0.0, 0.0, -label.depth_mm - wall + 1e-3);
            assert!(caster.contains(&behind));
        }
    }
    // Keys are too small for one, and named for what they hold in the cut list.
    assert_eq!(with_id, report.pieces_cut(), "every piece bears its id");

    // Every arrow points along its seam's slide; both sides of a contact bear
    // the seam's id and point opposite ways.
    let labels = report.pieces.iter();
    for (piece, label) in labels.flat_map(|p| p.labels.iter().map(move |l| (&p.id, l))) {
        let Some(way) = label.way() else { continue };
        let mut seams = report.seams.iter();
        let seam = seams.find(|s| names(label, s.id.as_str())).unwrap();
        // The half below moves along the slide, the half above against it.
        let below = seam.contacts.iter().any(|c| c.pieces[0] == *piece);
        let home = Vector::from(seam.slide) * if below { 1.0 } else { -1.0 };
        assert!(home.dot(&way) > 0.99, "{} of {piece}", label.text);
    }
    // The mate that a label names is one that comes there.
    let mut with_mate = 0;
    let labels = report.pieces.iter();
    for (piece, label) in labels.flat_map(|p| p.labels.iter().map(move |l| (&p.id, l))) {
        let Some((before, mate)) = label.text.rsplit_once('-') else {
            continue;
        };
        let seams = report.seams.iter();
        let own = seams.filter(|s| before.is_empty() || names(label, s.id.as_str()));
        let own = own.flat_map(|s| &s.contacts);
        let own = own.filter(|c| c.pieces.contains(piece));
        let mut mates = own.flat_map(|c| &c.pieces).filter(|p| *p != piece);
        assert!(
            mates.any(|p| p.as_str() == mate),
            "{} of {piece}",
            label.text
        );
        with_mate += 1;
    }
    assert!(with_mate >= 8, "{with_mate}");
    // Where a piece bears no mark of a seam that it meets at, that is said.
    for seam in &report.seams {
        let mut meeting = seam.contacts.iter().flat_map(|c| &c.pieces);
        let bare = meeting.any(|id| {
            let piece = report.pieces.iter().find(|p| p.id == *id).unwrap();
            !piece.labels.iter().any(|l| names(l, seam.id.as_str()))
        });
        let mut said = report.findings.iter();
        let of = format!(" of {} on ", seam.id);
        let said = said.any(|f| f.code == Code::NoMark && f.message.contains(&of));
        assert_eq!(bare, said, "{}", seam.id);
    }
    let arrows: Vec<(&str, Vector)> = report
        .pieces
        .iter()
        .flat_map(|p| &p.labels)
        .filter(|l| names(l, "S3"))
        .filter_map(|l| Some((l.text.as_str(), l.way()?)))
        .collect();
    assert_eq!(arrows.len(), 2, "{arrows:?}");
    assert!(arrows[0].1.dot(&arrows[1].1) < -0.99);
}

#[test]
fn without_labels_nothing_is_engraved() {
    let home = tempfile::tempdir().unwrap();
    let (plain, engraved) = (home.path().join("plain"), home.path().join("engraved"));
    split("stool.stl", &plain, &["--no-labels"]);
    split("stool.stl", &engraved, &[]);
    let volumes = |folder: &Path| -> f64 {
        let report = paperwork::read_report(folder).unwrap();
        report.pieces.iter().map(|p| p.volume_mm3).sum()
    };
    let report = paperwork::read_report(&plain).unwrap();
    assert!(report.pieces.iter().all(|p| p.labels.is_empty()));
    let taken = volumes(&plain) - volumes(&engraved);
    // What is taken is what the grooves hold: their area times their depth.
    let report = paperwork::read_report(&engraved).unwrap();
    let grooves: f64 = report
        .pieces
        .iter()
        .flat_map(|p| &p.labels)
        .map(|l| {
            let middle = l.frame().raised(-l.depth_mm / 2.0);
            workshop::groove(l)
                .unwrap()
                .section(&middle)
                .unsigned_area()
                * l.depth_mm
        })
        .sum();
    assert!(
        (taken - grooves).abs() < 0.02 * grooves,
        "{taken} {grooves}"
    );
}
