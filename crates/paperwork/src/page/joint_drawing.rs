//! Drawings of joints, from sections of the very solids that they are cut with.

use std::fmt::Write;

use design::SeamRecord;
use geo::{BooleanOps, BoundingRect};
use joinery::tenon::Tenon;
use joinery::{Half, Joint, JointError, JointKind, JointRules, JointShape, Lane, Sliding};
use solid::{Frame, Outline, Point, Vector, rectangle};

/// Drawing units a millimetre.
const SCALE: f64 = 9.0;
/// Run of the joint that is drawn.
const RUN_MM: f64 = 18.0;
/// Material drawn behind the seam.
const BACK_MM: f64 = 9.0;
/// How far the halves are drawn apart.
const APART_MM: f64 = 19.0;

/// Colours of the parts (Okabe & Ito 2008, *Color universal design*): blue and
/// amber for the halves, green for a key.
const COLOURS: [&str; 3] = ["#0072b2", "#e69f00", "#009e73"];

/// The profile of a joint in the middle of its run, as SVG: the halves apart,
/// with dimensions, and together. The outlines are sections of the very
/// solids that the joint is cut with.
///
/// # Errors
///
/// When the joint cannot be made from the rules.
///
/// ```
/// use joinery::{JointKind, JointRules};
///
/// let svg = paperwork::joint_drawing(JointKind::Dovetail, &JointRules::default()).unwrap();
/// assert!(svg.starts_with("<svg") && svg.contains("10.5"));
/// ```
pub fn joint_drawing(kind: JointKind, rules: &JointRules) -> Result<String, JointError> {
    let lane = Lane {
        across_mm: 0.0,
        from_mm: -RUN_MM / 2.0,
        to_mm: RUN_MM / 2.0,
        blind: false,
    };
    let sliding = Sliding::full_size(kind, &lane, rules)?;
    let profile = Profile::of_sliding(&sliding)?;
    Ok(profile.svg(&profile.words))
}

/// A joint as it is drawn: its parts cut square to the run, and its sizes.
struct Profile {
    /// Halves and key, in `(n, u)`, the middle of the joint at zero.
    parts: Vec<Outline>,
    half_strip: f64,
    noun: &'static str,
    name: String,
    /// Middle of the part that is dimensioned, its width and its depth.
    across_mm: f64,
    width_mm: f64,
    depth_mm: f64,
    words: String,
}

impl Profile {
    fn of_sliding(sliding: &Sliding) -> Result<Self, JointError> {
        let (main, strip) = (&sliding.main, sliding.strip_mm);
        let middle = (strip.0 + strip.1) / 2.0;
        let half_strip = (strip.1 - strip.0) / 2.0;
        let along = (main.lane.from_mm + main.lane.to_mm) / 2.0;
        let parts = sections(&sliding.joint(&seam())?, [middle, along], half_strip);
        Ok(Self {
            parts,
            half_strip,
            noun: sliding.kind.noun(),
            name: sliding.kind.to_string(),
            across_mm: main.lane.across_mm - middle,
            width_mm: sliding.width_mm,
            depth_mm: main.depth_mm,
            words: format!(
                "{:.0}° between flanks, {:.2}° taper, {:.2} clearance, run {:.1}, section in its \
                 middle",
                2.0 * main.half_angle.to_degrees(),
                main.taper.to_degrees(),
                main.rules.clearance_mm,
                main.lane.run_mm().abs(),
            ),
        })
    }

    fn of_tenon(tenon: &Tenon) -> Result<Self, JointError> {
        let half_strip = tenon.foot_mm[0] / 2.0 + 4.0;
        Ok(Self {
            parts: sections(&tenon.joint(&seam())?, tenon.centre_mm, half_strip),
            half_strip,
            noun: JointKind::Tenon.noun(),
            name: JointKind::Tenon.to_string(),
            across_mm: 0.0,
            width_mm: tenon.foot_mm[0],
            depth_mm: tenon.depth_mm,
            words: format!(
                "{:.2}° taper, {:.2} clearance, foot {:.1} × {:.1}, section in its middle",
                tenon.taper.to_degrees(),
                tenon.clearance_mm(),
                tenon.foot_mm[0],
                tenon.foot_mm[1],
            ),
        })
    }
}

