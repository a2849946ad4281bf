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
    if wanted(args) == Some(FormatArg::Csv) {
        return fail(page::NO_TABLE);
    }
    let Some(path) = path_of(&args.job) else {
        return fail(NO_PLACE);
    };
    let mut loaded = Loaded::default();
    let record = match record::read(&path) {
        Ok(record) => record,
        Err(error) => {
            let broken = matches!(error, record::StoreError::Broken(_));
            loaded.report.push(problem(&path, error));
            return complain(&loaded).min(if broken { End::Findings } else { End::Failed });
        }
    };
    let lost = expected(args, &path, &record);
    let findings = lost.is_some() || record.torn > 0;
    let made = make(args, (&path, &record), &mut loaded);
    // A job that cannot be read stays the worse of the two.
    let end = complain(&loaded);
    let mut found = Loaded::default();
    found
        .report
        .extend(torn(&path, &record).into_iter().chain(lost));
    complain(&found);
    match made {
        None => end.max(End::Failed),
        Some(Err(error)) => fail(&error.to_string()),
        Some(Ok(made)) => {
            let open = findings || !made.released;
            let open = if open { End::Findings } else { End::Done };
            write(args, &made).max(open)
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
    page: Option<(String, FormatArg)>,
    released: bool,
}

fn make(
    args: &RecordArgs,
    (path, record): (&Path, &Record),
    loaded: &mut Loaded,
) -> Option<Result<Ready, DocumentError>> {
    let files = loaded.rule_files(&args.rules)?;
    let job = loaded.job(Some(&args.job), DEMO)?;
    let rules = loaded.rules_for(&job, &files);
    let made = pipeline::run(&job, &rules, &mut loaded.report, |made| {
        ready(args, &made, (path, record))
    });
    loaded.show_builtin();
    made
}

fn ready(
    args: &RecordArgs,
    made: &Made<'_>,
    (path, record): (&Path, &Record),
) -> Result<Ready, DocumentError> {
    let basis = Basis::of(made);
    let status = Status::of(&basis, record);
    let look = page::look(&args.look);
    let file = path.display().to_string();
    let page = match wanted(args) {
        None => None,
        Some(FormatArg::Json) => {
            let json = record::to_json(&basis, &status, record);
            Some((output::json(&json), FormatArg::Json))
        }
        Some(format) => {
            let page = document::signed(made, (&status, record), &file, look)?;
            let text = match format {
                FormatArg::Html => document::html(&page, look)?,
                _ => page.markdown + "\n",
            };
            Some((text, format))
        }
    };
    Ok(Ready {
        text: document::standing(made, (&status, record), &file, look),
        page,
        released: status.released() && basis.signable().is_ok(),
    })
}

/// The format of the page, where one is wanted beside the short account.
fn wanted(args: &RecordArgs) -> Option<FormatArg> {
    let output = &args.output;
    (output.output.is_some() || output.format.is_some()).then(|| page::format(output))
}

/// The page goes to its file, or takes the place of the short account on standard output.
fn write(args: &RecordArgs, made: &Ready) -> End {
    let Some((page, format)) = &made.page else {
        return print(&made.text);
    };
    let target = match args.output.output.as_deref() {
        None => return print_page(page),
        Some(path) if path == Path::new("-") => return print_page(page),
        Some(path) if output::is_folder(path) => {
            if let Err(error) = std::fs::create_dir_all(path) {
                return fail(&format!("{}: {error}", output::shown(path)));
            }
            path.join(page::named("signed", Some(&args.job), *format))
        }
        Some(path) => path.to_owned(),
    };
    match output::write(&target, page, page::MARK, args.output.force) {
        Ok(()) => print(&made.text),
        Err(error) => fail(&error.to_string()),
    }
}
