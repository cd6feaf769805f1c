//! Sides and directions in words, as at a bench.

use design::{Side, StepEntry};
use solid::Vector;

use crate::record::entries::Report;

/// A side of the furniture as somebody calls it who stands before it: by the model's axes,
/// x to the right, y to the back, z up, unless up is told otherwise; then what is not its
/// top or bottom goes by its axis.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Named {
    Top,
    Bottom,
    Left,
    Right,
    Front,
    Back,
    Axis(Side),
}

impl Named {
    pub(crate) fn of(report: &Report, side: Side) -> Self {
        let up = report.settings.up;
        let [x, y, _]: [f64; 3] = side.direction().into();
        let climbs = side.direction().dot(&up.direction());
        match () {
            () if climbs > 0.5 => Self::Top,
            () if climbs < -0.5 => Self::Bottom,
            () if up != Side::TOP => Self::Axis(side),
            () if x > 0.5 => Self::Right,
            () if x < -0.5 => Self::Left,
            () if y > 0.5 => Self::Back,
            () => Self::Front,
        }
    }

    /// Where it is for somebody before the furniture.
    fn hand(self) -> String {
        match self {
            Self::Left => "left".to_owned(),
            Self::Right => "right".to_owned(),
            other => other.word(),
        }
    }

    pub(crate) fn word(self) -> String {
        match self {
            Self::Top => "top".to_owned(),
            Self::Bottom => "bottom".to_owned(),
            Self::Left => "left side".to_owned(),
            Self::Right => "right side".to_owned(),
            Self::Front => "front".to_owned(),
            Self::Back => "back".to_owned(),
            Self::Axis(side) => format!("{side} side"),
        }
    }
}

/// What of a slanting way along a side is less than this is not told: 10°.
const UNTOLD: f64 = 0.17;
/// What is less than this is a little: 30°.
const A_LITTLE: f64 = 0.5;

/// A side between those of the furniture: "the left and a little the back".
fn askew(report: &Report, way: &Vector, upright: bool) -> String {
    let along = |side: &Side| side.direction().dot(way);
    let mut sides: Vec<Side> = Side::ALL
        .into_iter()
        .filter(|s| along(s) > UNTOLD)
        .collect();
    sides.sort_by(|a, b| along(b).total_cmp(&along(a)));
    let word = |side: &Side| {
        let named = Named::of(report, *side);
        match upright {
            true => named.hand(),
            false => named.word(),
        }
    };
    let each = sides.iter().enumerate().map(|(k, side)| match k {
        0 => format!("the {}", word(side)),
        _ if along(side) < A_LITTLE => format!("a little the {}", word(side)),
        _ => format!("the {}", word(side)),
    });
    let each: Vec<String> = each.collect();
    let of = if upright { "" } else { " of the furniture" };
    format!("{}{of}", each.join(" and "))
}

/// A direction as somebody says it at the bench.
pub(crate) struct Way {
    pub(crate) verb: &'static str,
    pub(crate) word: String,
    pub(crate) onto: &'static str,
    pub(crate) from: String,
}

impl Way {
    /// The way of a step: down and up over the bench on which the other part rests, else
    /// by the sides of the furniture.
    pub(crate) fn of(report: &Report, step: &StepEntry) -> Self {
        let direction = Vector::from(step.direction);
        let up = report.settings.up.direction();
        let above = step.rests.map_or(up, |rest| -rest.on.direction());
        let climbs = above.dot(&direction);
        if climbs.abs() > 0.99 {
            let (verb, word, onto, from) = match climbs < 0.0 {
                true => ("Let", "down", "onto", "from above"),
                false => ("Push", "up", "into", "from below"),
            };
            return Self {
                verb,
                word: word.to_owned(),
                onto,
                from: from.to_owned(),
            };
        }
        let side = |way: Vector| {
            Side::ALL
                .into_iter()
                .find(|s| s.direction().dot(&way) > 0.99)
        };
        let (word, from) = match (side(direction), side(-direction)) {
            (Some(to), Some(from)) => {
                let [to, from] = [to, from].map(|side| Named::of(report, side));
                // Where it stands as it will, left is where the left hand is.
                match above.dot(&up) > 0.99 {
                    true => (
                        format!("to the {}", to.hand()),
                        format!("from the {}", from.hand()),
                    ),
                    false => (
                        format!("towards the {} of the furniture", to.word()),
                        format!("from the {} of the furniture", from.word()),
                    ),
                }
            }
            _ => {
                let upright = above.dot(&up) > 0.99;
                let [to, from] = [direction, -direction].map(|way| askew(report, &way, upright));
                (format!("towards {to}"), format!("from {from}"))
            }
        };
        Self {
            verb: "Slide",
            word,
            onto: "onto",
            from,
        }
    }
}