/// Joints of one size on a seam, drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct SeamDrawing {
    /// How many, and what.
    pub caption: String,
    /// The profile, with dimensions.
    pub svg: String,
}

/// The most sizes of joints that are drawn of one seam.
const MOST_SIZES: usize = 4;

/// The joints of a seam, each size drawn once, the most frequent first.
///
/// # Errors
///
/// When a recorded joint cannot be made.
pub fn seam_drawings(record: &SeamRecord) -> Result<Vec<SeamDrawing>, JointError> {
    let mut sizes: Vec<([i64; 3], &JointShape, usize)> = Vec::new();
    for joint in &record.joints {
        let tenth = |x: f64| (10.0 * x).round() as i64;
        let size = match &joint.shape {
            JointShape::InLane(s) => [s.kind as i64, tenth(s.width_mm), tenth(s.main.depth_mm)],
            JointShape::Tenon(t) => [
                JointKind::Tenon as i64,
                tenth(t.foot_mm[0]),
                tenth(t.foot_mm[1]),
            ],
        };
        match sizes.iter_mut().find(|s| s.0 == size) {
            Some(held) => held.2 += 1,
            None => sizes.push((size, &joint.shape, 1)),
        }
    }
    sizes.sort_by_key(|s| std::cmp::Reverse(s.2));
    sizes
        .iter()
        .take(MOST_SIZES)
        .map(|(_, shape, count)| {
            let profile = match shape {
                JointShape::InLane(sliding) => Profile::of_sliding(sliding)?,
                JointShape::Tenon(tenon) => Profile::of_tenon(tenon)?,
            };
            Ok(SeamDrawing {
                caption: format!("{count} × {}, mm: {}", profile.name, profile.words),
                svg: profile.svg(""),
            })
        })
        .collect()
}

/// The seam that joints are drawn on.
fn seam() -> Frame {
    Frame::with_axes(Point::origin(), Vector::x(), Vector::y())
}

/// Both halves and the key, where there is one, cut square to the slide
/// through a place on the seam, in `(n, u)` from there.
fn sections(joint: &Joint, at: [f64; 2], half_strip: f64) -> Vec<Outline> {
    let seam = seam();
    let reach = 12.0 + BACK_MM;
    let mut parts = vec![
        rectangle([-reach, -half_strip], [0.0, half_strip]),
        rectangle([0.0, -half_strip], [reach, half_strip]),
    ];
    let across = Frame {
        origin: seam.place(at[0], at[1], 0.0),
        u: seam.n,
        v: seam.u,
        n: seam.v,
    };
    for transfer in &joint.transfers {
        let (gains, loses): (usize, &[usize]) = match transfer.to {
            Half::Tails => (0, &[1]),
            Half::Sockets => (1, &[0]),
            Half::Key => (2, &[0, 1]),
        };
        if gains == parts.len() {
            parts.push(Outline::new(Vec::new()));
        }
        parts[gains] = parts[gains].union(&transfer.tail.section(&across));
        for &k in loses {
            parts[k] = parts[k].difference(&transfer.socket.section(&across));
        }
    }
    parts
}

