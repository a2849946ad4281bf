//! `sheet` and `survey`: pages of a job, to standard output, a file or a folder.

use std::path::{Path, PathBuf};

use super::args::{FormatArg, LookArgs, OutputArgs, PageArgs, PaperArg, RulesArgs, SheetArgs};
use super::load::{DEMO, DEMO_SURVEY, Loaded};
use super::{End, complain, fail, output, print};
use crate::document::{self, DocumentError, Look, Page, Paper};
use crate::pipeline::{self, Made};
use crate::plan;
use crate::report::numbered;

/// Every file that this program writes carries this, so that it overwrites no other.
pub(super) const MARK: &str = "Made with liftsheet";

/// What is made of a job.
#[derive(Clone, Copy)]
enum Kind {
    Sheet,
    Survey,
}

impl Kind {
    /// The file name's ending before its format: `job.sheet.html`.
    fn name(self) -> &'static str {
        match self {
            Self::Sheet => "sheet",
            Self::Survey => "survey",
        }
    }

    fn page(self, made: &Made<'_>, look: Look) -> Result<Page, DocumentError> {
        match self {
            Self::Sheet => document::sheet(made, look),
            Self::Survey => document::survey(made, look),
        }
    }
}

/// What every job of one call shares.
struct Request<'a> {
    kind: Kind,
    demo: &'static str,
    rules: &'a RulesArgs,
    look: Look,
    output: &'a OutputArgs,
}

pub(super) fn run(args: &SheetArgs) -> End {
    let request = Request {
        kind: Kind::Sheet,
        demo: DEMO,
        rules: &args.rules,
        look: look(&args.look),
        output: &args.output,
    };
    match args.jobs.as_slice() {
        [] => one(&request, None),
        [job] => one(&request, Some(job)),
        jobs => several(&request, jobs),
    }
}

pub(super) fn survey(args: &PageArgs) -> End {
    let request = Request {
        kind: Kind::Survey,
        demo: DEMO_SURVEY,
        rules: &args.rules,
        look: look(&args.look),
        output: &args.output,
    };
    one(&request, args.job.as_deref())
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
fn several(request: &Request<'_>, jobs: &[PathBuf]) -> End {
    if !request
        .output
        .output
        .as_deref()
        .is_some_and(output::is_folder)
    {
        return fail("several jobs need a folder to go to, such as `-o out/`");
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

fn one(request: &Request<'_>, path: Option<&Path>) -> End {
    let mut loaded = Loaded::default();
    let made = make(request, path, &mut loaded);
    let end = complain(&loaded);
    match made {
        None => end.max(End::Failed),
        Some(Err(error)) => fail(&error.to_string()),
        Some(Ok(made)) => {
            let stops = if made.stops { End::Findings } else { End::Done };
            write(request, path, &made).max(stops)
        }
    }
}

/// A page in its format.
struct Ready {
    text: String,
    format: FormatArg,
    stops: bool,
}

fn make(
    request: &Request<'_>,
    path: Option<&Path>,
    loaded: &mut Loaded,
) -> Option<Result<Ready, DocumentError>> {
    let files = loaded.rule_files(request.rules)?;
    let job = loaded.job(path, request.demo)?;
    let rules = loaded.rules_for(&job, &files);
    let format = format(request.output);
    let made = pipeline::run(&job, &rules, &mut loaded.report, |made| {
        text(request, &made, format).map(|text| Ready {
            text,
            format,
            stops: made.assessment.stops(),
        })
    });
    loaded.show_builtin();
    made
}

fn text(
    request: &Request<'_>,
    made: &Made<'_>,
    format: FormatArg,
) -> Result<String, DocumentError> {
    if format == FormatArg::Json {
        let json = plan::to_json(made.job, made.cut, made.assessment, made.plan);
        return Ok(format!("{json:#}\n"));
    }
    let page = request.kind.page(made, request.look)?;
    match format {
        FormatArg::Html => document::html(&page, request.look),
        _ => Ok(page.markdown + "\n"),
    }
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
        None => return print(&ready.text),
        Some(path) if path == Path::new("-") => return print(&ready.text),
        Some(path) if output::is_folder(path) => {
            if let Err(error) = std::fs::create_dir_all(path) {
                return fail(&format!("{}: {error}", path.display()));
            }
            path.join(named(request.kind.name(), job, ready.format))
        }
        Some(path) => path.to_owned(),
    };
    match output::write(&target, &ready.text, MARK, request.output.force) {
        Ok(()) => End::Done,
        Err(error) => fail(&error.to_string()),
    }
}

/// The name of a job's page in a folder: `job.sheet.html`.
pub(super) fn named(kind: &str, job: Option<&Path>, format: FormatArg) -> String {
    let stem = job.and_then(Path::file_stem);
    let stem = stem.map_or_else(
        || "demo".to_owned(),
        |stem| stem.to_string_lossy().into_owned(),
    );
    let ending = match format {
        FormatArg::Md => "md",
        FormatArg::Html => "html",
        FormatArg::Json => "json",
    };
    format!("{stem}.{kind}.{ending}")
}
