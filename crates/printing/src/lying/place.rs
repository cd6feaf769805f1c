//! Laying a piece on a bed: which side down, turned how.

use nalgebra::{Rotation3, Translation3, UnitQuaternion};
use rayon::prelude::*;
use solid::{Bounds, Isometry, Point, Solid, Vector};

use crate::estimate::print_price::PrintPrice;
use crate::lying::footing::Footing;
use crate::lying::hovering::hovering_mm2;
use crate::lying::slender_run::SlenderRun;
use crate::lying::stance::{Stance, Standing};
use crate::lying::support::Support;
use crate::lying::ways_down::{TOO_MUCH_MM, WaysDown, turned_onto};
use crate::print_profile::PrintProfile;
use crate::printer::Printer;

/// How a piece lies on the bed.
#[derive(Clone, Debug)]
pub struct Placement {
    /// Takes the model's coordinates to the bed's: the piece rests on z = 0
    /// with its least x and y at zero.
    pub onto_bed: Isometry,
    /// Width, depth and height as printed.
    pub size_mm: [f64; 3],
    /// Joints whose profile does not lie in the layer plane: their run leans
    /// from the vertical by more than 45°.
    pub joints_across: usize,
    /// How it stands so.
    pub standing: Standing,
    /// Whether its first layer is more than specks.
    pub lies: bool,
    /// Space under it that support fills.
    pub support_mm3: f64,
    /// Surface that support marks.
    pub scraped_mm2: f64,
    /// Plastic of the brim that it needs; ears are counted once it lies.
    pub brim_mm3: f64,
    /// What support touches of faces that were to be clean of it.
    pub marked_clean_mm2: f64,
}

/// What is asked of how a piece lies.
#[derive(Clone, Debug, Default)]
pub struct Asked<'a> {
    /// The directions along which its joints run, one a contact.
    pub runs: &'a [Vector],
    /// What has to look up, of length one.
    pub up: Option<Vector>,
    /// Whether it is to print without support, if it can.
    pub no_supports: bool,
    /// Directions to which its faces look that support must not touch, if that can be.
    pub clean: &'a [Vector],
    /// Which way is up where the furniture stands, if weight will bend it there.
    pub stands: Option<Vector>,
    /// What its print costs.
    pub price: PrintPrice,
}

/// A piece that fits on no face.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[error("the piece fits on none of its faces: the best leaves it {excess_mm:.1} mm too large")]
pub struct DoesNotFit {
    /// By how much the best placement is too large.
    pub excess_mm: f64,
}

/// What a square centimetre of surface takes that support has marked, in minutes of the
/// maker's work: tearing it off and scraping it smooth (our choice, without a source).
pub const SCRAPED_MIN_PER_CM2: f64 = 0.05;
/// What it is worth that the profile of a contact's joints lies in the layer plane: no
/// layer line crosses a neck, and none has to be scraped.
const ACROSS_MIN: f64 = 0.3;
/// What it costs that weight bends the piece across its layers, where the plastic is
/// weakest (our choice, without a source): half of what another piece costs.
const ACROSS_ITS_LOAD_MIN: f64 = 15.0;
/// What a corner costs that lifts while the plastic cools: its ear is to be cut off, or the
/// corner is not quite flat (our choice, without a source).
const CORNER_MIN: f64 = 0.5;
/// What a square millimetre costs that support touches against a wish.
const AGAINST_A_WISH_MIN: f64 = 1e3;
/// Up to this height over its least width a piece stands steady.
const STEADY: f64 = 3.0;
/// The share of a print that each unit of slenderness beyond puts at risk.
const RISK: f64 = 0.1;
/// What is tipped by less stands less steadily; by how much less puts as much at risk as a
/// unit of slenderness (our choice, without a source).
const STEADY_TIP_DEG: f64 = 20.0;
const RISKS_AS_MUCH_DEG: f64 = 10.0;
/// What a square centimetre costs that hovers a little above the bed and is nearly level: it
/// prints in broad terraces, each on a film of support that nobody can peel off (our choice,
/// without a source).
const HOVERS_MIN_PER_CM2: f64 = 0.3;
/// What it costs that a piece, broad on the bed, has its centre beside what it stands on and
/// its supports alone keep it from tipping (our choice, without a source).
const BORNE_MIN: f64 = 10.0;

