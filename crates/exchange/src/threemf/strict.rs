//! The text of a 3MF model held to the standard before a library reads it that takes what
//! is no number for 0 and passes over what it does not know.

use crate::threemf::read_error::ThreemfReadError;

/// What the text of a model says besides its meshes.
#[derive(Default)]
pub(crate) struct Heeded {
    /// For each build item whether it is to be printed.
    pub(crate) printable: Vec<bool>,
    /// Whether it names objects of other parts.
    pub(crate) names_parts: bool,
}

/// Extensions whose files are read: production, and materials because colours change no shape.
const READ: [&str; 3] = [
    "http://schemas.microsoft.com/3dmanufacturing/production/2015/06",
    "http://schemas.microsoft.com/3dmanufacturing/material/2015/02",
    "http://schemas.microsoft.com/3dmanufacturing/core/2015/02",
];

/// Checks the text of a model: that coordinates and indices are numbers and transforms
/// twelve, and that no extension is required which is not read.
pub(crate) fn heeded(text: &[u8]) -> Result<Heeded, ThreemfReadError> {
    let mut out = Heeded::default();
    for tag in Tags(text) {
        let number = |name: &str, integer: bool| match tag.value(name) {
            None => Ok(()),
            Some(value) => {
                let fits = match integer {
                    true => value.parse::<u32>().is_ok(),
                    false => value.parse::<f64>().is_ok_and(f64::is_finite),
                };
                let told = || format!("{name}=\"{value}\"");
                fits.then_some(())
                    .ok_or_else(|| ThreemfReadError::NoNumber(told()))
            }
        };
        match tag.local() {
            "vertex" => ["x", "y", "z"].iter().try_for_each(|n| number(n, false))?,
            "triangle" => ["v1", "v2", "v3"]
                .iter()
                .try_for_each(|n| number(n, true))?,
            "model" => extensions(&tag)?,
            "item" => {
                let no = ["0", "false"].map(Some);
                out.printable
                    .push(!no.contains(&tag.value("printable").as_deref()));
            }
            _ => {}
        }
        let places = ["item", "component"].contains(&tag.local());
        out.names_parts |= places && tag.value("path").is_some();
        if let Some(value) = tag.value("transform") {
            transform(&value)?;
        }
    }
    Ok(out)
}

/// Checks that a transform is twelve numbers.
fn transform(value: &str) -> Result<(), ThreemfReadError> {
    // What an entity stands for may be more than one number.
    let count = match value.contains('&') {
        true => 0,
        false => value.split_whitespace().count(),
    };
    if count != 12 {
        return Err(ThreemfReadError::Transform(count));
    }
    let is_number = |x: &str| x.parse::<f64>().is_ok_and(f64::is_finite);
    match value.split_whitespace().find(|x| !is_number(x)) {
        None => Ok(()),
        Some(x) => Err(ThreemfReadError::NoNumber(format!("transform with {x}"))),
    }
}

/// Checks that all extensions that a model requires are read.
fn extensions(model: &Tag) -> Result<(), ThreemfReadError> {
    let required = model.value("requiredextensions").unwrap_or_default();
    for prefix in required.split_whitespace() {
        let space = model.value_of(&format!("xmlns:{prefix}"));
        let space = space.unwrap_or_else(|| prefix.to_owned());
        if !READ.contains(&space.as_str()) {
            return Err(ThreemfReadError::Extension(space));
        }
    }
    Ok(())
}

/// The opening tags of a text, comments and instructions passed over.
struct Tags<'a>(&'a [u8]);

/// An opening tag.
struct Tag<'a> {
    name: &'a str,
    attributes: Vec<(&'a str, &'a str)>,
}

impl<'a> Tag<'a> {
    /// Its name without the prefix of its namespace.
    fn local(&self) -> &'a str {
        self.name.rsplit(':').next().unwrap_or(self.name)
    }

    /// The value of an attribute, whatever its prefix.
    fn value(&self, local: &str) -> Option<String> {
        let own = |name: &str| name.rsplit(':').next() == Some(local) && !name.starts_with("xmlns");
        let found = self.attributes.iter().find(|(name, _)| own(name));
        found.map(|(_, value)| (*value).to_owned())
    }

    /// The value of an attribute by its whole name.
    fn value_of(&self, name: &str) -> Option<String> {
        let found = self.attributes.iter().find(|(own, _)| *own == name);
        found.map(|(_, value)| (*value).to_owned())
    }
}

impl<'a> Iterator for Tags<'a> {
    type Item = Tag<'a>;

