//! Whether weight seats what one way joins.

use design::{ON_FLOOR_MM, SLIPS, STEEP};
use solid::{Point, Vector};

use crate::layout::load::foot::Foot;
use crate::layout::seam_task::Task;
use crate::layout::way::Way;

/// Who leans on what stands up behind a seat pushes level and outwards. It counts where the
/// middle of what stands up is as far from the middle of the furniture as this share of it.
const OUTWARDS: f64 = 0.2;
/// What weight is worth, beside what it is worth otherwise, where it was seen to free a seam.
const FREED: f64 = 10.0;
/// What a lean is worth beside weight.
const LEAN: f64 = 0.5;

/// Whether weight seats what a way joins: from 1, where all that does not stand on the
/// floor comes home downwards, to -1, where it comes upwards. Of a contact whose pieces
/// both stand, or neither, the halves of the seam are asked, and where both of those stand,
/// which of them hangs over further from what it stands on; where weight was seen to free
/// the seam, that decides and weighs ten times as much. On a level way, whether a lean outwards seats what stands up.
pub(crate) fn seated(task: &Task, way: &Way, joined: &[bool]) -> f64 {
    // The half below moves so, the half above comes to it the other way.
    let home = way.frame.v * way.tails_on.out();
    let climbs = home.dot(&task.up);
    if climbs.abs() <= SLIPS {
        return LEAN * outwards(task).map_or(0.0, |way_out| (-home).dot(&way_out));
    }
    if let Some(freed) = task.freed {
        return FREED * -climbs * freed.signum();
    }
    let own = || task.own.clone().map(|k| task.feet[k].lowest_mm);
    let floor = own().fold(f64::INFINITY, f64::min);
    let stands = |piece: usize| task.feet[piece].lowest_mm - floor < ON_FLOOR_MM;
    let halves = [0, 1].map(|side| task.contacts.iter().any(|c| stands(c.pieces[side])));
    let (mut sum, mut total) = (0.0, 0.0);
    for (contact, joined) in task.contacts.iter().zip(joined) {
        let own = contact.pieces.map(stands);
        let [below, above] = if own[0] == own[1] { halves } else { own };
        if *joined {
            sum += contact.area_mm2
                * match (below, above) {
                    (false, true) => -climbs,
                    (true, false) => climbs,
                    (true, true) => -climbs * hangs_over(task, stands),
                    (false, false) => 0.0,
                };
        }
        total += contact.area_mm2;
    }
    sum / f64::max(total, 1e-9)
}

/// Of two halves that both stand, how much further that below the seam hangs over from the
/// middle of what it stands on to the seam: from 1 to -1, where that above does.
fn hangs_over(task: &Task, stands: impl Fn(usize) -> bool) -> f64 {
    let (normal, at) = (task.seam.frame.n, task.seam.frame.origin);
    let height = |p: &Point| (p - at).dot(&normal);
    let reach = |above: bool| {
        let half = task.own.clone().filter(|&k| stands(k));
        let feet = half.map(|k| &task.feet[k]);
        let feet = feet.filter(|foot| (height(&foot.centre) > 0.0) == above);
        Foot::middle(feet).map(|middle| height(&middle).abs())
    };
    match (reach(false), reach(true)) {
        (Some(below), Some(above)) => (below - above) / f64::max(below + above, 1e-9),
        _ => 0.0,
    }
}

/// The level way from the middle of the furniture to what stands up above a seam, where that
/// is at its edge.
fn outwards(task: &Task) -> Option<Vector> {
    let (normal, at) = (task.seam.frame.n, task.seam.frame.origin);
    if normal.dot(&task.up) <= STEEP {
        return None;
    }
    let all = task.furniture()?;
    let own = || task.own.clone().map(|k| task.bodies[k]);
    let risen = own().filter(|b| (b.centre() - at).dot(&normal) > 0.0);
    let risen = risen.reduce(|a, b| a.joined(&b))?;
    let off = risen.centre() - all.centre();
    let level = off - task.up * off.dot(&task.up);
    let way = level.try_normalize(1e-9)?;
    let size = all.size_mm().dot(&way.abs());
    (level.norm() > OUTWARDS * size).then_some(way)
}
