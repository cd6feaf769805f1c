//! How few pieces there could be, in words.

use planner::{Certificate, EqualBoxes};

/// How few pieces there could be, beside how many are planned, in words.
pub(crate) fn fewest(c: &Certificate, planned: usize) -> String {
    let mut out = format!("{planned} pieces planned. ");
    out += &match c.beds_a_part {
        0 => "Of all plans of right-through cuts".to_owned(),
        beds => format!(
            "The model is so many beds large that it was first cut into parts of up to {beds} \
             beds along each side, and these one by one. Of all plans of right-through cuts that \
             make those parts"
        ),
    };
    out += &format!(" at the {} places that were considered", c.places);
    if c.left_out > 0 {
        out += &format!(
            " ({} less important ones were left out, so that the search stays quick)",
            c.left_out
        );
    }
    out += &format!(" none has fewer than {}. ", c.on_lattice);
    if c.branches > 0 {
        out += &format!(
            "{} branches of the best were then searched again, each with its own places. ",
            c.branches
        );
    }
    out += &format!(
        "However it is cut, no split into pieces that lie square on the bed has fewer than {}",
        c.lying_square
    );
    if c.lying_square == c.apart_mm.len() {
        out += ": so many points of the model lie so far apart that no two go on one bed";
    }
    if planned < c.lying_square {
        out += "; that this one has fewer comes of pieces that lie turned";
    }
    out += &format!(
        ". However its pieces lie, none has fewer than {}: {}.",
        c.any_plan, c.why
    );
    if let Some(boxes) = &c.equal_boxes {
        out += &format!(" {}", beside_boxes(boxes, planned));
    }
    out
}

/// What equal boxes would make, and what is against them where that is less.
pub fn beside_boxes(boxes: &EqualBoxes, planned: usize) -> String {
    let along = boxes.along.map(|n| n.to_string()).join(" × ");
    let EqualBoxes {
        pieces, against, ..
    } = boxes;
    let mut out =
        format!("Equal boxes ({along}), with no joints and all of the bed, would be {pieces}");
    if *pieces < planned {
        out += "; against that: ";
        out += &match against.as_slice() {
            [] => "joints that found no room when that was carried out".to_owned(),
            some => some.join(", "),
        };
    }
    out + "."
}

#[cfg(test)]
mod tests {
    use super::*;

    fn certificate() -> Certificate {
        Certificate {
            any_plan: 3,
            why: "it has 3 bodies, and a piece is one".into(),
            lying_square: 4,
            apart_mm: vec![[0.0; 3]; 4],
            on_lattice: 5,
            places: 20,
            ..Certificate::of_one_piece()
        }
    }

    #[test]
    fn says_all_three_figures() {
        assert_eq!(
            fewest(&certificate(), 5),
            "5 pieces planned. Of all plans of right-through cuts at the 20 places that were considered none has fewer than 5. However it is cut, no split into pieces that lie square on the bed has fewer than 4: so many points of the model lie so far apart that no two go on one bed. However its pieces lie, none has fewer than 3: it has 3 bodies, and a piece is one."
        );
    }

    #[test]
    fn says_what_is_against_fewer_boxes() {
        let boxes = |pieces, against: &[&str]| EqualBoxes {
            along: [2, 1, 3],
            pieces,
            against: against.iter().map(|s| (*s).to_owned()).collect(),
        };
        let mut certificate = certificate();
        certificate.equal_boxes = Some(boxes(7, &[]));
        let said = fewest(&certificate, 5);
        assert!(said.ends_with(
            ". Equal boxes (2 × 1 × 3), with no joints and all of the bed, would be 7."
        ));
        certificate.equal_boxes = Some(boxes(
            4,
            &["the margin of the bed", "slivers (weight sliver)"],
        ));
        let said = fewest(&certificate, 5);
        assert!(said.ends_with(
            "all of the bed, would be 4; against that: the margin of the bed, slivers (weight sliver)."
        ));
    }

    #[test]
    fn tells_of_parts() {
        let mut certificate = certificate();
        certificate.beds_a_part = 2;
        let said = fewest(&certificate, 5);
        assert!(said.starts_with(
            "5 pieces planned. The model is so many beds large that it was first cut into parts of up to 2 beds along each side, and these one by one. Of all plans of right-through cuts that make those parts at the 20 places that were considered none has fewer than 5."
        ));
    }

    #[test]
    fn explains_a_plan_below_the_second() {
        let said = fewest(&certificate(), 3);
        assert!(said.contains("that this one has fewer comes of pieces that lie turned"));
    }
}
