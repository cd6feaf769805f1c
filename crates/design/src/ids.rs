//! Names and places: of seams, pieces, cells and printers.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};

/// A word that cannot be an id.
#[derive(Clone, Debug, thiserror::Error, PartialEq, Eq)]
#[error(
    "'{0}' is no id; it must begin with a letter or a digit and have letters, digits, '-', '_' and \
     '.' only, 40 at the most"
)]
pub struct BadId(pub String);

/// Ids stand in tables, in file names and on the pieces themselves.
const LONGEST: usize = 40;

fn checked(word: &str) -> Result<Box<str>, BadId> {
    let may = |c: char| c.is_alphanumeric() || matches!(c, '-' | '_' | '.');
    let begins = word.starts_with(|c: char| c.is_alphanumeric());
    if begins && word.chars().all(may) && word.chars().count() <= LONGEST {
        return Ok(word.into());
    }
    // A word from outside may be as long as a file.
    Err(BadId(word.chars().take(2 * LONGEST).collect()))
}

/// The id of a seam: `S1`, `S2`, …, of a body that stands apart: `B1`, `B2`, …, or what the
/// maker calls it.
///
/// ```
/// use design::SeamId;
///
/// let id: SeamId = "S1".parse().unwrap();
/// assert_eq!(id, SeamId::numbered(1));
/// assert!("=1+1".parse::<SeamId>().is_err());
/// ```
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct SeamId(Box<str>);

/// The id of a piece: `P01`, `P02`, …, or of a key `K01`, ….
///
/// ```
/// use design::PieceId;
///
/// assert_eq!(PieceId::cut(7, 2).as_str(), "P07");
/// assert!(PieceId::key(3).is_key());
/// assert!("../P01".parse::<PieceId>().is_err());
/// ```
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct PieceId(Box<str>);

macro_rules! named {
    ($id:ident) => {
        impl $id {
            /// The word.
            pub fn as_str(&self) -> &str {
                &self.0
            }
        }

        impl fmt::Display for $id {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(&self.0)
            }
        }

        impl FromStr for $id {
            type Err = BadId;

            fn from_str(word: &str) -> Result<Self, BadId> {
                checked(word).map(Self)
            }
        }

        impl TryFrom<String> for $id {
            type Error = BadId;

            fn try_from(word: String) -> Result<Self, BadId> {
                word.parse()
            }
        }

        impl From<$id> for String {
            fn from(id: $id) -> Self {
                id.0.into()
            }
        }
    };
}

named!(SeamId);
named!(PieceId);

impl SeamId {
    /// The id of a body that stands apart: `B1`, `B2`, ….
    pub fn body(number: usize) -> Self {
        Self(format!("B{number}").into())
    }

    /// `S1`, `S2`, ….
    pub fn numbered(number: usize) -> Self {
        Self(format!("S{number}").into())
    }

    /// The number of an id `S1`, `S2`, …; ids of more than nine digits, which no
    /// plan of ours has, do not count.
    pub fn number(&self) -> Option<usize> {
        let digits = self.0.strip_prefix('S').filter(|d| d.len() <= 9)?;
        digits.parse().ok()
    }
}

impl PieceId {
    /// `P01`, `P02`, … with at least so many digits.
    pub fn cut(number: usize, digits: usize) -> Self {
        Self(format!("P{number:0digits$}").into())
    }

    /// `K01`, `K02`, ….
    pub fn key(number: usize) -> Self {
        Self(format!("K{number:02}").into())
    }

    /// Whether it is the id of a key.
    pub fn is_key(&self) -> bool {
        self.0.starts_with('K')
    }

    /// The next id of its kind that none of some has.
    pub fn free(key: bool, taken: impl Fn(&Self) -> bool) -> Self {
        let numbered = |n| if key { Self::key(n) } else { Self::cut(n, 2) };
        let mut number = 1;
        while taken(&numbered(number)) {
            number += 1;
        }
        numbered(number)
    }
}

macro_rules! indexed {
    ($(#[$about:meta])* $id:ident) => {
        $(#[$about])*
        #[derive(
            Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash,
        )]
        pub struct $id(usize);

        impl $id {
            /// The one at a place, from zero.
            pub const fn at(place: usize) -> Self {
                Self(place)
            }

            /// Its place, from zero.
            pub const fn place(self) -> usize {
                self.0
            }
        }
    };
}

indexed! {
    /// A seam by its place in the cut tree of a plan.
    ///
    /// ```
    /// assert_eq!(design::PlanSeam::at(2).place(), 2);
    /// ```
    PlanSeam
}
indexed! {
    /// A leaf of the cut tree by its place in the order of the tree.
    ///
    /// ```
    /// assert_eq!(design::CellId::at(2).place(), 2);
    /// ```
    CellId
}
indexed! {
    /// A printer by its place in the plan.
    ///
    /// ```
    /// assert_eq!(design::PrinterId::at(1).place(), 1);
    /// ```
    PrinterId
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_that_would_do_harm_in_a_table_or_a_path_are_no_ids() {
        for bad in [
            "", "=cmd()", "+1", "-1", "@x", "a/b", "a\\b", "..", "a b", "a\nb", "\u{202e}",
        ] {
            assert_eq!(bad.parse::<PieceId>(), Err(BadId(bad.into())));
            assert_eq!(bad.parse::<SeamId>(), Err(BadId(bad.into())));
        }
        let long = "x".repeat(5_000);
        assert_eq!(long.parse::<SeamId>().unwrap_err().0.len(), 2 * LONGEST);
        for good in ["S1", "S1-2", "left_arm", "Größe", "3.1"] {
            assert_eq!(good.parse::<SeamId>().unwrap().as_str(), good);
        }
    }

    #[test]
    fn new_pieces_take_the_first_free_number() {
        let taken = [PieceId::cut(1, 2), PieceId::cut(2, 2), PieceId::key(1)];
        assert_eq!(
            PieceId::free(false, |id| taken.contains(id)),
            PieceId::cut(3, 2)
        );
        assert_eq!(
            PieceId::free(true, |id| taken.contains(id)),
            PieceId::key(2)
        );
    }

    #[test]
    fn only_short_numbers_count() {
        assert_eq!(SeamId::numbered(41).number(), Some(41));
        assert_eq!(
            "S18446744073709551615".parse::<SeamId>().unwrap().number(),
            None
        );
        assert_eq!("S1-1".parse::<SeamId>().unwrap().number(), None);
    }
}
