//! Reading STL, never trusting the bytes.

use std::io::Cursor;

use solid::{Point, TriangleCorners};

/// The two ways an STL file can be written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StlFlavour {
    /// An 80-byte header, a count, 50 bytes a triangle.
    Binary,
    /// Words and numbers, from `solid` to `endsolid`.
    Ascii,
}

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

const HEADER: usize = 80;
const PREFIX: usize = HEADER + 4;
const RECORD: usize = 50;

fn counted(bytes: &[u8]) -> Option<u64> {
    let count = bytes.get(HEADER..PREFIX)?;
    Some(u64::from(u32::from_le_bytes([
        count[0], count[1], count[2], count[3],
    ])))
}

/// The lines of a text, counted from 1, without the mark of its byte order; some programs end
/// them with a carriage return alone.
fn lines(text: &str) -> impl Iterator<Item = (usize, &str)> {
    let text = text.trim_start_matches('\u{feff}');
    let end = if text.contains('\n') { '\n' } else { '\r' };
    (1..).zip(text.split(end))
}

/// Whether a line is neither empty nor a comment.
fn says_something(line: &&str) -> bool {
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
                "has only {} bytes, where binary STL needs at least {PREFIX}",
                bytes.len()
            ),
        }),
    }
}

/// Reads the triangles of an STL file, in its own unit.
///
/// # Errors
///
/// When it is no STL file, is cut short, counts wrong, or holds a number that
/// is none; the error names the byte or the line.
pub fn read_stl(bytes: &[u8]) -> Result<Vec<TriangleCorners>, ReadError> {
    let triangles = match flavour(bytes)? {
        StlFlavour::Binary => read_binary(bytes)?,
        StlFlavour::Ascii => read_ascii(bytes)?,
    };
    if triangles.is_empty() {
        return Err(ReadError::NoTriangles);
    }
    Ok(triangles)
}

fn corners(triangle: &stl_io::Triangle) -> TriangleCorners {
    triangle.vertices.map(|v| {
        let [x, y, z] = v.0.map(f64::from);
        Point::new(x, y, z)
    })
}

fn read_binary(bytes: &[u8]) -> Result<Vec<TriangleCorners>, ReadError> {
    let length = bytes.len() as u64;
    let count = counted(bytes).unwrap_or(0);
    let needed = PREFIX as u64 + count * RECORD as u64;
    if length < needed {
        return Err(ReadError::Truncated {
            length,
            counted: count,
            needed,
        });
    }
    // Fewer than a triangle takes, or no whole number of them, is what some programs leave
    // after the last; more of them than are counted would be lost.
    if length > needed && (length - needed).is_multiple_of(RECORD as u64) {
        return Err(ReadError::Oversized {
            extra: length - needed,
            from: needed,
            counted: count,
        });
    }
    // The reader takes a header that begins with "solid" for ASCII: blank it.
    let mut plain = bytes[..needed as usize].to_vec();
    plain[..HEADER].fill(0);
    let mut cursor = Cursor::new(plain);
    let reader = stl_io::create_stl_reader(&mut cursor)
        .map_err(|e| ReadError::NotStl { why: e.to_string() })?;
    let mut triangles = Vec::with_capacity(count as usize);
    for (k, triangle) in reader.enumerate() {
        let byte = (PREFIX + k * RECORD) as u64;
        let bad = ReadError::NotFiniteAt {
            triangle: k as u64 + 1,
            byte,
        };
        let triangle = triangle.map_err(|_| bad.clone())?;
        let corners = corners(&triangle);
        if corners.iter().any(|p| p.iter().any(|x| !x.is_finite())) {
            return Err(bad);
        }
        triangles.push(corners);
    }
    Ok(triangles)
}

