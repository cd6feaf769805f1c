//! Pieces on beds: few plates, packed by the true outline from above.
//!
//! Pieces go by falling shadow, each on the first plate with room, as near to
//! the front left corner as it finds any, in the best of four quarter turns
//! (first fit decreasing, bottom left: Baker, Coffman & Rivest 1980,
//! *Orthogonal packings in two dimensions*, here over cells of a millimetre).

use crate::printer::{Bed, Printer};
use nalgebra::{Translation3, UnitQuaternion};
use rayon::prelude::*;
use solid::{Isometry, Solid, Vector};

use crate::lying::ears::EAR_MM;
use crate::lying::flat_fit::{convex, enclosing_circle};
use crate::lying::room_on_bed::excess_as_it_lies;
use crate::plates::bed_mask::BedMask;

/// Free space between pieces on a plate.
const APART_MM: usize = 3;

/// One bed full of pieces.
#[derive(Clone, Debug)]
pub struct Plate {
    /// The printer, by index.
    pub printer: usize,
    /// The pieces, by index, each with the motion that takes the coordinates
    /// of its file to those of the bed, whose front left corner is zero.
    pub pieces: Vec<(usize, Isometry)>,
}

/// A piece to pack: its index, its printer and how it lies in its file.
pub struct ToPack<'a> {
    /// By index.
    pub piece: usize,
    /// By index.
    pub printer: usize,
    /// Least x, y and z at zero.
    pub as_printed: &'a Solid,
    /// Plastic that it takes, with its supports.
    pub plastic_g: f64,
    /// Hours that it takes by itself.
    pub hours: f64,
    /// How far its brim or its ears reach past it, along x and along y.
    pub brim_mm: [f64; 2],
    /// The corners about which it gets ears, in place of a brim all about.
    pub ears_mm: &'a [[f64; 2]],
}

/// What no plate of several pieces may take more of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlateCap {
    /// Plastic.
    pub plastic_g: f64,
    /// Hours, if it matters.
    pub hours: Option<f64>,
}

impl PlateCap {
    /// What a spool holds, less the twentieth that is left on it at the end (common
    /// practice, no published source): a print that runs out of plastic in its last hour
    /// is lost.
    pub fn of_spool(spool_g: f64) -> Self {
        Self {
            plastic_g: 0.95 * spool_g,
            hours: None,
        }
    }

    fn holds(&self, plastic_g: f64, hours: f64) -> bool {
        plastic_g <= self.plastic_g && self.hours.is_none_or(|most| hours <= most)
    }
}

/// So many cells of a millimetre hold a length.
fn cells(mm: f64) -> usize {
    (mm - 1e-6).ceil().max(0.0) as usize
}

struct Packing {
    plate: Plate,
    plastic_g: f64,
    hours: f64,
    taken: BedMask,
}

/// Packs pieces on plates of their printers, none of which takes more than there may be
/// unless a single piece does; hours of several are counted as those of all, one after
/// the other. A piece that is too large for its bed is on
/// none; one that fits only to a part of a millimetre lies in its middle by itself.
///
/// ```
/// use printing::{PlateCap, ToPack, pack};
/// use printing::Printer;
/// use solid::{Point, Solid};
///
/// let printers = [Printer::rectangular("bed-1", 220.0, 220.0, 250.0)];
/// let half = Solid::cuboid(Point::origin(), Point::new(100.0, 200.0, 5.0));
/// let pieces = [0, 1, 2].map(|piece| ToPack { piece, printer: 0, as_printed: &half, plastic_g: 60.0, hours: 3.0, brim_mm: [0.0; 2], ears_mm: &[] });
/// let spool = PlateCap::of_spool(1000.0);
/// assert_eq!(pack(&pieces, &printers, &spool).len(), 2);
/// let short = PlateCap { hours: Some(4.0), ..spool };
/// assert_eq!(pack(&pieces, &printers, &short).len(), 3);
/// ```
pub fn pack(pieces: &[ToPack], printers: &[Printer], most: &PlateCap) -> Vec<Plate> {
    let shadows: Vec<[BedMask; 4]> = pieces
        .par_iter()
        .map(|p| {
            let (shadow, around) = (BedMask::shadow(p.as_printed), p.brim_mm.map(cells));
            let straight = match p.ears_mm {
                [] => shadow.grown_by(around),
                ears => shadow.with_discs(ears, EAR_MM, around),
            };
            let quarter = straight.turned();
            let half = quarter.turned();
            let last = half.turned();
            [straight, quarter, half, last]
        })
        .collect();
    let mut order: Vec<usize> = (0..pieces.len()).collect();
    order.sort_by_key(|&k| (std::cmp::Reverse(shadows[k][0].count()), pieces[k].piece));
    let mut packings: Vec<Packing> = Vec::new();
    for k in order {
        let printer = pieces[k].printer;
        let Some(bed) = printers.get(printer) else {
            continue;
        };
        let on = packings
            .iter_mut()
            .filter(|p| p.plate.printer == printer)
            .filter(|p| most.holds(p.plastic_g + pieces[k].plastic_g, p.hours + pieces[k].hours))
            .any(|p| put(p, k, pieces, &shadows[k], bed));
        if !on {
            let mut fresh = Packing {
                plate: Plate {
                    printer,
                    pieces: Vec::new(),
                },
                plastic_g: 0.0,
                hours: 0.0,
                taken: out_of_bed(bed),
            };
            if put(&mut fresh, k, pieces, &shadows[k], bed) {
                packings.push(fresh);
            } else if let Some(placed) = alone(pieces[k].as_printed, bed) {
                // It and its brim fit, but for the part of a cell by which they overlap one.
                fresh.plate.pieces.push((pieces[k].piece, placed));
                fresh.hours = f64::INFINITY;
                fresh.plastic_g = f64::INFINITY;
                packings.push(fresh);
            }
        }
    }
    packings.into_iter().map(|p| p.plate).collect()
}

