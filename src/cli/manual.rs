//! `manual`: the manual pages, one a command: one of them to standard output, or all of them into a folder.

use std::path::Path;

use clap::Command;
use clap_mangen::Man;

use super::args::{self, ManualArgs};
use super::page::MARK;
use super::{End, fail, output, print_page};
use crate::VERSION;
use crate::report::unknown_help;

pub(super) fn run(args: &ManualArgs) -> End {
    let pages = pages();
    match args.output.as_deref() {
        Some(folder) if folder != Path::new("-") => write(args, folder, &pages),
        _ => one(args.command.as_deref(), &pages),
    }
}

/// A page and what it is called.
struct Page {
    /// `liftsheet`, or `liftsheet-sheet` for a command.
    name: String,
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
    std::iter::once(page(args::NAME.to_owned(), program.clone()))
        .chain(commands)
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
        text: text.replace(".SH EXTRA\n", ".SH NOTES\n"),
    }
}

fn one(command: Option<&str>, pages: &[Page]) -> End {
    let name = command.map_or_else(
        || args::NAME.to_owned(),
        |command| format!("{}-{command}", args::NAME),
    );
    if let Some(page) = pages.iter().find(|page| page.name == name) {
        return print_page(&page.text);
    }
    let prefix = format!("{}-", args::NAME);
    let known = pages
        .iter()
        .filter_map(|page| page.name.strip_prefix(&prefix));
    let command = command.unwrap_or_default();
    let help = unknown_help(command, known);
    fail(&format!(
        "there is no command `{command}`; {help}; `{} --help` lists them all",
        args::NAME
    ))
}

fn write(args: &ManualArgs, folder: &Path, pages: &[Page]) -> End {
    if args.command.is_some() {
        return fail("a folder takes every page; leave the command or -o out");
    }
    if !output::is_folder(folder) {
        return fail("the pages go into a folder; end its name in `/`, such as `-o man/`");
    }
    if let Err(error) = output::create_folder(folder) {
        return fail(&error.to_string());
    }
    for page in pages {
        let path = folder.join(format!("{}.1", page.name));
        if let Err(error) = output::write(&path, &page.text, MARK, args.force) {
            return fail(&error.to_string());
        }
    }
    End::Done
}
