//! Seams that weight seats: laid out once more where it frees some.

use design::{Bearing, Plan, PlanSeam, freed, tipped};
use solid::{Bounds, Vector};

use crate::build_error::BuildError;
use crate::layout::joining::SeamContact;
use crate::layout::seam::Seam;

/// So many seams that weight frees are turned by themselves, where turning all is not as good.
const BY_ITSELF: usize = 4;

/// Seams of which weight frees fewer, where some that it frees can as well be closed the
/// other way: all of them, or where that is not as good those of the first few with which it
/// is. What a side hangs on is known only once all seams are laid out.
pub(crate) fn seated(
    seams: Vec<Seam>,
    lay_out: impl Fn(&[(PlanSeam, f64)]) -> Result<Vec<Seam>, BuildError>,
    bodies: &[Bounds],
    plan: &Plan,
) -> Result<Vec<Seam>, BuildError> {
    let up = plan.settings().up.direction();
    let before = freed_seams(&seams, bodies, &up);
    if before.is_empty() {
        return Ok(seams);
    }
    let without = |s: &[Seam]| -> [usize; 2] {
        [
            s.iter().map(Seam::bare).sum(),
            s.iter().map(Seam::unslid).sum(),
        ]
    };
    let is_better = |turned: &[Seam], than: &[Seam]| {
        let freed = |s: &[Seam]| freed_seams(s, bodies, &up).len();
        let (now, then) = (without(turned), without(than));
        freed(turned) < freed(than) && now[0] <= then[0] && now[1] <= then[1]
    };
    let turned = lay_out(&before)?;
    if is_better(&turned, &seams) {
        return Ok(turned);
    }
    let (mut best, mut turn) = (seams, Vec::new());
    for seam in before.into_iter().take(BY_ITSELF) {
        turn.push(seam);
        let turned = lay_out(&turn)?;
        if is_better(&turned, &best) {
            best = turned;
        } else {
            turn.pop();
        }
    }
    Ok(best)
}

/// Seams that weight frees, and how their lower half climbs home.
fn freed_seams(seams: &[Seam], bodies: &[Bounds], up: &Vector) -> Vec<(PlanSeam, f64)> {
    let bearing = |seam: &Seam, contact: &SeamContact| Bearing {
        pieces: contact.contact.pieces,
        joint: contact.joint(),
        slide: seam.slide,
        at: contact
            .contact
            .middle(&seam.frame)
            .unwrap_or(seam.frame.origin),
    };
    let joints = seams.iter().enumerate();
    let (of, joints): (Vec<usize>, Vec<Bearing>) = joints
        .flat_map(|(k, s)| s.contacts.iter().map(move |c| (k, bearing(s, c))))
        .unzip();
    let loose = freed(bodies, &joints, up).into_iter();
    let loose = loose.zip(tipped(bodies, &joints, up)).map(|(f, t)| f.or(t));
    let mut out: Vec<usize> = of
        .iter()
        .zip(loose)
        .filter_map(|(k, l)| l.map(|_| *k))
        .collect();
    out.dedup();
    let climbs = |k: usize| (seams[k].planned, seams[k].slide.dot(up));
    out.into_iter().map(climbs).collect()
}
