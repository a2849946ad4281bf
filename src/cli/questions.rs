//! `fill` on a terminal: one question after the other in walking order, each value written as soon as it is given.
//!
//! Takes lines that somebody types; gives, for each, what it came to. Nothing is lost when it is left: what was answered stands in the file.

use std::collections::BTreeSet;
use std::io::{self, BufRead as _, IsTerminal as _};

use super::args::FillArgs;
use super::{End, complain, fail, output, refused_all};
use crate::desk::fill::{self, enter, told};
use crate::desk::load::Loaded;
use crate::document::Wanted;
use crate::fill::{ToFill, ToWrite, connection};
use crate::report::in_message;
use crate::rules::{Area, Files};
use strum::IntoEnumIterator;

/// What may be typed instead of a value.
const WORDS: &str = "A value, or: `all` and a value that all mounts have, `later` (or nothing) for the next one, `back` for the one before, `not there` where the vehicle has no such connection, `stop` to leave.";

pub(super) fn run(args: &FillArgs) -> End {
    if !(io::stdin().is_terminal() && io::stderr().is_terminal()) {
        return fail(
            "no value is given; write PLACE=VALUE behind the job file, or `--from` and a filled table; on a terminal each is asked for",
        );
    }
    let mut loaded = Loaded::default();
    let Some(files) = loaded.rule_files(&args.rules) else {
        return complain(&loaded).max(End::Open);
    };
    let mut round = Round {
        args,
        files: &files,
        later: BTreeSet::new(),
        asked: Vec::new(),
        doubted: None,
        gone: None,
        left: 0,
    };
    if let Some(area) = args.area.as_deref().filter(|area| !areas().contains(area)) {
        let area = in_message(area);
        return fail(&format!(
            "the vehicle has no `{area}`; its parts are {}",
            areas().join(", ")
        ));
    }
    output::complain(&format!("{WORDS}\n"));
    let end = round.ask();
    output::complain(&format!("{} left to measure.\n", round.left));
    end
}

/// A round of questions.
struct Round<'a> {
    args: &'a FillArgs,
    files: &'a Files,
    /// The places of what was put off.
    later: BTreeSet<String>,
    /// What was asked before, for going back.
    asked: Vec<Wanted>,
    /// What was given last and is far from what it was last time: given once more, it is written.
    doubted: Option<ToWrite>,
    /// Where it was last said that there is no such connection.
    gone: Option<String>,
    /// How many were missing when that was last looked for.
    left: usize,
}

/// What somebody typed.
enum Answer {
    Value(String),
    Later,
    Back,
    NotThere,
    Stop,
}

