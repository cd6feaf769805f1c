//! Cuts and booleans of solids.

use crate::Vector;
use crate::boolean::kernel::Operation;
use crate::boolean::kernel_error::KernelError;
use crate::cut::parted::parted;
use crate::frame::Frame;
use crate::mesh::solid_type::Solid;

impl Solid {
    /// All that is in either.
    ///
    /// # Errors
    ///
    /// When the kernel refuses an operand (as for every operation below).
    ///
    /// ```
    /// use solid::{Point, Solid};
    ///
    /// let a = Solid::cuboid(Point::origin(), Point::new(2.0, 1.0, 1.0));
    /// let b = Solid::cuboid(Point::new(1.0, 0.0, 0.0), Point::new(3.0, 1.0, 1.0));
    /// assert!((a.union(&b).unwrap().volume_mm3() - 3.0).abs() < 1e-12);
    /// assert!((a.intersection(&b).unwrap().volume_mm3() - 1.0).abs() < 1e-12);
    /// assert!((a.difference(&b).unwrap().volume_mm3() - 1.0).abs() < 1e-12);
    /// ```
    pub fn union(&self, other: &Self) -> Result<Self, KernelError> {
        match (self.is_empty(), other.is_empty()) {
            (true, _) => Ok(other.clone()),
            (_, true) => Ok(self.clone()),
            _ => self.combined(other, Operation::Union),
        }
    }

    /// All that is in the first but not in the second.
    ///
    /// # Errors
    ///
    /// When the kernel refuses an operand.
    pub fn difference(&self, other: &Self) -> Result<Self, KernelError> {
        if self.is_empty() || !self.near(other) {
            return Ok(self.clone());
        }
        self.combined(other, Operation::Difference)
    }

    /// All that is in both.
    ///
    /// # Errors
    ///
    /// When the kernel refuses an operand.
    pub fn intersection(&self, other: &Self) -> Result<Self, KernelError> {
        if !self.near(other) {
            return Ok(Self::empty());
        }
        self.combined(other, Operation::Intersection)
    }

    /// What it shares with another when it has been shifted.
    ///
    /// Quicker than the intersection of the shifted solid, for which the kernel
    /// would have to look at it anew.
    ///
    /// # Errors
    ///
    /// When the kernel refuses an operand.
    ///
    /// ```
    /// use solid::{Point, Solid, Vector};
    ///
    /// let block = Solid::cuboid(Point::origin(), Point::new(4.0, 1.0, 1.0));
    /// let shared = block.shared_when_shifted(&(Vector::x() * 3.0), &block).unwrap();
    /// assert!((shared.volume_mm3() - 1.0).abs() < 1e-12);
    /// ```
    pub fn shared_when_shifted(&self, by: &Vector, other: &Self) -> Result<Self, KernelError> {
        if self.is_empty() || other.is_empty() {
            return Ok(Self::empty());
        }
        let moved = self.kernel()?.shifted(by);
        let shared = moved.combine(other.kernel()?, Operation::Intersection)?;
        Ok(Self::from_kernel(shared))
    }