/// The part of a bed within its margin, with what lies outside a round one covered, and
/// where nothing may be printed.
fn out_of_bed(printer: &Printer) -> BedMask {
    let [low, high] = printer.within_margin_mm();
    let (width, depth) = (high[0] - low[0], high[1] - low[1]);
    let mut out = BedMask::empty((width + 1e-6) as usize, (depth + 1e-6) as usize);
    if let Bed::Round { .. } = printer.bed {
        let r = width / 2.0;
        for y in 0..out.height {
            for x in 0..out.width {
                let far = |c: usize| (c as f64 - r).abs().max((c as f64 + 1.0 - r).abs());
                if far(x).hypot(far(y)) > r {
                    out.set(x, y);
                }
            }
        }
    }
    for area in &printer.no_go_mm {
        let range = |k: usize, most: usize| {
            let first = (area[0][k] - low[k] + 1e-6).floor().max(0.0) as usize;
            first..cells(area[1][k] - low[k]).min(most)
        };
        for y in range(1, out.height) {
            for x in range(0, out.width) {
                out.set(x, y);
            }
        }
    }
    out
}

fn put(
    packing: &mut Packing,
    k: usize,
    pieces: &[ToPack],
    shadows: &[BedMask; 4],
    bed: &Printer,
) -> bool {
    let mut best: Option<(usize, usize, usize)> = None;
    for (turn, shadow) in shadows.iter().enumerate() {
        if let Some((x, y)) = corner(&packing.taken, shadow)
            && best.is_none_or(|(bx, by, _)| (y + shadow.height, x) < (by, bx))
        {
            best = Some((x, y + shadow.height, turn));
        }
    }
    let Some((x, top, turn)) = best else {
        return false;
    };
    packing.plastic_g += pieces[k].plastic_g;
    packing.hours += pieces[k].hours;
    let shadow = &shadows[turn];
    let y = top - shadow.height;
    let by = APART_MM as isize;
    packing
        .taken
        .put(&shadow.grown(APART_MM), x as isize - by, y as isize - by);
    let spin = UnitQuaternion::from_axis_angle(
        &Vector::z_axis(),
        std::f64::consts::FRAC_PI_2 * turn as f64,
    );
    let size = pieces[k]
        .as_printed
        .bounds()
        .map_or_else(Vector::zeros, |b| b.max.coords);
    // The corner that comes to the front left, brought back to zero.
    let back = match turn {
        0 => Vector::zeros(),
        1 => Vector::new(size.y, 0.0, 0.0),
        2 => Vector::new(size.x, size.y, 0.0),
        _ => Vector::new(0.0, size.x, 0.0),
    };
    let [bx, by] = pieces[k].brim_mm.map(cells);
    // A quarter turn brings the one where the other was.
    let (bx, by) = if turn % 2 == 0 { (bx, by) } else { (by, bx) };
    let corner = |at: usize, brim: usize| bed.margin_mm + (at + brim) as f64;
    let at = back + Vector::new(corner(x, bx), corner(y, by), 0.0);
    packing.plate.pieces.push((
        pieces[k].piece,
        Isometry::from_parts(Translation3::from(at), spin),
    ));
    true
}

/// A piece in the middle of a bed by itself, if it fits.
fn alone(piece: &Solid, printer: &Printer) -> Option<Isometry> {
    let size = piece.bounds()?.max.coords;
    let [low, high] = printer.free_mm();
    let centre = [0, 1].map(|k| (low[k] + high[k]) / 2.0);
    let own = match printer.bed {
        Bed::Rectangle { .. } => [size.x / 2.0, size.y / 2.0],
        Bed::Round { .. } => {
            let shadow = convex(piece.vertices().iter().map(|p| [p.x, p.y]));
            enclosing_circle(&shadow).0
        }
    };
    let at = Vector::new(centre[0] - own[0], centre[1] - own[1], 0.0);
    (excess_as_it_lies(piece, printer) <= 0.0).then(|| Isometry::from(Translation3::from(at)))
}

