//! `record`: verifies the record of a job, shows how its tasks stand, and makes the signed sheet.

use std::path::Path;

use super::args::{FormatArg, RecordArgs};
use super::load::{DEMO, Loaded};
use super::sign::{NO_PLACE, path_of, problem, torn};
use super::{End, complain, fail, output, page, print, print_page};
use crate::document::{self, DocumentError, Made};
use crate::pipeline;
use crate::record::{self, Basis, Record, Status};
use crate::report::{Code, Place, Problem, quoted};

pub(super) fn run(args: &RecordArgs) -> End {
    let format = match wanted(args) {
        Ok(format) => format,
        Err(message) => return fail(&message),
    };
    let Some(path) = path_of(&args.job) else {
        return fail(NO_PLACE);
    };
    let target = page::target(&args.output, || {
        page::named("signed", Some(&args.job), format.unwrap_or(FormatArg::Html))
    });
    if let Some(target) = &target
        && let Err(message) = page::prepare(&args.output, target, [args.job.as_path(), &path])
    {
        return fail(&message);
    }
    let mut loaded = Loaded::default();
    let record = match record::read(&path) {
        Ok(record) => record,
        Err(error) => {
            loaded.report.push(problem(&path, error));
            return complain(&loaded);
        }
    };
    let lost = expected(args, &path, &record);
    let torn_off = record.torn > 0;
    let made = make((args, format), (&path, &record), &mut loaded);
    // A job that cannot be read stays the worse of the two.
    let end = complain(&loaded);
    let mut found = Loaded::default();
    found
        .report
        .extend(torn(&path, &record).into_iter().chain(lost));
    let end = end.max(complain(&found));
    match made {
        None => end.max(End::Open),
        Some(Err(error)) => fail(&error.to_string()),
        Some(Ok(made)) => {
            let open = torn_off || !made.released;
            let open = if open { End::Open } else { End::Done };
            write(args, target.as_deref(), &made).max(open).max(end)
        }
    }
}

/// The problem of a record that no longer holds the line that paper names.
fn expected(args: &RecordArgs, path: &Path, record: &Record) -> Option<Problem> {
    let digest = args.expect.as_deref()?;
    let bare = digest
        .trim()
        .trim_start_matches("sha256:")
        .to_ascii_lowercase();
    if record.line_of(&bare).is_some() {
        return None;
    }
    let message = format!("no line of the record has the digest `{}`", quoted(digest));
    let problem = Problem::error(Code::DigestNotFound, message)
        .at(Place::file(path.display().to_string()))
        .help("the record was cut short or written anew since that sheet was printed; fetch it from a copy");
    Some(problem)
}

/// What is printed, and what is written to a file.
struct Ready {
    text: String,
    page: Option<String>,
    released: bool,
}

fn make(
    (args, format): (&RecordArgs, Option<FormatArg>),
    (path, record): (&Path, &Record),
    loaded: &mut Loaded,
) -> Option<Result<Ready, DocumentError>> {
    let files = loaded.rule_files(&args.rules)?;
    let job = loaded.job(Some(&args.job), DEMO)?;
    let rules = loaded.rules_for(&job, &files);
    let made = pipeline::run(&job, &rules, &mut loaded.report, |made| {
        ready((args, format), &made, (path, record))
    });
    loaded.show_builtin();
    made
}

fn ready(
    (args, format): (&RecordArgs, Option<FormatArg>),
    made: &Made<'_>,
    (path, record): (&Path, &Record),
) -> Result<Ready, DocumentError> {
    let basis = Basis::of(made);
    let status = Status::of(&basis, record);
    let look = page::look(&args.look);
    let file = path.display().to_string();
    let page = match format {
        None => None,
        Some(FormatArg::Json) => {
            let json = record::to_json(&basis, &status, record);
            Some(output::stamped_json(json))
        }
        Some(format) => {
            let page = document::signed(made, (&status, record), &file, look)?;
            let text = match format {
                FormatArg::Html => document::html(&page, look)?,
                _ => page.markdown + "\n",
            };
            Some(text)
        }
    };
    Ok(Ready {
        text: document::standing(made, (&status, record), &file, look),
        page,
        released: status.released() && basis.signable().is_ok(),
    })
}

/// The format of the page, where one is wanted beside the short account.
fn wanted(args: &RecordArgs) -> Result<Option<FormatArg>, String> {
    let output = &args.output;
    let wanted = output.output.is_some() || output.format.is_some();
    wanted.then(|| page::format(output, false)).transpose()
}

/// The page goes to its file, or takes the place of the short account on standard output.
fn write(args: &RecordArgs, target: Option<&Path>, made: &Ready) -> End {
    let Some(page) = &made.page else {
        return print(&made.text);
    };
    let Some(target) = target else {
        return print_page(page);
    };
    match output::write(target, page, page::MARK, args.output.force) {
        Ok(()) => print(&made.text),
        Err(error) => fail(&error.to_string()),
    }
}
