//! The template engine: the embedded page templates, and how each kind of file escapes what is put into it.
//!
//! Takes a template's name and a view; gives the text. In `.md` templates every value is escaped for Markdown, in `.html`
//! templates for HTML; a name that a view does not have, and a value that is absent, are errors.

use std::borrow::Cow;
use std::sync::LazyLock;

use minijinja::syntax::SyntaxConfig;
use minijinja::value::ValueKind;
use minijinja::{
    AutoEscape, Environment, Error, ErrorKind, Output, State, UndefinedBehavior, Value,
    escape_formatter,
};

use super::{DocumentError, anchors, blanks, escape, picture_marks};

const MARKDOWN: AutoEscape = AutoEscape::Custom(Cow::Borrowed("markdown"));

const TEMPLATES: [(&str, &str); 20] = [
    ("brief.md", include_str!("../../templates/brief.md")),
    ("card.md", include_str!("../../templates/card.md")),
    ("cautions.md", include_str!("../../templates/cautions.md")),
    ("crew.md", include_str!("../../templates/crew.md")),
    ("handover.md", include_str!("../../templates/handover.md")),
    ("heights.md", include_str!("../../templates/heights.md")),
    ("limits.md", include_str!("../../templates/limits.md")),
    ("made.md", include_str!("../../templates/made.md")),
    ("marks.md", include_str!("../../templates/marks.md")),
    ("notices.md", include_str!("../../templates/notices.md")),
    ("one.md", include_str!("../../templates/one.md")),
    ("parts.md", include_str!("../../templates/parts.md")),
    ("page.html", include_str!("../../templates/page.html")),
    ("reasons.md", include_str!("../../templates/reasons.md")),
    ("sheet.md", include_str!("../../templates/sheet.md")),
    ("signed.md", include_str!("../../templates/signed.md")),
    ("study.md", include_str!("../../templates/study.md")),
    ("survey.md", include_str!("../../templates/survey.md")),
    ("task.md", include_str!("../../templates/task.md")),
    ("verdicts.md", include_str!("../../templates/verdicts.md")),
];

static ENVIRONMENT: LazyLock<Result<Environment<'static>, Error>> = LazyLock::new(environment);

fn environment() -> Result<Environment<'static>, Error> {
    let mut environment = Environment::new();
    environment.set_undefined_behavior(UndefinedBehavior::Strict);
    environment.set_syntax(
        SyntaxConfig::builder()
            .trim_blocks(true)
            .lstrip_blocks(true)
            .keep_trailing_newline(true)
            .build()?,
    );
    environment.set_auto_escape_callback(|name| match name.rsplit_once('.') {
        Some((_, "html")) => AutoEscape::Html,
        _ => MARKDOWN,
    });
    environment.set_formatter(format);
    environment.add_filter("code", |text: &str| made(escape::code(text)));
    environment.add_filter("css_string", |text: &str| made(escape::css_string(text)));
    environment.add_function("picture", |name: &str, says: &str| {
        made(picture_marks::image(name, says))
    });
    environment.add_function("here", |id: &str| made(anchors::here(id)));
    environment.add_function("to", |text: &str, id: &str| {
        made(anchors::to(&escape::markdown(text), id))
    });
    environment.add_function("beside", |text: &str, id: &str| {
        made(anchors::beside(&escape::markdown(text), id))
    });
    environment.add_function("blank", |width: usize| made(blanks::blank(width)));
    // A page reads the few that it stands in.
    environment.set_loader(|name| {
        let mut templates = TEMPLATES.iter();
        let found = templates.find(|(own, _)| *own == name);
        Ok(found.map(|(_, text)| (*text).to_owned()))
    });
    Ok(environment)
}

fn format(out: &mut Output, state: &mut State, value: &Value) -> Result<(), Error> {
    if value.is_none() || value.is_undefined() {
        return Err(Error::new(
            ErrorKind::UndefinedError,
            "a template prints a value that is absent",
        ));
    }
    if *state.auto_escape() != MARKDOWN {
        return escape_formatter(out, state, value);
    }
    match value.as_str().filter(|_| !value.is_safe()) {
        Some(text) => Ok(out.write_str(&escape::markdown(text))?),
        None => plain(out, value),
    }
}

/// Numbers and our own markup; a list or a map printed by mistake could hold text that nobody escaped.
fn plain(out: &mut Output, value: &Value) -> Result<(), Error> {
    if value.is_safe() || value.kind() == ValueKind::Number {
        return Ok(write!(out, "{value}")?);
    }
    let message = format!("a template prints a {}", value.kind());
    Err(Error::new(ErrorKind::InvalidOperation, message))
}

/// Fills in a template. It takes the values, so that whoever gives a page of thousands of connections keeps no second copy of them.
pub(super) fn render(name: &str, view: Value) -> Result<String, DocumentError> {
    let environment = ENVIRONMENT.as_ref().map_err(DocumentError::from)?;
    let template = environment.get_template(name);
    let rendered = template.and_then(|template| template.render(view));
    rendered.map_err(|error| DocumentError::from(&error))
}

/// Text that is markup already, and that a template takes as it is.
pub(super) fn made(text: String) -> Value {
    Value::from_safe_string(text)
}

/// Fills in a Markdown template and leaves at most one empty line between blocks.
pub(super) fn markdown(name: &str, view: Value) -> Result<String, DocumentError> {
    let rendered = render(name, view)?;
    let mut out = String::with_capacity(rendered.len());
    let mut empty = true;
    for line in rendered.lines().map(str::trim_end) {
        if !(line.is_empty() && empty) {
            out.push_str(line);
            out.push('\n');
        }
        empty = line.is_empty();
    }
    out.truncate(out.trim_end().len());
    out.push('\n');
    Ok(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rendered(template: &str, name: &str, view: Value) -> Result<String, Error> {
        let mut environment = environment()?;
        environment.add_template_owned(name.to_owned(), template.to_owned())?;
        environment.get_template(name)?.render(view)
    }

    #[test]
    fn every_template_is_one() {
        for (name, _) in TEMPLATES {
            environment().unwrap().get_template(name).unwrap();
        }
    }

    /// A tag at the beginning of a line takes the line's indentation with it, and so the text out of its list.
    #[test]
    fn no_indented_text_follows_a_tag_on_its_line() {
        for (name, text) in TEMPLATES {
            for line in text.lines().filter(|line| line.starts_with(' ')) {
                let tag = line.trim_start().starts_with("{%");
                assert!(!tag || line.ends_with("%}"), "{name}: {line}");
            }
        }
    }

    #[test]
    fn each_kind_of_file_escapes_in_its_own_way() {
        let view = || minijinja::context! { a => "<b> | {{ a }}", n => 3 };
        assert_eq!(
            rendered("{{ a }} {{ n }}", "x.md", view()).unwrap(),
            "\\<b\\> \\| {{ a }} 3"
        );
        assert_eq!(
            rendered("{{ n }}{{ a }}", "x.html", view()).unwrap(),
            "3&lt;b&gt; | {{ a }}"
        );
    }

    #[test]
    fn what_is_absent_or_no_text_is_an_error() {
        let view =
            || minijinja::context! { none => Option::<u8>::None, list => vec!["*"], flag => true };
        for template in ["{{ nope }}", "{{ none }}", "{{ list }}", "{{ flag }}"] {
            assert!(rendered(template, "x.md", view()).is_err(), "{template}");
        }
    }
}
