//! Markdown → the body of an HTML page.
//!
//! Takes a page's Markdown; gives HTML in which every second-level heading opens a `section`, every item of a top-level
//! task list is a `task` that stays on one sheet of paper, every tick box is named after its task, every `[   ]` of no-break
//! spaces is a box to write in, every notice that begins with one of the [`NOTICES`] is marked as such, and every image of
//! one of the page's pictures is that picture as a figure. All of that is
//! read off the Markdown itself, from marks that escaped text cannot make. Raw HTML never passes.

use std::collections::BTreeSet;
use std::fmt::{self, Write as _};

use comrak::html::{ChildRendering, Context, format_node_default};
use comrak::nodes::{AstNode, ListType, NodeValue};
use comrak::{Arena, Options, create_formatter, parse_document};

use super::{Picture, anchors, blanks, picture_marks, words};

/// Words in bold at the beginning of a quoted paragraph that make it a notice, and the notice's class.
const NOTICES: [(&str, &str); 9] = [
    ("DEMO – NOT A VEHICLE", "demo"),
    ("PROVISIONAL", "provisional"),
    ("STOP", "stop"),
    ("RELEASED", "released"),
    ("NOT RELEASED", "provisional"),
    ("CHANGED SINCE", "provisional"),
    ("PHOTOGRAPHS GONE", "provisional"),
    ("CUT OFF", "provisional"),
    ("CAUTION", "caution"),
];

/// The longest text of a cell whose words are never broken, in characters.
const SHORT: usize = 14;

/// What is known while the page is written.
#[derive(Default)]
struct Writing {
    section_open: bool,
    ids: BTreeSet<String>,
    /// The name of the task whose items are being written.
    task: String,
    pictures: Vec<Picture>,
    /// The file of the page beside this one.
    beside: Option<String>,
    /// In a task: whether a sentence that belongs to a blank is open.
    asked: Option<bool>,
}

type Written = Result<ChildRendering, fmt::Error>;
type Node<'a> = &'a AstNode<'a>;

create_formatter!(Body<Writing>, {
    NodeValue::Heading(ref heading) => |context, node, entering| {
        let level = heading.level;
        return write_heading(context, node, entering, level);
    },
    NodeValue::BlockQuote => |context, node, entering| {
        return write_quote(context, node, entering);
    },
    NodeValue::TaskItem(_) => |context, node, entering| {
        return write_task_item(context, node, entering);
    },
    NodeValue::Paragraph => |context, node, entering| {
        return write_paragraph(context, node, entering);
    },
    NodeValue::Image(_) => |context, node, entering| {
        return write_image(context, node, entering);
    },
    NodeValue::Link(ref link) => |context, entering| {
        return write_link(context, &link.url, entering);
    },
    NodeValue::TableCell => |context, node, entering| {
        return write_cell(context, node, entering);
    },
    NodeValue::Text(ref text) => |context, entering| {
        if entering {
            let mut asked = context.user.asked;
            blanks::write(context, text, &mut asked)?;
            context.user.asked = asked;
        }
    },
});

fn options() -> Options<'static> {
    let mut options = Options::default();
    options.extension.table = true;
    options.extension.tasklist = true;
    options.render.escape = true;
    options
}

/// Writes the body of the page; fails only when nothing can be written.
pub(super) fn body(
    markdown: &str,
    (pictures, beside): (&[Picture], Option<&str>),
    out: &mut String,
) -> fmt::Result {
    let options = options();
    let writing = Writing {
        pictures: pictures.to_vec(),
        beside: beside.map(ToOwned::to_owned),
        ..Writing::default()
    };
    let arena = Arena::new();
    let root = parse_document(&arena, markdown, &options);
    contents(root, out)?;
    let writing = Body::format_document(root, &options, out, writing)?;
    if writing.section_open {
        out.push_str("</section>\n");
    }
    Ok(())
}

/// Fewer sections than this are found without a table of contents.
const FEW: usize = 4;

/// Links to the sections, for the screen.
fn contents<'a>(root: &'a AstNode<'a>, out: &mut String) -> fmt::Result {
    let mut ids = BTreeSet::new();
    let mut sections = Vec::new();
    for node in root.children() {
        if let NodeValue::Heading(ref heading) = node.data().value {
            let text = text_of(node);
            let id = anchor(&mut ids, &text);
            if heading.level == 2 {
                sections.push((id, text));
            }
        }
    }
    if sections.len() < FEW {
        return Ok(());
    }
    out.push_str("<nav aria-label=\"Contents\">\n");
    for (id, text) in sections {
        write!(out, "<a href=\"#{id}\">")?;
        comrak::html::escape(out, &text)?;
        out.push_str("</a>\n");
    }
    out.push_str("</nav>\n");
    Ok(())
}

