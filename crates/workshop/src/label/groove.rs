//! The grooves that labels are: strokes with round ends.

use design::Label;
use geo::{Polygon, unary_union};
use solid::{KernelError, Solid};
use vector_text::{HersheyFont, VectorFont, render_text};

/// A line drawn without lifting the pen.
type Stroke = Vec<[f64; 2]>;

/// How far a groove's solid stands out of the face, so that it opens there.
const OUT_MM: f64 = 0.5;
/// Sides of the round end of a stroke.
const SIDES: usize = 12;
/// Height of a capital in the font's own units, from the base line up.
const CAP: f64 = 21.0;
/// Where its base line lies in them.
const BASE: f64 = 9.0;

/// Width and height of the face that the strokes of a label take.
pub fn size_mm(label: &Label) -> [f64; 2] {
    let strokes = strokes(&label.text, label.arrow, label.cap_mm);
    let (low, high) = extent(&strokes);
    [0, 1].map(|k| high[k] - low[k] + label.stroke_mm)
}

/// What a label takes out of its piece.
///
/// # Errors
///
/// When the kernel refuses the strokes.
///
/// ```
/// use design::Label;
/// use solid::{Frame, Point, Vector};
///
/// let top = Frame::facing(Point::new(0.0, 0.0, 20.0), Vector::z());
/// let label = Label {
///     text: "P01".into(),
///     arrow: None,
///     frame: top.rows(),
///     cap_mm: 8.0,
///     stroke_mm: 0.9,
///     depth_mm: 0.4,
/// };
/// let bounds = workshop::groove(&label).unwrap().bounds().unwrap();
/// assert!((bounds.min.z - 19.6).abs() < 1e-9);
/// ```
pub fn groove(label: &Label) -> Result<Solid, KernelError> {
    let strokes = strokes(&label.text, label.arrow, label.cap_mm);
    let (low, high) = extent(&strokes);
    let middle = [0, 1].map(|k| (low[k] + high[k]) / 2.0);
    let lines: Vec<Polygon> = strokes
        .iter()
        .flat_map(|stroke| stroke.windows(2))
        .map(|ends| {
            let [a, b] = [ends[0], ends[1]].map(|p| [p[0] - middle[0], p[1] - middle[1]]);
            rounded_line(a, b, label.stroke_mm / 2.0)
        })
        .collect();
    Solid::extruded(
        &label.frame(),
        &unary_union(&lines),
        -label.depth_mm,
        OUT_MM,
    )
}

/// A piece with its labels cut into it: all whose boxes lie apart at once.
///
/// # Errors
///
/// When the kernel refuses a cut.
///
/// ```
/// use solid::{Point, Solid};
///
/// let block = Solid::cuboid(Point::origin(), Point::new(40.0, 30.0, 20.0));
/// let bare = workshop::engraved(&block, &[]).unwrap();
/// assert_eq!(bare.triangles(), block.triangles());
/// ```
pub fn engraved(piece: &Solid, labels: &[Label]) -> Result<Solid, KernelError> {
    let grooves: Vec<Solid> = labels.iter().map(groove).collect::<Result<_, _>>()?;
    let mut rounds: Vec<Vec<&Solid>> = Vec::new();
    for groove in &grooves {
        let lies_apart = |other: &&Solid| match (groove.bounds(), other.bounds()) {
            (Some(a), Some(b)) => !a.overlaps(&b, -APART_MM),
            _ => true,
        };
        match rounds.iter_mut().find(|r| r.iter().all(lies_apart)) {
            Some(round) => round.push(groove),
            None => rounds.push(vec![groove]),
        }
    }
    rounds.into_iter().try_fold(piece.clone(), |piece, round| {
        piece.difference(&Solid::gathered(round))
    })
}

/// Boxes nearer to each other than this are not known to be apart.
const APART_MM: f64 = 0.01;

/// A line with round ends.
fn rounded_line(a: [f64; 2], b: [f64; 2], radius: f64) -> Polygon {
    let along = (b[1] - a[1]).atan2(b[0] - a[0]);
    let end = |at: [f64; 2], from: f64| {
        (0..=SIDES / 2).map(move |k| {
            let angle = from + std::f64::consts::TAU * k as f64 / SIDES as f64;
            (at[0] + radius * angle.cos(), at[1] + radius * angle.sin())
        })
    };
    let quarter = std::f64::consts::FRAC_PI_2;
    let round = end(b, along - quarter).chain(end(a, along + quarter));
    Polygon::new(round.collect(), Vec::new())
}

