//! Writes one half of a dovetail and the numbers it is made from, for the CAD
//! kernel in `tests/references/check_dovetail.py`:
//! `cargo run --release -p whole-program --example make-dovetail FOLDER`.

use std::path::PathBuf;

use joinery::{JointKind, JointRules, Lane, Sliding, TailSize};
use serde_json::json;
use solid::{Frame, Point, Solid, Vector};

/// The block that carries the tail, from the seam back, and its half-width.
const BLOCK_MM: [f64; 2] = [20.0, 15.0];
/// Its thickness: the run of the tail.
const RUN_MM: f64 = 18.0;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = PathBuf::from(std::env::args().nth(1).ok_or("give a folder")?);
    std::fs::create_dir_all(&folder)?;
    let rules = JointRules::default();
    let seam = Frame::with_axes(Point::origin(), Vector::x(), Vector::y());
    let lane = Lane {
        across_mm: 0.0,
        from_mm: 0.0,
        to_mm: RUN_MM,
        blind: false,
    };
    let size = TailSize::of_width(JointKind::Dovetail, rules.tail_width_mm, &rules);
    let sliding = Sliding::tail(JointKind::Dovetail, &lane, &size, &rules)?;
    let joint = sliding.joint(&seam)?;
    let [back, half] = BLOCK_MM;
    let block = |low: f64, high: f64| {
        Solid::cuboid(Point::new(low, -half, 0.0), Point::new(high, half, RUN_MM))
    };
    let tail = joint.transfers[0].tail.intersection(&block(-back, back))?;
    let half_with_tail = block(-back, 0.0).union(&tail)?;
    let half_with_socket = block(0.0, back).difference(&joint.transfers[0].socket)?;
    std::fs::write(
        folder.join("tail.stl"),
        exchange::write_stl(&half_with_tail)?,
    )?;
    std::fs::write(
        folder.join("socket.stl"),
        exchange::write_stl(&half_with_socket)?,
    )?;
    let numbers = json!({
        "width_mm": size.width_mm,
        "depth_mm": size.depth_mm,
        "included_angle_deg": rules.included_angle_deg,
        "taper_deg": sliding.main.taper.to_degrees(),
        "run_mm": RUN_MM,
        "clearance_mm": rules.clearance_mm,
        "crest_relief_mm": rules.crest_relief_mm,
        "convex_radius_mm": rules.convex_radius_mm,
        "concave_radius_mm": rules.concave_radius_mm,
        "block_mm": BLOCK_MM,
    });
    std::fs::write(folder.join("numbers.json"), numbers.to_string())?;
    Ok(())
}
