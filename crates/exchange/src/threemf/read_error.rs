//! What can be wrong with a 3MF file.

/// A file is no usable 3MF.
#[derive(Clone, Debug, thiserror::Error, PartialEq)]
pub enum ThreemfReadError {
    /// It is no package of the standard.
    #[error("it is no 3MF package: {0}")]
    Package(String),
    /// A build item or component names an object that is not there.
    #[error("it names an object {0} that it does not have")]
    NoSuchObject(usize),
    /// A triangle names a vertex that is not there.
    #[error("object {object}: triangle {triangle} names a vertex that it does not have")]
    NoSuchVertex {
        /// The object.
        object: usize,
        /// The triangle, from 0.
        triangle: usize,
    },
    /// Components go round in a circle, or too deep.
    #[error("components of object {0} lie too deep in each other")]
    TooDeep(usize),
    /// It is larger unpacked than any model.
    #[error("unpacked it is larger than {} MB", UNPACKED_BYTES >> 20)]
    TooLarge,
    /// Its components repeat its meshes beyond any model.
    #[error("its components make more than {MOST_TRIANGLES} triangles, or {MOST_PARTS} parts")]
    TooMany,
    /// A transform is no matrix of the standard.
    #[error("a transform has {0} numbers; it must have 12")]
    Transform(usize),
    /// What should be a number is none.
    #[error("it has {0}, which is no number of the standard")]
    NoNumber(String),
    /// An object lies in a part that is not there.
    #[error("it keeps an object in a part {0} that it does not have")]
    OtherPart(String),
    /// Parts have different units.
    #[error("its part {0} has another unit than its root")]
    OtherUnit(String),
    /// It requires an extension that is not read.
    #[error("it requires the extension {0}, which is not read")]
    Extension(String),
    /// A number is none.
    #[error("object {0} has a coordinate that is no number")]
    NotANumber(usize),
}

/// More bytes no package may have unpacked.
pub(crate) const UNPACKED_BYTES: u64 = 256 << 20;
/// More triangles, each where it is placed, no file may have.
pub(crate) const MOST_TRIANGLES: usize = 5_000_000;
/// More placements of objects no file may have.
pub(crate) const MOST_PARTS: usize = 100_000;