/// ASCII STL line by line. The library's reader does not say which line is
/// wrong and skips what it does not know, so the grammar is checked here; it
/// is seven words.
fn read_ascii(bytes: &[u8]) -> Result<Vec<TriangleCorners>, ReadError> {
    let text = String::from_utf8_lossy(bytes);
    let mut triangles = Vec::new();
    let mut corners: Vec<Point> = Vec::new();
    let mut in_loop = false;
    let mut ended = false;
    let mut last = 0;
    for (line, raw) in lines(&text).filter(|(_, l)| says_something(l)) {
        let fail = |why: String| ReadError::Line { line, why };
        let mut words = raw.split_whitespace();
        let Some(first) = words.next() else { continue };
        last = line;
        match first.to_ascii_lowercase().as_str() {
            "solid" => ended = false,
            "endsolid" => ended = true,
            "facet" | "endfacet" => {}
            "outer" => {
                in_loop = true;
                corners.clear();
            }
            "vertex" if in_loop => {
                let numbers: Vec<f64> = words
                    .map(|w| {
                        w.parse::<f64>()
                            .map_err(|_| fail(format!("'{w}' is not a number")))
                    })
                    .collect::<Result<_, _>>()?;
                let [x, y, z] = numbers[..] else {
                    return Err(fail(format!(
                        "a vertex needs three numbers, here are {}",
                        numbers.len()
                    )));
                };
                if ![x, y, z].iter().all(|v| v.is_finite()) {
                    return Err(fail("a coordinate is not a finite number".to_owned()));
                }
                corners.push(Point::new(x, y, z));
            }
            "vertex" => return Err(fail("a vertex outside a loop".to_owned())),
            "endloop" => {
                let &[a, b, c] = &corners[..] else {
                    return Err(fail(format!(
                        "a facet needs three vertices, here are {}",
                        corners.len()
                    )));
                };
                triangles.push([a, b, c]);
                in_loop = false;
            }
            other => return Err(fail(format!("'{other}' does not belong in an STL file"))),
        }
    }
    if !ended {
        return Err(ReadError::Line {
            line: last,
            why: "the file is cut short: 'endsolid' is missing".to_owned(),
        });
    }
    Ok(triangles)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use solid::Solid;

    use super::*;

    fn block() -> Vec<u8> {
        crate::stl::write::write_stl(&Solid::cuboid(Point::origin(), Point::new(1.0, 2.0, 3.0)))
            .unwrap()
    }

    #[test]
    fn a_binary_file_may_begin_with_solid() {
        let mut bytes = block();
        bytes[..5].copy_from_slice(b"solid");
        assert_eq!(flavour(&bytes), Ok(StlFlavour::Binary));
        assert_eq!(read_stl(&bytes).unwrap().len(), 12);
    }

    #[test]
    fn what_some_programs_leave_about_the_triangles_is_read_past() {
        let mut bytes = block();
        bytes.extend(b"made by hand\n");
        assert_eq!(read_stl(&bytes).unwrap().len(), 12);
        let face = "facet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 1 0 0\nvertex 0 1 0\n\
                    endloop\nendfacet\n";
        let text = format!("solid a\n{face}endsolid a\n");
        for text in [
            format!("\u{feff}{text}"),
            format!("# made by hand\n; so\n// and so\n{text}"),
            text.replace('\n', "\r"),
            text.replace('\n', "\r\n"),
            text.replace("outer", "# here\nouter"),
        ] {
            assert_eq!(read_stl(text.as_bytes()).unwrap().len(), 1, "{text:?}");
        }
        // The line is that of the file.
        let wrong = text
            .replace("vertex 1 0 0", "vertex 1 0,5 0")
            .replace('\n', "\r");
        assert!(matches!(
            read_stl(wrong.as_bytes()),
            Err(ReadError::Line { line: 5, .. })
        ));
    }

    #[test]
    fn cut_short_oversized_and_not_finite_name_the_byte() {
        let bytes = block();
        let short = &bytes[..bytes.len() - 7];
        assert_eq!(
            read_stl(short),
            Err(ReadError::Truncated {
                length: 677,
                counted: 12,
                needed: 684
            })
        );
        let mut long = bytes.clone();
        long.extend([0; 50]);
        assert_eq!(
            read_stl(&long),
            Err(ReadError::Oversized {
                extra: 50,
                from: 684,
                counted: 12
            })
        );
        let mut nan = bytes.clone();
        nan[84 + 50 + 12..84 + 50 + 16].copy_from_slice(&f32::NAN.to_le_bytes());
        assert_eq!(
            read_stl(&nan),
            Err(ReadError::NotFiniteAt {
                triangle: 2,
                byte: 134
            })
        );
    }

    #[test]
    fn ascii_is_read_and_its_faults_name_the_line() {
        let one = "solid x\nfacet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 1 0 0\nvertex 0 1e0 0\nendloop\nendfacet\nendsolid x\n";
        assert_eq!(read_stl(one.as_bytes()).unwrap().len(), 1);
        let nan = one.replace("1e0", "nan");
        assert!(matches!(
            read_stl(nan.as_bytes()),
            Err(ReadError::Line { line: 6, .. })
        ));
        let word = one.replace("vertex 1 0 0", "vertex 1 o 0");
        assert!(matches!(
            read_stl(word.as_bytes()),
            Err(ReadError::Line { line: 5, .. })
        ));
        let short = &one[..60];
        assert!(matches!(
            read_stl(short.as_bytes()),
            Err(ReadError::Line { .. })
        ));
    }

    #[test]
    fn text_and_nothing_are_refused() {
        assert_eq!(read_stl(b""), Err(ReadError::Empty));
        assert!(matches!(
            read_stl(b"a shopping list"),
            Err(ReadError::NotStl { .. })
        ));
        let long = "milk and honey ".repeat(100);
        assert!(matches!(
            read_stl(long.as_bytes()),
            Err(ReadError::NotStl { .. })
        ));
    }

    proptest! {
        #[test]
        fn no_bytes_make_it_panic(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
            let _ = read_stl(&bytes);
        }

        #[test]
        fn no_change_of_a_good_file_makes_it_panic(at in 0usize..684, value in any::<u8>()) {
            let mut bytes = block();
            bytes[at] = value;
            let _ = read_stl(&bytes);
        }
    }
}
