//! Reading STL, never trusting the bytes.

use std::io::Cursor;

use solid::{Point, TriangleCorners};

use crate::stl::flavour::{
    HEADER, PREFIX, RECORD, StlFlavour, counted, flavour, lines, says_something,
};
use crate::stl::read_error::ReadError;

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
