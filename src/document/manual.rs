//! The manual: what does not fit into a command's help, as topics that the program carries.
//!
//! Gives a topic's Markdown by its name, and all of them as one [`Page`] with a table of contents. The manual pages of the commands are made
//! of the command line itself and left to `cli`; how Markdown becomes a manual page is left to its neighbour `manpage`.

use super::{Page, manpage};
use crate::VERSION;

/// A topic of the manual.
#[derive(Debug, Clone, Copy)]
pub struct Topic {
    /// The word by which it is asked for.
    pub name: &'static str,
    /// Its text, with its title as the first line.
    pub text: &'static str,
}

/// The topic of a name.
macro_rules! topic {
    ($name:literal) => {
        Topic {
            name: $name,
            text: include_str!(concat!("../../templates/manual/", $name, ".md")),
        }
    };
}

/// Every topic, in the order of the book.
pub const TOPICS: [Topic; 14] = [
    topic!("walks"),
    topic!("job-file"),
    topic!("how-it-decides"),
    topic!("pages"),
    topic!("record"),
    topic!("people"),
    topic!("workshop"),
    topic!("crew"),
    topic!("rules"),
    topic!("rule-files"),
    topic!("units"),
    topic!("plan-json"),
    topic!("commands"),
    topic!("glossary"),
];

impl Topic {
    /// Its title.
    pub fn title(&self) -> &'static str {
        let first = self.text.lines().next().unwrap_or_default();
        first.trim_start_matches("# ")
    }

    /// It as a manual page of section 5, named after the program: `liftsheet-job-file`.
    pub(crate) fn manual_page(&self, program: &str) -> String {
        manpage::page(&format!("{program}-{}", self.name), self.text)
    }
}

/// The topic of a name.
pub fn find(name: &str) -> Option<&'static Topic> {
    TOPICS.iter().find(|topic| topic.name == name)
}

/// All topics as one page.
pub(crate) fn book() -> Page {
    let contents = TOPICS.iter().map(|topic| {
        let title = topic.title();
        format!("- {title}\n")
    });
    let topics = TOPICS.iter().map(|topic| {
        // A topic's title opens a section of the page; what stood below it goes one deeper.
        let text = topic.text.replace("\n## ", "\n### ");
        format!("\n#{text}")
    });
    Page {
        title: "liftsheet: the manual".to_owned(),
        markdown: format!(
            "# The manual\n\nWhat does not fit into the help of a command. Search it with the browser.\n\n## What stands here\n\n{}{}\nMade with liftsheet {VERSION}.\n",
            contents.collect::<String>(),
            topics.collect::<String>()
        ),
        footer: format!("the manual · liftsheet {VERSION}"),
        ..Page::default()
    }
}