impl Profile {
    /// With a line of words above.
    fn svg(&self, words: &str) -> String {
        let (parts, half_strip) = (&self.parts, self.half_strip);
        let reach = parts[0].bounding_rect().map_or(0.0, |r| r.max().x);
        let low = parts[1].bounding_rect().map_or(0.0, |r| r.min().x);
        let key_apart = if parts.len() > 2 { APART_MM } else { 0.0 };
        let (left, right) = (-BACK_MM, BACK_MM + reach);
        let width_mm = 2.0 * (right - left) + APART_MM + 2.0 * key_apart + 26.0;
        let height_mm = 2.0 * half_strip + 16.0;
        let mut out = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {:.0} {:.0}\" font-family=\"sans-serif\" \
         font-size=\"20\" role=\"img\" aria-label=\"Profile of a {}\">\n",
            width_mm * SCALE,
            height_mm * SCALE,
            self.noun
        );
        let middle = half_strip + 8.0;
        // Apart.
        let origin = 4.0 - left;
        let clipped = |k: usize| match k {
            0 => clip(&parts[0], left, reach),
            1 => clip(&parts[1], low, right),
            _ => parts[k].clone(),
        };
        let apart = [0.0, APART_MM + 2.0 * key_apart, APART_MM];
        for (k, (colour, apart)) in COLOURS.iter().zip(apart).enumerate().take(parts.len()) {
            shape(&mut out, &clipped(k), origin + apart, middle, colour);
        }
        // Together.
        let together = 2.0 * (4.0 - left) + APART_MM + 2.0 * key_apart + right + 4.0;
        for (k, colour) in COLOURS.iter().enumerate().take(parts.len()) {
            shape(&mut out, &clipped(k), together, middle, colour);
        }

        let x = 4.0 - left + if parts.len() > 2 { APART_MM } else { 0.0 };
        let wide = self.width_mm / 2.0;
        let centre = middle + self.across_mm;
        line(
            &mut out,
            [x + self.depth_mm + 2.2, centre - wide],
            [x + self.depth_mm + 2.2, centre + wide],
        );
        text(
            &mut out,
            [x + self.depth_mm + 2.8, centre + 0.8],
            &format!("{:.1}", self.width_mm),
        );
        let under = middle + half_strip + 2.0;
        line(&mut out, [x, under], [x + self.depth_mm, under]);
        text(
            &mut out,
            [x + 0.5, under + 2.8],
            &format!("{:.1} deep", self.depth_mm),
        );
        text(&mut out, [4.0, 3.2], words);
        out.push_str("</svg>\n");
        out
    }
}

fn clip(outline: &Outline, low: f64, high: f64) -> Outline {
    outline.intersection(&rectangle([low, -1e3], [high, 1e3]))
}

fn shape(out: &mut String, outline: &Outline, x: f64, y: f64, colour: &str) {
    let mut path = String::new();
    for polygon in outline {
        for ring in std::iter::once(polygon.exterior()).chain(polygon.interiors()) {
            for (k, c) in ring.coords().enumerate() {
                let letter = if k == 0 { 'M' } else { 'L' };
                let _ = write!(
                    path,
                    "{letter}{:.2} {:.2}",
                    (c.x + x) * SCALE,
                    (c.y + y) * SCALE
                );
            }
            path.push('Z');
        }
    }
    let _ = writeln!(
        out,
        "<path d=\"{path}\" fill=\"{colour}\" fill-opacity=\"0.35\" fill-rule=\"evenodd\" \
         stroke=\"{colour}\" stroke-width=\"2\"/>"
    );
}

fn line(out: &mut String, a: [f64; 2], b: [f64; 2]) {
    let [x1, y1, x2, y2] = [a[0], a[1], b[0], b[1]].map(|v| v * SCALE);
    let _ = writeln!(
        out,
        "<path d=\"M{x1:.1} {y1:.1}L{x2:.1} {y2:.1}\" stroke=\"#222\" stroke-width=\"1.5\"/>"
    );
    // Short ticks square to the line mark its ends.
    let (dx, dy) = if (x1 - x2).abs() > (y1 - y2).abs() {
        (0.0, 6.0)
    } else {
        (6.0, 0.0)
    };
    for (x, y) in [(x1, y1), (x2, y2)] {
        let _ = writeln!(
            out,
            "<path d=\"M{:.1} {:.1}L{:.1} {:.1}\" stroke=\"#222\" stroke-width=\"1.5\"/>",
            x - dx,
            y - dy,
            x + dx,
            y + dy
        );
    }
}

fn text(out: &mut String, at: [f64; 2], words: &str) {
    let _ = writeln!(
        out,
        "<text x=\"{:.1}\" y=\"{:.1}\" fill=\"#222\">{words}</text>",
        at[0] * SCALE,
        at[1] * SCALE
    );
}