/// Lays a piece on a printer's bed: on each side of its box and each flat side of its
/// convex hull worth standing on, turned in the plane until it fits. A way in which
/// it stands (see [`Footing`]) goes before those in which it does not, but for one that is
/// cheaper by far, in which it is broad on the bed and its supports keep it from tipping; of
/// these one in which a brim and its supports hold it goes before all others, best with a
/// first layer that holds; among equals the one that costs least to print.
///
/// # Errors
///
/// When it fits on none of its faces.
///
/// ```
/// use printing::{Printer, place};
/// use solid::{Point, Solid};
///
/// let board = Solid::cuboid(Point::origin(), Point::new(18.0, 260.0, 40.0));
/// let printer = Printer::rectangular("bed-1", 220.0, 220.0, 250.0);
/// // Too long for the bed, but its diagonal takes it.
/// let placed = place(&board, &printer).unwrap();
/// assert_eq!(placed.size_mm[2].round(), 18.0);
/// ```
pub fn place(piece: &Solid, printer: &Printer) -> Result<Placement, DoesNotFit> {
    place_jointed(piece, printer, &PrintProfile::default(), &Asked::default())
}

/// Like [`place`], for a piece that is printed in some way and of which something is
/// asked: where the profiles of its joints lie in the layer plane is worth some minutes
/// elsewhere, for there they need no support and no layer line crosses a neck; what the
/// maker wants goes before all that.
///
/// What it costs is counted in minutes of the maker's work: the print, with a share for
/// each unit of slenderness that may spoil it; the support, its hours and its plastic;
/// what it marks, on the piece; what hovers nearly level over the bed; and what weight bends
/// across its layers.
///
/// # Errors
///
/// When it fits on none of its faces.
pub fn place_jointed(
    piece: &Solid,
    printer: &Printer,
    profile: &PrintProfile,
    asked: &Asked,
) -> Result<Placement, DoesNotFit> {
    let nowhere = DoesNotFit {
        excess_mm: f64::INFINITY,
    };
    let (Some(mut ways), Some(moments)) = (WaysDown::of(piece), piece.moments()) else {
        return Err(nowhere);
    };
    if let Some(up) = asked.up {
        ways.down = vec![-up];
    }
    let print = Print {
        piece,
        asked,
        profile,
        centre: moments.centroid,
        volume_mm3: moments.volume_mm3,
    };
    let tried: Vec<Result<Way, f64>> = ways
        .down
        .par_iter()
        .map(|down| print.way(&ways, down, printer))
        .collect();
    let (mut fitting, mut excess) = (Vec::new(), f64::INFINITY);
    for outcome in tried {
        match outcome {
            Ok(way) => fitting.push(way),
            Err(by) => excess = excess.min(by),
        }
    }
    let (standing, falling): (Vec<Way>, Vec<Way>) =
        fitting.into_iter().partition(|w| w.footing.stands());
    let stands = |mut way: Way| {
        let lying = piece.moved(&way.placement.onto_bed);
        way.placement.standing = Stance::of(&lying, printer, profile).standing();
        way
    };
    if let Some((cost, placement)) = print.cheapest(standing) {
        let is_cheaper = |way: &Way| way.footing.is_broad() && way.bare_min + BORNE_MIN < cost;
        let broad = falling.into_iter().filter(is_cheaper).map(stands);
        let borne = broad.filter(|way| way.placement.standing == Standing::Borne);
        return Ok(match print.cheapest(borne.collect()) {
            Some((other, borne)) if other + BORNE_MIN < cost => borne,
            _ => placement,
        });
    }
    let falling = falling.into_iter().map(stands);
    let (fallen, held): (Vec<Way>, Vec<Way>) =
        falling.partition(|way| way.placement.standing == Standing::Falls);
    // What lies on specks hangs on its supports; what only tips easily does not.
    let (lies, hangs): (Vec<Way>, Vec<Way>) = held.into_iter().partition(|way| way.footing.lies());
    let (holds, slips) = lies.into_iter().partition(|way| way.footing.nearly_holds());
    let best = print
        .cheapest(holds)
        .or_else(|| print.cheapest(slips))
        .or_else(|| print.cheapest(hangs))
        .or_else(|| print.cheapest(fallen))
        .map(|(_, placement)| placement);
    best.ok_or(DoesNotFit { excess_mm: excess })
}

/// A piece that is to be printed.
struct Print<'a> {
    piece: &'a Solid,
    asked: &'a Asked<'a>,
    profile: &'a PrintProfile,
    centre: Point,
    volume_mm3: f64,
}

/// A way to lay it down in which it fits.
struct Way {
    placement: Placement,
    footing: Footing,
    /// What it costs without support, in minutes.
    bare_min: f64,
}

