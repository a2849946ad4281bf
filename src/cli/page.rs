//! Pages of a job: to standard output, to a file, or to a folder.
//!
//! Each command gives a [`Document`], which says what is made of a job; here it is decided where it goes and in which format.
//! Pictures become files of their own where Markdown goes into a folder.

use std::path::Path;

use serde_json::Value;

use super::args::{FormatArg, LookArgs, OutputArgs, PageArgs, PaperArg, RulesArgs};
use super::content::Content;
use super::load::{DEMO, Loaded};
use super::{End, complaints, fail, failure, output};
use crate::document::{self, DocumentError, Look, Page, Paper};
use crate::pipeline::{self, Made};
use crate::report::Report;

/// Every file that this program writes carries this, so that it overwrites no other.
pub(super) const MARK: &str = "Made with liftsheet";

/// What is said to who asks for a table of what is none.
pub(super) const NO_TABLE: &str = "only `liftsheet parts` makes a table for spreadsheets; ask here for `--format md`, `html` or `json`";

/// What a command makes of a job.
pub(super) trait Document: Sync {
    /// The file name's ending before its format: `job.sheet.html`.
    fn name(&self) -> &'static str;

    /// The embedded demo that stands in for a job.
    fn demo(&self) -> &'static str {
        DEMO
    }

    /// Classes of connection that it needs beside those of the job, by id.
    fn classes(&self) -> Vec<&str> {
        Vec::new()
    }

    /// The page.
    fn page(&self, made: &Made<'_>, look: Look) -> Result<Page, Refusal>;

    /// The same for other programs.
    fn json(&self, made: &Made<'_>) -> Result<Value, Refusal>;

    /// The text of that; what can be large is put together piece by piece.
    fn kept_json(&self, made: &Made<'_>) -> Result<Content, Refusal> {
        Ok(Content::Text(output::json(&self.json(made)?)))
    }

    /// Whether it can be a table for spreadsheets.
    fn is_table(&self) -> bool {
        false
    }

    /// The same as a table; asked for only where it is one.
    fn csv(&self, _: &Made<'_>) -> Result<String, Refusal> {
        Ok(String::new())
    }
}

/// Why a command made no page.
#[derive(Debug)]
pub(super) enum Refusal {
    /// A template is defective.
    Defect(DocumentError),
    /// The job or what was asked for does not allow it.
    Problems(Report),
    /// It could not be put into its format.
    Unwritten(String),
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

impl Request<'_> {
    /// The folder that pages go to, if it is one.
    pub(super) fn folder(&self) -> Option<&Path> {
        let output = self.output.output.as_deref();
        output.filter(|path| output::is_folder(path))
    }

    /// Why nothing can be made of any job in the format asked for.
    pub(super) fn refusal(&self) -> Option<&'static str> {
        let no_table = format(self.output) == FormatArg::Csv && !self.document.is_table();
        no_table.then_some(NO_TABLE)
    }

    /// The name that the page of a job has in a folder.
    pub(super) fn named(&self, job: &Path) -> String {
        named(self.document.name(), Some(job), format(self.output))
    }
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

/// The look of a text in millimetres, for commands that print nothing else.
pub(super) fn metric() -> Look {
    Look::default()
}

/// How pages look by the arguments.
pub(super) fn look(args: &LookArgs) -> Look {
    Look {
        units: args.units.into(),
        paper: match args.paper {
            PaperArg::A4 => Paper::A4,
            PaperArg::Letter => Paper::Letter,
        },
    }
}

/// One job, or the demo.
pub(super) fn one(request: &Request<'_>, path: Option<&Path>) -> End {
    if let Some(message) = request.refusal() {
        return fail(message);
    }
    let (ready, end, complaints) = attempt(request, path);
    output::complain_styled(&complaints);
    let Some(ready) = ready else { return end };
    match write(request, path, ready) {
        Ok(()) => end,
        Err(message) => fail(&message),
    }
}

/// One of many jobs into a folder; gives how it ended and what is to be said of it.
pub(super) fn into_folder(request: &Request<'_>, path: &Path) -> (End, String) {
    let (ready, end, mut complaints) = attempt(request, Some(path));
    let written = ready.map_or(Ok(()), |ready| write(request, Some(path), ready));
    match written {
        Ok(()) => (end, complaints),
        Err(message) => {
            complaints += &failure(&message);
            (End::Failed, complaints)
        }
    }
}

/// A job's document, how making it ended, and what is to be said of it.
fn attempt(request: &Request<'_>, path: Option<&Path>) -> (Option<Ready>, End, String) {
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
    let (end, mut complaints) = complaints(&loaded);
    match made {
        None | Some(Err(Refusal::Problems(_))) => (None, End::Failed, complaints),
        Some(Err(Refusal::Defect(error))) => {
            complaints += &failure(&error.to_string());
            (None, End::Failed, complaints)
        }
        Some(Err(Refusal::Unwritten(reason))) => {
            complaints += &failure(&reason);
            (None, End::Failed, complaints)
        }
        Some(Ok(ready)) => {
            let stops = if ready.stops {
                End::Findings
            } else {
                End::Done
            };
            (Some(ready), end.max(stops), complaints)
        }
    }
}

/// A document before it is in its format, and without the plan that it was made of.
struct Drawn {
    work: Work,
    /// Whether anything says that the lift must not be done so.
    stops: bool,
}

enum Work {
    /// As it is written.
    Done(Content),
    /// A page, still to be set.
    Page(Page),
}

/// A document in its format.
struct Ready {
    content: Content,
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
    let rules = loaded.rules_with(&job, &files, &request.document.classes());
    let drawn = pipeline::run(&job, &rules, &mut loaded.report, |made| {
        drawn(request, &made)
    });
    loaded.show_builtin();
    // The page of a large vehicle is set when the vehicle, its rules and its plan are out of the way.
    drop((job, rules));
    drawn.map(|drawn| ready(request, path, drawn?))
}

fn drawn(request: &Request<'_>, made: &Made<'_>) -> Result<Drawn, Refusal> {
    let document = request.document;
    let work = match format(request.output) {
        FormatArg::Json => Work::Done(document.kept_json(made)?),
        FormatArg::Csv => Work::Done(Content::Text(document.csv(made)?)),
        FormatArg::Html | FormatArg::Md => Work::Page(document.page(made, request.look)?),
    };
    let stops = made.assessment.stops();
    Ok(Drawn { work, stops })
}

fn ready(request: &Request<'_>, path: Option<&Path>, drawn: Drawn) -> Result<Ready, Refusal> {
    let format = format(request.output);
    let whole = |content| Ready {
        content,
        beside: Vec::new(),
        format,
        stops: drawn.stops,
    };
    let page = match drawn.work {
        Work::Done(content) => return Ok(whole(content)),
        Work::Page(page) => page,
    };
    if format == FormatArg::Html {
        let html = document::html(&page, request.look)?;
        return Ok(whole(Content::Text(html)));
    }
    if request.folder().is_some() {
        let prefix = format!("{}.{}.", stem(path), request.document.name());
        let (text, beside) = document::as_files(&page, &prefix);
        return Ok(Ready {
            beside,
            ..whole(Content::Text(text + "\n"))
        });
    }
    let text = document::as_words(&page) + "\n";
    Ok(whole(Content::Text(text)))
}

/// The format asked for, or the one that the file's ending names; Markdown on standard output, HTML in a folder.
pub(super) fn format(args: &OutputArgs) -> FormatArg {
    let ending = args.output.as_deref().and_then(Path::extension);
    let by_ending = match ending.and_then(|ending| ending.to_str()) {
        Some("html" | "htm") => Some(FormatArg::Html),
        Some("json") => Some(FormatArg::Json),
        Some("csv") => Some(FormatArg::Csv),
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

/// Writes a document where it was asked for; fails with the reason.
fn write(request: &Request<'_>, job: Option<&Path>, mut ready: Ready) -> Result<(), String> {
    let target = match request.output.output.as_deref() {
        None => return printed(&mut ready.content),
        Some(path) if path == Path::new("-") => return printed(&mut ready.content),
        Some(path) if output::is_folder(path) => {
            std::fs::create_dir_all(path)
                .map_err(|error| format!("{}: {error}", output::shown(path)))?;
            path.join(named(request.document.name(), job, ready.format))
        }
        Some(path) => path.to_owned(),
    };
    let force = request.output.force;
    // The pictures first: a page that is there has all of its own.
    for (name, text) in &ready.beside {
        output::write(&target.with_file_name(name), text, MARK, force)
            .map_err(|error| error.to_string())?;
    }
    output::write_content(&target, &mut ready.content, MARK, force)
        .map_err(|error| error.to_string())
}

fn printed(content: &mut Content) -> Result<(), String> {
    output::print_content(content).map_err(|error| error.to_string())
}

/// The name of a job's page in a folder: `job.sheet.html`.
pub(super) fn named(kind: &str, job: Option<&Path>, format: FormatArg) -> String {
    let ending = match format {
        FormatArg::Md => "md",
        FormatArg::Html => "html",
        FormatArg::Json => "json",
        FormatArg::Csv => "csv",
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
