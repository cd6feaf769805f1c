//! What a print costs.

/// What the hours and the plastic of a print cost, in minutes of the maker's work.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PrintPrice {
    /// An hour of the printer.
    pub hour_min: f64,
    /// A cubic centimetre of plastic.
    pub cm3_min: f64,
}

impl Default for PrintPrice {
    /// An hour is worth a minute, and so are ten cubic centimetres (our choice, without
    /// a source).
    fn default() -> Self {
        Self {
            hour_min: 1.0,
            cm3_min: 0.1,
        }
    }
}

impl PrintPrice {
    /// What some plastic costs, and the time to lay it down.
    ///
    /// ```
    /// use printing::PrintPrice;
    ///
    /// let price = PrintPrice { hour_min: 1.0, cm3_min: 0.1 };
    /// assert_eq!(price.of(50_000.0, 2.0), 7.0);
    /// ```
    pub fn of(&self, plastic_mm3: f64, hours: f64) -> f64 {
        self.cm3_min * plastic_mm3 / 1000.0 + self.hour_min * hours
    }
}
