//! The file of a chain: read it, or add lines to its end. Nothing else is ever done to it.
//!
//! Takes a path; gives what was read, and writes under a file lock that every process takes. Lines count as written only when
//! they are on the disk. An append that fails is taken back whole; a torn tail that a cut-off write left behind is moved to a
//! file of its own first.

use std::fs::{File, OpenOptions, TryLockError};
use std::io::{self, Read as _, Seek as _, SeekFrom, Write as _};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use super::Chained;
use super::lines::{Broken, Chain, Flaw, verify};
use crate::report::{Code, Place, Problem};
use crate::whole;

/// How a file ends in which a torn end of a record was set aside, before its number.
const TORN: &str = "torn-";

/// No record grows to this many bytes; a file that does is refused before it fills the memory.
const MOST: u64 = 256 << 20;

/// Why the record could not be read or added to.
#[derive(Debug)]
pub enum StoreError {
    /// The file could not be opened, locked or read.
    Unreadable(io::Error),
    /// The entry could not be written; nothing of it is left in the file.
    NotWritten(io::Error),
    /// The entry could not be read back as it would stand in the file, so it was not written.
    NotReadBack(Broken),
    /// Somebody else held the record for too long.
    Held,
    /// A line is not as it was written.
    Broken(Broken),
}

impl StoreError {
    /// The problem of a record that could not be read or written.
    pub fn problem(self, path: &Path) -> Problem {
        let (code, message, help) = match self {
            Self::Unreadable(error) => (
                Code::UnreadableFile,
                format!("the record cannot be read: {error}"),
                "see who may read it, and whether another file has its name",
            ),
            Self::NotWritten(error) => (
                Code::RecordNotWritten,
                format!("the record cannot be written, so nothing is signed: {error}"),
                "make room on the disk, or see who may write beside the job file; then sign again",
            ),
            Self::NotReadBack(broken) => (
                Code::RecordNotWritten,
                format!(
                    "what was to be written could not be read back, so nothing is signed: {broken}"
                ),
                "this is a defect of the program; say which values were given",
            ),
            Self::Held => (
                Code::RecordHeld,
                "somebody else has had the record open for half a minute, so nothing is signed"
                    .to_owned(),
                "see which program has it open, and try again",
            ),
            Self::Broken(broken) => (
                Code::RecordBroken,
                broken.to_string(),
                "nothing more is signed on it; fetch the record from a copy, and ask how it came to be changed",
            ),
        };
        Problem::error(code, message).at(Place::at(path)).help(help)
    }
}

/// What a writer did.
#[derive(Debug)]
pub struct Appended<E> {
    /// The record with its lines.
    pub after: Chain<E>,
    /// Where a torn tail was set aside, and how many bytes it had.
    pub set_aside: Option<(PathBuf, usize)>,
}

/// How somebody who waits for others is told of it, after a while.
pub(super) type Waiting<'a> = &'a dyn Fn();

/// How long others are waited for before a word is said, and before it is given up.
const SAY_AFTER: Duration = Duration::from_secs(2);
const GIVE_UP_AFTER: Duration = Duration::from_secs(30);

/// Reads and verifies a chain; one that is not there holds nothing.
pub fn read<E: Chained>(path: &Path, waiting: Waiting<'_>) -> Result<Chain<E>, StoreError> {
    shared(path, waiting, |bytes| Chain::default().followed(bytes))
}

/// Does something with a chain and its bytes while nobody writes to it.
pub fn held<E: Chained, T>(
    path: &Path,
    waiting: Waiting<'_>,
    act: impl FnOnce(Chain<E>, &[u8]) -> T,
) -> Result<T, StoreError> {
    shared(path, waiting, |bytes| Ok(act(verify(&bytes)?, &bytes)))
}

/// Does something with the bytes of a file while nobody writes to it; there are none where it is not there.
fn shared<T>(
    path: &Path,
    waiting: Waiting<'_>,
    act: impl FnOnce(Vec<u8>) -> Result<T, Broken>,
) -> Result<T, StoreError> {
    plain(path).map_err(StoreError::Unreadable)?;
    match File::open(path) {
        Ok(mut file) => {
            locked(waiting, &file, || file.try_lock_shared())
                .map_err(|error| had(error, StoreError::Unreadable))?;
            act(all(&mut file)?).map_err(StoreError::Broken)
        }
        Err(error) if error.kind() == io::ErrorKind::NotFound => {
            act(Vec::new()).map_err(StoreError::Broken)
        }
        Err(error) => Err(StoreError::Unreadable(error)),
    }
}

/// Puts what `decide` adds to the record as it stands under the lock behind it: whole lines, in one append, on the disk before this
/// returns. What of it is known is not verified again. Nothing is written when `decide` refuses; its refusal is then given back.
pub fn append<E: Chained, R>(
    path: &Path,
    (known, waiting): (&Chain<E>, Waiting<'_>),
    decide: impl FnOnce(&Chain<E>) -> Result<Chain<E>, R>,
) -> Result<Result<Appended<E>, R>, StoreError> {
    plain(path).map_err(StoreError::NotWritten)?;
    let mut options = OpenOptions::new();
    let opened = options.read(true).append(true).create(true).open(path);
    let mut file = opened.map_err(StoreError::NotWritten)?;
    locked(waiting, &file, || file.try_lock())
        .map_err(|error| had(error, StoreError::NotWritten))?;
    let record = known.followed(all(&mut file)?);
    let record = record.map_err(StoreError::Broken)?;
    let mut after = match decide(&record) {
        Ok(after) => after,
        Err(refused) => return Ok(Err(refused)),
    };
    let lines = read_back(&record, &after).map_err(StoreError::NotReadBack)?;
    let length = file.metadata().map_err(StoreError::NotWritten)?.len();
    let whole = length - record.torn as u64;
    let aside = (record.torn > 0).then(|| set_aside(path, &mut file, whole));
    let aside = aside.transpose().map_err(StoreError::NotWritten)?;
    write(path, &mut file, (lines, whole)).map_err(StoreError::NotWritten)?;
    after.torn = 0;
    Ok(Ok(Appended {
        set_aside: aside.map(|aside| (aside, record.torn)),
        after,
    }))
}

/// The lines that were added, which must be such as could be read: what could not be read back is not written.
fn read_back<'a, E: Chained>(record: &Chain<E>, after: &'a Chain<E>) -> Result<&'a [u8], Broken> {
    let read = record.followed(after.text().to_vec())?;
    let lines = after.text().strip_prefix(record.text());
    let lines = lines.filter(|lines| lines.ends_with(b"\n") && read.torn == 0);
    lines.ok_or(Broken {
        line: read.entries.len() + 1,
        flaw: Flaw::NotCanonical,
    })
}

