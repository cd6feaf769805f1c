//! Writes a bar for each kind of contact and a plan for each joint, for the
//! judges in `tests/references/`: `cargo run --release -p whole-program --example make-bars FOLDER`.

use std::path::PathBuf;

use design::Settings;
use whole_program::{bars, halved};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = PathBuf::from(std::env::args().nth(1).ok_or("give a folder")?);
    std::fs::create_dir_all(&folder)?;
    for (name, bar) in bars() {
        std::fs::write(
            folder.join(format!("{name}.stl")),
            exchange::write_stl(&bar)?,
        )?;
    }
    for joint in [
        "dovetail",
        "braced-dovetail",
        "wedge-fingers",
        "tongue",
        "butterfly",
        "tenon",
    ] {
        let plan = halved(joint, Settings::default());
        std::fs::write(folder.join(format!("{joint}.toml")), plan.to_toml()?)?;
    }
    Ok(())
}