/// The free place furthest to the front, then furthest left.
fn corner(taken: &BedMask, shadow: &BedMask) -> Option<(usize, usize)> {
    if shadow.width > taken.width || shadow.height > taken.height {
        return None;
    }
    (0..=taken.height - shadow.height).find_map(|y| {
        (0..=taken.width - shadow.width)
            .find(|&x| taken.is_free(shadow, x, y))
            .map(|x| (x, y))
    })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use solid::Point;

    use super::*;

    proptest! {
        /// Sizes and rooms for brims that are no whole millimetres.
        #[test]
        fn whatever_fits_a_bed_is_on_a_plate(
            short in 0.0f64..3.0, brim in 0.0f64..1.0, width in 100.0f64..300.0, round in any::<bool>(),
        ) {
            let printer = match round {
                true => format!("round{width}x100").parse().unwrap(),
                false => Printer::rectangular("bed-1", width, width + 7.3, 100.0),
            };
            let usable = printer.usable_mm();
            let size = match round {
                true => [(usable[0] - short) / 2f64.sqrt(); 2],
                false => [usable[0] - short, usable[1] - short / 2.0],
            };
            let block = Solid::cuboid(Point::origin(), Point::new(size[0], size[1], 9.0));
            let piece = ToPack {
                piece: 0,
                printer: 0,
                as_printed: &block,
                plastic_g: 50.0,
                hours: 1.0,
                brim_mm: [brim * short / 2.0; 2],
                ears_mm: &[],
            };
            let plates = pack(&[piece], std::slice::from_ref(&printer), &PlateCap::of_spool(1000.0));
            prop_assert_eq!(plates.len(), 1);
            let placed = block.moved(&plates[0].pieces[0].1);
            let [low, high] = printer.within_margin_mm();
            let b = placed.bounds().unwrap();
            prop_assert!(b.min.x > low[0] - 1e-6 && b.min.y > low[1] - 1e-6);
            prop_assert!(b.max.x < high[0] + 1e-6 && b.max.y < high[1] + 1e-6);
            if round {
                let middle = width / 2.0;
                let far = placed.vertices().iter().map(|p| (p.x - middle).hypot(p.y - middle));
                prop_assert!(far.fold(0.0, f64::max) < usable[0] / 2.0 + 1e-6);
            }
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

        #[test]
        fn each_piece_is_on_one_plate_in_the_bed_and_apart_from_all_others(
            sizes in proptest::collection::vec((8.0f64..120.0, 8.0f64..120.0, 2.0f64..30.0), 1..12),
            grams in 20.0f64..1200.0, brim_mm in (0.0f64..6.0),
        ) {
            let mut printer = Printer::rectangular("bed-1", 160.0, 160.0, 100.0);
            let clip = [[30.0, 0.0], [60.5, 17.3]];
            printer.no_go_mm = vec![clip];
            let solids: Vec<Solid> = sizes
                .iter()
                .map(|&(x, y, z)| {
                    let block = Solid::cuboid(Point::origin(), Point::new(x, y, z));
                    let corner = Solid::cuboid(Point::new(x / 2.0, y / 2.0, -1.0), Point::new(x + 1.0, y + 1.0, z + 1.0));
                    block.difference(&corner).unwrap()
                })
                .collect();
            let pieces: Vec<ToPack> = solids
                .iter()
                .enumerate()
                .map(|(piece, as_printed)| ToPack { piece, printer: 0, as_printed, plastic_g: grams, hours: 1.0, brim_mm: [brim_mm; 2], ears_mm: &[] })
                .collect();
            let most = PlateCap::of_spool(1000.0);
            let plates = pack(&pieces, std::slice::from_ref(&printer), &most);
            let mut seen: Vec<usize> = plates.iter().flat_map(|p| p.pieces.iter().map(|x| x.0)).collect();
            seen.sort_unstable();
            prop_assert_eq!(seen, (0..solids.len()).collect::<Vec<_>>());
            for plate in &plates {
                let on_it = plate.pieces.len();
                prop_assert!(on_it == 1 || on_it as f64 * grams <= 950.0);
                let placed: Vec<Solid> = plate.pieces.iter().map(|(k, m)| solids[*k].moved(m)).collect();
                for (i, a) in placed.iter().enumerate() {
                    let b = a.bounds().unwrap();
                    let least = 2.0 + brim_mm - 1e-6;
                    prop_assert!(b.min.x >= least && b.min.y >= least && b.min.z.abs() < 1e-9);
                    let most = 158.0 - brim_mm + 1e-6;
                    prop_assert!(b.max.x <= most && b.max.y <= most);
                    let [low, high] = clip;
                    let clip = Solid::cuboid(
                        Point::new(low[0] - brim_mm, low[1] - brim_mm - 1.0, -1.0),
                        Point::new(high[0] + brim_mm, high[1] + brim_mm, 90.0),
                    );
                    prop_assert!(a.intersection(&clip).unwrap().volume_mm3() < 1e-4);
                    for other in &placed[i + 1..] {
                        prop_assert!(a.intersection(other).unwrap().volume_mm3() < 1e-9);
                    }
                }
            }
        }
    }
}
