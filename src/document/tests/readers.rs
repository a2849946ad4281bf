//! Pages and pieces of text as two readers of Markdown see them: nothing that a person types changes their shape.

use super::{HOSTILE, pages};
use crate::document::{Look, anchors, escape};

/// The shape of a page as a reader of Markdown sees it.
#[derive(Debug, PartialEq, Eq, Default)]
struct Shape {
    headings: Vec<u8>,
    rows: usize,
    cells: usize,
    ticks: usize,
    items: usize,
    /// Pictures: a page has its own and no others.
    pictures: usize,
    /// Links, raw HTML: a page has none.
    foreign: usize,
}

fn as_comrak_reads(markdown: &str) -> Shape {
    use comrak::nodes::NodeValue;
    let mut options = comrak::Options::default();
    options.extension.table = true;
    options.extension.tasklist = true;
    let arena = comrak::Arena::new();
    let mut shape = Shape::default();
    for node in comrak::parse_document(&arena, markdown, &options).descendants() {
        match &node.data().value {
            NodeValue::Heading(heading) => shape.headings.push(heading.level),
            NodeValue::TableRow(false) => shape.rows += 1,
            NodeValue::TableCell => shape.cells += 1,
            NodeValue::TaskItem(_) => {
                shape.ticks += 1;
                shape.items += 1;
            }
            NodeValue::Item(_) => shape.items += 1,
            NodeValue::Image(_) => shape.pictures += 1,
            NodeValue::Link(_) | NodeValue::HtmlInline(_) | NodeValue::HtmlBlock(_) => {
                shape.foreign += 1;
            }
            _ => {}
        }
    }
    shape
}

fn as_another_reads(markdown: &str) -> Shape {
    use pulldown_cmark::{Event, Options, Parser, Tag};
    let options = Options::ENABLE_TABLES
        | Options::ENABLE_TASKLISTS
        | Options::ENABLE_STRIKETHROUGH
        | Options::ENABLE_MATH
        | Options::ENABLE_FOOTNOTES;
    let mut shape = Shape::default();
    for event in Parser::new_ext(markdown, options) {
        match event {
            Event::Start(Tag::Heading { level, .. }) => shape.headings.push(level as u8),
            Event::Start(Tag::TableRow) => shape.rows += 1,
            Event::Start(Tag::TableCell) => shape.cells += 1,
            Event::Start(Tag::Item) => shape.items += 1,
            Event::TaskListMarker(_) => shape.ticks += 1,
            Event::Start(Tag::Image { .. }) => shape.pictures += 1,
            Event::Start(Tag::Link { .. } | Tag::Strikethrough)
            | Event::Html(_)
            | Event::InlineHtml(_)
            | Event::InlineMath(_)
            | Event::FootnoteReference(_) => shape.foreign += 1,
            _ => {}
        }
    }
    shape
}

#[test]
fn what_people_type_is_text_on_every_page_for_both_readers() {
    let look = Look::default();
    for slack in ["slack: 10 mm", ""] {
        let plain = pages("plain words", slack, look);
        let hostiles = [
            HOSTILE.to_owned(),
            "1. one\n2) two\n\n# three\n    four\r\n- five".to_owned(),
            "> a\n\n---\n***\n```\n[b]: c".to_owned(),
            "a\u{202e}b\u{200f}\u{e000}|\u{e001}\u{2028}\u{a0}[\u{a0}\u{a0}]".to_owned(),
            "![".to_owned(),
            "HOLD POINT".to_owned(),
            "\\".to_owned(),
        ];
        for typed in hostiles {
            let hostile = pages(&typed, slack, look);
            for (page, plain) in [
                (&hostile.sheet, &plain.sheet),
                (&hostile.survey, &plain.survey),
            ] {
                // With links of ours on an HTML page there are as many as without hostile words.
                assert_eq!(
                    as_comrak_reads(&page.markdown),
                    as_comrak_reads(&plain.markdown)
                );
                let [page_text, plain_text] =
                    [page, plain].map(|page| anchors::without(&page.markdown));
                let shape = as_comrak_reads(&plain_text);
                assert_eq!((shape.foreign, shape.pictures), (0, plain.pictures.len()));
                assert_eq!(as_comrak_reads(&page_text), shape, "{typed:?}\n{page_text}");
                assert_eq!(
                    as_another_reads(&page_text),
                    shape,
                    "{typed:?}\n{page_text}"
                );
            }
        }
    }
}

/// The text that each reader finds in a piece of Markdown, each block after a line break.
fn texts(markdown: &str) -> [String; 2] {
    use comrak::nodes::NodeValue;
    use pulldown_cmark::{Event, Options, Parser};
    let mut options = comrak::Options::default();
    options.extension.table = true;
    options.extension.tasklist = true;
    let arena = comrak::Arena::new();
    let mut one = String::new();
    for node in comrak::parse_document(&arena, markdown, &options).descendants() {
        match &node.data().value {
            NodeValue::Text(text) => one.push_str(text),
            NodeValue::Heading(_) | NodeValue::TableCell | NodeValue::Paragraph => one.push('\n'),
            _ => {}
        }
    }
    let all = Options::ENABLE_TABLES | Options::ENABLE_STRIKETHROUGH | Options::ENABLE_MATH;
    let mut other = String::new();
    for event in Parser::new_ext(markdown, all) {
        if let Event::Text(text) | Event::Code(text) | Event::InlineHtml(text) = event {
            other.push_str(&text);
        }
    }
    [one, other]
}

proptest::proptest! {
    #[test]
    fn any_text_comes_back_as_it_was_from_both_readers(typed in r#"([-#*_`\[\]<>|\\&;!~$:./@()+=0-9a-z \n"']|[ -~]|\PC){0,24}"#) {
        let text = escape::shown(&typed);
        let escaped = escape::markdown(&typed);
        let name = if text.is_empty() { "x" } else { &text };
        let bold = if text.is_empty() { "x" } else { &escaped };
        let markdown = format!(
            "# a {escaped}\n\n- **{bold}** b\n- {escaped}\n\n> {escaped}\n\n| c | d |\n| --- | --- |\n| {escaped} | (**{bold}**) |\n"
        );
        let [one, other] = texts(&markdown);
        let heading = format!("a {text}");
        let quote = if text.is_empty() { String::new() } else { format!("\n{text}") };
        let item = if text.is_empty() { "" } else { "\n" };
        let expected = format!(
            "\n{}\n{name} b{item}{text}{quote}\nc\nd\n{text}\n({name})", heading.trim_end()
        );
        proptest::prop_assert_eq!(one, expected.clone(), "{}", markdown);
        proptest::prop_assert_eq!(other, expected.replace('\n', ""), "{}", markdown);
    }
}
