//! Reading OBJ, never trusting the bytes.

use solid::Point;

use crate::model::Part;
use crate::polygons::faces::Numbered;

/// A file is no usable OBJ.
#[derive(Clone, Debug, thiserror::Error, PartialEq)]
pub enum ObjReadError {
    /// A line of it does not say what it should.
    #[error("line {line}: {why}")]
    Line {
        /// The line, counted from 1.
        line: usize,
        /// What is wrong with it.
        why: String,
    },
    /// It has no faces.
    #[error("it has no faces")]
    NoFaces,
}

/// The first words of lines.
const WORDS: [&str; 14] = [
    "v", "vn", "vt", "vp", "f", "l", "p", "o", "g", "s", "mg", "cstype", "mtllib", "usemtl",
];
/// So far into a file its comments may go.
const HEAD: usize = 1 << 16;

/// Whether a file is OBJ: its first line that is no comment begins as one of OBJ.
pub(crate) fn is_obj(bytes: &[u8]) -> bool {
    let head = &bytes[..bytes.len().min(HEAD)];
    if head.contains(&0) {
        return false;
    }
    let text = String::from_utf8_lossy(head);
    let lines = text.trim_start_matches('\u{feff}').lines();
    let mut words = lines.filter_map(|l| l.split_whitespace().next());
    let first = words.find(|w| !w.starts_with('#'));
    first.is_some_and(|w| WORDS.contains(&w))
}

/// A face as it is read: the line, and its corners' numbers from 0.
type Face = (usize, Vec<i64>);

/// The parts of an OBJ file, one for each object or group that has faces, in its own unit.
///
/// Corners (`v`), faces (`f`, with numbers from 1 or, negative, back from the last corner) and
/// the names of objects and groups are read; what else there is makes no shape. The readers
/// to be had name no line, or refuse a file for a texture that nobody asked for; what is
/// needed is four words.
pub(crate) fn read_obj(bytes: &[u8]) -> Result<Vec<Part>, ObjReadError> {
    let text = String::from_utf8_lossy(bytes);
    let mut places: Vec<Point> = Vec::new();
    let mut parts: Vec<(Option<String>, Vec<Face>)> = vec![(None, Vec::new())];
    let mut lines = text.trim_start_matches('\u{feff}').lines().zip(1..);
    while let Some((first, line)) = lines.next() {
        let mut whole = std::borrow::Cow::Borrowed(first);
        // A line goes on after a backslash.
        while let Some(begun) = whole.trim_end().strip_suffix('\\') {
            let Some((next, _)) = lines.next() else { break };
            whole = format!("{begun} {next}").into();
        }
        let mut words = whole.split_whitespace();
        let fail = |why: String| ObjReadError::Line { line, why };
        match words.next() {
            Some("v") => places.push(corner(words).map_err(fail)?),
            Some("f") => {
                let known = places.len() as i64;
                let face = words.take_while(|w| !w.starts_with('#'));
                let face = face.map(|w| number(w, known)).collect::<Result<_, _>>();
                if let Some((_, faces)) = parts.last_mut() {
                    faces.push((line, face.map_err(fail)?));
                }
            }
            Some("o" | "g") => {
                let name = words.collect::<Vec<_>>().join(" ");
                parts.push(((!name.is_empty()).then_some(name), Vec::new()));
            }
            _ => {}
        }
    }
    parts.retain(|(_, faces)| faces.iter().any(|(_, face)| face.len() > 2));
    if parts.is_empty() {
        return Err(ObjReadError::NoFaces);
    }
    let each = parts.into_iter().map(|(name, faces)| {
        in_triangles(&places, &faces).map(|faces| Part::numbered(name, faces))
    });
    each.collect()
}

/// Corners may be named before they come, so faces are put together at the end.
fn in_triangles(places: &[Point], faces: &[Face]) -> Result<Numbered, ObjReadError> {
    let mut out = Numbered::default();
    for (line, face) in faces {
        let fail = |k: i64| ObjReadError::Line {
            line: *line,
            why: format!(
                "a face names corner {}, where the file has {}",
                k + 1,
                places.len()
            ),
        };
        let each = face.iter().map(|&k| u32::try_from(k).map_err(|_| fail(k)));
        let face = each.collect::<Result<Vec<u32>, _>>()?;
        out.add(places, &face).map_err(|k| fail(i64::from(k)))?;
    }
    Ok(out)
}

