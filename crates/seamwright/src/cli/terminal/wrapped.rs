//! Lines as long as a terminal is wide, broken between words.

use std::io::IsTerminal;

/// Narrower than this nothing is broken: words would stand alone.
const NARROWEST: usize = 40;

/// A text for the standard output: where that is a terminal, broken between words.
pub(crate) fn for_stdout(text: &str) -> String {
    match std::io::stdout().is_terminal() {
        true => wrapped(text, textwrap::termwidth()),
        false => text.to_owned(),
    }
}

/// The same for the standard error.
pub(crate) fn for_stderr(text: &str) -> String {
    match std::io::stderr().is_terminal() {
        true => wrapped(text, textwrap::termwidth()),
        false => text.to_owned(),
    }
}

/// A text in lines of so many columns at the most, but for the rows of tables and for
/// commands, which are to be copied as they are.
fn wrapped(text: &str, columns: usize) -> String {
    if columns < NARROWEST {
        return text.to_owned();
    }
    let options = textwrap::Options::new(columns)
        .subsequent_indent("  ")
        .break_words(false)
        .word_separator(textwrap::WordSeparator::AsciiSpace)
        .word_splitter(textwrap::WordSplitter::NoHyphenation);
    let broken = |line: &str| match is_prose(line) {
        true => textwrap::fill(line, &options),
        false => line.to_owned(),
    };
    let lines: Vec<String> = text.split('\n').map(broken).collect();
    lines.join("\n")
}

/// Whether a line starts with a word.
fn is_prose(line: &str) -> bool {
    line.starts_with(|c: char| c.is_alphanumeric() || c == '(')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn prose_breaks_between_words_and_nothing_else_breaks() {
        let long = "warning bare-limb: nothing joins P01 and P02 at the limb of 24 × 18 mm";
        let command = "`seamwright split a-model-of-a-table.stl --plan a-folder/plan.toml --force`";
        let text = format!("{long}\n{command}\nshort\n");
        let narrow = wrapped(&text, 44);
        assert_eq!(
            narrow,
            format!(
                "warning bare-limb: nothing joins P01 and P02\n  at the limb of 24 × 18 mm\n{command}\nshort\n"
            )
        );
        let words = |text: &str| {
            text.split_whitespace()
                .map(str::to_owned)
                .collect::<Vec<_>>()
        };
        assert_eq!(words(&narrow), words(&text));
        assert_eq!(wrapped(&text, 20), text);
    }
}
