//! Photographs in: read from their files, told by their first bytes, and kept beside the record.

use std::collections::BTreeMap;
use std::io;
use std::path::{Path, PathBuf};

use super::open::{Desk, not_kept};
use crate::picture::{Picture, photo as picture};
use crate::quantity::Units;
use crate::record::{Entered, Entry, Folder, Lost, Photo, Record, sha256};
use crate::report::{Code, Place, Problem, every};
use crate::sorted::Sorted as _;

/// No photograph is larger.
const MOST: u64 = 32 << 20;

/// A photograph that was handed in.
pub(crate) struct Taken {
    /// The name of what asks for it, when one is given.
    pub(crate) name: Option<String>,
    pub(crate) photo: Photo,
    bytes: Vec<u8>,
}

/// Reads `FILE` and `NAME=FILE`; fails with every file that is no photograph.
pub(crate) fn read(given: &[PathBuf]) -> Result<Vec<Taken>, Vec<Problem>> {
    every(given.iter().map(|given| {
        let (name, path) = split(given);
        take(name, &path)
    }))
}

/// The name before an equals sign, unless all of it is a file's name.
fn split(given: &Path) -> (Option<String>, PathBuf) {
    let text = given.to_str().filter(|_| !given.exists());
    match text.and_then(|text| text.split_once('=')) {
        Some((name, path)) => (Some(name.trim().to_owned()), PathBuf::from(path)),
        None => (None, given.to_owned()),
    }
}

/// Reads a photograph from its file.
pub(crate) fn take(name: Option<String>, path: &Path) -> Result<Taken, Problem> {
    let taken = bytes(path).map_err(bad);
    let taken = taken.and_then(|bytes| of_bytes(name, bytes));
    taken.map_err(|problem| problem.at(Place::at(path)))
}

fn bytes(path: &Path) -> Result<Vec<u8>, String> {
    let unread = |error: io::Error| format!("the photograph cannot be read: {error}");
    let found = std::fs::metadata(path).map_err(unread)?;
    if !found.is_file() || found.len() > MOST {
        return Err("it is no file of at most 32 MiB".to_owned());
    }
    std::fs::read(path).map_err(unread)
}

fn bad(message: String) -> Problem {
    Problem::error(Code::BadPhoto, message)
        .help("give a photograph as JPEG or PNG, of at most 32 MiB")
}

/// A photograph that came as it is.
pub(crate) fn of_bytes(name: Option<String>, bytes: Vec<u8>) -> Result<Taken, Problem> {
    if bytes.len() as u64 > MOST {
        return Err(bad("it is larger than 32 MiB".to_owned()));
    }
    let kind = kind(&bytes).ok_or_else(|| bad("it is neither JPEG nor PNG".to_owned()))?;
    let digest = sha256(&bytes);
    // What cannot be shown on the signed sheet is told while it can be taken again.
    picture::photo(&bytes, &digest).map_err(bad)?;
    let photo = Photo {
        sha256: digest,
        bytes: bytes.len() as u64,
        kind: kind.to_owned(),
    };
    Ok(Taken { name, photo, bytes })
}

/// What the first bytes of a file say that it is: ISO/IEC 10918-1 (JPEG) begins with SOI and a marker, ISO/IEC 15948 (PNG) with its
/// signature (both from memory).
fn kind(bytes: &[u8]) -> Option<&'static str> {
    if bytes.starts_with(&[0xff, 0xd8, 0xff]) {
        Some("jpeg")
    } else if bytes.starts_with(b"\x89PNG\r\n\x1a\n") {
        Some("png")
    } else {
        None
    }
}

/// Keeps photographs beside the record.
pub(crate) fn keep<'a>(folder: &Folder, taken: impl Iterator<Item = &'a Taken>) -> io::Result<()> {
    for one in taken {
        folder.keep(&one.bytes, &one.photo.kind)?;
    }
    Ok(())
}

pub(crate) fn of_entry(entry: &Entry) -> impl Iterator<Item = &Photo> {
    let values = entry.values.values().filter_map(|value| match value {
        Entered::Photo(photo) => Some(photo),
        _ => None,
    });
    values.chain(&entry.photos)
}

pub(crate) fn of_record(record: &Record) -> impl Iterator<Item = &Photo> {
    record.entries.iter().flat_map(|entry| of_entry(entry))
}

fn kept(desk: &Desk, photo: &Photo) -> Result<Vec<u8>, Lost> {
    desk.folder.read(&photo.sha256, &photo.kind)
}

/// The photographs that are not as they were kept: what each was taken for, and the problem.
pub(crate) fn lost(desk: &Desk) -> Vec<(String, Problem)> {
    let entries = desk.record.entries.iter();
    let photos = entries.flat_map(|entry| of_entry(entry).map(move |photo| (entry, photo)));
    let lost = photos.filter_map(|(entry, photo)| {
        let lost = kept(desk, photo).err()?;
        let of = match desk.footing.agreed.find(&entry.task) {
            Some(task) => format!("task {}, {}", task.number, task.title.print(Units::Metric)),
            // The plan may have no such task any more.
            None => format!("entry {}", entry.number),
        };
        let problem = not_kept(&lost);
        let message = format!("the photograph of {of}: {}", problem.message);
        Some((of, Problem { message, ..problem }))
    });
    lost.collect()
}

/// Those that can be shown, by their digests. One that cannot be is named on the page, and told where it is not as it was kept.
pub(crate) fn shown(desk: &Desk) -> BTreeMap<String, Picture> {
    let shown = of_record(&desk.record).filter_map(|photo| {
        let picture = picture::photo(&kept(desk, photo).ok()?, &photo.sha256).ok()?;
        Some((photo.sha256.clone(), picture))
    });
    shown.sorted_map()
}
