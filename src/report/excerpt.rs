//! The lines a problem is about. Takes a text and byte ranges in it; gives excerpts that are short, that show no
//! character that acts on a terminal, and whose line and column are those of the whole text.

use std::ops::Range;

use annotate_snippets::{Annotation, AnnotationKind, Group, Origin, Snippet};

use super::clean::{in_excerpt, in_message};

/// Marks further apart than this, in lines, get an excerpt each.
const TOGETHER: usize = 12;
/// Longer lines, in characters, are shortened here; the renderer would have to walk all of them.
const LONG: usize = 240;

/// What the renderer needs beside a line: its number, and the dots of what it leaves out.
const MARGIN: usize = 8;
/// From this width on, in columns, underlines are left as they are.
const ROOMY: usize = 100;

/// Something to point at.
#[derive(Debug, Clone)]
pub(super) struct Mark {
    /// The bytes of the whole text.
    pub(super) range: Range<usize>,
    /// The text beside the caret; may be empty.
    pub(super) label: String,
    /// Whether this is the problem's own place.
    pub(super) primary: bool,
}

/// A text and where its lines start. A line ends with a line feed, a carriage return, or both.
#[derive(Debug)]
pub(super) struct Lines<'a> {
    text: &'a str,
    starts: Vec<usize>,
}

impl<'a> Lines<'a> {
    /// Finds the lines of a text.
    pub(super) fn new(text: &'a str) -> Self {
        let bytes = text.as_bytes();
        let ends = bytes
            .iter()
            .enumerate()
            .filter_map(|(at, byte)| match byte {
                b'\n' => Some(at + 1),
                b'\r' if bytes.get(at + 1) != Some(&b'\n') => Some(at + 1),
                _ => None,
            });
        let starts = [0].into_iter().chain(ends).collect();
        Self { text, starts }
    }

    /// The line of a byte, counted from 0.
    fn line(&self, byte: usize) -> usize {
        self.starts
            .partition_point(|start| *start <= byte)
            .saturating_sub(1)
    }

    /// The first byte of a line, counted from 0.
    fn start(&self, line: usize) -> usize {
        self.starts.get(line).copied().unwrap_or(self.text.len())
    }

    /// The text of a line, counted from 0, without its end.
    fn content(&self, line: usize) -> &'a str {
        let whole = self.text.get(self.start(line)..self.start(line + 1));
        whole.unwrap_or_default().trim_end_matches(['\n', '\r'])
    }

    /// Line and column of a byte, both counted from 1; the column counts characters.
    pub(super) fn position(&self, byte: usize) -> (usize, usize) {
        let line = self.line(byte);
        let before = self.text.get(self.start(line)..byte.min(self.text.len()));
        (line + 1, before.unwrap_or_default().chars().count() + 1)
    }
}

/// A mark on one line, as bytes of that line.
struct OnLine {
    line: usize,
    range: Range<usize>,
    mark: Mark,
}

/// Adds the excerpts of one file to a rendered problem, the one with the problem's own place first.
pub(super) fn add<'a>(
    mut group: Group<'a>,
    file: &str,
    lines: &Lines<'a>,
    marks: Vec<Mark>,
    width: usize,
) -> Group<'a> {
    for chunk in chunks(lines, marks) {
        let main = chunk.iter().find(|on| on.mark.primary).or(chunk.first());
        let Some(main) = main else { continue };
        let (line, column) = lines.position(lines.start(main.line) + main.range.start);
        let origin = Origin::path(in_message(file))
            .line(line)
            .char_column(column);
        group = group.element(origin).element(snippet(lines, &chunk, width));
    }
    group
}

