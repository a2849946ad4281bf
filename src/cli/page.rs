//! Pages of a job: to standard output, to a file, or to a folder.
//!
//! Each command gives a [`Document`], which says what is made of a job; here it is decided where it goes and in which format.
//! Pictures become files of their own where Markdown goes into a folder.

use std::ffi::OsStr;
use std::path::{Path, PathBuf};

use serde_json::{Value, json};

use super::args::{FormatArg, HowArgs, PageArgs};
use super::{End, complaints, ended, failure, output, print, print_page};
use crate::desk::file::{self, MARK};
use crate::desk::load::{DEMO, Loaded};
use crate::document::{self, DocumentError, Look, Page};
use crate::pipeline::{self, Made};
use crate::report::{Problem, Report, in_message, numbered};

/// What is said to who asks for a table of what is none.
pub(super) const NO_TABLE: &str = "only `liftsheet parts` and `liftsheet survey` make a table for spreadsheets; ask here for `--format md`, `html` or `json`";

/// What is said to who asks for the appointments of what has none.
const NO_CALENDAR: &str = "only `liftsheet crew` makes a calendar; ask here for another format";

/// How one thing is made of a job.
type Making<'a, T> = Box<dyn Fn(&Made<'_>, Look) -> Result<T, Refusal> + Sync + 'a>;

/// What a command makes of a job.
pub(super) struct Document<'a> {
    /// The file name's ending before its format: `job.sheet.html`.
    name: &'static str,
    /// The embedded demo that stands in for a job.
    pub(super) demo: &'static str,
    /// Classes of connection that it needs beside those of the job, by id.
    pub(super) classes: Vec<&'a str>,
    page: Making<'a, Page>,
    /// The same for other programs, beside what [`headed`] says of the job. Where there is none, it is the plan, which is written as it is made:
    /// its text may be larger than all else in memory.
    json: Option<Making<'a, Value>>,
    /// The format that it has beside those of every page (a table for spreadsheets, a calendar), and the same in that.
    beside: Option<(FormatArg, Making<'a, String>)>,
}

impl<'a> Document<'a> {
    /// A page, which for other programs is the plan.
    pub(super) fn new(
        name: &'static str,
        page: impl Fn(&Made<'_>, Look) -> Result<Page, Refusal> + Sync + 'a,
    ) -> Self {
        Self {
            name,
            demo: DEMO,
            classes: Vec::new(),
            page: Box::new(page),
            json: None,
            beside: None,
        }
    }

    /// The same with what it is for other programs.
    pub(super) fn json(
        mut self,
        json: impl Fn(&Made<'_>) -> Result<Value, Refusal> + Sync + 'a,
    ) -> Self {
        self.json = Some(Box::new(move |made, _| json(made)));
        self
    }

    /// The same with what it is in one format more.
    pub(super) fn beside(
        mut self,
        format: FormatArg,
        text: impl Fn(&Made<'_>, Look) -> Result<String, Refusal> + Sync + 'a,
    ) -> Self {
        self.beside = Some((format, Box::new(text)));
        self
    }
}

/// Why a command made no page.
#[derive(Debug)]
pub(super) enum Refusal {
    /// The job or what was asked for does not allow it.
    Problems(Report),
    /// There is nothing of what was asked for, it could not be written there, or a template is defective.
    Failed(String),
}

pub(super) fn refused(problem: Problem) -> Refusal {
    let mut report = Report::new();
    report.push(problem);
    Refusal::Problems(report)
}

impl From<DocumentError> for Refusal {
    fn from(error: DocumentError) -> Self {
        Self::Failed(error.to_string())
    }
}

/// What every job of one call shares.
pub(super) struct Request<'a> {
    document: &'a Document<'a>,
    how: &'a HowArgs,
    pub(super) look: Look,
    format: FormatArg,
}

impl Request<'_> {
    /// The folder that pages go to, if it is one.
    pub(super) fn folder(&self) -> Option<&Path> {
        let output = self.how.output.as_deref();
        output.filter(|path| file::is_folder(path))
    }

    /// The name that the page of a job has in a folder.
    pub(super) fn named(&self, job: Option<&Path>) -> String {
        named(self.document.name, job, self.format)
    }

    /// The file that the page of a job goes to; none for standard output.
    fn target(&self, job: Option<&Path>) -> Option<PathBuf> {
        target(self.how, || self.named(job))
    }
}

/// The file that is asked for, in a folder under the name given; none for standard output.
pub(super) fn target(args: &HowArgs, name: impl FnOnce() -> String) -> Option<PathBuf> {
    match args.output.as_deref() {
        None => None,
        Some(path) if path == Path::new("-") => None,
        Some(path) if file::is_folder(path) => Some(path.join(name())),
        Some(path) => Some(path.to_owned()),
    }
}

/// Makes the folder of a file that goes into one, and refuses a file that cannot be written.
pub(super) fn prepare<'a>(
    args: &HowArgs,
    target: &Path,
    jobs: impl IntoIterator<Item = &'a Path>,
) -> Result<(), String> {
    if let Some(folder) = args.output.as_deref().filter(|path| file::is_folder(path)) {
        file::create_folder(folder)?;
    }
    file::may_be_written(target, jobs)
}

