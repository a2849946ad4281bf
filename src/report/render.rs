//! Problems → text for a terminal. Takes a [`Report`] and whoever keeps the texts; gives the problems one after the
//! other, sorted by place, each with the lines it is about. Printing is left to the caller.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use annotate_snippets::renderer::{Effects, Style};
use annotate_snippets::{Group, Level, Origin, Renderer};

use super::clean::{in_message, in_paragraph};
use super::excerpt::{self, Lines, Mark};
use super::{Code, Place, Problem, Report, Severity};
use crate::sorted::Sorted as _;

/// A sentence is never squeezed into less, in columns.
const LEAST_ROOM: usize = 8;

/// Whoever keeps the texts that places point into.
pub trait Texts {
    /// The text of a file, by the name shown to the user.
    fn text(&self, file: &str) -> Option<&str>;
    /// The bytes of the text that a place points at.
    fn range(&self, place: &Place) -> Option<Range<usize>>;
}

/// How rendered problems look.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Look {
    /// Columns of the terminal; longer lines of an excerpt are shortened round the caret.
    pub width: usize,
    /// Whether to break messages and helps to the width, too; in a file each stays on its line, where it can be searched.
    pub wrap: bool,
    /// Whether to use escape sequences for bold and faint.
    pub colour: bool,
}

impl Default for Look {
    /// Plain text, 100 columns.
    fn default() -> Self {
        Self {
            width: 100,
            wrap: false,
            colour: false,
        }
    }
}

/// The problems as text: sorted by file, line, column and code, repetitions left out, a blank line between two; that there are more
/// than are shown stands last.
///
/// Characters that would act on the terminal are shown, never passed on.
pub fn render(report: &Report, texts: &dyn Texts, look: Look) -> String {
    let renderer = renderer(look);
    let mut lines = BTreeMap::new();
    let distinct: BTreeSet<&Problem> = report.problems.iter().sorted_set();
    let mut sorted: Vec<_> = distinct
        .into_iter()
        .map(|problem| (order(problem, texts, &mut lines), problem))
        .collect();
    sorted.sort();
    let blocks = sorted.iter().map(|(_, problem)| {
        let block = renderer.render(&[group(problem, texts, &lines, look)]);
        without_empty_origins(&block) + "\n"
    });
    let mut blocks: Vec<String> = blocks.collect();
    // What stands once and is used in several places is told of once.
    blocks.dedup();
    blocks.join("\n")
}

/// The renderer announces an excerpt without a file by an empty `:::`; the line above has already said where it is.
fn without_empty_origins(rendered: &str) -> String {
    let is_empty = |line: &&str| {
        let after = line.trim_start().trim_start_matches("\u{1b}[2m");
        matches!(after.trim_end(), ":::" | "::: \u{1b}[0m")
    };
    let kept: Vec<&str> = rendered.lines().filter(|line| !is_empty(line)).collect();
    kept.join("\n")
}

/// Status is told in words, never in red, yellow and green.
fn renderer(look: Look) -> Renderer {
    // The renderer lets a line that it shortens be up to two columns longer than it is told.
    let width = look.width.saturating_sub(if look.wrap { 2 } else { 0 });
    if !look.colour {
        return Renderer::plain().term_width(width);
    }
    let bold = Style::new().effects(Effects::BOLD);
    let faint = Style::new().effects(Effects::DIMMED);
    Renderer::styled()
        .term_width(width)
        .error(bold)
        .warning(bold)
        .note(bold)
        .info(bold)
        .help(bold)
        .emphasis(bold)
        .line_num(faint)
        .context(faint)
}

type Order<'a> = (bool, Option<&'a str>, (usize, usize), &'static str);

