//! `manual`: the topics of the manual and the manual pages of the commands: one of them to standard output, the topics as one HTML book, or
//! every manual page into a folder.

use std::path::Path;

use clap::Command;
use clap_mangen::Man;

use super::args::{self, ManualArgs};
use super::{End, print_page};
use crate::VERSION;
use crate::desk::file::{self, MARK};
use crate::document::{self, Look, manual};
use crate::report::unknown_help;

pub(super) fn run(args: &ManualArgs) -> Result<End, String> {
    match args.output.as_deref() {
        Some(file) if file.extension().is_some_and(|ending| ending == "html") => book(args, file),
        Some(folder) if folder != Path::new("-") => write(args, folder, &pages()),
        _ => match args.topic.as_deref().and_then(manual::find) {
            Some(topic) => Ok(print_page(topic.text)),
            None => print_command(args.topic.as_deref(), &pages()),
        },
    }
}

/// All topics as one page.
fn book(args: &ManualArgs, file: &Path) -> Result<End, String> {
    if args.topic.is_some() {
        return Err("the book has every topic; leave the topic or -o out".to_owned());
    }
    let html = document::html(&manual::book(), Look::default());
    let html = html.map_err(|error| error.to_string())?;
    file::write(file, &html, args.force).map(|()| End::Done)
}

/// A manual page and what it is called.
struct Page {
    /// `liftsheet`, `liftsheet-sheet` for a command, or `liftsheet-record` for a topic.
    name: String,
    /// 1 for commands, 5 for what files hold.
    section: u8,
    text: String,
}

/// The page of the program, and one for each of its commands.
fn pages() -> Vec<Page> {
    let mut program = args::command().disable_help_subcommand(true);
    program.build();
    let commands: Vec<Command> = program.get_subcommands().cloned().collect();
    let commands = commands.into_iter().map(|command| {
        let name = format!("{}-{}", args::NAME, command.get_name());
        page(name.clone(), command.display_name(name))
    });
    let topics = manual::TOPICS.iter().map(|topic| Page {
        name: format!("{}-{}", args::NAME, topic.name),
        section: 5,
        text: format!(".\\\" {MARK}\n{}", topic.manual_page(args::NAME)),
    });
    std::iter::once(page(args::NAME.to_owned(), program.clone()))
        .chain(commands)
        .chain(topics)
        .collect()
}

fn page(name: String, command: Command) -> Page {
    let mut text = format!(".\\\" {MARK}\n").into_bytes();
    // Writing to memory does not fail.
    let source = format!("{} {}", args::NAME, VERSION);
    let _ = Man::new(command).source(source).render(&mut text);
    let text = String::from_utf8_lossy(&text);
    // What stands behind the help of a command is its examples.
    let text = text.replace(".SH EXTRA\nExamples:\n", ".SH EXAMPLES\n");
    Page {
        name,
        section: 1,
        text: text.replace(".SH EXTRA\n", ".SH NOTES\n"),
    }
}

fn print_command(command: Option<&str>, pages: &[Page]) -> Result<End, String> {
    let name = command.map_or_else(
        || args::NAME.to_owned(),
        |command| format!("{}-{command}", args::NAME),
    );
    let mut commands = pages.iter().filter(|page| page.section == 1);
    if let Some(page) = commands.find(|page| page.name == name) {
        return Ok(print_page(&page.text));
    }
    let prefix = format!("{}-", args::NAME);
    let known = pages
        .iter()
        .filter_map(|page| page.name.strip_prefix(&prefix));
    let command = command.unwrap_or_default();
    let help = unknown_help(command, known);
    Err(format!(
        "there is no topic or command `{command}`; {help}; `{} manual --help` lists the topics",
        args::NAME
    ))
}

fn write(args: &ManualArgs, folder: &Path, pages: &[Page]) -> Result<End, String> {
    if args.topic.is_some() {
        return Err("a folder takes every page; leave the topic or -o out".to_owned());
    }
    if !file::is_folder(folder) {
        return Err(
            "manual pages go into a folder: end its name in `/`, such as `-o man/`; the book is one file: end its name in `.html`"
                .to_owned(),
        );
    }
    file::create_folder(folder)?;
    for page in pages {
        let path = folder.join(format!("{}.{}", page.name, page.section));
        file::write(&path, &page.text, args.force)?;
    }
    Ok(End::Done)
}
