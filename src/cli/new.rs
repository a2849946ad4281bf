//! `new`: a job file to fill in, from a pattern and what was chosen of its options.

use std::path::{Path, PathBuf};

use super::args::NewArgs;
use super::{End, complain, fail, print, print_page};
use crate::desk::file;
use crate::desk::fill::{Asked, attempt, outcome};
use crate::desk::load::Loaded;
use crate::fill::Change;
use crate::form;
use crate::report::{in_message, unknown_help};
use crate::rules::pattern::{self, Choice, Chosen, Pattern};
use crate::rules::{self, Files, Wanted};
use crate::source::Source;

pub(super) fn run(args: &NewArgs) -> End {
    let mut loaded = Loaded::default();
    let made = make(args, &mut loaded);
    loaded.show_builtin();
    let end = complain(&loaded);
    match made {
        Some(Ok(made)) if end == End::Done => deliver(args, &made),
        Some(Err(message)) => end.max(fail(&message)),
        _ => end.max(End::Open),
    }
}

/// What a run comes to.
enum Made {
    /// The patterns with their options: nothing was asked for.
    List(String),
    /// The job file.
    File { name: String, text: String },
}

/// The list or the file; a sentence when something was asked for that is not there, nothing when the rules are at fault.
fn make(args: &NewArgs, loaded: &mut Loaded) -> Option<Result<Made, String>> {
    let files = loaded.rule_files(&args.rules)?;
    let (name, wanted) = match (&args.name, &args.pattern) {
        (None, None) => return Some(Ok(Made::List(list(&files, loaded)))),
        (Some(name), Some(wanted)) => (name, wanted),
        (Some(_), None) => {
            let message = "a job file is begun from a pattern; choose one with --pattern";
            return Some(Err(format!("{message}\n\n{}", list(&files, loaded))));
        }
        (None, Some(wanted)) => {
            let message = "the job has no name; put one in front, such as";
            return Some(Err(format!(
                "{message} `liftsheet new ridge-gang --pattern {wanted}`"
            )));
        }
    };
    let known = pattern::ids(&files);
    if !known.contains(wanted) {
        let help = unknown_help(wanted, known.iter().map(String::as_str));
        let list = list(&files, loaded);
        return Some(Err(format!(
            "there is no pattern `{wanted}`; {help}\n\n{list}"
        )));
    }
    let pattern = pattern::load(&files, wanted, &mut loaded.report)?;
    let (values, options): (Vec<String>, Vec<String>) = args
        .options
        .iter()
        .cloned()
        .partition(|typed| is_value(typed));
    let chosen = match choose(&pattern, &options) {
        Ok(chosen) => chosen,
        Err(problems) => {
            return Some(Err(format!(
                "{}\n\n{}",
                problems.join("\nliftsheet: "),
                described(&pattern)
            )));
        }
    };
    let text = text(name, (&pattern, &chosen), &files, loaded)?;
    let made = with_values(text, &values, &files);
    Some(made.map(|text| Made::File {
        name: name.clone(),
        text,
    }))
}

/// Whether what is typed is a value of the job file rather than an option of the pattern: `spacer=50`, `vehicle.body_mass='760 kg'`.
fn is_value(typed: &str) -> bool {
    let name = typed.split_once('=').map_or("", |(name, _)| name);
    name == "spacer" || name.contains('.')
}

/// The text with values in it, which must be such as `check` takes.
fn with_values(text: String, values: &[String], files: &Files) -> Result<String, String> {
    if values.is_empty() {
        return Ok(text);
    }
    let pairs = values.iter().filter_map(|typed| typed.split_once('='));
    let changes = pairs.map(|(place, value)| Change {
        place: match place {
            "spacer" => "lift.spacer".to_owned(),
            place => place.to_owned(),
        },
        value: value.to_owned(),
        line: None,
    });
    let asked = Asked {
        changes: changes.collect(),
        ..Asked::default()
    };
    let source = Source::from_text("", text);
    let before = outcome(&source, files);
    let done = attempt(&source, &asked, &before, files).map_err(|problems| {
        let said = problems.into_iter().map(|problem| match problem.help {
            Some(help) => format!("{}; {help}", problem.message),
            None => problem.message,
        });
        said.collect::<Vec<_>>().join("\nliftsheet: ")
    })?;
    Ok(done.filled.text)
}

