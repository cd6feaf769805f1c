//! What joints add to a piece.

/// What joints add to a piece, one for each of its sides where they do. There is
/// one of these for every piece of every range: it lies on the stack.
#[derive(Default)]
pub(crate) struct Grown {
    sides: [Growth; 6],
    count: usize,
}

impl Grown {
    pub(crate) fn push(&mut self, side: Growth) {
        if side.by_mm != 0.0 {
            self.sides[self.count] = side;
            self.count += 1;
        }
    }

    pub(crate) fn sides(&self) -> &[Growth] {
        &self.sides[..self.count]
    }
}

/// What joints on one side of a piece add to it.
#[derive(Clone, Copy, Default)]
pub(crate) struct Growth {
    pub(crate) axis: usize,
    /// Up the axis, or down it where it is negative.
    pub(crate) by_mm: f64,
    /// Whether the joints are there already, so that no keys can take their place.
    pub(crate) kept: bool,
}