fn corner<'a>(words: impl Iterator<Item = &'a str>) -> Result<Point, String> {
    // A weight or a colour may follow.
    let numbers: Vec<&str> = words.take(3).collect();
    let [x, y, z] = numbers[..] else {
        return Err(format!(
            "a corner needs three numbers, here are {}",
            numbers.len()
        ));
    };
    let number = |w: &str| match w.parse::<f64>() {
        Ok(x) if x.is_finite() => Ok(x),
        Ok(_) => Err("a coordinate is not a finite number".to_owned()),
        Err(_) => Err(format!("'{w}' is not a number")),
    };
    Ok(Point::new(number(x)?, number(y)?, number(z)?))
}

/// A corner's number from 0; what follows a slash is of no shape.
fn number(word: &str, known: i64) -> Result<i64, String> {
    let first = word.split('/').next().unwrap_or_default();
    match first.parse::<i64>() {
        Ok(0) => Err("corners are numbered from 1, here is a 0".to_owned()),
        Ok(n) if n < 0 && n < -known => Err(format!(
            "a face goes back {} corners, where {known} came before it",
            n.unsigned_abs()
        )),
        Ok(n) if n < 0 => Ok(known + n),
        Ok(n) => Ok(n - 1),
        Err(_) => Err(format!("'{word}' is no number of a corner")),
    }
}

#[cfg(test)]
mod tests {
    use solid::Solid;

    use super::*;

    /// A block of 1 × 2 × 3, in quadrangles.
    const BLOCK: &str = "# a block\nmtllib none.mtl\nv 0 0 0\nv 1 0 0 1.0\nv 1 2 0\nv 0 2 0 0.1 0.2 \
        0.3\nv 0 0 3\nv 1 0 3\nv 1 2 3\nv 0 2 3\nvt 0 0\nf 4 3 2 1\nf 5/1 6/1 7/1 8/1\nf 1//1 2//1 \
        6//1 5//1\nf 2 3 7 6\nf 3 4 8 7\nf -5 -8 -4 -1\n";

    fn volume(text: &str) -> f64 {
        let parts = read_obj(text.as_bytes()).unwrap();
        let soup = parts.into_iter().flat_map(|p| p.triangles);
        Solid::from_triangles(soup).unwrap().volume_mm3()
    }

    #[test]
    fn quadrangles_negative_numbers_and_continued_lines_are_read() {
        assert!(is_obj(BLOCK.as_bytes()));
        assert_eq!(volume(BLOCK), 6.0);
        assert_eq!(
            volume(&BLOCK.replace("f 2 3 7 6", "f 2 3 \\\n 7 6 # right")),
            6.0
        );
        assert_eq!(
            volume(&format!("\u{feff}{}", BLOCK.replace('\n', "\r\n"))),
            6.0
        );
    }

    #[test]
    fn objects_and_groups_keep_their_names() {
        let text = BLOCK
            .replace("f 4", "o the leg\nf 4")
            .replace("f 3 4", "g back\nf 3 4");
        let parts = read_obj(text.as_bytes()).unwrap();
        let names: Vec<_> = parts.iter().map(|p| p.name.as_deref()).collect();
        assert_eq!(names, [Some("the leg"), Some("back")]);
        assert_eq!(volume(&text), 6.0);
    }

    #[test]
    fn what_is_wrong_is_told_with_its_line() {
        let said = |from: &str, to: &str| {
            let text = BLOCK.replace(from, to);
            read_obj(text.as_bytes()).unwrap_err().to_string()
        };
        for (from, to, words) in [
            ("v 1 0 0 1.0", "v 1 0,5 0", "line 4: '0,5' is not a number"),
            (
                "v 1 0 0 1.0",
                "v 1 0",
                "line 4: a corner needs three numbers, here are 2",
            ),
            (
                "v 1 0 0 1.0",
                "v 1 inf 0",
                "line 4: a coordinate is not a finite number",
            ),
            (
                "f 2 3 7 6",
                "f 2 3 9 6",
                "line 15: a face names corner 9, where the file has 8",
            ),
            (
                "f 2 3 7 6",
                "f 2 3 0 6",
                "line 15: corners are numbered from 1, here is a 0",
            ),
            (
                "-8",
                "-9",
                "line 17: a face goes back 9 corners, where 8 came before it",
            ),
            (
                "f 2 3 7 6",
                "f 2 x 7 6",
                "line 15: 'x' is no number of a corner",
            ),
        ] {
            assert_eq!(said(from, to), words);
        }
        assert_eq!(read_obj(b"v 0 0 0\n"), Err(ObjReadError::NoFaces));
    }
}
