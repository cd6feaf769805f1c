//! Places of cuts along an axis, told apart.

/// Places nearer than this are one: far below what a printer resolves, far above
/// what turning a model about leaves in the last bits of a place.
const SAME_MM: f64 = 1e-6;

/// Whether two places along an axis are one.
pub(crate) fn is_same_place(a_mm: f64, b_mm: f64) -> bool {
    (a_mm - b_mm).abs() < SAME_MM
}

/// Whether a place is one of some.
pub(crate) fn is_among(at_mm: f64, places_mm: &[f64]) -> bool {
    places_mm.iter().any(|&p| is_same_place(p, at_mm))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rounding_makes_no_other_place_and_an_end_that_is_open_is_none() {
        assert!(is_same_place(0.1 + 0.2, 0.3));
        assert!(!is_same_place(100.0, 100.001));
        assert!(!is_same_place(f64::INFINITY, 100.0));
        assert!(is_among(0.3, &[1.0, 0.1 + 0.2]) && !is_among(0.3, &[]));
    }
}