/// The strokes of words and an arrow, base line at zero.
fn strokes(text: &str, arrow: Option<[i8; 2]>, cap_mm: f64) -> Vec<Stroke> {
    let scale = cap_mm / CAP;
    let mut out: Vec<Stroke> = Vec::new();
    for p in render_text(text, VectorFont::HersheyFont(HersheyFont::Romans)) {
        let at = [f64::from(p.x) * scale, (BASE - f64::from(p.y)) * scale];
        match out.last_mut() {
            Some(stroke) if p.pen => stroke.push(at),
            _ => out.push(vec![at]),
        }
    }
    out.retain(|s| s.len() > 1);
    if let Some(way) = arrow.map(|w| w.map(f64::from)) {
        let from = extent(&out).1[0] + if out.is_empty() { 0.0 } else { 0.5 * cap_mm };
        let (length, barb) = (1.1 * cap_mm, 0.35 * cap_mm);
        // A standing arrow takes the width of its barbs.
        let half_width = (way[0].abs() * length / 2.0).max(way[1].abs() * barb);
        let middle = [from + half_width, cap_mm / 2.0];
        let at = |along: f64, aside: f64| {
            [
                middle[0] + along * way[0] - aside * way[1],
                middle[1] + along * way[1] + aside * way[0],
            ]
        };
        let (tail, tip) = (at(-length / 2.0, 0.0), at(length / 2.0, 0.0));
        let back = length / 2.0 - barb;
        out.push(vec![tail, tip]);
        out.push(vec![at(back, barb), tip, at(back, -barb)]);
    }
    out
}

fn extent(strokes: &[Stroke]) -> ([f64; 2], [f64; 2]) {
    let mut points = strokes.iter().flatten();
    let Some(first) = points.next() else {
        return ([0.0; 2], [0.0; 2]);
    };
    points.fold((*first, *first), |(low, high), p| {
        (
            [low[0].min(p[0]), low[1].min(p[1])],
            [high[0].max(p[0]), high[1].max(p[1])],
        )
    })
}

#[cfg(test)]
mod tests {
    use solid::{Frame, Point, Vector};

    use super::*;

    #[test]
    fn strokes_are_as_wide_and_deep_as_stated() {
        let block = Solid::cuboid(Point::new(-60.0, -30.0, 0.0), Point::new(60.0, 30.0, 20.0));
        let top = Frame::facing(Point::new(0.0, 0.0, 20.0), Vector::z());
        let label = Label {
            text: "I".into(),
            arrow: Some([1, 0]),
            frame: top.rows(),
            cap_mm: 10.0,
            stroke_mm: 0.9,
            depth_mm: 0.4,
        };
        let groove = groove(&label).unwrap();
        let engraved = block.difference(&groove).unwrap();
        // One upright of 10 mm and an arrow: its shaft of 11 mm, two barbs of
        // 3.5 √2 mm. Where strokes meet they share what the round ends have,
        // so the sum of the single strokes bounds the volume from above.
        let round = SIDES as f64 / 2.0 * 0.45f64.powi(2) * (std::f64::consts::TAU / 12.0).sin();
        let one = |length: f64| (length * 0.9 + round) * 0.4;
        let most = one(10.0) + one(11.0) + 2.0 * one(3.5 * 2f64.sqrt());
        let taken = block.volume_mm3() - engraved.volume_mm3();
        assert!(taken < most && taken > 0.92 * most, "{taken} of {most}");
        let deepest = groove.bounds().unwrap().min.z;
        assert!((deepest - 19.6).abs() < 1e-9);
        let [width, height] = size_mm(&label);
        let bounds = groove.bounds().unwrap().size_mm();
        assert!((bounds.x - width).abs() < 0.05 && (bounds.y - height).abs() < 0.05);
    }

    /// Labels that overlap and one apart take what they take one after the other.
    #[test]
    fn labels_cut_at_once_take_what_they_take_one_by_one() {
        let block = Solid::cuboid(Point::new(-60.0, -30.0, 0.0), Point::new(60.0, 30.0, 20.0));
        let label = |text: &str, x: f64, y: f64| Label {
            text: text.into(),
            arrow: None,
            frame: Frame::facing(Point::new(x, y, 20.0), Vector::z()).rows(),
            cap_mm: 8.0,
            stroke_mm: 0.9,
            depth_mm: 0.4,
        };
        let labels = [
            label("S1-P05", 0.0, 0.0),
            label("-P06", 2.0, 1.0),
            label("P02", 35.0, 18.0),
        ];
        let at_once = engraved(&block, &labels).unwrap();
        let one_by_one = labels.iter().fold(block.clone(), |piece, label| {
            piece.difference(&groove(label).unwrap()).unwrap()
        });
        let apart = (at_once.volume_mm3() - one_by_one.volume_mm3()).abs();
        assert!(apart < 1e-6, "{apart}");
        assert!(at_once.volume_mm3() < block.volume_mm3() - 10.0);
    }
}