    fn next(&mut self) -> Option<Tag<'a>> {
        'tags: loop {
            let start = self.0.iter().position(|b| *b == b'<')?;
            self.0 = &self.0[start + 1..];
            for (opening, closing) in [("!--", "-->"), ("![CDATA[", "]]>"), ("?", "?>")] {
                if self.0.starts_with(opening.as_bytes()) {
                    let end = closing.as_bytes();
                    let at = self.0.windows(end.len()).position(|w| w == end)?;
                    self.0 = &self.0[at + end.len()..];
                    continue 'tags;
                }
            }
            let first = *self.0.first()?;
            if first.is_ascii_alphabetic() || first == b'_' {
                return Some(self.tag());
            }
        }
    }
}

impl<'a> Tags<'a> {
    /// Takes what is left of the text up to the first byte of some kind.
    fn until(&mut self, stop: impl Fn(u8) -> bool) -> &'a str {
        let end = self.0.iter().position(|b| stop(*b)).unwrap_or(self.0.len());
        let (taken, rest) = self.0.split_at(end);
        self.0 = rest;
        std::str::from_utf8(taken).unwrap_or("\u{fffd}")
    }

    fn tag(&mut self) -> Tag<'a> {
        let ends = |b: u8| b.is_ascii_whitespace() || b == b'>' || b == b'/';
        let name = self.until(ends);
        let mut attributes = Vec::new();
        loop {
            self.until(|b| !b.is_ascii_whitespace() && b != b'/');
            if matches!(self.0.first(), None | Some(b'>' | b'<')) {
                return Tag { name, attributes };
            }
            let name = self.until(|b| ends(b) || b == b'=');
            self.until(|b| !b.is_ascii_whitespace());
            if self.0.first() != Some(&b'=') {
                continue;
            }
            self.0 = &self.0[1..];
            self.until(|b| !b.is_ascii_whitespace());
            let Some(quote) = self.0.first().copied().filter(|q| b"\"'".contains(q)) else {
                continue;
            };
            self.0 = &self.0[1..];
            let value = self.until(|b| b == quote);
            self.0 = self.0.get(1..).unwrap_or_default();
            attributes.push((name, value));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn model(head: &str, body: &str) -> String {
        format!("<?xml version='1.0'?><!-- <vertex x='no'/> --><model {head}>{body}</model>")
    }

    fn refused(body: &str) -> Option<ThreemfReadError> {
        heeded(model("", body).as_bytes()).err()
    }

    #[test]
    fn what_is_no_number_is_told_as_it_stands() {
        assert_eq!(refused("<vertex x=\"1\" y='-2.5e1' z=\"28\" />"), None);
        for bad in [" 28", "28,0", "", "nan", "1 2"] {
            let vertex = format!("<m:vertex x=\"1\" y=\"2\" z=\"{bad}\"/>");
            let told = ThreemfReadError::NoNumber(format!("z=\"{bad}\""));
            assert_eq!(refused(&vertex), Some(told));
        }
        assert_eq!(refused("<triangle v1='0' v2='1' v3='2'/>"), None);
        assert!(refused("<triangle v1='0' v2='x' v3='2'/>").is_some());
        assert!(refused("<triangle v1='0' v2='-1' v3='2'/>").is_some());
    }

    #[test]
    fn transforms_are_twelve_numbers() {
        let item = |t: &str| refused(&format!("<item objectid='1' transform='{t}'/>"));
        assert_eq!(item("1 0 0 0 1 0 0 0 1 0 0 0"), None);
        assert_eq!(item("1 0 0"), Some(ThreemfReadError::Transform(3)));
        assert!(matches!(
            item("1 0 0 0 1 0 0 0 1 0 0,5 0"),
            Some(ThreemfReadError::NoNumber(_))
        ));
    }

    #[test]
    fn extensions_that_are_not_read_are_refused() {
        let with = |space: &str| {
            let head = format!("xmlns:e='{space}' requiredextensions='e'");
            heeded(model(&head, "").as_bytes()).err()
        };
        assert_eq!(with(READ[0]), None);
        let lattice = "http://schemas.microsoft.com/3dmanufacturing/beamlattice/2017/02";
        assert_eq!(
            with(lattice),
            Some(ThreemfReadError::Extension(lattice.into()))
        );
    }

    #[test]
    fn words_after_a_comment_are_no_tag() {
        let text = "<metadata><!--a-->item vertex x='no'</metadata>";
        assert!(
            heeded(model("", text).as_bytes())
                .unwrap()
                .printable
                .is_empty()
        );
    }

    #[test]
    fn items_that_are_not_printed_are_told() {
        let items = "<build><item objectid='1'/><item objectid='2' printable='0'/></build>";
        assert_eq!(
            heeded(model("", items).as_bytes()).unwrap().printable,
            [true, false]
        );
    }

    proptest::proptest! {
        #[test]
        fn any_text_comes_to_an_end(text in proptest::collection::vec(
            proptest::sample::select(b"<>/='\"!-?[]CDAT vertexmodelz0 ".to_vec()), 0..200)) {
            let _ = heeded(&text);
        }
    }
}
