//! `record`: verifies the record of a job, shows how its tasks stand and whose turn it is, and makes the signed sheet or a table to sign by.

use std::path::Path;

use csv::Terminator;
use serde_json::json;

use super::args::{FormatArg, RecordArgs};
use super::{End, compare, complain, output, page, print, print_page};
use crate::VERSION;
use crate::desk::file;
use crate::desk::load::Loaded;
use crate::desk::open::{self, Desk};
use crate::desk::photo;
use crate::document::{self, DocumentError};
use crate::record::{self, Record};
use crate::report::{Code, Place, Problem, quoted};
use crate::source::table;

pub(super) fn run(args: &RecordArgs) -> Result<End, String> {
    let format = wanted(args)?;
    if args.job == Path::new("-") {
        return Err(open::NO_PLACE.to_owned());
    }
    if let Some(other) = &args.compare {
        return Ok(compare::run(&args.job, other));
    }
    let kind = if format == Some(FormatArg::Csv) {
        "to-sign"
    } else if args.card {
        "card"
    } else {
        "signed"
    };
    let target = page::target(&args.how, || {
        page::named(kind, Some(&args.job), format.unwrap_or(FormatArg::Html))
    });
    let mut loaded = Loaded::default();
    let Some(desk) = open::open(&args.job, (&args.how.rules, output::complain), &mut loaded) else {
        return Ok(complain(&loaded).max(End::Open));
    };
    if let Some(target) = &target {
        page::prepare(&args.how, target, [args.job.as_path(), &desk.path])?;
    }
    if let Some(problem) = desk.footing.other_vehicle() {
        loaded.report.push(problem.at(Place::at(&desk.path)));
        return Ok(complain(&loaded));
    }
    // What the job file says now is told; what was signed is printed as it was kept.
    complain(&loaded);
    let mut found = Loaded::default();
    let lost = expected(args, &desk.path, &desk.record);
    let lost_photos = photo::lost(&desk);
    let unkept = lost_photos.iter().map(|(_, problem)| problem);
    let unkept = desk.lost.iter().chain(unkept).cloned();
    let unkept = unkept.map(|problem| problem.at(Place::at(&desk.path)));
    let torn = open::torn(&desk.path, &desk.record);
    found.report.extend(
        torn.into_iter()
            .chain(lost)
            .chain(unkept)
            .chain(desk.footing.doubt.clone()),
    );
    let end = complain(&found);
    let made = made((args, format), (&desk, &lost_photos)).map_err(|error| error.to_string())?;
    // A page is of what was signed; whether that is still the job, only the account says.
    let unread = made.page.is_none() && desk.footing.now.is_none();
    let open = !made.released || unread;
    let open = if open { End::Open } else { End::Done };
    let written = write((args, format), target.as_deref(), &made)?;
    Ok(written.max(open).max(end))
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
        .at(Place::at(path))
        .help("the record was cut short or written anew since that sheet was printed; fetch it from a copy");
    Some(problem)
}

/// What is printed, and what is written to a file.
struct Ready {
    text: String,
    page: Option<String>,
    released: bool,
}

fn made(
    (args, format): (&RecordArgs, Option<FormatArg>),
    (desk, lost_photos): (&Desk, &[(String, Problem)]),
) -> Result<Ready, DocumentError> {
    let (footing, record) = (&desk.footing, &desk.record);
    let status = footing.status(record);
    let look = page::look(&args.how);
    let file = desk.path.display().to_string();
    let text = match &args.next {
        Some(person) => {
            let person = person.first().map(String::as_str);
            document::next(footing, &status, person, look)
        }
        None if args.card => {
            document::as_words(&document::card(footing, (&status, record))?) + "\n"
        }
        None => document::standing(footing, (&status, record), &file, look),
    };
    let page = match format {
        None => None,
        Some(FormatArg::Json) => {
            let json = record::to_json(footing, &status, record);
            // By which rules the work was planned stands in what binds the record.
            let by = json!({"program": "liftsheet", "version": VERSION});
            Some(output::stamped_json(json, by))
        }
        Some(FormatArg::Csv) => {
            let rows = record::to_sign(footing, &status);
            Some(table::text(rows, Terminator::Any(b'\n')))
        }
        Some(format) => {
            let page = if args.card {
                document::card(footing, (&status, record))?
            } else {
                document::signed(
                    footing,
                    (&status, record),
                    (&desk.path, &photo::shown(desk), lost_photos),
                    look,
                )?
            };
            let text = match format {
                FormatArg::Html => document::html(&page, look)?,
                _ => document::as_words(&page) + "\n",
            };
            Some(text)
        }
    };
    Ok(Ready {
        text,
        page,
        released: footing.released(&status),
    })
}

/// The format of the page, where one is wanted beside the short account.
fn wanted(args: &RecordArgs) -> Result<Option<FormatArg>, String> {
    let wanted = args.how.output.is_some() || args.how.format.is_some();
    wanted
        .then(|| page::format(&args.how, Some(FormatArg::Csv)))
        .transpose()
}

/// The page goes to its file, or takes the place of the short account on standard output.
fn write(
    (args, format): (&RecordArgs, Option<FormatArg>),
    target: Option<&Path>,
    made: &Ready,
) -> Result<End, String> {
    let Some(page) = &made.page else {
        return Ok(print(&made.text));
    };
    let Some(target) = target else {
        return Ok(print_page(page));
    };
    match format {
        // Somebody may have filled it in since it was written.
        Some(FormatArg::Csv) => file::create(target, page, args.how.force)?,
        _ => file::write(target, page, args.how.force)?,
    }
    Ok(print(&made.text))
}