/// A heading; one of the second level closes the section before it and opens its own.
fn write_heading<'a>(
    context: &mut Context<Writing>,
    node: &'a AstNode<'a>,
    entering: bool,
    level: u8,
) -> Written {
    if !entering {
        writeln!(context, "</h{level}>")?;
        return Ok(ChildRendering::HTML);
    }
    context.cr()?;
    if level == 2 {
        if context.user.section_open {
            context.write_str("</section>\n")?;
        }
        context.write_str("<section>\n")?;
        context.user.section_open = true;
    }
    let id = anchor(&mut context.user.ids, &text_of(node));
    write!(context, "<h{level} id=\"{id}\">")?;
    Ok(ChildRendering::HTML)
}

/// A link of ours, or the place that one leads to; of a page beside this one whose file is not known, the text alone.
fn write_link(context: &mut Context<Writing>, address: &str, entering: bool) -> Written {
    if let Some(id) = address.strip_prefix(anchors::HERE) {
        if entering && context.user.ids.insert(id.to_owned()) {
            write!(context, "<span id=\"{id}\"></span>")?;
        }
        return Ok(ChildRendering::HTML);
    }
    let beside = address.strip_prefix(anchors::BESIDE);
    let beside = beside.zip(context.user.beside.as_ref());
    let address = match beside {
        Some((id, file)) => format!("{file}#{id}"),
        None if address.starts_with('#') => address.to_owned(),
        None => return Ok(ChildRendering::HTML),
    };
    if entering {
        context.write_str("<a href=\"")?;
        context.escape(&address)?;
        context.write_str("\">")?;
    } else {
        context.write_str("</a>")?;
    }
    Ok(ChildRendering::HTML)
}

/// A name for the place that no other place of the page has: letters and digits of the text, joined by hyphens.
fn anchor(taken: &mut BTreeSet<String>, text: &str) -> String {
    let id = words::free_id(&text.to_ascii_lowercase(), "part", |id| taken.contains(id));
    taken.insert(id.clone());
    id
}

/// A paragraph, unless it only holds a picture: a figure stands by itself.
fn write_paragraph(context: &mut Context<Writing>, node: Node<'_>, entering: bool) -> Written {
    let alone = node.first_child().filter(|only| {
        matches!(only.data().value, NodeValue::Image(_)) && only.next_sibling().is_none()
    });
    if !entering {
        close_asked(context)?;
    }
    match alone {
        Some(_) => Ok(ChildRendering::HTML),
        None => format_node_default(context, node, entering),
    }
}

/// Closes a sentence that belongs to a blank, at the end of its paragraph or cell.
fn close_asked(context: &mut Context<Writing>) -> fmt::Result {
    let mut asked = context.user.asked;
    blanks::close(context, &mut asked)?;
    context.user.asked = asked;
    Ok(())
}

/// The picture that the image names, with its text beneath; an image of anything else is its text alone.
fn write_image(context: &mut Context<Writing>, node: Node<'_>, entering: bool) -> Written {
    let NodeValue::Image(ref link) = node.data().value else {
        return format_node_default(context, node, entering);
    };
    if !entering {
        return Ok(ChildRendering::HTML);
    }
    let pictures = &context.user.pictures;
    let picture = pictures
        .iter()
        .find(|picture| picture_marks::file(picture) == link.url);
    let Some(picture) = picture.cloned() else {
        return Ok(ChildRendering::HTML);
    };
    context.cr()?;
    // A narrow screen scrolls it, also by the keyboard.
    writeln!(context, "<figure class=\"picture\" tabindex=\"0\">")?;
    writeln!(context, "{}", picture.svg())?;
    context.write_str("<figcaption>")?;
    context.escape(&picture.title)?;
    context.write_str("</figcaption>\n</figure>\n")?;
    Ok(ChildRendering::Skip)
}

/// A notice when it begins with the words of one, else a quotation.
fn write_quote(context: &mut Context<Writing>, node: Node<'_>, entering: bool) -> Written {
    let Some(class) = notice(node) else {
        return format_node_default(context, node, entering);
    };
    context.cr()?;
    if entering {
        writeln!(context, "<div class=\"notice {class}\" role=\"note\">")?;
    } else {
        context.write_str("</div>\n")?;
    }
    Ok(ChildRendering::HTML)
}

