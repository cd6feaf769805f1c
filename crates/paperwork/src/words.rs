//! Ids and reasons in words: why a contact got its joint, or none.

use solid::Vector;
use workshop::{Braces, Figures, Joining, NoJoint, WhyJoint};

/// Some ids in a row, with something between them.
pub(crate) fn listed<T: std::fmt::Display>(ids: &[T], between: &str) -> String {
    let words: Vec<String> = ids.iter().map(ToString::to_string).collect();
    words.join(between)
}

/// What became of a contact, and why, in a sentence without its stop.
pub(crate) fn joining(joining: &Joining) -> String {
    match joining {
        Joining::Joined(joined) => why_joint(&joined.figures, &joined.why),
        Joining::Plain(plain) => no_joint(&plain.why),
    }
}

/// A direction in words: `+z`, or its numbers where it is along no axis.
fn direction(d: &Vector) -> String {
    for (axis, name) in ["x", "y", "z"].iter().enumerate() {
        if (d[axis].abs() - 1.0).abs() < 1e-6 {
            return format!("{}{name}", if d[axis] > 0.0 { '+' } else { '-' });
        }
    }
    format!("({:.3}, {:.3}, {:.3})", d.x, d.y, d.z)
}

fn way(d: Option<&Vector>) -> String {
    d.map_or_else(String::new, direction)
}

fn why_joint(joint: &Figures, why: &WhyJoint) -> String {
    let Figures {
        kind,
        count,
        width_mm,
        wall_mm,
        ..
    } = joint;
    match why {
        WhyJoint::Slide {
            way,
            travel_mm,
            braces,
        } => {
            let about = match braces {
                Braces::NotChosen => String::new(),
                Braces::Spared => {
                    format!(", which needs no brace: the wall beside it is {wall_mm:.1} mm thick")
                }
                Braces::NoRoom => format!(
                    ", without a brace, for which there is no room: the wall beside it is only \
                     {wall_mm:.1} mm thick"
                ),
                Braces::Taken => {
                    ", braced because the wall beside a dovetail would be thin".to_owned()
                }
            };
            format!(
                "{count} × {kind} of {width_mm:.1} mm{about}; the slide along {} joins most of \
                 this seam and is {travel_mm:.0} mm long",
                direction(way)
            )
        }
        WhyJoint::Meeting {
            way_in,
            no_slide,
            tried,
        } => {
            let what = if kind.is_key() {
                format!(
                    "{count} × butterfly key of {width_mm:.1} mm, pushed in along {} once the \
                     halves have met",
                    way(way_in.as_ref())
                )
            } else {
                format!("{count} × {} pushed in along the normal", kind.noun())
            };
            std::iter::once(what)
                .chain(not_met(no_slide.as_deref(), tried))
                .collect::<Vec<_>>()
                .join("; ")
        }
        WhyJoint::Leftover { way_in, no_slide } => format!(
            "{count} × butterfly key of {width_mm:.1} mm, pushed in along {} once the halves are \
             home; no slide: {}",
            way(way_in.as_ref()),
            no_joint(no_slide)
        ),
        WhyJoint::Kept => {
            format!("{count} × {kind} of {width_mm:.1} mm, as they were: this seam is kept")
        }
    }
}

/// Why nothing slides there, and why what was tried found no room.
fn not_met<'a>(
    no_slide: Option<&'a NoJoint>,
    tried: &'a [(joinery::JointKind, NoJoint)],
) -> impl Iterator<Item = String> + 'a {
    let slide = no_slide.map(|why| format!("no slide: {}", no_joint(why)));
    let tried = tried
        .iter()
        .map(|(kind, why)| format!("no {kind}: {}", no_joint(why)));
    slide.into_iter().chain(tried)
}

fn no_joint(why: &NoJoint) -> String {
    let words = match why {
        NoJoint::Wanted => "a plain seam was asked for",
        NoJoint::NoBedRoom => "the bed has no room for a tail on this piece",
        NoJoint::TailsHidden => "every side that a tail may come in from is to be hidden",
        NoJoint::KeysHidden => "every side that a key may come in from is to be hidden",
        NoJoint::NoRoom(why) => return why.to_string(),
        NoJoint::ShallowForTails => {
            "no room: the material behind the face is not as deep as the joint and a wall"
        }
        NoJoint::ShallowForTenons => {
            "the material behind the face is not as deep as a tenon and a wall"
        }
        NoJoint::ShallowForKeys => {
            "the material beside the face is not as deep as a key and a wall"
        }
        NoJoint::OthersSlide(choice) => {
            return format!(
                "{choice} needs the halves to meet along the normal, and the other contacts of \
                 this seam slide"
            );
        }
        NoJoint::Gapes => "the slide joins a part of it only, and the rest may gape",
        NoJoint::BesideLimb => "a web, whose pieces are joined beside it",
        NoJoint::Taken => "no room: other joints, or walls too thin behind the face, take it",
        NoJoint::KeptBare => "this seam is kept, and none of its joints lies here",
        NoJoint::Meeting { no_slide, tried } => {
            let reasons = not_met(no_slide.as_deref(), tried);
            return reasons.collect::<Vec<_>>().join("; ");
        }
        NoJoint::NoKey { no_slide, no_key } => {
            return format!("{}; no key: {}", no_joint(no_slide), no_joint(no_key));
        }
    };
    words.to_owned()
}

/// `1 note`, `2 notes`.
pub(crate) fn counted(count: usize, what: &str) -> String {
    let ending = if count == 1 { "" } else { "s" };
    format!("{count} {what}{ending}")
}

#[cfg(test)]
mod tests {
    use joinery::{JointKind, NoRoom};

    use super::*;

    #[test]
    fn reasons_within_reasons_are_told_in_order() {
        let narrow = NoJoint::NoRoom(NoRoom::Taken);
        let why = NoJoint::Meeting {
            no_slide: Some(Box::new(NoJoint::NoBedRoom)),
            tried: vec![(JointKind::Butterfly, narrow.clone())],
        };
        assert_eq!(
            no_joint(&why),
            "no slide: the bed has no room for a tail on this piece; no butterfly: there is room, \
             but the way in leads through a joint of another seam"
        );
        let both = NoJoint::NoKey {
            no_slide: Box::new(NoJoint::Taken),
            no_key: Box::new(narrow),
        };
        assert!(no_joint(&both).contains("; no key: there is room"));
    }

    #[test]
    fn a_direction_along_an_axis_is_called_after_it() {
        assert_eq!(direction(&-Vector::y()), "-y");
        assert_eq!(
            direction(&Vector::new(0.6, 0.8, 0.0)),
            "(0.600, 0.800, 0.000)"
        );
    }
}