/// Makes a document of one job, or of the demo.
pub(super) fn run(document: &Document<'_>, args: &PageArgs) -> End {
    let request = request(document, &args.how);
    ended(request.and_then(|request| page_of(&request, args.job.as_deref())))
}

/// What is asked for; fails when nothing can be made of any job in the format asked for.
pub(super) fn request<'a>(
    document: &'a Document<'a>,
    how: &'a HowArgs,
) -> Result<Request<'a>, String> {
    let beside = document.beside.as_ref().map(|(format, _)| *format);
    Ok(Request {
        document,
        how,
        look: look(how),
        format: format(how, beside)?,
    })
}

/// How pages look by the arguments.
pub(super) fn look(args: &HowArgs) -> Look {
    Look {
        units: args.units.into(),
        paper: args.paper,
        ..Look::default()
    }
}

/// One job, or the demo; fails when its page cannot be written.
pub(super) fn page_of(request: &Request<'_>, path: Option<&Path>) -> Result<End, String> {
    let target = request.target(path);
    if let Some(target) = &target {
        prepare(request.how, target, path)?;
    }
    let (ready, end, complaints) = attempt(request, path);
    output::complain_styled(&complaints);
    let Some(ready) = ready else { return Ok(end) };
    let printed = if let Some(target) = target {
        write(request, &target, &ready)?;
        print(&written(&target, ready.beside.len()))
    } else {
        ready.text.map_or(End::Done, |text| print_page(&text))
    };
    Ok(end.max(printed))
}

/// Makes the folder that the pages of many jobs go to, and refuses a page that would take the place of one of the jobs.
pub(super) fn prepare_folder(request: &Request<'_>, jobs: &[PathBuf]) -> Result<(), String> {
    for job in jobs {
        if let Some(target) = request.target(Some(job)) {
            prepare(request.how, &target, jobs.iter().map(PathBuf::as_path))?;
        }
    }
    Ok(())
}

/// What is said of a page that was written: its name is not always the one that was typed.
fn written(target: &Path, pictures: usize) -> String {
    let with = match pictures {
        0 => String::new(),
        count => format!(", with {}", numbered(count, "picture")),
    };
    format!("{} written{with}\n", file::shown(target))
}

/// One of many jobs into a folder; gives how it ended and what is to be said of it.
pub(super) fn into_folder(request: &Request<'_>, path: &Path) -> (End, String) {
    let (ready, end, mut complaints) = attempt(request, Some(path));
    let target = request.target(Some(path)).zip(ready);
    let written = target.map_or(Ok(()), |(target, ready)| write(request, &target, &ready));
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
    let (end, mut complaints) = complaints(&loaded);
    match made {
        None => (None, end.max(End::Open), complaints),
        Some(Err(message)) => {
            complaints += &failure(&message);
            (None, End::Failed, complaints)
        }
        Some(Ok(ready)) => {
            let stops = if ready.stops { End::Stopped } else { End::Done };
            (Some(ready), end.max(stops), complaints)
        }
    }
}

/// A document in its format.
struct Ready {
    /// Its text; none where it was written as it was made.
    text: Option<String>,
    /// The files that belong beside it: name and text.
    beside: Vec<(String, String)>,
    stops: bool,
}

/// A job's document, or why there is nothing of it; neither where what is wrong went to the report.
fn make(
    request: &Request<'_>,
    path: Option<&Path>,
    loaded: &mut Loaded,
) -> Option<Result<Ready, String>> {
    let files = loaded.rule_files(&request.how.rules)?;
    let job = loaded.job(path, request.document.demo)?;
    let rules = loaded.rules_with(&job, &files, &request.document.classes);
    let ready = pipeline::run(&job, &rules, &mut loaded.report, |made| {
        ready(request, path, &made)
    });
    let made = match ready {
        Some(Err(Refusal::Problems(report))) => {
            loaded.report.extend(report.problems);
            None
        }
        Some(Err(Refusal::Failed(message))) => Some(Err(message)),
        Some(Ok(ready)) => Some(Ok(ready)),
        None => None,
    };
    loaded.show_builtin();
    made
}