fn text(
    name: &str,
    (pattern, chosen): (&Pattern, &Chosen),
    files: &Files,
    loaded: &mut Loaded,
) -> Option<String> {
    let rules = rules::load(
        files,
        &Wanted::classes(pattern.classes()),
        &mut loaded.report,
    );
    if loaded.report.has_errors() {
        return None;
    }
    form::form(name, (pattern, chosen), &rules, &mut loaded.report)
}

/// The options as typed: `fuel=petrol`.
fn choose(pattern: &Pattern, typed: &[String]) -> Result<Chosen, Vec<String>> {
    let split = |text: &String| {
        let pair = text.split_once('=');
        pair.map(|(name, word)| (name.to_owned(), word.to_owned()))
            .ok_or_else(|| format!("`{text}` is not an option; write it as `name=word`"))
    };
    let (given, bad): (Vec<_>, Vec<_>) = typed.iter().map(split).partition(Result::is_ok);
    let given: Vec<(String, String)> = given.into_iter().filter_map(Result::ok).collect();
    let mut problems: Vec<String> = bad.into_iter().filter_map(Result::err).collect();
    let given = given
        .iter()
        .map(|(name, word)| (name.as_str(), word.as_str()));
    match pattern.choose(given) {
        Ok(chosen) if problems.is_empty() => Ok(chosen),
        Ok(_) => Err(problems),
        Err(more) => {
            problems.extend(more);
            Err(problems)
        }
    }
}

/// Every pattern with its options.
fn list(files: &Files, loaded: &mut Loaded) -> String {
    let ids = pattern::ids(files);
    let patterns = ids
        .iter()
        .filter_map(|id| pattern::load(files, id, &mut loaded.report));
    let patterns: Vec<String> = patterns.map(|pattern| described(&pattern)).collect();
    if patterns.is_empty() {
        return "There is no pattern in these rules; put one into `patterns/`.\n".to_owned();
    }
    patterns.join("\n")
}

fn described(pattern: &Pattern) -> String {
    let options: String = pattern.options.iter().map(option).collect();
    format!(
        "{}: {}\n  {}\n{options}",
        pattern.id, pattern.title, pattern.what
    )
}

fn option((name, choice): (&String, &Choice)) -> String {
    let words = choice.choices.join("|");
    format!(
        "  {name}={words}: {} ({} when not chosen)\n",
        choice.label, choice.default
    )
}

fn deliver(args: &NewArgs, made: &Made) -> End {
    let (name, text) = match made {
        Made::List(list) => return print(list),
        Made::File { name, text } => (name, text),
    };
    let path = match target(args.output.as_deref(), name) {
        Ok(Some(path)) => path,
        Ok(None) => return print_page(text),
        Err(message) => return fail(&message),
    };
    match file::create(&path, text, args.force) {
        // The file's name is not always the job's, so it is said.
        Ok(()) => print(&format!("{} written\n", file::shown(&path))),
        Err(error) => fail(&error.to_string()),
    }
}

/// Where the file goes; nothing for standard output.
fn target(output: Option<&Path>, name: &str) -> Result<Option<PathBuf>, String> {
    match output {
        Some(path) if path == Path::new("-") => Ok(None),
        Some(path) if file::is_folder(path) => Ok(Some(path.join(file_name(name)?))),
        Some(path) => Ok(Some(path.to_owned())),
        None => file_name(name).map(|file| Some(PathBuf::from(file))),
    }
}

/// The longest file name, in bytes: what the usual file systems take, less room for the ending.
const LONGEST: usize = 200;

/// The job's name as a file name: whatever is no letter or digit becomes a `-`. Who writes a name like a path means the path, and a file
/// elsewhere would not be found: that is refused.
fn file_name(name: &str) -> Result<String, String> {
    if let Some(parted) = name.chars().find(|c| ['/', '\\'].contains(c)) {
        return Err(format!(
            "`{}` is the job's name, and no file is named with `{parted}`; say with -o where the file goes, such as `-o jobs/ridge-gang.yaml`, or take another name",
            in_message(name)
        ));
    }
    let kept = |c: char| {
        if c.is_alphanumeric() || c == '_' {
            c
        } else {
            '-'
        }
    };
    let mapped: String = name.chars().map(kept).collect();
    let words: Vec<&str> = mapped.split('-').filter(|word| !word.is_empty()).collect();
    let file = words.join("-");
    if file.is_empty() || file.len() > LONGEST {
        let what = if file.is_empty() {
            "has no letter or digit for"
        } else {
            "is too long for"
        };
        return Err(format!(
            "the job's name {what} a file name; say with -o where the file goes"
        ));
    }
    Ok(format!("{file}.yaml"))
}