/// Marks by line, those near to each other together.
fn chunks(lines: &Lines<'_>, marks: Vec<Mark>) -> Vec<Vec<OnLine>> {
    let mut sorted: Vec<OnLine> = marks.into_iter().map(|mark| on_line(lines, mark)).collect();
    sorted.sort_by_key(|on| (on.line, on.range.start));
    let mut chunks: Vec<Vec<OnLine>> = Vec::new();
    for on in sorted {
        let long = |line| lines.content(line).len() > LONG;
        match chunks.last_mut() {
            Some(chunk)
                if chunk.last().is_some_and(|last| {
                    on.line - last.line <= TOGETHER && !long(last.line) && !long(on.line)
                }) =>
            {
                chunk.push(on);
            }
            _ => chunks.push(vec![on]),
        }
    }
    chunks.sort_by_key(|chunk| !chunk.iter().any(|on| on.mark.primary));
    chunks
}

/// A mark over several lines is cut at the end of its first.
fn on_line(lines: &Lines<'_>, mark: Mark) -> OnLine {
    let line = lines.line(mark.range.start);
    let (start, length) = (lines.start(line), lines.content(line).len());
    let from = mark.range.start.saturating_sub(start).min(length);
    let to = mark.range.end.saturating_sub(start).clamp(from, length);
    OnLine {
        line,
        range: from..to,
        mark,
    }
}

/// The lines from the first mark to the last, cleaned, with the marks moved along.
fn snippet<'a>(lines: &Lines<'a>, chunk: &[OnLine], width: usize) -> Snippet<'a, Annotation<'a>> {
    let first = chunk.first().map_or(0, |on| on.line);
    let last = chunk.last().map_or(0, |on| on.line);
    let mut shown = String::new();
    let mut annotations = Vec::new();
    for line in first..=last {
        let content = lines.content(line);
        let here = chunk.iter().filter(|on| on.line == line);
        let keep = here
            .clone()
            .next()
            .map_or(0..content.len(), |on| window(content, &on.range, width));
        let cut = if keep.start > 0 { "…" } else { "" };
        let offset = shown.len();
        shown.push_str(cut);
        shown.push_str(&cleaned(content, keep.clone()));
        if keep.end < content.len() {
            shown.push('…');
        }
        for on in here {
            let kind = if on.mark.primary {
                AnnotationKind::Primary
            } else {
                AnnotationKind::Context
            };
            let at = |byte: usize| {
                let before = keep.start..byte.clamp(keep.start, keep.end);
                offset + cut.len() + cleaned(content, before).len()
            };
            let label = Some(on.mark.label.clone()).filter(|label| !label.is_empty());
            let end = shortened(content, on, width);
            annotations.push(kind.span(at(on.range.start)..at(end)).label(label));
        }
        shown.push('\n');
    }
    Snippet::source(shown)
        .line_start(first + 1)
        .annotations(annotations)
}

/// Part of a line with every character that acts replaced by one that shows.
fn cleaned(content: &str, part: Range<usize>) -> String {
    let part = content.get(part).unwrap_or_default();
    part.chars().map(in_excerpt).collect()
}

/// Where the underline of a mark ends: one that is wider than the terminal has room for would tear the excerpt apart.
fn shortened(content: &str, on: &OnLine, width: usize) -> usize {
    let mark = &on.range;
    if width >= ROOMY {
        return mark.end;
    }
    let marked = content.get(mark.clone()).unwrap_or_default();
    let before = content.get(..mark.start).unwrap_or_default();
    let beside = before.chars().count().min(width / 4) + on.mark.label.chars().count();
    let room = width.saturating_sub(MARGIN + beside).max(1);
    let end = marked.char_indices().nth(room);
    end.map_or(mark.end, |(at, _)| mark.start + at)
}

/// The part of a long line to show: some characters before the mark, and as many after its start as there is room.
fn window(content: &str, mark: &Range<usize>, width: usize) -> Range<usize> {
    if content.len() <= LONG {
        return 0..content.len();
    }
    let room = width.clamp(40, LONG) / 2;
    let (before, after) = content
        .split_at_checked(mark.start)
        .unwrap_or((content, ""));
    let start = before
        .char_indices()
        .rev()
        .nth(room / 2)
        .map_or(0, |(at, _)| at);
    let end = after
        .char_indices()
        .nth(room)
        .map_or(content.len(), |(at, _)| mark.start + at);
    start..end
}
