//! One dovetail from its numbers, with nothing but the joinery crate:
//! `cargo run --release -p seamwright-joinery --example one_dovetail`.

use joinery::capacity::Filling;
use joinery::{JointKind, JointRules, Lane, Sliding};
use printing::Material;
use solid::{Frame, Point, Vector};

fn main() -> Result<(), joinery::JointError> {
    // A lane through a board 18 mm thick; the seam's normal is x, the slide z.
    let seam = Frame::with_axes(Point::origin(), Vector::x(), Vector::y());
    let lane = Lane {
        across_mm: 0.0,
        from_mm: -9.0,
        to_mm: 9.0,
        blind: false,
    };
    let dovetail = Sliding::full_size(JointKind::Dovetail, &lane, &JointRules::default())?;
    let joint = dovetail.joint(&seam)?;
    let main = &joint.transfers[0];
    println!(
        "tail {:.1} mm³, socket {:.1} mm³",
        main.tail.volume_mm3(),
        main.socket.volume_mm3()
    );
    if let Some(estimate) = dovetail.estimate(lane.run_mm(), &Material::default(), &Filling::SOLID)
    {
        println!(
            "gives first: {} (an estimate, no load rating)",
            estimate.weakest.words()
        );
    }
    Ok(())
}
