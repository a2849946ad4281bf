//! `backup`: a job or a folder of jobs as one file, a tar archive that every machine opens.
//!
//! Takes a job file or a folder; writes what stands in it: job files, what is kept beside the records, the people, and the records, each under
//! its lock and after the photographs that it names. What the machine keeps outside the folder is never in it.

use std::fs::File;
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use tar::{Builder, Header};

use super::workshop_args::BackupArgs;
use super::{End, fail, print, refused};
use crate::chain::{self, Chain, Chained, StoreError};
use crate::desk::file;
use crate::desk::load::Loaded;
use crate::desk::photo;
use crate::people;
use crate::record::{self, Folder};
use crate::report::{Code, Problem, in_message, numbered};

/// What stands in a folder beside its jobs.
const BESIDE: [&str; 3] = [people::FILE, people::PINS, "zone"];

pub(super) fn run(args: &BackupArgs) -> End {
    let folder = people::place_of(&args.what);
    let jobs = if args.what.is_dir() {
        Loaded::default().jobs_in(&folder).0
    } else {
        vec![args.what.clone()]
    };
    let mut told = Vec::new();
    let mut in_the_way = None;
    let written = file::created(
        &args.output,
        |out| {
            let copied = copy(out, (&folder, &jobs));
            copied.map(|digests| told = digests).map_err(|problem| {
                in_the_way = Some(problem);
                io::Error::other("not copied")
            })
        },
        args.force,
    );
    if let Some(problem) = in_the_way {
        return refused(problem);
    }
    match written {
        Ok(()) => print(&format!(
            "copied {} into {}\n{}",
            numbered(jobs.len(), "job"),
            file::shown(&args.output),
            told.concat()
        )),
        Err(why) => fail(&why),
    }
}

type Copying<'a> = Builder<&'a mut File>;

/// Copies a folder's jobs and people; gives the last digest of each record.
fn copy(out: &mut File, (folder, jobs): (&Path, &[PathBuf])) -> Result<Vec<String>, Problem> {
    let mut copy = Builder::new(out);
    let mut told = Vec::new();
    for job in jobs {
        let path = record::place_of(job)?;
        let place = Folder::beside(&path);
        let all = [job.as_path(), place.place()];
        let lost = |entries: &[Arc<record::Entry>]| lost(&place, entries);
        let said = held(&mut copy, folder, (&path, &all), &lost)?;
        told.extend(said);
    }
    let beside = BESIDE.map(|name| folder.join(name));
    let beside: Vec<&Path> = beside.iter().map(PathBuf::as_path).collect();
    let people = people::record_of(folder);
    let nothing = |_: &[Arc<people::Entry>]| String::new();
    let said = held(&mut copy, folder, (&people, &beside), &nothing)?;
    told.extend(said);
    let out = copy
        .into_inner()
        .map_err(|error| not_copied(&people, &error))?;
    out.flush().map_err(|error| not_copied(&people, &error))?;
    Ok(told)
}

/// Says how many photographs that a record names are not there, or not as they were kept; nothing where all are.
fn lost(place: &Folder, entries: &[Arc<record::Entry>]) -> String {
    let photos = entries.iter().flat_map(|entry| photo::of_entry(entry));
    let lost = photos.filter(|photo| place.read(&photo.sha256, &photo.kind).is_err());
    match lost.count() {
        0 => String::new(),
        lost => format!(
            "  not there, or not as kept: {}; `liftsheet record` says which\n",
            numbered(lost, "photograph")
        ),
    }
}

/// Copies a record and what goes with it while nobody writes: first what it names, then its lines. `missed` says what of that is not there.
fn held<E: Chained>(
    copy: &mut Copying<'_>,
    folder: &Path,
    (path, beside): (&Path, &[&Path]),
    missed: &dyn Fn(&[Arc<E>]) -> String,
) -> Result<Option<String>, Problem> {
    let copied = chain::held(path, &|| (), |chain: Chain<E>, bytes| {
        for path in beside {
            add_all(copy, folder, path)?;
        }
        // What was cut off once says what somebody wanted to sign.
        for path in &chain::aside(path)? {
            add_all(copy, folder, path)?;
        }
        if bytes.is_empty() {
            return Ok(None);
        }
        add(copy, (folder, path), bytes)?;
        let shown = in_message(&inside(folder, path).display().to_string());
        let digest = chain.last_digest();
        Ok(Some(format!(
            "{shown}: {} entries, last digest sha256:{digest}\n{}",
            chain.entries.len(),
            missed(&chain.entries)
        )))
    });
    let copied: Result<_, StoreError> = copied;
    let copied: io::Result<_> = copied.map_err(|error| error.problem(path))?;
    copied.map_err(|error| not_copied(path, &error))
}

/// The name of a file in the copy.
fn inside(folder: &Path, path: &Path) -> PathBuf {
    let real = |path: &Path| std::fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    let (folder, path) = (real(folder), real(path));
    let name = || path.file_name().map(PathBuf::from).unwrap_or_default();
    path.strip_prefix(&folder)
        .map_or_else(|_| name(), Path::to_owned)
}

/// Adds a file, or all files of a folder; nothing where there is none.
fn add_all(copy: &mut Copying<'_>, folder: &Path, path: &Path) -> io::Result<()> {
    if path.is_dir() {
        let entries: io::Result<Vec<_>> = std::fs::read_dir(path)?.collect();
        let mut files: Vec<PathBuf> = entries?.iter().map(std::fs::DirEntry::path).collect();
        files.sort();
        let plain = |file: &&PathBuf| file.is_file();
        return files
            .iter()
            .filter(plain)
            .try_for_each(|file| add(copy, (folder, file), &std::fs::read(file)?));
    }
    match std::fs::read(path) {
        Ok(bytes) => add(copy, (folder, path), &bytes),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(()),
        Err(error) => Err(error),
    }
}

fn add(copy: &mut Copying<'_>, (folder, path): (&Path, &Path), bytes: &[u8]) -> io::Result<()> {
    let mut header = Header::new_gnu();
    header.set_size(bytes.len() as u64);
    header.set_mode(if path.ends_with(people::PINS) {
        0o600
    } else {
        0o644
    });
    copy.append_data(&mut header, inside(folder, path), bytes)
}

fn not_copied(path: &Path, error: &io::Error) -> Problem {
    let message = format!("`{}` cannot be copied: {error}", path.display());
    Problem::error(Code::RecordNotWritten, message)
        .help("make room on the disk, or see who may read the files; no copy was written")
}
