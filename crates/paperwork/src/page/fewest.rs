//! How few pieces there could be, in words.

use planner::{Certificate, EqualBoxes, Laid};

use crate::words::counted;

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
    if c.equal_boxes.is_some() {
        out += " Equal boxes may use all of the bed, and each lies on the best of its six sides; \
                hours and plastic are estimates, without what starts a plate.";
    }
    out
}

/// A plan in three sentences: what it takes, what the plainest split would, and how far
/// both are from what cannot be bettered.
pub fn in_short(c: &Certificate, plan: &Takes) -> Vec<String> {
    let mut out = vec![format!("{}.", plan.words())];
    if let Some(boxes) = &c.equal_boxes {
        out.push(beside_boxes(boxes, plan));
    }
    let mut least = format!("No split can have fewer than {} pieces", c.any_plan);
    if c.any_plan == 1 {
        least = "No split can have fewer than one piece".to_owned();
    }
    if let Some(whole) = c.equal_boxes.as_ref().and_then(|b| b.whole) {
        least += &format!(
            "; in one piece, were there a bed for it, the model would be {}",
            plan.print_of(&whole, 1)
        );
    }
    out.push(least + ".");
    out
}

/// What a split takes.
#[derive(Clone, Copy, Debug)]
pub struct Takes {
    /// Pieces, keys not counted.
    pub pieces: usize,
    /// Keys.
    pub keys: usize,
    /// Hours of all pieces, without the starts of their prints.
    pub hours: f64,
    /// What a print takes before its first layer, in hours.
    pub start_h: f64,
    /// Plastic, with support.
    pub plastic_g: f64,
    /// Support.
    pub support_g: f64,
    /// What a cubic centimetre weighs.
    pub density_g_cm3: f64,
}

impl Takes {
    fn words(&self) -> String {
        let hours = self.hours + self.start_h * (self.pieces + self.keys) as f64;
        let print = print_words(hours, self.plastic_g, self.support_g);
        let keys = match self.keys {
            0 => String::new(),
            n => format!(" and {}", counted(n, "key")),
        };
        format!(
            "{}{keys}, one by one {print}",
            counted(self.pieces, "piece")
        )
    }

    /// What so many prints of something else would take.
    fn print_of(&self, laid: &Laid, prints: usize) -> String {
        let grams = |mm3: f64| mm3 / 1000.0 * self.density_g_cm3;
        let hours = laid.hours + self.start_h * prints as f64;
        print_words(hours, grams(laid.plastic_mm3), grams(laid.support_mm3))
    }
}

fn print_words(hours: f64, plastic_g: f64, support_g: f64) -> String {
    let plastic = format!("{hours:.0} hours and {:.2} kg", plastic_g / 1000.0);
    match support_g {
        g if g < 0.5 => plastic,
        g => format!("{plastic}, of it {g:.0} g support"),
    }
}

/// What equal boxes would make, and what is against them where that is less.
fn beside_boxes(boxes: &EqualBoxes, plan: &Takes) -> String {
    let along = boxes.along.map(|n| n.to_string()).join(" × ");
    let EqualBoxes {
        pieces, against, ..
    } = boxes;
    let mut out = format!("Equal boxes ({along}) without joints would be {pieces}");
    if let Some(laid) = &boxes.laid {
        out += &format!(", {}", plan.print_of(laid, *pieces));
        if laid.falling > 0 {
            out += &format!("; {} of them would fall over", laid.falling);
        }
    }
    if *pieces < plan.pieces {
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
    fn says_in_short_what_it_takes_and_what_boxes_would() {
        let boxes = |pieces, against: &[&str]| EqualBoxes {
            along: [2, 1, 3],
            pieces,
            against: against.iter().map(|s| (*s).to_owned()).collect(),
            laid: Some(Laid {
                hours: 50.4,
                plastic_mm3: 2e6,
                support_mm3: 3e5,
                falling: 2,
                ..Laid::default()
            }),
            whole: Some(Laid {
                hours: 40.0,
                plastic_mm3: 1.5e6,
                ..Laid::default()
            }),
        };
        let plan = Takes {
            keys: 0,
            pieces: 5,
            hours: 44.6,
            start_h: 0.1,
            plastic_g: 1912.0,
            support_g: 0.2,
            density_g_cm3: 1.24,
        };
        let mut certificate = certificate();
        certificate.equal_boxes = Some(boxes(7, &[]));
        let said = in_short(&certificate, &plan);
        assert_eq!(
            said,
            [
                "5 pieces, one by one 45 hours and 1.91 kg.",
                "Equal boxes (2 × 1 × 3) without joints would be 7, 51 hours and 2.48 kg, of it 372 g support; 2 of them would fall over.",
                "No split can have fewer than 3 pieces; in one piece, were there a bed for it, the model would be 40 hours and 1.86 kg.",
            ]
        );
        certificate.equal_boxes = Some(boxes(4, &["the margin of the bed", "slivers"]));
        let said = in_short(&certificate, &plan);
        assert!(said[1].ends_with("; against that: the margin of the bed, slivers."));
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