/// Refuses what is no file: a pipe or a device would let everybody wait for ever.
fn plain(path: &Path) -> io::Result<()> {
    match std::fs::metadata(path) {
        Ok(found) if found.is_file() => Ok(()),
        Ok(_) => {
            let kind = "it is a folder, a pipe or a device, and no file";
            Err(io::Error::new(io::ErrorKind::InvalidInput, kind))
        }
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(()),
        Err(error) => Err(error),
    }
}

/// Tries for a lock until it is had; nothing when somebody held it for too long. A record that grows meanwhile is not held: others sign
/// one after the other, and the queue moves.
fn locked(
    waiting: Waiting<'_>,
    file: &File,
    attempt: impl Fn() -> Result<(), TryLockError>,
) -> Result<(), Option<io::Error>> {
    let length = || file.metadata().map_or(0, |found| found.len());
    let (mut begun, mut last) = (Instant::now(), length());
    let (mut said, mut pause) = (false, Duration::from_millis(1));
    loop {
        match attempt() {
            Ok(()) => return Ok(()),
            Err(TryLockError::Error(error)) => return Err(Some(error)),
            Err(TryLockError::WouldBlock) if begun.elapsed() > GIVE_UP_AFTER => return Err(None),
            Err(TryLockError::WouldBlock) => {
                let now = length();
                if now != last {
                    (begun, last) = (Instant::now(), now);
                }
                if !said && begun.elapsed() > SAY_AFTER {
                    waiting();
                    said = true;
                }
                std::thread::sleep(pause);
                pause = (pause * 2).min(Duration::from_millis(50));
            }
        }
    }
}

fn had(error: Option<io::Error>, other: impl Fn(io::Error) -> StoreError) -> StoreError {
    error.map_or(StoreError::Held, other)
}

fn all(file: &mut File) -> Result<Vec<u8>, StoreError> {
    let mut bytes = Vec::new();
    let read = file.take(MOST).read_to_end(&mut bytes);
    read.map_err(StoreError::Unreadable)?;
    if bytes.len() as u64 == MOST {
        let error = io::Error::new(io::ErrorKind::FileTooLarge, "the record is too large");
        return Err(StoreError::Unreadable(error));
    }
    Ok(bytes)
}

/// Writes behind the whole lines, and takes back what was written when that fails. The folder is flushed each time: whoever
/// made the file may have been cut off before that.
fn write(path: &Path, file: &mut File, (bytes, whole): (&[u8], u64)) -> io::Result<()> {
    let written = file.write_all(bytes).and_then(|()| file.sync_all());
    let written = written.and_then(|()| whole::flush(path));
    if let Err(error) = written {
        // When even this fails, the next writer finds a torn tail and sets it aside.
        let _ = file.set_len(whole).and_then(|()| file.sync_all());
        return Err(error);
    }
    Ok(())
}

/// Copies what stands behind the whole lines to a new file beside the record, then cuts it off.
fn set_aside(path: &Path, file: &mut File, whole: u64) -> io::Result<PathBuf> {
    let mut tail = Vec::new();
    file.seek(SeekFrom::Start(whole))?;
    file.read_to_end(&mut tail)?;
    let (aside, mut copy) = new_beside(path)?;
    let copied = copy.write_all(&tail).and_then(|()| copy.sync_all());
    if let Err(error) = copied.and_then(|()| whole::flush(path)) {
        // On a full disk each attempt would leave one more file of nothing.
        let _ = std::fs::remove_file(&aside);
        return Err(error);
    }
    file.set_len(whole)?;
    file.sync_all()?;
    Ok(aside)
}

/// The files in which torn ends of a record were set aside, in order of their names.
pub fn aside(path: &Path) -> io::Result<Vec<PathBuf>> {
    let name = path.with_extension(TORN);
    let begins = name.file_name().unwrap_or_default().to_string_lossy();
    let entries = std::fs::read_dir(whole::folder(path))?;
    let paths: io::Result<Vec<PathBuf>> = entries.map(|entry| Ok(entry?.path())).collect();
    let mut paths = paths?;
    paths.retain(|path| {
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        name.starts_with(&*begins)
    });
    paths.sort();
    Ok(paths)
}

/// A new file beside the record: `job.record.torn-1`, or the next number that is free.
fn new_beside(path: &Path) -> io::Result<(PathBuf, File)> {
    for number in 1..10_000 {
        let aside = path.with_extension(format!("{TORN}{number}"));
        match OpenOptions::new().write(true).create_new(true).open(&aside) {
            Ok(file) => return Ok((aside, file)),
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {}
            Err(error) => return Err(error),
        }
    }
    let many = "too many torn tails are set aside beside the record";
    Err(io::Error::new(io::ErrorKind::AlreadyExists, many))
}
