//! Digests of what results come from.

use std::sync::OnceLock;

use serde::{Deserialize, Serialize};
use sha2::{Digest as _, Sha256};
use solid::Solid;

use crate::recall::kind::Recalled;

/// A SHA-256 (FIPS 180-4).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Digest([u8; 32]);

impl Digest {
    /// That of some bytes.
    pub(crate) fn of(bytes: &[u8]) -> Self {
        Self(Sha256::digest(bytes).into())
    }

    /// That of a solid: its corners to the bit, and its triangles in their order.
    pub(crate) fn of_solid(solid: &Solid) -> Self {
        let mut sum = Sha256::new();
        let (vertices, triangles) = (solid.vertices(), solid.triangles());
        sum.update((vertices.len() as u64).to_le_bytes());
        let mut bytes = Vec::with_capacity(24 * CHUNK);
        for some in vertices.chunks(CHUNK) {
            bytes.clear();
            bytes.extend(
                some.iter()
                    .flat_map(|p| p.iter().flat_map(|x| x.to_le_bytes())),
            );
            sum.update(&bytes);
        }
        for some in triangles.chunks(CHUNK) {
            bytes.clear();
            bytes.extend(some.iter().flatten().flat_map(|k| k.to_le_bytes()));
            sum.update(&bytes);
        }
        Self(sum.finalize().into())
    }

    /// That of a surface: the corners of its triangles, however they are numbered.
    pub(crate) fn of_surface(solid: &Solid) -> Self {
        let mut sum = Sha256::new();
        for [a, b, c] in solid.triangle_corners() {
            let mut bytes = [0; 72];
            let numbers = [a, b, c].into_iter().flat_map(|p| [p.x, p.y, p.z]);
            for (place, x) in bytes.chunks_exact_mut(8).zip(numbers) {
                place.copy_from_slice(&x.to_le_bytes());
            }
            sum.update(bytes);
        }
        Self(sum.finalize().into())
    }

    /// That of a result of a kind by all that it comes from; `None` where that has no form.
    pub(crate) fn of_origin(kind: Recalled, from: &impl Serialize) -> Option<Self> {
        // Named fields tell apart what a bare row of numbers would not.
        let bytes = serde_json::to_vec(&(kind, from)).ok()?;
        Some(Self::of(&bytes))
    }

    /// That of the program that runs; `None` where its file cannot be read.
    pub(crate) fn of_program() -> Option<Self> {
        static PROGRAM: OnceLock<Option<Digest>> = OnceLock::new();
        *PROGRAM.get_or_init(|| {
            let file = std::env::current_exe().ok()?;
            Some(Self::of(&std::fs::read(file).ok()?))
        })
    }
}

/// Corners or triangles that are handed on at once.
const CHUNK: usize = 1024;
