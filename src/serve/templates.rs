//! The templates of this server's pages, filled in.
//!
//! Takes a template's name and its values; gives HTML. Everything that is put in is escaped, but for the text of a task and pictures, which
//! come escaped from `document`.

use std::sync::LazyLock;

use minijinja::syntax::SyntaxConfig;
use minijinja::value::Serde;
use minijinja::{Environment, Error, State, UndefinedBehavior, Value as Filled};
use serde_json::Value;

use crate::document;

/// A template by its name.
macro_rules! template {
    ($name:literal) => {
        (
            $name,
            include_str!(concat!("../../templates/serve/", $name)),
        )
    };
}

const TEMPLATES: [(&str, &str); 15] = [
    template!("shell.html"),
    template!("refused.html"),
    template!("jobs.html"),
    template!("new.html"),
    template!("people.html"),
    template!("sign-in.html"),
    template!("job.html"),
    template!("survey.html"),
    template!("reading.html"),
    template!("work.html"),
    template!("fields.html"),
    template!("task.html"),
    template!("wrong.html"),
    template!("record.html"),
    template!("study.html"),
];

/// What was filled in under a name of a form that was refused; nothing where none was.
fn typed(state: &State<'_, '_>, name: &str) -> String {
    let again = state.lookup("again").unwrap_or_default();
    let own = again.get_attr(name).unwrap_or_default();
    own.as_str().unwrap_or_default().to_owned()
}

static ENVIRONMENT: LazyLock<Result<Environment<'static>, Error>> = LazyLock::new(|| {
    let mut environment = Environment::new();
    environment.set_undefined_behavior(UndefinedBehavior::Strict);
    let mut syntax = SyntaxConfig::builder();
    environment.set_syntax(syntax.trim_blocks(true).lstrip_blocks(true).build()?);
    environment.add_filter("address", |text: &str| document::url(text));
    environment.add_function("typed", typed);
    for (name, text) in TEMPLATES {
        environment.add_template(name, text)?;
    }
    Ok(environment)
});

/// A page without anybody's name on it.
pub(super) fn filled(name: &str, values: &Value) -> String {
    let page = ENVIRONMENT.as_ref().map_err(ToString::to_string);
    let page = page.and_then(|environment| {
        let template = environment.get_template(name);
        let text = template.and_then(|template| template.render(Filled::from(Serde(values))));
        text.map_err(|error| format!("{error:#}"))
    });
    // A template that cannot be filled in is a defect of the program, and is said in words.
    page.unwrap_or_else(|error| error.replace('<', "&lt;"))
}
