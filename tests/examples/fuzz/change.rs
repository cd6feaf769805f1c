//! Changes to bytes: blind ones, and those that know numbers and words.

use rand_pcg::Pcg64Mcg;
use rand_pcg::rand_core::{Rng, SeedableRng};

/// Where the changes come from.
pub(crate) struct Dice(Pcg64Mcg);

/// Numbers that readers stumble over.
const NUMBERS: [&str; 24] = [
    "0",
    "-1",
    "1",
    "-0.0",
    "1e-320",
    "1e308",
    "-1e308",
    "1e999",
    "nan",
    "NaN",
    "inf",
    "-inf",
    "0.1",
    "1e-7",
    "4294967295",
    "4294967296",
    "18446744073709551616",
    "-9223372036854775808",
    "99999999999999999999999",
    "1.5",
    "28,0",
    " 7",
    "0x10",
    "",
];

impl Dice {
    pub(crate) fn seeded(seed: u64) -> Self {
        Self(Pcg64Mcg::seed_from_u64(seed))
    }

    /// A number under another.
    pub(crate) fn below(&mut self, end: usize) -> usize {
        (self.0.next_u64() % end.max(1) as u64) as usize
    }

    /// One of some.
    pub(crate) fn one<'a, T>(&mut self, of: &'a [T]) -> &'a T {
        &of[self.below(of.len())]
    }

    /// Bytes changed in one to eight places.
    pub(crate) fn changed(&mut self, bytes: &mut Vec<u8>, others: &[Vec<u8>]) {
        let most = 1 << self.below(4);
        for _ in 0..=self.below(most) {
            self.change(bytes, others);
        }
    }

    fn change(&mut self, bytes: &mut Vec<u8>, others: &[Vec<u8>]) {
        if bytes.is_empty() {
            bytes.push(self.below(256) as u8);
            return;
        }
        let at = self.below(bytes.len());
        let longest = 1 << self.below(9);
        let run = 1 + self.below(longest);
        let end = (at + run).min(bytes.len());
        match self.below(10) {
            0 => bytes[at] ^= 1 << self.below(8),
            1 => bytes[at] = self.below(256) as u8,
            2 => bytes.truncate(at),
            3 => drop(bytes.drain(at..end)),
            4 => {
                let copy = bytes[at..end].to_vec();
                let to = self.below(bytes.len());
                bytes.splice(to..to, copy);
            }
            5 => {
                let other = self.one(others);
                let from = self.below(other.len());
                let until = (from + run).min(other.len());
                bytes.splice(at..end, other[from..until].iter().copied());
            }
            6 => {
                let word = [0u8, 0xff, 0x7f, 0x80][self.below(4)];
                let end = (at + 4).min(bytes.len());
                bytes[at..end].fill(word);
            }
            _ => self.other_token(bytes, at),
        }
    }

    /// The number or word at or after a place replaced by another number, or by a
    /// word from elsewhere in the text.
    fn other_token(&mut self, bytes: &mut Vec<u8>, at: usize) {
        let of_token = |b: &u8| b.is_ascii_alphanumeric() || b"._-+".contains(b);
        let Some(start) = bytes[at..].iter().position(of_token).map(|k| at + k) else {
            return;
        };
        // To its beginning, where the place was within it.
        let start = bytes[..start]
            .iter()
            .rposition(|b| !of_token(b))
            .map_or(0, |k| k + 1);
        let length = bytes[start..].iter().take_while(|b| of_token(b)).count();
        let new = match self.below(4) {
            0 => {
                let from = self.below(bytes.len());
                let rest = bytes[from..].iter().skip_while(|b| !of_token(b));
                rest.copied().take_while(|b| of_token(b)).take(64).collect()
            }
            _ => self.one(&NUMBERS).as_bytes().to_vec(),
        };
        bytes.splice(start..start + length, new);
    }
}
