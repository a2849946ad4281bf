//! Which file is the record of a job: `job.record.jsonl` beside the job file that is really meant.
//!
//! Takes the name of a job file; gives where its record stands. A link to a job file shares the record of the file that it leads to, and
//! two job files that would share one are refused.

use std::path::{Path, PathBuf};

use crate::report::{Code, Place, Problem};

/// The endings of job files.
const ENDINGS: [&str; 2] = ["yaml", "yml"];

/// Where the record of a job stands; a job that is not there has one where it would be.
pub fn place_of(job: &Path) -> Result<PathBuf, Problem> {
    let real = std::fs::canonicalize(job);
    // The name as typed where it is no link, so that messages say what people typed.
    let shown = real.as_deref().ok().filter(|_| job.is_symlink());
    let shown = shown.unwrap_or(job);
    let record = shown.with_extension("record.jsonl");
    if let Some(other) = real.as_deref().ok().and_then(|real| sharing(shown, real)) {
        let message = format!("`{}` would share this record", other.display());
        let help = "a record is one vehicle's: give one of the two job files another name, or take it away";
        return Err(refused(&record, message, help));
    }
    let begun = job.with_extension("record.jsonl");
    if begun.exists() && std::fs::canonicalize(&begun).ok() != std::fs::canonicalize(&record).ok() {
        let message = format!(
            "`{}` is a link to `{}`, whose record this is; `{}` is another one",
            job.display(),
            shown.display(),
            begun.display()
        );
        let help =
            "see which of the two records is the vehicle's, and keep the other one elsewhere";
        return Err(refused(&record, message, help));
    }
    Ok(record)
}

/// Another job file that would have the same record.
fn sharing(job: &Path, real: &Path) -> Option<PathBuf> {
    let names = ENDINGS.iter().map(|ending| job.with_extension(ending));
    let mut names = names.chain([job.with_extension("")]);
    names
        .find(|name| name.is_file() && std::fs::canonicalize(name).is_ok_and(|other| other != real))
}

fn refused(record: &Path, message: String, help: &str) -> Problem {
    let place = Place::at(record);
    Problem::error(Code::RecordShared, message)
        .at(place)
        .help(help)
}