/// What a problem is sorted by; on the way, the lines of every text that is needed are found once.
fn order<'a>(
    problem: &'a Problem,
    texts: &'a dyn Texts,
    lines: &mut BTreeMap<&'a str, Lines<'a>>,
) -> Order<'a> {
    let places = problem
        .at
        .iter()
        .chain(problem.related.iter().map(|(place, _)| place));
    for place in places {
        if let Some(text) = texts.text(&place.file) {
            lines
                .entry(place.file.as_str())
                .or_insert_with(|| Lines::new(text));
        }
    }
    let position = problem.at.as_ref().and_then(|place| {
        let range = texts.range(place)?;
        Some(lines.get(place.file.as_str())?.position(range.start))
    });
    let file = problem.at.as_ref().map(|place| place.file.as_str());
    // That the rest is not shown is said where the reader misses it: behind all that is.
    let last = problem.code == Code::TooManyProblems;
    (
        last,
        file,
        position.unwrap_or_default(),
        problem.code.as_str(),
    )
}

/// One problem as the renderer wants it: title, the places by file, help.
fn group<'a>(
    problem: &'a Problem,
    texts: &dyn Texts,
    lines: &BTreeMap<&str, Lines<'a>>,
    look: Look,
) -> Group<'a> {
    let level = match problem.severity {
        Severity::Error => Level::ERROR,
        Severity::Warning => Level::WARNING,
        Severity::Note => Level::NOTE,
    };
    let word = problem.severity.as_str();
    // `error[code]: ` stands before the first line, and the others begin below its end.
    let before = word.len() + problem.code.as_str().len() + "[]: ".len();
    let mut group = level
        .primary_title(sentence(&problem.message, before, look))
        .id(problem.code.as_str())
        .elements(Vec::<Origin<'_>>::new());
    for (file, marks, unplaced) in by_file(problem, texts) {
        if let Some(lines) = lines.get(file) {
            group = excerpt::add(group, file, lines, marks, look.width);
        }
        for text in unplaced {
            group = group.element(Origin::path(text));
        }
    }
    if let Some(help) = &problem.help {
        group = group.element(Level::HELP.message(sentence(help, "   = help: ".len(), look)));
    }
    group
}

/// A message, broken to the width where that is wanted; `before` columns of each line are taken.
fn sentence(text: &str, before: usize, look: Look) -> String {
    let text = in_paragraph(text);
    if !look.wrap {
        return text;
    }
    let room = look.width.saturating_sub(before).max(LEAST_ROOM);
    textwrap::wrap(
        &text,
        textwrap::Options::new(room)
            .break_words(false)
            .word_separator(textwrap::WordSeparator::AsciiSpace)
            .word_splitter(textwrap::WordSplitter::NoHyphenation)
            .wrap_algorithm(textwrap::WrapAlgorithm::FirstFit),
    )
    .join("\n")
}

type FileMarks<'a> = (&'a str, Vec<Mark>, Vec<String>);

/// The places of a problem, grouped by file, the problem's own file first; a place without bytes becomes a text.
fn by_file<'a>(problem: &'a Problem, texts: &dyn Texts) -> Vec<FileMarks<'a>> {
    let own = problem
        .at
        .iter()
        .map(|place| (place, problem.label.as_str(), true));
    let related = problem
        .related
        .iter()
        .map(|(place, text)| (place, text.as_str(), false));
    let mut files: Vec<FileMarks<'a>> = Vec::new();
    for (place, label, primary) in own.chain(related) {
        let known = files.iter().position(|(file, ..)| *file == place.file);
        let at = known.unwrap_or(files.len());
        if known.is_none() {
            files.push((place.file.as_str(), Vec::new(), Vec::new()));
        }
        let Some((_, marks, unplaced)) = files.get_mut(at) else {
            continue;
        };
        match texts.range(place) {
            Some(range) => marks.push(Mark {
                range,
                label: in_message(label),
                primary,
            }),
            None => unplaced.push(in_words(place, label, primary)),
        }
    }
    files
}

/// `job.yaml: links[3]`, with what a related place has to do with it.
fn in_words(place: &Place, label: &str, primary: bool) -> String {
    let mut text = in_message(&place.file);
    if !place.path.is_root() {
        text = format!("{text}: {}", place.path);
    }
    if !primary && !label.is_empty() {
        text = format!("{text}: {}", in_message(label));
    }
    text
}
