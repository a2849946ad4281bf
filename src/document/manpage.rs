//! Markdown → a manual page (section 5) in the language of `man`.
//!
//! Takes a topic's name and Markdown; gives roff text with the macros of `man(7)`: headings, paragraphs, lists, tables as lists, and what
//! is typed as it stands.

use std::fmt::Write as _;

use comrak::nodes::{AstNode, NodeValue};
use comrak::{Arena, Options, parse_document};

use crate::VERSION;

/// The page of that name; its first heading becomes the line that says what it is.
pub(super) fn page(name: &str, markdown: &str) -> String {
    let arena = Arena::new();
    let mut options = Options::default();
    options.extension.table = true;
    let root = parse_document(&arena, markdown, &options);
    let mut out = format!(
        ".TH {} 5 \"\" \"liftsheet {VERSION}\"\n",
        name.to_uppercase()
    );
    for node in root.children() {
        match &node.data().value {
            NodeValue::Heading(heading) if heading.level == 1 => {
                let title = inline(node);
                let _ = write!(out, ".SH NAME\n{} \\- {title}\n", escaped(name));
            }
            _ => block(node, &mut out),
        }
    }
    out
}

fn block<'a>(node: &'a AstNode<'a>, out: &mut String) {
    match &node.data().value {
        NodeValue::Heading(heading) => {
            let kind = if heading.level == 2 { ".SH" } else { ".SS" };
            let _ = writeln!(out, "{kind} \"{}\"", inline(node).replace('"', "\\(dq"));
        }
        NodeValue::Paragraph => {
            let _ = write!(out, ".PP\n{}\n", guarded(&inline(node)));
        }
        NodeValue::List(_) => node.children().for_each(|item| bullet(item, out)),
        NodeValue::CodeBlock(code) => {
            let lines = code.literal.lines().map(|line| guarded(&escaped(line)));
            let text: Vec<String> = lines.collect();
            let _ = write!(out, ".PP\n.RS 4\n.nf\n{}\n.fi\n.RE\n", text.join("\n"));
        }
        NodeValue::Table(_) => node.children().for_each(|row| table_row(row, out)),
        _ => node.children().for_each(|child| block(child, out)),
    }
}

fn bullet<'a>(item: &'a AstNode<'a>, out: &mut String) {
    for (number, part) in item.children().enumerate() {
        let text = inline(part);
        if text.is_empty() {
            block(part, out);
        } else if number == 0 {
            let _ = write!(out, ".IP \\(bu 2\n{}\n", guarded(&text));
        } else {
            let _ = write!(out, ".IP\n{}\n", guarded(&text));
        }
    }
}

/// A row as a term with what stands beside it.
fn table_row<'a>(row: &'a AstNode<'a>, out: &mut String) {
    let cells: Vec<String> = row.children().map(inline).collect();
    if let [first, others @ ..] = cells.as_slice() {
        let _ = write!(
            out,
            ".TP\n{}\n{}\n",
            guarded(first),
            guarded(&others.join(" \\- "))
        );
    }
}

/// The words below a node, with their typefaces.
fn inline<'a>(node: &'a AstNode<'a>) -> String {
    let mut out = String::new();
    for child in node.children() {
        match &child.data().value {
            NodeValue::Text(text) => out.push_str(&escaped(text)),
            NodeValue::Code(code) => {
                let _ = write!(out, "\\fB{}\\fR", escaped(&code.literal));
            }
            NodeValue::Strong => {
                let _ = write!(out, "\\fB{}\\fR", inline(child));
            }
            NodeValue::Emph => {
                let _ = write!(out, "\\fI{}\\fR", inline(child));
            }
            NodeValue::SoftBreak | NodeValue::LineBreak => out.push(' '),
            _ => out.push_str(&inline(child)),
        }
    }
    out
}

fn escaped(text: &str) -> String {
    text.replace('\\', "\\e").replace('-', "\\-")
}

/// A line that begins with a dot or an apostrophe would be taken for a request.
fn guarded(text: &str) -> String {
    if text.starts_with(['.', '\'']) {
        format!("\\&{text}")
    } else {
        text.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::page;

    #[test]
    fn each_kind_of_block_has_its_macro() {
        let text = page(
            "x-y",
            "# What it is\n\nA `b-c` and **d**\\\\.\n\n## Lists\n\n- one\n- .two\n\n```\n.raw -x\n```\n\n| a | b |\n| --- | --- |\n| c | d |\n",
        );
        let body = text.split_once('\n').unwrap().1;
        let wanted = ".SH NAME\nx\\-y \\- What it is\n.PP\nA \\fBb\\-c\\fR and \\fBd\\fR\\e.\n.SH \"Lists\"\n.IP \\(bu 2\none\n.IP \\(bu 2\n\\&.two\n\
                      .PP\n.RS 4\n.nf\n\\&.raw \\-x\n.fi\n.RE\n.TP\na\nb\n.TP\nc\nd\n";
        assert_eq!(body, wanted);
    }
}
