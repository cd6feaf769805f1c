//! What can be wrong with an STL file.

/// A model file could not be read.
#[derive(Clone, Debug, thiserror::Error, PartialEq)]
pub enum ReadError {
    /// There is nothing in the file.
    #[error("the file is empty")]
    Empty,
    /// It is neither kind of STL.
    #[error("this is not an STL file: it does not begin with 'solid' and {why}")]
    NotStl {
        /// What speaks against binary STL.
        why: String,
    },
    /// A binary file ends before its triangles do.
    #[error(
        "the file is cut short at byte {length}: its header counts {counted} triangles, which \
         need {needed} bytes"
    )]
    Truncated {
        /// Bytes there are.
        length: u64,
        /// Triangles the header counts.
        counted: u64,
        /// Bytes those would need.
        needed: u64,
    },
    /// A binary file goes on with more triangles than it counts.
    #[error(
        "the file has {extra} bytes too many from byte {from}: its header counts only {counted} \
         triangles"
    )]
    Oversized {
        /// Bytes beyond the last triangle.
        extra: u64,
        /// Where they start.
        from: u64,
        /// Triangles the header counts.
        counted: u64,
    },
    /// A coordinate in a binary file is not a finite number.
    #[error("a coordinate of triangle {triangle} at byte {byte} is not a finite number")]
    NotFiniteAt {
        /// The triangle, counted from 1.
        triangle: u64,
        /// Where its record starts.
        byte: u64,
    },
    /// A line of an ASCII file does not belong there.
    #[error("line {line}: {why}")]
    Line {
        /// The line, counted from 1.
        line: usize,
        /// What is wrong with it.
        why: String,
    },
    /// The file has no triangles.
    #[error("the file has no triangles")]
    NoTriangles,
}
