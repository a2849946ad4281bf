//! Pieces of text as two readers of Markdown see them: what a person types comes back as it was.

use crate::document::escape;

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
