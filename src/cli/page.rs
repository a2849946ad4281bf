//! Pages of a job: to standard output, to a file, or to a folder.
//!
//! Each command gives a [`Document`], which says what is made of a job; here it is decided where it goes and in which format.
//! Pictures become files of their own where Markdown goes into a folder.

use std::path::{Path, PathBuf};

use serde_json::Value;

use super::args::{FormatArg, LookArgs, OutputArgs, PageArgs, PaperArg, RulesArgs};
use super::load::{DEMO, Loaded, read_twice};
use super::{End, complain, fail, output, print_page};
use crate::document::{self, DocumentError, Look, Page, Paper};
use crate::pipeline::{self, Made};
use crate::report::{Report, numbered};

/// Every file that this program writes carries this, so that it overwrites no other.
pub(super) const MARK: &str = "Made with liftsheet";

/// What a command makes of a job.
pub(super) trait Document {
    /// The file name's ending before its format: `job.sheet.html`.
    fn name(&self) -> &'static str;

    /// The embedded demo that stands in for a job.
    fn demo(&self) -> &'static str {
        DEMO
    }

    /// The page.
    fn page(&self, made: &Made<'_>, look: Look) -> Result<Page, Refusal>;

    /// The same for other programs.
    fn json(&self, made: &Made<'_>) -> Result<Value, Refusal>;
}

/// Why a command made no page.
#[derive(Debug)]
pub(super) enum Refusal {
    /// A template is defective.
    Defect(DocumentError),
    /// The job or what was asked for does not allow it.
    Problems(Report),
}

impl From<DocumentError> for Refusal {
    fn from(error: DocumentError) -> Self {
        Self::Defect(error)
    }
}

/// What every job of one call shares.
pub(super) struct Request<'a> {
    document: &'a dyn Document,
    rules: &'a RulesArgs,
    look: Look,
    output: &'a OutputArgs,
}

/// Makes a document of one job, or of the demo.
pub(super) fn run(document: &dyn Document, args: &PageArgs) -> End {
    let request = request(document, (&args.rules, &args.look, &args.output));
    one(&request, args.job.as_deref())
}

/// What is asked for.
pub(super) fn request<'a>(
    document: &'a dyn Document,
    (rules, look_args, output): (&'a RulesArgs, &LookArgs, &'a OutputArgs),
) -> Request<'a> {
    Request {
        document,
        rules,
        look: look(look_args),
        output,
    }
}

pub(super) fn look(args: &LookArgs) -> Look {
    Look {
        units: args.units.into(),
        paper: match args.paper {
            PaperArg::A4 => Paper::A4,
            PaperArg::Letter => Paper::Letter,
        },
    }
}

/// Many jobs into one folder: one bad job is reported, and the others are done.
pub(super) fn several(request: &Request<'_>, jobs: &[PathBuf]) -> End {
    if !request
        .output
        .output
        .as_deref()
        .is_some_and(output::is_folder)
    {
        return fail("several jobs need a folder to go to, such as `-o out/`");
    }
    if let Some(message) = read_twice(jobs) {
        return fail(message);
    }
    let mut worst = End::Done;
    let mut done = 0;
    for job in jobs {
        let end = one(request, Some(job));
        done += usize::from(end != End::Failed);
        worst = worst.max(end);
    }
    let bad = jobs.len() - done;
    output::complain(&format!(
        "{} of {} written\n",
        done,
        numbered(jobs.len(), "job")
    ));
    if bad > 0 {
        worst.min(End::Findings)
    } else {
        worst
    }
}

/// One job, or the demo.
pub(super) fn one(request: &Request<'_>, path: Option<&Path>) -> End {
    let mut loaded = Loaded::default();
    let made = make(request, path, &mut loaded);
    let made = match made {
        Some(Err(Refusal::Problems(report))) => {
            loaded.report.extend(report.problems);
            loaded.show_builtin();
            None
        }
        made => made,
    };
    let end = complain(&loaded);
    match made {
        None | Some(Err(Refusal::Problems(_))) => end.max(End::Failed),
        Some(Err(Refusal::Defect(error))) => fail(&error.to_string()),
        Some(Ok(made)) => {
            let stops = if made.stops { End::Findings } else { End::Done };
            write(request, path, &made).max(stops)
        }
    }
}

