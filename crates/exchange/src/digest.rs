//! What tells whether a file is still the same.

use sha2::{Digest, Sha256};

/// The SHA-256 of some bytes (FIPS 180-4), in hexadecimal digits.
///
/// ```
/// // The standard's example of one block.
/// assert_eq!(
///     exchange::digest(b"abc"),
///     "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
/// );
/// ```
pub fn digest(bytes: &[u8]) -> String {
    let sum = Sha256::digest(bytes);
    sum.iter().map(|b| format!("{b:02x}")).collect()
}