impl Print<'_> {
    /// The piece with a side down, or by how much it is too large so.
    fn way(&self, ways: &WaysDown, down: &Vector, printer: &Printer) -> Result<Way, f64> {
        let (lying, excess) = turned_onto(&ways.hull, down, printer);
        if excess > TOO_MUCH_MM {
            return Err(excess);
        }
        let spin = Rotation3::from_axis_angle(&Vector::z_axis(), lying.angle) * lying.turn;
        let placed = ways.hull.vertices.iter().map(|p| spin * p);
        let bounds = Bounds::of(placed).unwrap_or(Bounds {
            min: Point::origin(),
            max: Point::origin(),
        });
        let size = bounds.size_mm();
        let is_across = |run: &&Vector| run.dot(down).abs() < std::f64::consts::FRAC_1_SQRT_2;
        let joints_across = self.asked.runs.iter().filter(is_across).count();
        let footing = ways.footing(self.piece, self.centre, down);
        let plastic = self.plastic_mm3(down);
        let hours = self.profile.hours_with_layers(plastic, size.z);
        let easily = (STEADY_TIP_DEG - footing.tips_deg.max(0.0)).max(0.0) / RISKS_AS_MUCH_DEG;
        let risk = 1.0 + RISK * ((footing.slenderness - STEADY).max(0.0) + easily);
        Ok(Way {
            placement: Placement {
                onto_bed: Isometry::from_parts(
                    Translation3::from(-bounds.min.coords),
                    UnitQuaternion::from_rotation_matrix(&spin),
                ),
                size_mm: [size.x, size.y, size.z],
                joints_across,
                standing: match footing.stands() {
                    true => Standing::ByItself,
                    false => Standing::Falls,
                },
                lies: footing.lies(),
                support_mm3: 0.0,
                scraped_mm2: 0.0,
                brim_mm3: 0.0,
                marked_clean_mm2: 0.0,
            },
            footing,
            bare_min: self.asked.price.of(plastic, hours) * risk
                + ACROSS_MIN * joints_across as f64
                + CORNER_MIN * footing.corners as f64
                + HOVERS_MIN_PER_CM2 * hovering_mm2(self.piece, &ways.hull, down) / 100.0,
        })
    }

    /// Plastic in the piece with a side down, roughly: faces that lie level are closed by
    /// solid layers and all others by walls, which are thicker.
    fn plastic_mm3(&self, down: &Vector) -> f64 {
        let faces = 0..self.piece.triangles().len();
        let casing = |face: usize| {
            let [a, b, c] = self.piece.corners(face);
            let doubled = (b - a).cross(&(c - a));
            let area = doubled.norm();
            if area < 1e-12 {
                return 0.0;
            }
            area / 2.0 * self.profile.casing_mm(doubled.dot(down).abs() / area)
        };
        let casing = faces.map(casing).sum();
        self.profile.filled_mm3(casing, self.volume_mm3)
    }

    /// The way that costs least with its support, and what it costs. The support costs minutes
    /// to tell besides: once one way is known to cost less than another without, that one's need
    /// not be told.
    fn cheapest(&self, mut ways: Vec<Way>) -> Option<(f64, Placement)> {
        ways.sort_by(|a, b| a.bare_min.total_cmp(&b.bare_min));
        let mut best: Option<(f64, Placement)> = None;
        for way in ways {
            if best
                .as_ref()
                .is_some_and(|(least, _)| way.bare_min >= *least)
            {
                break;
            }
            let (cost, support) = self.with_support(&way);
            // What noise decides is decided by the order of the faces.
            if best.as_ref().is_none_or(|(least, _)| cost < least - 1e-3) {
                let placement = Placement {
                    support_mm3: support.space_mm3,
                    scraped_mm2: support.marked_mm2(),
                    brim_mm3: match way.placement.standing {
                        Standing::ByItself | Standing::Borne => 0.0,
                        Standing::Helped | Standing::Falls => way.footing.brim_mm3(self.profile),
                    },
                    marked_clean_mm2: support.clean_mm2,
                    ..way.placement
                };
                best = Some((cost, placement));
            }
        }
        best
    }

    fn across_its_load(&self, onto_bed: &Isometry) -> f64 {
        let printed_up = onto_bed.inverse() * Vector::z();
        let bent = self
            .asked
            .stands
            .and_then(|up| SlenderRun::across_its_load(self.piece, &printed_up, &up));
        bent.map_or(0.0, |_| ACROSS_ITS_LOAD_MIN)
    }

    /// What a way costs with the support that it takes, in minutes, and that support.
    fn with_support(&self, way: &Way) -> (f64, Support) {
        let onto_bed = &way.placement.onto_bed;
        let clean: Vec<Vector> = self.asked.clean.iter().map(|d| onto_bed * d).collect();
        let lying = self.piece.moved(onto_bed);
        let support = Support::sparing(&lying, self.profile, &clean);
        let plastic = support.plastic_mm3(self.profile);
        let marked_mm2 = support.marked_mm2();
        let cost = way.bare_min
            + self.asked.price.of(plastic, self.profile.hours_of(plastic))
            + SCRAPED_MIN_PER_CM2 * marked_mm2 / 100.0
            + AGAINST_A_WISH_MIN * support.clean_mm2
            + self.across_its_load(onto_bed)
            + if self.asked.no_supports {
                AGAINST_A_WISH_MIN * support.under_mm2
            } else {
                0.0
            };
        (cost, support)
    }
}
