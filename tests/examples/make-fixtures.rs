//! Writes the models in `fixtures/` anew: `cargo run --release -p whole-program --example make-fixtures`.

use std::path::Path;

use solid::Solid;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../fixtures");
    let models = [
        ("side-table", whole_program::side_table()),
        ("wall-shelf", whole_program::wall_shelf()),
        ("bench", whole_program::bench()),
        ("stool", whole_program::stool()),
        ("board", whole_program::board()),
        ("splayed-table", whole_program::generated("leaning", 2)),
    ];
    for (name, model) in models {
        write(&folder.join(format!("{name}.stl")), &model)?;
    }
    // Too large to ship; for timing.
    let mut places = std::env::args().skip(1);
    if let Some(place) = places.next() {
        write(Path::new(&place), &whole_program::grand_table())?;
    }
    if let Some(place) = places.next() {
        write(Path::new(&place), &whole_program::fine_table())?;
    }
    Ok(())
}

fn write(path: &Path, model: &Solid) -> Result<(), Box<dyn std::error::Error>> {
    std::fs::write(path, exchange::write_stl(model)?)?;
    println!(
        "{}: {} triangles, {:.0} mm³",
        path.display(),
        model.triangles().len(),
        model.volume_mm3()
    );
    Ok(())
}