    /// The union of any number of solids.
    ///
    /// # Errors
    ///
    /// When the kernel refuses an operand.
    pub fn union_of<'a>(parts: impl IntoIterator<Item = &'a Self>) -> Result<Self, KernelError> {
        let mut level: Vec<Self> = parts.into_iter().cloned().collect();
        while level.len() > 1 {
            level = level
                .chunks(2)
                .map(|pair| match pair {
                    [a, b] => a.union(b),
                    [a] => Ok(a.clone()),
                    _ => Ok(Self::empty()),
                })
                .collect::<Result<_, _>>()?;
        }
        Ok(level.pop().unwrap_or_else(Self::empty))
    }

    /// Parts the solid at a frame's plane: what lies where the normal points,
    /// and the rest. The two share the flat face of the cut.
    ///
    /// # Errors
    ///
    /// When the kernel refuses an operand.
    ///
    /// ```
    /// use solid::{Frame, Point, Solid, Vector};
    ///
    /// let a = Solid::cuboid(Point::origin(), Point::new(4.0, 1.0, 1.0));
    /// let (far, near) = a.cut(&Frame::facing(Point::new(1.0, 0.0, 0.0), Vector::x())).unwrap();
    /// assert!((far.volume_mm3() - 3.0).abs() < 1e-12);
    /// assert!((near.volume_mm3() - 1.0).abs() < 1e-12);
    /// ```
    pub fn cut(&self, plane: &Frame) -> Result<(Self, Self), KernelError> {
        match self.side_of(plane) {
            Side::Above => Ok((self.clone(), Self::empty())),
            Side::Below => Ok((Self::empty(), self.clone())),
            Side::Both => match parted(self, plane) {
                Some([above, below]) => Ok((above, below)),
                None => {
                    let (above, below) = self.kernel()?.split(plane)?;
                    Ok((Self::from_kernel(above), Self::from_kernel(below)))
                }
            },
        }
    }

    /// What lies on the positive side of a frame's plane.
    ///
    /// # Errors
    ///
    /// When the kernel refuses an operand.
    pub fn trimmed(&self, plane: &Frame) -> Result<Self, KernelError> {
        match self.side_of(plane) {
            Side::Above => Ok(self.clone()),
            Side::Below => Ok(Self::empty()),
            Side::Both => Ok(self.cut(plane)?.0),
        }
    }

    /// A solid with fewer triangles whose surface is nowhere further than
    /// `tolerance_mm` from this one's.
    ///
    /// # Errors
    ///
    /// When the kernel refuses an operand.
    pub fn simplified(&self, tolerance_mm: f64) -> Result<Self, KernelError> {
        if self.is_empty() {
            return Ok(self.clone());
        }
        Ok(Self::from_kernel(self.kernel()?.simplified(tolerance_mm)?))
    }

    /// Whether its surface passes through itself.
    ///
    /// # Errors
    ///
    /// When the kernel refuses an operand.
    pub fn crosses_itself(&self) -> Result<bool, KernelError> {
        Ok(!self.is_empty() && self.kernel()?.crosses_itself())
    }

    /// The solid of all points about which the surface winds at least once:
    /// overlapping bodies become one.
    ///
    /// # Errors
    ///
    /// When the kernel refuses an operand.
    pub fn rebuilt(&self) -> Result<Self, KernelError> {
        Ok(Self::from_kernel(self.kernel()?.rebuilt()?))
    }

    fn combined(&self, other: &Self, operation: Operation) -> Result<Self, KernelError> {
        Ok(Self::from_kernel(
            self.kernel()?.combine(other.kernel()?, operation)?,
        ))
    }

    fn near(&self, other: &Self) -> bool {
        match (self.bounds(), other.bounds()) {
            (Some(a), Some(b)) => a.overlaps(&b, 0.0),
            _ => false,
        }
    }

    fn side_of(&self, plane: &Frame) -> Side {
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        for p in self.vertices() {
            let h = plane.height(p);
            low = low.min(h);
            high = high.max(h);
        }
        if high <= 0.0 && low < 0.0 {
            Side::Below
        } else if low >= 0.0 {
            Side::Above
        } else {
            Side::Both
        }
    }
}

enum Side {
    Above,
    Below,
    Both,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Point;

    #[test]
    fn a_result_has_nothing_of_the_order_in_which_its_operands_were_made() {
        let united = |other_first: bool| {
            let a = Solid::cuboid(Point::origin(), Point::new(2.0, 1.0, 1.0));
            let b = Solid::cuboid(Point::new(1.0, 0.5, 0.5), Point::new(3.0, 3.0, 3.0));
            // The kernel takes each in when it is first used.
            let first = if other_first { &b } else { &a };
            first.shifted(Vector::x() * 0.1).union(first).unwrap();
            a.union(&b).unwrap()
        };
        let [one, other] = [false, true].map(united);
        assert_eq!(one.vertices(), other.vertices());
        assert_eq!(one.triangles(), other.triangles());
    }
}