fn ready(request: &Request<'_>, path: Option<&Path>, made: &Made<'_>) -> Result<Ready, Refusal> {
    let (document, look) = (request.document, request.look);
    let mut beside = Vec::new();
    let text = match request.format {
        FormatArg::Json => {
            if document.json.is_none() {
                written_as_made(request, path, made).map_err(Refusal::Failed)?;
            }
            let json = document.json.as_ref().map(|json| json(made, look));
            json.transpose()?.map(|value| headed(value, made))
        }
        FormatArg::Csv | FormatArg::Ics => {
            let beside = document.beside.as_ref();
            beside.map(|(_, text)| text(made, look)).transpose()?
        }
        FormatArg::Html => Some(document::html(&(document.page)(made, look)?, look)?),
        FormatArg::Md => {
            let page = (document.page)(made, look)?;
            let text = if request.folder().is_some() {
                let prefix = format!("{}.{}.", stem(path), document.name);
                let (text, pictures) = document::as_files(&page, &prefix);
                beside = pictures;
                text
            } else {
                document::as_words(&page)
            };
            Some(text + "\n")
        }
    };
    Ok(Ready {
        text,
        beside,
        stops: made.assessment.stops(),
    })
}

/// What is made for other programs, with the job and the plan that it is of and with what made it.
fn headed(mut value: Value, made: &Made<'_>) -> String {
    if let Value::Object(fields) = &mut value {
        fields.extend([
            ("made_with".to_owned(), json!(MARK)),
            ("job".to_owned(), json!(made.job.title)),
            ("demo".to_owned(), json!(made.job.demo)),
            ("plan_digest".to_owned(), json!(made.digest())),
        ]);
    }
    output::stamped_json(value, made.rules.made_by())
}

/// Writes the plan where it was asked for.
fn written_as_made(
    request: &Request<'_>,
    path: Option<&Path>,
    made: &Made<'_>,
) -> Result<(), String> {
    match request.target(path) {
        None => output::print_json(made),
        Some(target) => file::filled(
            &target,
            |file| output::to_json(file, made),
            request.how.force,
        ),
    }
}

/// The format asked for, or the one that the file's ending names; Markdown on standard output, HTML in a folder. Fails for an ending and for
/// a format that the command does not make.
pub(super) fn format(args: &HowArgs, beside: Option<FormatArg>) -> Result<FormatArg, String> {
    let folder = args.output.as_deref().is_some_and(file::is_folder);
    let ending = args.output.as_deref().filter(|_| !folder);
    let ending = ending.and_then(Path::extension);
    let format = match (args.format, ending.and_then(OsStr::to_str)) {
        (Some(format), _) => format,
        (None, Some("md" | "markdown")) => FormatArg::Md,
        (None, Some("html" | "htm")) => FormatArg::Html,
        (None, Some("json")) => FormatArg::Json,
        (None, Some("csv")) => FormatArg::Csv,
        (None, Some("ics")) => FormatArg::Ics,
        (None, Some(other)) => return Err(no_format(other, beside)),
        (None, None) if folder => FormatArg::Html,
        (None, None) => FormatArg::Md,
    };
    match format {
        FormatArg::Csv if beside != Some(format) => Err(NO_TABLE.to_owned()),
        FormatArg::Ics if beside != Some(format) => Err(NO_CALENDAR.to_owned()),
        format => Ok(format),
    }
}

/// What is said to who asks for a file of another kind.
fn no_format(ending: &str, beside: Option<FormatArg>) -> String {
    let ending = in_message(ending);
    let known = match beside {
        Some(FormatArg::Csv) => "`.md`, `.html`, `.json` or `.csv`",
        Some(FormatArg::Ics) => "`.md`, `.html`, `.json` or `.ics`",
        _ => "`.md`, `.html` or `.json`",
    };
    let way = match ending.to_ascii_lowercase().as_str() {
        "pdf" => {
            "; for a PDF, write HTML and let a browser print it: `chromium --headless --no-pdf-header-footer --print-to-pdf=page.pdf page.html`"
        }
        "txt" => "; Markdown reads as plain text",
        "xlsx" | "xls" | "ods" if beside == Some(FormatArg::Csv) => "; spreadsheets read `.csv`",
        _ => "",
    };
    format!(
        "no page is made as `.{ending}`: end the file's name in {known}, or say with --format what it is{way}"
    )
}

/// Writes a document where it was asked for; fails with the reason.
fn write(request: &Request<'_>, target: &Path, ready: &Ready) -> Result<(), String> {
    let force = request.how.force;
    // The pictures first: a page that is there has all of its own.
    for (name, text) in &ready.beside {
        file::write(&target.with_file_name(name), text, force)?;
    }
    match &ready.text {
        Some(text) => file::write(target, text, force),
        None => Ok(()),
    }
}

/// The name of a job's page in a folder: `job.sheet.html`.
pub(super) fn named(kind: &str, job: Option<&Path>, format: FormatArg) -> String {
    let ending: &str = format.into();
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
