//! Single wishes: axes, places and boxes, and how they are written on the command line.

use serde::{Deserialize, Serialize};
use solid::Bounds;

/// An axis of the model.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Axis {
    /// Along x.
    X,
    /// Along y.
    Y,
    /// Along z.
    Z,
}

impl Axis {
    /// 0, 1 or 2.
    pub fn index(self) -> usize {
        self as usize
    }
}

/// A seam square to an axis at a place.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SeamAt {
    /// The axis.
    pub axis: Axis,
    /// The place along it.
    pub at_mm: f64,
}

/// A part of the furniture that must be in one piece: all that lies in a box.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Whole {
    /// What the maker calls it.
    pub name: String,
    /// The box, by two opposite corners.
    pub box_mm: [[f64; 3]; 2],
}

impl std::str::FromStr for Whole {
    type Err = BadWish;

    /// `left arm=0,0,0:100,50,18`.
    fn from_str(word: &str) -> Result<Self, BadWish> {
        let named = word.split_once('=').map(|(name, b)| (name.trim(), b));
        let Some((name, given)) = named.filter(|(name, _)| !name.is_empty()) else {
            return Err(BadWish {
                word: word.to_owned(),
                needs: "names no part; write its name and the box that it lies in, such as \
                        'left arm=0,0,0:100,50,18'",
            });
        };
        Ok(Self {
            name: name.to_owned(),
            box_mm: corners(given)?,
        })
    }
}

impl Whole {
    /// The box.
    pub fn bounds(&self) -> Bounds {
        let [a, b] = self.box_mm;
        Bounds::between(a.into(), b.into())
    }
}

/// A word that is no wish.
#[derive(Clone, Debug, thiserror::Error, PartialEq, Eq)]
#[error("'{word}' {needs}")]
pub struct BadWish {
    word: String,
    needs: &'static str,
}

impl std::str::FromStr for Axis {
    type Err = BadWish;

    fn from_str(word: &str) -> Result<Self, BadWish> {
        match word.trim() {
            "x" => Ok(Self::X),
            "y" => Ok(Self::Y),
            "z" => Ok(Self::Z),
            _ => Err(BadWish {
                word: word.to_owned(),
                needs: "is no axis; write x, y or z",
            }),
        }
    }
}

impl std::fmt::Display for Axis {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(["x", "y", "z"][self.index()])
    }
}

impl std::str::FromStr for SeamAt {
    type Err = BadWish;

    /// `x=300`.
    fn from_str(word: &str) -> Result<Self, BadWish> {
        let bad = || BadWish {
            word: word.to_owned(),
            needs: "is no place for a seam; write an axis and a place in mm, such as x=300",
        };
        let (axis, at) = word.split_once('=').ok_or_else(bad)?;
        let at_mm: f64 = at.trim().parse().map_err(|_| bad())?;
        if !at_mm.is_finite() {
            return Err(bad());
        }
        Ok(Self {
            axis: axis.parse()?,
            at_mm,
        })
    }
}

/// A box by two opposite corners, as it is written on the command line:
/// `X,Y,Z:X,Y,Z`.
///
/// # Errors
///
/// When it has another form.
///
/// ```
/// let corners = design::corners("0,0,0:100,50,18").unwrap();
/// assert_eq!(corners[1], [100.0, 50.0, 18.0]);
/// ```
pub fn corners(word: &str) -> Result<[[f64; 3]; 2], BadWish> {
    let bad = || BadWish {
        word: word.to_owned(),
        needs: "is no box; write two opposite corners in mm, such as 0,0,0:100,50,18",
    };
    let corner = |s: &str| -> Option<[f64; 3]> {
        let numbers: Vec<f64> = s
            .split(',')
            .map(|x| x.trim().parse::<f64>().ok().filter(|x| x.is_finite()))
            .collect::<Option<_>>()?;
        numbers.try_into().ok()
    };
    let (a, b) = word.split_once(':').ok_or_else(bad)?;
    let corners = [corner(a).ok_or_else(bad)?, corner(b).ok_or_else(bad)?];
    if thinnest(&corners).is_some_and(|thin| thin < LEAST_BOX_MM) {
        return Err(BadWish {
            word: word.to_owned(),
            needs: "is a flat box; write two corners that differ along x, y and z",
        });
    }
    Ok(corners)
}

/// A box that is thinner is flat.
pub(crate) const LEAST_BOX_MM: f64 = 1e-3;

/// The least extent of a box along any axis.
pub(crate) fn thinnest([a, b]: &[[f64; 3]; 2]) -> Option<f64> {
    (0..3).map(|k| (a[k] - b[k]).abs()).reduce(f64::min)
}
