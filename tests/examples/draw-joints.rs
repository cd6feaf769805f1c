//! Draws the profiles in `docs/joints/` anew: `cargo run --release -p whole-program --example draw-joints`.

use std::path::Path;

use joinery::{JointKind, JointRules};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../docs/joints");
    std::fs::create_dir_all(&folder)?;
    for kind in JointKind::ALL
        .into_iter()
        .filter(|k| k.slides() || *k == JointKind::Butterfly)
    {
        let svg = paperwork::joint_drawing(kind, &JointRules::default())?;
        std::fs::write(folder.join(format!("{kind}.svg")), svg)?;
    }
    Ok(())
}
