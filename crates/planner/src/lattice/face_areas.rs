//! What a cut meets in one face of the lattice.

/// Areas of the section in a face, and lengths of what speaks against a cut there.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct FaceAreas {
    /// All of the section.
    pub(crate) all_mm2: f64,
    /// What has material a joint deep on both sides.
    pub(crate) sound_mm2: f64,
    /// What is wide enough for a joint.
    pub(crate) roomy_mm2: f64,
    /// What has material far behind it on both sides.
    pub(crate) deep_mm2: f64,
    /// Where one side would end in a feather edge.
    pub(crate) feather_mm: f64,
    /// What of its line shows on hidden sides.
    pub(crate) shown_mm: f64,
    /// What of the section is of rails and legs that are ripped along their length.
    pub(crate) ripped_mm2: f64,
}

impl FaceAreas {
    /// As a row of numbers that can be summed; a last one is for the caller.
    pub(crate) fn row(&self, last: f64) -> [f64; 8] {
        [
            self.all_mm2,
            self.sound_mm2,
            self.roomy_mm2,
            self.deep_mm2,
            self.feather_mm,
            self.shown_mm,
            self.ripped_mm2,
            last,
        ]
    }

    /// Those of a row, and its last number.
    pub(crate) fn of_row(row: [f64; 8]) -> (Self, f64) {
        let [
            all_mm2,
            sound_mm2,
            roomy_mm2,
            deep_mm2,
            feather_mm,
            shown_mm,
            ripped_mm2,
            last,
        ] = row;
        let areas = Self {
            all_mm2,
            sound_mm2,
            roomy_mm2,
            deep_mm2,
            feather_mm,
            shown_mm,
            ripped_mm2,
        };
        (areas, last)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_row_is_read_as_it_was_written() {
        let areas = FaceAreas {
            all_mm2: 5.0,
            sound_mm2: 4.0,
            roomy_mm2: 3.0,
            deep_mm2: 2.0,
            feather_mm: 1.0,
            shown_mm: 0.5,
            ripped_mm2: 0.25,
        };
        assert_eq!(FaceAreas::of_row(areas.row(7.0)), (areas, 7.0));
    }
}
