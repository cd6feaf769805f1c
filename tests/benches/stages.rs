//! The stages of a split, each by itself: `cargo bench -p whole-program`.
//!
//! A figure is worth something beside another of the same run, or of another
//! commit measured in turn with this one.

use std::hint::black_box;

use design::{ModelReference, Plan, Settings};
use divan::{Bencher, counter::ItemsCount};
use printing::Printer;
use solid::{Facets, Frame, Solid, Vector};
use whole_program::{fine_table, found, side_table, wall_shelf};

fn main() {
    divan::main();
}

const MODELS: [&str; 3] = ["side table", "wall shelf", "fine table"];

fn model(name: &str) -> Solid {
    match name {
        "side table" => side_table(),
        "wall shelf" => wall_shelf(),
        _ => fine_table(),
    }
}

fn printers() -> Vec<Printer> {
    vec![Printer::rectangular("bed-1", 220.0, 220.0, 250.0)]
}

/// A model, with how many triangles it has.
fn of(bencher: Bencher, name: &str, stage: impl Fn(&Solid) + Sync) {
    let solid = model(name);
    bencher
        .counter(ItemsCount::new(solid.triangles().len()))
        .bench(|| stage(black_box(&solid)));
}

#[divan::bench(args = MODELS, sample_count = 10)]
fn reading(bencher: Bencher, name: &str) {
    let bytes = exchange::write_stl(&model(name)).expect("a model can be written");
    bencher.bench(|| {
        let soup = exchange::read_stl(black_box(&bytes)).expect("what was written reads back");
        Solid::from_triangles(soup).expect("it is closed")
    });
}

#[divan::bench(args = MODELS, sample_count = 10)]
fn cutting_at_one_plane(bencher: Bencher, name: &str) {
    of(bencher, name, |solid| {
        let middle = solid.bounds().expect("it is there").centre();
        let plane = Frame::facing(middle, Vector::x());
        black_box(solid.cut(&plane).expect("it can be cut"));
    });
}

#[divan::bench(args = ["side table", "wall shelf"], sample_count = 10)]
fn holding_against_itself(bencher: Bencher, name: &str) {
    of(bencher, name, |solid| {
        black_box(solid.touches_itself());
    });
}

#[divan::bench(args = ["side table", "wall shelf"], sample_count = 10)]
fn holding_against_another(bencher: Bencher, name: &str) {
    of(bencher, name, |solid| {
        let facets = Facets::of(solid);
        black_box(facets.shared(&Vector::new(1.0, 2.0, 3.0), &facets));
    });
}

#[divan::bench(args = ["side table", "wall shelf"], sample_count = 3)]
fn planning(bencher: Bencher, name: &str) {
    let solid = model(name);
    bencher.bench(|| found(&solid, &printers(), &Settings::default()).expect("a plan"));
}

#[divan::bench(args = ["side table", "wall shelf"], sample_count = 3)]
fn building(bencher: Bencher, name: &str) {
    let solid = model(name);
    let tree = found(&solid, &printers(), &Settings::default()).expect("a plan");
    let (reference, settings) = (ModelReference::default(), Settings::default());
    let plan = Plan::new(reference, settings, printers(), tree.tree.named(1)).expect("it holds");
    bencher.bench(|| workshop::build(&solid, &plan).expect("it can be built"));
}
