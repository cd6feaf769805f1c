//! Which of the two kinds of STL a file is, and what of it is neither.

use crate::stl::read_error::ReadError;

/// The two ways an STL file can be written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StlFlavour {
    /// An 80-byte header, a count, 50 bytes a triangle.
    Binary,
    /// Words and numbers, from `solid` to `endsolid`.
    Ascii,
}

pub(super) const HEADER: usize = 80;
pub(super) const PREFIX: usize = HEADER + 4;
pub(super) const RECORD: usize = 50;

pub(super) fn counted(bytes: &[u8]) -> Option<u64> {
    let count = bytes.get(HEADER..PREFIX)?;
    Some(u64::from(u32::from_le_bytes([
        count[0], count[1], count[2], count[3],
    ])))
}

/// The lines of a text, counted from 1, without the mark of its byte order; some programs end
/// them with a carriage return alone.
pub(super) fn lines(text: &str) -> impl Iterator<Item = (usize, &str)> {
    let text = text.trim_start_matches('\u{feff}');
    let end = if text.contains('\n') { '\n' } else { '\r' };
    (1..).zip(text.split(end))
}

/// Whether a line is neither empty nor a comment.
pub(super) fn says_something(line: &&str) -> bool {
    let line = line.trim();
    !line.is_empty() && !["#", ";", "//"].iter().any(|mark| line.starts_with(mark))
}

/// Tells the two kinds of STL apart by content. A file whose length is just
/// what its binary count asks for is binary, even if it begins with `solid`,
/// as some programs have it.
///
/// # Errors
///
/// When the file is neither.
pub fn flavour(bytes: &[u8]) -> Result<StlFlavour, ReadError> {
    if bytes.is_empty() {
        return Err(ReadError::Empty);
    }
    let needed = counted(bytes).map(|n| PREFIX as u64 + n * RECORD as u64);
    if needed == Some(bytes.len() as u64) {
        return Ok(StlFlavour::Binary);
    }
    let head = &bytes[..bytes.len().min(4096)];
    if !head.contains(&0) {
        let text = String::from_utf8_lossy(head);
        let first = lines(&text)
            .map(|(_, l)| l.trim_start())
            .find(says_something);
        let begun = first.and_then(|l| l.get(..5));
        if begun.is_some_and(|word| word.eq_ignore_ascii_case("solid")) {
            return Ok(StlFlavour::Ascii);
        }
    }
    let looks_like_text = bytes
        .iter()
        .take(4096)
        .all(|b| matches!(b, 9 | 10 | 13 | 32..=126 | 128..));
    match (counted(bytes), needed) {
        (Some(_), Some(_)) if looks_like_text => Err(ReadError::NotStl {
            why: "holds only text".to_owned(),
        }),
        (Some(_), Some(_)) => Ok(StlFlavour::Binary),
        _ => Err(ReadError::NotStl {
            why: format!(
                "is {} bytes long, where binary STL needs at least {PREFIX}",
                bytes.len()
            ),
        }),
    }
}