/// A document in its format.
struct Ready {
    text: String,
    /// The files that belong beside it: name and text.
    beside: Vec<(String, String)>,
    format: FormatArg,
    stops: bool,
}

fn make(
    request: &Request<'_>,
    path: Option<&Path>,
    loaded: &mut Loaded,
) -> Option<Result<Ready, Refusal>> {
    let files = loaded.rule_files(request.rules)?;
    let job = loaded.job(path, request.document.demo())?;
    let rules = loaded.rules_for(&job, &files);
    let made = pipeline::run(&job, &rules, &mut loaded.report, |made| {
        ready(request, path, &made)
    });
    loaded.show_builtin();
    made
}

fn ready(request: &Request<'_>, path: Option<&Path>, made: &Made<'_>) -> Result<Ready, Refusal> {
    let format = format(request.output);
    let stops = made.assessment.stops();
    let whole = |text| Ready {
        text,
        beside: Vec::new(),
        format,
        stops,
    };
    if format == FormatArg::Json {
        let json = request.document.json(made)?;
        return Ok(whole(output::json(&json)));
    }
    let page = request.document.page(made, request.look)?;
    let folder = request.output.output.as_deref();
    if format == FormatArg::Html {
        return Ok(whole(document::html(&page, request.look)?));
    }
    if folder.is_some_and(output::is_folder) {
        let prefix = format!("{}.{}.", stem(path), request.document.name());
        let (text, beside) = document::as_files(&page, &prefix);
        return Ok(Ready {
            beside,
            ..whole(text + "\n")
        });
    }
    Ok(whole(document::as_words(&page) + "\n"))
}

/// The format asked for, or the one that the file's ending names; Markdown on standard output, HTML in a folder.
pub(super) fn format(args: &OutputArgs) -> FormatArg {
    let ending = args.output.as_deref().and_then(Path::extension);
    let by_ending = match ending.and_then(|ending| ending.to_str()) {
        Some("html" | "htm") => Some(FormatArg::Html),
        Some("json") => Some(FormatArg::Json),
        Some(_) => Some(FormatArg::Md),
        None => None,
    };
    let folder = args.output.as_deref().is_some_and(output::is_folder);
    let otherwise = if folder {
        FormatArg::Html
    } else {
        FormatArg::Md
    };
    args.format.or(by_ending).unwrap_or(otherwise)
}

fn write(request: &Request<'_>, job: Option<&Path>, ready: &Ready) -> End {
    let target = match request.output.output.as_deref() {
        None => return print_page(&ready.text),
        Some(path) if path == Path::new("-") => return print_page(&ready.text),
        Some(path) if output::is_folder(path) => {
            if let Err(error) = std::fs::create_dir_all(path) {
                return fail(&format!("{}: {error}", output::shown(path)));
            }
            path.join(named(request.document.name(), job, ready.format))
        }
        Some(path) => path.to_owned(),
    };
    let beside = ready.beside.iter();
    let beside = beside.map(|(name, text)| (target.with_file_name(name), text));
    // The pictures first: a page that is there has all of its own.
    for (path, text) in beside.chain([(target.clone(), &ready.text)]) {
        if let Err(error) = output::write(&path, text, MARK, request.output.force) {
            return fail(&error.to_string());
        }
    }
    End::Done
}

/// The name of a job's page in a folder: `job.sheet.html`.
pub(super) fn named(kind: &str, job: Option<&Path>, format: FormatArg) -> String {
    let ending = match format {
        FormatArg::Md => "md",
        FormatArg::Html => "html",
        FormatArg::Json => "json",
    };
    format!("{}.{kind}.{ending}", stem(job))
}

/// What a job's files are named after.
fn stem(job: Option<&Path>) -> String {
    if job == Some(Path::new("-")) {
        return "stdin".to_owned();
    }
    let stem = job.and_then(Path::file_stem);
    stem.map_or_else(
        || "demo".to_owned(),
        |stem| stem.to_string_lossy().into_owned(),
    )
}