fn notice(quote: Node<'_>) -> Option<&'static str> {
    let bold = quote.first_child()?.first_child()?;
    if !matches!(bold.data().value, NodeValue::Strong) {
        return None;
    }
    let text = text_of(bold);
    let found = NOTICES.iter().find(|(words, _)| *words == text);
    found.map(|(_, class)| *class)
}

/// A tick box with the name of what it stands for: a task, or one of the things written down for it.
fn write_task_item(context: &mut Context<Writing>, node: Node<'_>, entering: bool) -> Written {
    let nested = node.ancestors().skip(1).any(|above| {
        matches!(
            above.data().value,
            NodeValue::TaskItem(_) | NodeValue::Item(_)
        )
    });
    if !entering {
        context.write_str("</li>\n")?;
        if !nested {
            context.user.asked = None;
        }
        return Ok(ChildRendering::HTML);
    }
    let own = node.first_child().map(text_of).unwrap_or_default();
    context.cr()?;
    let name = if nested {
        context.write_str("<li class=\"item\">")?;
        match question_number(node) {
            Some(number) => format!("{own} (question {number})"),
            None => format!("{own} (task {})", context.user.task),
        }
    } else {
        let hold = if is_hold(node) { " hold" } else { "" };
        let id = anchor(
            &mut context.user.ids,
            &format!("task {}", leading_number(&own)),
        );
        write!(context, "<li class=\"task{hold}\" id=\"{id}\">")?;
        context.user.task.clone_from(&own);
        context.user.asked = Some(false);
        own
    };
    context.write_str("<input type=\"checkbox\" disabled aria-label=\"")?;
    context.escape(&name)?;
    context.write_str("\"> ")?;
    if !nested && texts(node.first_child()).any(|text| blanks::asks_initials(&text)) {
        context.write_str("<span class=\"box initials\"></span>")?;
    }
    Ok(ChildRendering::HTML)
}

/// The texts right in a paragraph.
fn texts<'a>(paragraph: Option<&'a AstNode<'a>>) -> impl Iterator<Item = String> {
    let nodes = paragraph.into_iter().flat_map(AstNode::children);
    nodes.filter_map(|node| match &node.data().value {
        NodeValue::Text(text) => Some(text.to_string()),
        _ => None,
    })
}

/// Whether a task is a hold point: its first line says so in bold.
fn is_hold(task: Node<'_>) -> bool {
    let mut words = task.first_child().into_iter().flat_map(AstNode::children);
    words.any(|one| matches!(one.data().value, NodeValue::Strong) && text_of(one) == "HOLD POINT:")
}

/// The number of the question that a tick box belongs to: of the item of a numbered list right above its own list.
fn question_number(box_item: Node<'_>) -> Option<usize> {
    let above = box_item.parent()?.parent()?;
    let NodeValue::List(list) = above.parent()?.data().value else {
        return None;
    };
    let numbered = list.list_type == ListType::Ordered;
    numbered.then(|| list.start + above.preceding_siblings().skip(1).count())
}

fn leading_number(text: &str) -> &str {
    let end = text.find(|c: char| !c.is_ascii_digit());
    text.get(..end.unwrap_or(text.len())).unwrap_or_default()
}

/// A cell that knows its column's heading, so that a narrow screen can show the row as a list.
fn write_cell(context: &mut Context<Writing>, node: Node<'_>, entering: bool) -> Written {
    let row = node.parent();
    let head = row.is_some_and(|row| matches!(row.data().value, NodeValue::TableRow(true)));
    let tag = if head { "th" } else { "td" };
    if !entering {
        close_asked(context)?;
        write!(context, "</{tag}>")?;
        return Ok(ChildRendering::HTML);
    }
    context.cr()?;
    if head {
        context.write_str("<th scope=\"col\">")?;
        return Ok(ChildRendering::HTML);
    }
    context.write_str("<td data-label=\"")?;
    context.escape(&column(node).unwrap_or_default())?;
    match node
        .first_child()
        .filter(|only| only.next_sibling().is_none())
    {
        Some(only) if matches!(only.data().value, NodeValue::Strong) => {
            let class = anchor(&mut BTreeSet::new(), &text_of(only));
            write!(context, "\" class=\"word {class}\">")?;
        }
        // Short words are not broken; long ones may be, or the table would not fit its paper.
        _ if text_of(node).chars().count() <= SHORT => context.write_str("\" class=\"short\">")?,
        _ => context.write_str("\">")?,
    }
    Ok(ChildRendering::HTML)
}

/// The heading of a cell's column.
fn column(cell: Node<'_>) -> Option<String> {
    let number = cell.preceding_siblings().skip(1).count();
    let header = cell.parent()?.parent()?.first_child()?;
    header.children().nth(number).map(text_of)
}

/// The text of a node without its markup and blanks.
fn text_of(node: Node<'_>) -> String {
    let mut text = String::new();
    for node in node.descendants() {
        match &node.data().value {
            NodeValue::Text(own) => text.push_str(own),
            NodeValue::Code(code) => text.push_str(&code.literal),
            NodeValue::SoftBreak | NodeValue::LineBreak => text.push(' '),
            _ => {}
        }
    }
    blanks::dotted(&text).trim().to_owned()
}
