//! `record`: verifies the record of a job, shows how its tasks stand and whose turn it is, and makes the signed sheet or a table to sign by.

use std::path::Path;

use super::args::{FormatArg, RecordArgs};
use super::desk::{self, Desk};
use super::load::Loaded;
use super::{End, complain, fail, output, page, print, print_page};
use crate::document::{self, DocumentError};
use crate::parts::tame;
use crate::record::{self, Photo, Record, Status, Value};
use crate::report::{Code, Problem, quoted};

pub(super) fn run(args: &RecordArgs) -> End {
    if args.job == Path::new("-") {
        return fail(desk::NO_PLACE);
    }
    let mut loaded = Loaded::default();
    let desk = match desk::open(&args.job, &args.rules, &mut loaded) {
        Ok(desk) => desk,
        Err(end) => return complain(&loaded).max(end),
    };
    if let Some(problem) = desk.footing.other_vehicle() {
        loaded.report.push(problem.at(desk::place(&desk.path)));
        return complain(&loaded).max(End::Failed);
    }
    // What the job file says now is told; what was signed is printed as it was kept.
    complain(&loaded);
    let mut found = Loaded::default();
    let lost = expected(args, &desk.path, &desk.record);
    let unkept: Vec<Problem> = desk.lost.iter().cloned().chain(photos(&desk)).collect();
    let broken = lost.is_some() || !unkept.is_empty();
    let unkept = unkept
        .into_iter()
        .map(|problem| problem.at(desk::place(&desk.path)));
    let torn = desk::torn(&desk.path, &desk.record);
    let open = torn.is_some();
    found
        .report
        .extend(torn.into_iter().chain(lost).chain(unkept));
    complain(&found);
    let end = match made(args, &desk) {
        Ok(made) => {
            let open = open || !made.released;
            write(args, &made).max(if open { End::Findings } else { End::Done })
        }
        Err(error) => fail(&error.to_string()),
    };
    if broken { end.max(End::Broken) } else { end }
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
        .at(desk::place(path))
        .help("the record was cut short or written anew since that sheet was printed; fetch it from a copy");
    Some(problem)
}

/// The photographs that the record names and that are not kept as they were.
fn photos(desk: &Desk) -> Vec<Problem> {
    let entries = desk.record.entries.iter();
    let photos = entries.flat_map(|entry| {
        let values = entry.values.values().filter_map(|value| match value {
            Value::Photo(photo) => Some(photo),
            _ => None,
        });
        values.chain(&entry.photos)
    });
    let lost =
        photos.filter_map(|photo: &Photo| desk.folder.read(&photo.sha256, &photo.kind).err());
    lost.map(|lost| desk::not_kept(&lost)).collect()
}

/// What is printed, and what is written to a file.
struct Ready {
    text: String,
    page: Option<(String, FormatArg)>,
    released: bool,
}

fn made(args: &RecordArgs, desk: &Desk) -> Result<Ready, DocumentError> {
    let (footing, record) = (&desk.footing, &desk.record);
    let status = footing.status(record);
    let look = page::look(&args.look);
    let file = desk.path.display().to_string();
    let text = match &args.next {
        Some(person) => {
            let person = person.first().map(String::as_str);
            document::next(footing, &status, person, look)
        }
        None => document::standing(footing, (&status, record), &file, look),
    };
    let json = record::to_json(footing, &status, record);
    let page = match wanted(args) {
        None => None,
        Some(FormatArg::Json) => Some((output::json(&json), FormatArg::Json)),
        Some(FormatArg::Csv) => Some((table(desk, &status), FormatArg::Csv)),
        Some(format) => {
            let page = document::signed(footing, (&status, record), &file, look)?;
            let text = match format {
                FormatArg::Html => document::html(&page, look)?,
                _ => page.markdown + "\n",
            };
            Some((text, format))
        }
    };
    Ok(Ready {
        text,
        page,
        released: json.get("released") == Some(&serde_json::Value::Bool(true)),
    })
}

/// The table to sign by.
fn table(desk: &Desk, status: &Status<'_>) -> String {
    let mut writer = csv::Writer::from_writer(Vec::new());
    for row in record::to_sign(&desk.footing, status) {
        // A Vec takes every byte.
        let _ = writer.write_record(row.iter().map(|cell| tame(cell)));
    }
    let bytes = writer.into_inner().unwrap_or_default();
    String::from_utf8(bytes).unwrap_or_default()
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
            let kind = if *format == FormatArg::Csv {
                "to-sign"
            } else {
                "signed"
            };
            path.join(page::named(kind, Some(&args.job), *format))
        }
        Some(path) => path.to_owned(),
    };
    let written = match format {
        // Somebody may have filled it in since it was written.
        FormatArg::Csv => output::create(&target, page, args.output.force),
        _ => output::write(&target, page, page::MARK, args.output.force),
    };
    match written {
        Ok(()) => print(&made.text),
        Err(error) => fail(&error.to_string()),
    }
}
