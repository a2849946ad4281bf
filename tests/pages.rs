//! Every page that a command makes of a job, from clap's own account of the commands: a second reader finds the same in the Markdown as stands
//! in the HTML, and no quantity stands without its unit.

use pulldown_cmark::{Event, Options, Parser, Tag};

use crate::support::commands::{Called, bare, usually};
use crate::support::run::case;

/// What is counted on a page.
#[derive(Debug, PartialEq, Eq, Default)]
struct Shape {
    headings: usize,
    rows: usize,
    cells: usize,
    boxes: usize,
    items: usize,
}

/// The commands that make the demo's pages, and those of the job with many links.
fn pages(units: &str, then: impl Fn(&Called)) {
    let many = case("jobs/sixty-links.yaml");
    let mut made = 0;
    for called in bare().iter().filter(|called| called.makes_pages()) {
        for job in [None, many.to_str()] {
            let job: Vec<&str> = job.into_iter().collect();
            then(&called.and(&job).and(&["--units", units]));
            made += 1;
        }
    }
    assert!(made >= 14, "{made}");
}

fn printed(called: &Called, format: &str) -> String {
    usually(&called.and(&["--format", format])).done().stdout
}

fn as_another_reads(markdown: &str) -> Shape {
    let options = Options::ENABLE_TABLES | Options::ENABLE_TASKLISTS;
    let mut shape = Shape::default();
    for event in Parser::new_ext(markdown, options) {
        match event {
            Event::Start(Tag::Heading { .. }) => shape.headings += 1,
            Event::Start(Tag::TableRow) => shape.rows += 1,
            Event::Start(Tag::TableCell) => shape.cells += 1,
            Event::Start(Tag::Item) => shape.items += 1,
            Event::TaskListMarker(_) => shape.boxes += 1,
            _ => {}
        }
    }
    shape
}

fn in_html(html: &str) -> Shape {
    let body = html.split_once("<body>").unwrap().1;
    let count = |tag: &str| body.matches(tag).count();
    let headings = (1..=6).map(|level| count(&format!("<h{level} ")));
    Shape {
        headings: headings.sum(),
        // A head has a row of its own.
        rows: count("<tr>") - count("<thead>"),
        cells: count("<td ") + count("<th "),
        boxes: count("<input type=\"checkbox\""),
        items: count("<li>") + count("<li "),
    }
}

#[test]
fn a_second_reader_finds_in_the_markdown_what_stands_in_the_html() {
    pages("mm", |called| {
        let shape = as_another_reads(&printed(called, "md"));
        assert_eq!(
            shape,
            in_html(&printed(called, "html")),
            "{:?}",
            called.words
        );
        assert!(shape.headings > 2, "{:?}", called.words);
    });
}

/// Words behind a number that say what it is of.
const BEHIND: [&str; 27] = [
    "mm", "m", "in", "kg", "lb", "N", "kN", "N·m", "lbf", "lbf·ft", "MPa", "ksi", "°", "%", "km",
    "mi", "h", "min", "N/mm", "lbf/in", "kg/m²", // Of a thread, and of a moment.
    "threads", "volt", "times", "kW", "°C", "°F",
];

/// Words shortly before a number that is no quantity.
const BARE: [&str; 7] = [
    "class", "classes", "Class", "Code", "clause", "factor", "ratio",
];

/// A word without the marks around it.
fn bare_word(word: &str) -> &str {
    word.trim_matches(|c: char| !c.is_alphanumeric() && c != '°' && c != '%')
}

/// Every decimal fraction of a line that nothing says a unit of.
fn without_unit(line: &str) -> Vec<String> {
    let words: Vec<&str> = line.split_whitespace().collect();
    let mut found = Vec::new();
    for (at, word) in words.iter().enumerate() {
        let number = bare_word(word);
        if !number.contains('.') || number.parse::<f64>().is_err() {
            continue;
        }
        let next = |ahead: usize| words.get(at + ahead).map_or("", |word| bare_word(word));
        let before = words.get(at.saturating_sub(8)..at).unwrap_or_default();
        let named = BEHIND.contains(&next(1))
            || word.contains('°')
            || word.contains('%')
            // A range has its unit behind its second number.
            || (["to", "and"].contains(&next(1)) && next(2).parse::<f64>().is_ok() && BEHIND.contains(&next(3)))
            // A tolerance stands between a number and its unit.
            || (next(1).parse::<f64>().is_ok() && words[at + 1].starts_with('±'));
        // A tolerance behind its number has that number's unit.
        let named = named
            || (word.contains('±')
                && before
                    .last()
                    .is_some_and(|word| BEHIND.contains(&bare_word(word))));
        // A bolt's class, a clause of a document, and a plain ratio are no quantities.
        let none = before.iter().any(|word| BARE.contains(&bare_word(word)));
        // Turns of the wheel are counted in what is asked.
        let none = none || line.contains("turns from centre");
        if !named && !none {
            found.push(words[at.saturating_sub(4)..(at + 4).min(words.len())].join(" "));
        }
    }
    found
}

#[test]
fn no_quantity_stands_without_its_unit() {
    for units in ["mm", "in"] {
        pages(units, |called| {
            let markdown = printed(called, "md");
            // Formulas are shown with bare numbers; each ends with its result and unit.
            let lines = markdown.lines().filter(|line| !line.contains(" = "));
            let found: Vec<String> = lines.flat_map(without_unit).collect();
            assert!(found.is_empty(), "{:?}: {found:#?}", called.words);
        });
    }
}

#[test]
fn a_missing_unit_is_found() {
    assert!(
        without_unit("a slack of 38.5 mm, 2.5° and 0.5 to 4.5 mm at 38.5 ±2 mm, class 10.9")
            .is_empty()
    );
    assert_eq!(
        without_unit("a slack of 38.5 is left"),
        ["a slack of 38.5 is left"]
    );
}
