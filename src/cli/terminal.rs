//! The terminal: how wide it is, how words stand out on it, and lines broken to fit it.
//!
//! Colours are never used; headings and codes are bold, and only where `anstream` finds a terminal that shows it and nobody asked
//! for plain text (`NO_COLOR`, `CLICOLOR=0`, `TERM=dumb`).

use std::io::{self, IsTerminal, Stderr, Stdout};

use anstream::{AutoStream, ColorChoice};
use clap::builder::Styles;
use clap::builder::styling::Style;
use terminal_size::{Width, terminal_size};
use textwrap::{Options, WordSeparator, WordSplitter, WrapAlgorithm};

use crate::report::Look;

/// Sentences are not longer than this, however wide the terminal is.
const WIDEST: usize = 100;
/// Nothing readable fits into less.
const NARROWEST: usize = 20;

/// The columns of a line: those that `COLUMNS` names, or those of the terminal; none where the text goes into a file or a pipe.
fn columns(is_terminal: bool) -> Option<usize> {
    let wished = std::env::var("COLUMNS").ok();
    let wished = wished.and_then(|text| text.trim().parse::<usize>().ok());
    let wished = wished.filter(|columns| *columns > 0);
    let found = || {
        let size = is_terminal.then(terminal_size).flatten();
        size.map(|(Width(columns), _)| usize::from(columns))
            .filter(|columns| *columns > 0)
    };
    let columns = wished.or_else(found)?;
    Some(columns.clamp(NARROWEST, WIDEST))
}

/// How problems look on standard error.
pub(super) fn look() -> Look {
    let stderr = io::stderr();
    let plain = Look::default();
    let columns = columns(stderr.is_terminal());
    Look {
        width: columns.unwrap_or(plain.width),
        wrap: columns.is_some(),
        colour: AutoStream::choice(&stderr) != ColorChoice::Never,
    }
}

/// The width of help and of what is said of a wrong command line.
pub(super) fn help_columns() -> usize {
    let looked_at = io::stdout().is_terminal() || io::stderr().is_terminal();
    columns(looked_at).unwrap_or(WIDEST)
}

/// How help stands out: bold and underlined, in no colour.
pub(super) fn styles() -> Styles {
    let bold = Style::new().bold();
    Styles::plain()
        .header(bold.underline())
        .usage(bold.underline())
        .literal(bold)
        .error(bold)
        .valid(bold)
        .invalid(bold)
}

/// Standard output, where bold becomes plain unless somebody sees it.
pub(super) fn stdout() -> AutoStream<Stdout> {
    AutoStream::auto(io::stdout())
}

/// Standard error, likewise.
pub(super) fn stderr() -> AutoStream<Stderr> {
    AutoStream::auto(io::stderr())
}

/// A text for standard output, its lines broken to fit the terminal; as it is where it goes into a file or a pipe.
pub(super) fn fit_stdout(text: &str) -> String {
    fit_to(text, columns(io::stdout().is_terminal()))
}

/// A text for standard error, likewise.
pub(super) fn fit_stderr(text: &str) -> String {
    fit_to(text, columns(io::stderr().is_terminal()))
}

fn fit_to(text: &str, columns: Option<usize>) -> String {
    match columns {
        Some(columns) => text
            .split('\n')
            .map(|line| fit(line, columns))
            .collect::<Vec<_>>()
            .join("\n"),
        None => text.to_owned(),
    }
}

/// A line broken between its words; what follows stands two columns further in. A word that is longer than a line, such as a path,
/// stays whole, so that it can be copied.
fn fit(line: &str, columns: usize) -> String {
    let words = line.trim_start_matches(' ');
    let indent = (line.len() - words.len()).min(columns / 2);
    let first = " ".repeat(indent);
    let further = " ".repeat(indent + 2);
    let options = Options::new(columns)
        .initial_indent(&first)
        .subsequent_indent(&further)
        .break_words(false)
        .word_separator(WordSeparator::AsciiSpace)
        .word_splitter(WordSplitter::NoHyphenation)
        .wrap_algorithm(WrapAlgorithm::FirstFit);
    textwrap::fill(words, options)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_is_broken_between_words_and_a_long_word_stays_whole() {
        assert_eq!(fit("short", 20), "short");
        assert_eq!(
            fit("  one two three four five", 20),
            "  one two three four\n    five"
        );
        assert_eq!(
            fit("see a/very/long/path/to/some/file.yaml now", 20),
            "see\n  a/very/long/path/to/some/file.yaml\n  now"
        );
        assert_eq!(fit("", 20), "");
    }

    #[test]
    fn wide_signs_take_two_columns() {
        assert_eq!(fit("車両車両車 車両車両車", 20), "車両車両車\n  車両車両車");
    }
}
