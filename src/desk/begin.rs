//! A new job: from a pattern or from a job that was done before, with what is wished beside it, to the text of its file.
//!
//! Takes words as somebody typed them; gives the text, or sentences that say what stands in the way. Where it is written is left to whoever asks.

use std::path::{Path, PathBuf};

use serde_json::Value;

use super::fill::{attempt, outcome};
use super::load::Loaded;
use crate::fill::{ToFill, ToWrite};
use crate::form::{self, Outline};
use crate::people;
use crate::report::{Problem, Severity, in_message, unknown_help, unless};
use crate::rules::pattern::{self, Choice, Chosen, Pattern};
use crate::rules::{self, Files, Wanted};
use crate::source::{self, Source};

/// What a new job is begun from.
pub(crate) enum From {
    /// A pattern by its id.
    Pattern(String),
    /// The file of a job that was done before.
    Job(PathBuf),
}

/// What is wished.
pub(crate) struct Wish {
    /// What the workshop calls the job.
    pub(crate) name: String,
    pub(crate) from: From,
    /// Options of the pattern, and values that are known already: `fuel=petrol`, `spacer=50`, `mounts=8`.
    pub(crate) words: Vec<String>,
    /// Connections more, each a class or `CLASS=ID`.
    pub(crate) add: Vec<String>,
    /// Connections that the vehicle does not have.
    pub(crate) without: Vec<String>,
}

/// Why there is no text: sentences, each of which may be followed by what could be asked for instead; none where what is wrong went to the
/// report.
type Refused = Vec<String>;

/// The text of the new job file.
pub(crate) fn begin(wish: &Wish, files: &Files, loaded: &mut Loaded) -> Result<String, Refused> {
    let words = Words::of(&wish.words);
    let mut outline = match &wish.from {
        From::Pattern(id) => of_pattern(id, &words, files, loaded)?,
        From::Job(path) => like(path, &words, files, loaded)?,
    };
    adjust(&mut outline, wish, &words, files, loaded)?;
    let wanted = Wanted::classes(outline.classes());
    let rules = rules::load(files, &wanted, &mut loaded.report);
    if loaded.report.has_errors() {
        return Err(Refused::new());
    }
    let text = form::form(&wish.name, &outline, &rules);
    with_values(text, (&words.values, &wish.without), files)
}

/// What is typed behind the name, sorted.
#[derive(Default)]
struct Words {
    options: Vec<String>,
    mounts: Option<String>,
    values: Vec<String>,
}

impl Words {
    fn of(typed: &[String]) -> Self {
        let mut words = Self::default();
        for word in typed {
            match word.split_once('=') {
                Some(("mounts", wished)) => words.mounts = Some(wished.to_owned()),
                Some((name, _)) if name == "spacer" || name.contains('.') => {
                    words.values.push(word.clone());
                }
                _ => words.options.push(word.clone()),
            }
        }
        words
    }
}

fn of_pattern(
    id: &str,
    words: &Words,
    files: &Files,
    loaded: &mut Loaded,
) -> Result<Outline, Refused> {
    let known = pattern::ids(files);
    if !known.iter().any(|known| known == id) {
        let help = unknown_help(id, known.iter().map(String::as_str));
        return Err(vec![format!(
            "there is no pattern `{}`; {help}\n\n{}",
            in_message(id),
            list(files, loaded)
        )]);
    }
    let pattern = pattern::load(files, id, &mut loaded.report).ok_or_else(Refused::new)?;
    let chosen = choose(&pattern, &words.options).map_err(|mut problems| {
        if let Some(last) = problems.last_mut() {
            last.push_str(&format!("\n\n{}", described(&pattern)));
        }
        problems
    })?;
    Outline::of(&pattern, &chosen, &mut loaded.report).ok_or_else(Refused::new)
}

/// The outline of a job that was done before, which must be right.
fn like(
    path: &Path,
    words: &Words,
    files: &Files,
    loaded: &mut Loaded,
) -> Result<Outline, Refused> {
    if let Some(option) = words.options.first() {
        return Err(vec![format!(
            "`{}` is an option of a pattern; with --like, everything is as it was there but for values such as `spacer=50`",
            in_message(option)
        )]);
    }
    let source = loaded.source(path).ok_or_else(Refused::new)?;
    let found = outcome(&source, files);
    if found.report.has_errors() {
        loaded.report.extend(found.report.problems);
        return Err(Refused::new());
    }
    let job = crate::job::read(&source, false, &mut loaded.report).ok_or_else(Refused::new)?;
    let rules = loaded.rules_for(&job, files);
    let read = source::read::<Value>(&source, &mut loaded.report).ok_or_else(Refused::new)?;
    Ok(Outline::like(&read.value, source.name(), &rules))
}

