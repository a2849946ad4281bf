//! `fill`: values into a job file, from the command line, a table or questions; what they come to is said at once.

use std::path::Path;

use super::args::FillArgs;
use super::{End, check, complain, fail, output, print, questions, refused_all};
use crate::desk::file;
use crate::desk::fill::{enter, told};
use crate::desk::load::{Loaded, table};
use crate::desk::open;
use crate::fill::{self, ToFill, ToWrite};
use crate::report::{Code, Place, Problem, in_message, unless};
use crate::rules::Files;
use crate::source::Source;

pub(super) fn run(args: &FillArgs) -> End {
    if args.job == Path::new("-") {
        return fail("values are written into a job file; give the file's name");
    }
    let nothing = args.values.is_empty() && args.from.is_none() && args.without.is_empty();
    if nothing {
        return questions::run(args);
    }
    let mut loaded = Loaded::default();
    let text = match filled(args, &mut loaded) {
        Ok(text) => text,
        Err(problems) => return refused_all(loaded, problems, &args.job),
    };
    complain(&loaded).max(print(&text))
}

/// Writes everything and says what it came to; nothing is written when something is wrong.
fn filled(args: &FillArgs, loaded: &mut Loaded) -> Result<String, Vec<Problem>> {
    let files = loaded.rule_files(&args.rules).ok_or_else(Vec::new)?;
    let asked = asked(args)?;
    let done = enter((&args.job, &files, args.dry_run), &asked, loaded)?;
    let mut text = told(&done, &asked);
    text.extend(signed_for(&args.job, done.filled.text, &files));
    let placed = |problem: Problem| problem.at(Place::at(&args.job));
    loaded.report.extend(done.doubts.into_iter().map(placed));
    let file = file::shown(&args.job);
    let how = if args.dry_run {
        "would be written"
    } else {
        "written"
    };
    text.push_str(&format!("{file} {how}\n"));
    // The whole list is what `survey` is for.
    if let Some(count) = check::said((&args.job, done.missing)).lines().next() {
        text.push_str(&format!("{count}\n"));
    }
    Ok(text)
}

/// That it is otherwise than was signed for, with what that opens again; nothing where nobody has to sign for it.
fn signed_for(job: &Path, text: String, files: &Files) -> Option<String> {
    // What is wrong with a record is told by whoever works with it.
    let desk = open::with(job, None, output::complain).ok()?;
    let then = Source::from_text(file::shown(job), text);
    let (mut opens, refused) = desk.would_open(&then, files)?;
    // What would be refused is said before it is written.
    opens.extend(refused.map(|problem| format!("and is refused so: {}", problem.message)));
    let list = opens.iter().map(|one| format!("  {}\n", in_message(one)));
    let again = match opens.len() {
        0 => "opens nothing again".to_owned(),
        count => format!("opens again ({count}):"),
    };
    Some(format!(
        "otherwise than was signed for; taking it with `sign --act changed` {again}\n{}",
        list.collect::<String>()
    ))
}

/// What is asked for on the command line and in the table.
fn asked(args: &FillArgs) -> Result<ToFill, Vec<Problem>> {
    let mut problems = Vec::new();
    let mut asked = ToFill {
        without: args.without.clone(),
        ..ToFill::default()
    };
    for pair in &args.values {
        if let Some((place, value)) = pair.split_once('=') {
            let change = ToWrite::new(place.trim(), value.trim());
            asked.changes.push(change);
        } else {
            let message = format!("`{}` is not a value", in_message(pair));
            let problem = Problem::error(Code::BadValue, message);
            problems.push(problem.help("write it as `PLACE=VALUE`"));
        }
    }
    if let Some(path) = &args.from {
        match rows(path) {
            Ok(rows) => {
                asked.changes.extend(rows.changes);
                asked.without.extend(rows.without);
                asked.remarks = rows.remarks;
            }
            Err(found) => problems.extend(found),
        }
    }
    unless(problems, asked)
}

fn rows(path: &Path) -> Result<ToFill, Vec<Problem>> {
    let text = table(path).map_err(|message| {
        let problem = Problem::error(Code::BadTable, message);
        vec![problem.help("write one with `liftsheet survey JOB -o survey.csv`, and save it as comma-separated text in UTF-8")]
    });
    let placed = |problem: Problem| problem.at(Place::at(path));
    text.and_then(|text| fill::rows(&text))
        .map_err(|problems| problems.into_iter().map(placed).collect())
}