impl Round<'_> {
    /// Asks until nothing is left, or somebody stops.
    fn ask(&mut self) -> End {
        let mut again: Option<Wanted> = None;
        loop {
            let question = match again.take() {
                Some(question) => question,
                None => match self.next() {
                    Ok(Some(question)) => question,
                    Ok(None) => return End::Done,
                    Err(end) => return end,
                },
            };
            output::complain(&put(&question));
            // Where the answer is typed.
            output::draw(&format!("{}: ", in_message(&question.place)));
            match answer() {
                Answer::Stop => return End::Done,
                Answer::Later => {
                    self.later.insert(question.place.clone());
                    self.asked.push(question);
                }
                Answer::Back => {
                    again = Some(self.asked.pop().unwrap_or(question));
                }
                Answer::NotThere => {
                    if !self.is_gone(&question) {
                        again = Some(question);
                    }
                }
                Answer::Value(value) => {
                    let change = given(&question, &value);
                    if self.is_doubted(&change) {
                        again = Some(question);
                    } else {
                        self.write(&question, vec![change], Vec::new());
                    }
                }
            }
        }
    }

    /// Takes out the connection of a question once it is said twice that it is not there, since what was filled in for it goes with it.
    fn is_gone(&mut self, question: &Wanted) -> bool {
        let Some(id) = connection(&question.place) else {
            output::complain("This is no connection that could be missing.\n");
            return false;
        };
        let said = self.gone.replace(question.place.clone());
        if said.as_ref() == Some(&question.place) {
            self.write(question, Vec::new(), vec![id.to_owned()]);
            return true;
        }
        output::complain(&format!(
            "`{}` goes out of the file, with all that was filled in for it. Is it not there? The same once more takes it out.\n",
            in_message(id)
        ));
        false
    }

    /// The first that is missing now of the part of the vehicle that is asked for, and was not put off.
    fn next(&mut self) -> Result<Option<Wanted>, End> {
        let mut loaded = Loaded::default();
        let Some(source) = loaded.source(&self.args.job) else {
            return Err(complain(&loaded));
        };
        let mut wanted = fill::wanted(&source, self.files).map_err(|report| {
            loaded.report.extend(report.problems);
            complain(&loaded).max(End::Open)
        })?;
        if let Some(area) = self.args.area.as_deref() {
            wanted.retain(|one| one.area == area);
        }
        self.left = wanted.len();
        let mut wanted = wanted.into_iter();
        Ok(wanted.find(|one| !self.later.contains(&one.place)))
    }

    /// Whether somebody is to look again at what is far from what it was last time; the same once more is taken.
    fn is_doubted(&mut self, change: &ToWrite) -> bool {
        let before = self.doubted.take();
        if before.as_ref() == Some(change) {
            return false;
        }
        let asked = ToFill::of(vec![change.clone()]);
        let into = (self.args.job.as_path(), self.files, true);
        let Ok(done) = enter(into, &asked, &mut Loaded::default()) else {
            return false;
        };
        for problem in &done.doubts {
            output::complain(&format!(
                "{}. Look again; the same once more is written.\n",
                problem.message
            ));
            self.doubted = Some(change.clone());
        }
        self.doubted.is_some()
    }

    /// Writes an answer and says what it came to; one that cannot be taken is told, and asked for again.
    fn write(&mut self, question: &Wanted, changes: Vec<ToWrite>, without: Vec<String>) {
        let asked = ToFill {
            changes,
            without,
            ..ToFill::default()
        };
        let mut loaded = Loaded::default();
        let into = (self.args.job.as_path(), self.files, self.args.dry_run);
        match enter(into, &asked, &mut loaded) {
            Ok(done) => {
                output::complain(&told(&done, &asked));
                self.later.remove(&question.place);
                if self.args.dry_run {
                    self.later.insert(question.place.clone());
                }
                self.asked.push(question.clone());
            }
            Err(problems) => {
                refused_all(loaded, problems, &self.args.job);
            }
        }
    }
}

/// The parts of the vehicle in walking order, and what is of none of them.
fn areas() -> Vec<&'static str> {
    let parts = Area::iter().map(Area::word);
    ["the vehicle"].into_iter().chain(parts).collect()
}

/// An answer as a change; one that holds for all mounts goes to what they share.
fn given(question: &Wanted, typed: &str) -> ToWrite {
    let name = question
        .place
        .strip_prefix("mounts.")
        .and_then(|place| place.split_once('.'));
    let all = typed
        .split_once(' ')
        .filter(|(word, _)| word.eq_ignore_ascii_case("all"));
    let (place, typed) = match name.zip(all) {
        Some(((_, name), (_, value))) => (format!("every_mount.{name}"), value.trim()),
        None => (question.place.clone(), typed),
    };
    let value = match typed.to_lowercase().as_str() {
        "y" if question.unit == "yes / no" => "yes",
        "n" if question.unit == "yes / no" => "no",
        _ => typed,
    };
    ToWrite::new(&place, value)
}

/// A question: what, how it is taken, what it decides.
fn put(question: &Wanted) -> String {
    let mut text = format!("\n{}", question.area);
    if !question.connection.is_empty() {
        text.push_str(&format!(", {}", question.connection));
    }
    let unit = match (question.unit.as_str(), question.close.as_str()) {
        ("", _) => String::new(),
        (unit, "") => format!(" ({unit})"),
        (unit, close) => format!(" ({unit}, to {close})"),
    };
    text.push_str(&format!(": {}{unit}\n", question.what));
    let last = match question.last.as_str() {
        "" => String::new(),
        last => format!("Last time {}.", in_message(last)),
    };
    for more in [&question.how, &question.decides, &last] {
        if !more.is_empty() {
            text.push_str(&format!("  {more}\n"));
        }
    }
    text
}

fn answer() -> Answer {
    let mut line = String::new();
    if io::stdin()
        .lock()
        .read_line(&mut line)
        .is_ok_and(|read| read == 0)
    {
        return Answer::Stop;
    }
    match line.trim().to_lowercase().as_str() {
        "" | "later" => Answer::Later,
        "back" => Answer::Back,
        "not there" => Answer::NotThere,
        "stop" => Answer::Stop,
        _ => Answer::Value(line.trim().to_owned()),
    }
}