/// Mounts and connections as they are wished.
fn adjust(
    outline: &mut Outline,
    wish: &Wish,
    words: &Words,
    files: &Files,
    loaded: &mut Loaded,
) -> Result<(), Refused> {
    let mut problems = Vec::new();
    if let Some(mounts) = &words.mounts {
        let set = match &wish.from {
            From::Pattern(_) => outline.set_mounts(mounts),
            From::Job(_) => Err(
                "with --like, the mounts are those of that job; change them in the new file"
                    .to_owned(),
            ),
        };
        problems.extend(set.err());
    }
    let patterns = match &wish.from {
        _ if wish.add.is_empty() => Vec::new(),
        From::Pattern(own) => patterns(own, files, loaded),
        From::Job(_) => patterns("", files, loaded),
    };
    let known = files.class_ids();
    for typed in &wish.add {
        let (class, id) = match typed.split_once('=') {
            Some((class, id)) => (class.trim(), Some(id.trim())),
            None => (typed.trim(), None),
        };
        let added = if known.iter().any(|known| known == class) {
            outline.add(class, id, &patterns)
        } else {
            let help = unknown_help(class, known.iter().map(String::as_str));
            Err(format!(
                "there is no class of connection `{}`; {help}",
                in_message(class)
            ))
        };
        problems.extend(added.err());
    }
    unless(problems, ())
}

/// Every pattern, that of an id before all others.
pub(crate) fn patterns(first: &str, files: &Files, loaded: &mut Loaded) -> Vec<Pattern> {
    let mut ids = pattern::ids(files);
    ids.sort_by_key(|id| id != first);
    let patterns = ids
        .iter()
        .filter_map(|id| pattern::load(files, id, &mut loaded.report));
    patterns.collect()
}

/// The text with values in it and without some connections; it must be such as `check` takes.
fn with_values(
    text: String,
    (values, without): (&[String], &[String]),
    files: &Files,
) -> Result<String, Refused> {
    let pairs = values.iter().filter_map(|typed| typed.split_once('='));
    let changes = pairs.map(|(place, value)| ToWrite::new(place, value));
    let asked = ToFill {
        changes: changes.collect(),
        without: without.to_vec(),
        ..ToFill::default()
    };
    let source = Source::from_text("", text);
    let before = outcome(&source, files);
    let wrong: Vec<String> = before
        .report
        .problems
        .iter()
        .filter(|problem| problem.severity == Severity::Error)
        .map(said)
        .collect();
    unless(wrong, ())?;
    if asked.changes.is_empty() && without.is_empty() {
        return Ok(source.text().to_owned());
    }
    let done = attempt(&source, &asked, &before, files);
    let done = done.map_err(|problems| problems.iter().map(said).collect::<Refused>())?;
    Ok(done.filled.text)
}

fn said(problem: &Problem) -> String {
    match &problem.help {
        Some(help) => format!("{}; {help}", problem.message),
        None => problem.message.clone(),
    }
}

/// The options as typed: `fuel=petrol`.
fn choose(pattern: &Pattern, typed: &[String]) -> Result<Chosen, Vec<String>> {
    let (mut given, mut problems) = (Vec::new(), Vec::new());
    for text in typed {
        match text.split_once('=') {
            Some(pair) => given.push(pair),
            None => problems.push(format!(
                "`{text}` is not an option; write it as `name=word`"
            )),
        }
    }
    match pattern.choose(given) {
        Ok(chosen) if problems.is_empty() => Ok(chosen),
        chosen => {
            problems.extend(chosen.err().into_iter().flatten());
            Err(problems)
        }
    }
}

/// Every pattern with its options.
pub(crate) fn list(files: &Files, loaded: &mut Loaded) -> String {
    let patterns = patterns("", files, loaded);
    let patterns: Vec<String> = patterns.iter().map(described).collect();
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

/// The longest file name, in bytes: what the usual file systems take, less room for the ending.
const LONGEST: usize = 200;

/// The job's name as a file name: whatever is no letter or digit becomes a `-`. Who writes a name like a path means the path, and a file
/// elsewhere would not be found: that is refused.
pub(crate) fn file_name(name: &str) -> Result<String, String> {
    if let Some(parted) = name.chars().find(|c| ['/', '\\'].contains(c)) {
        return Err(format!(
            "`{}` is the job's name, and no file is named with `{parted}`; say with -o where the file goes, such as `-o jobs/ridge-gang.yaml`, or take another name",
            in_message(name)
        ));
    }
    let words = name.split(|c: char| !(c.is_alphanumeric() || c == '_'));
    let words: Vec<&str> = words.filter(|word| !word.is_empty()).collect();
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
    let file = format!("{file}.yaml");
    if file.eq_ignore_ascii_case(people::FILE) {
        return Err(format!(
            "`{file}` shows the people of the workshop; take another name for the job"
        ));
    }
    Ok(file)
}
