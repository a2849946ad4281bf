//! Files out: each appears whole or not at all, and nothing of somebody else's is written over unasked.
//!
//! Takes paths and what is to stand there; gives nothing, or the reason why it could not be written. What stands in a page is left to others.

use std::fs::File;
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

use crate::report::in_message;
use crate::whole;

/// Every file that this program writes carries this, so that it overwrites no other.
pub(crate) const MARK: &str = "Made with liftsheet";

/// Refuses what cannot be a page's file, before anything is read for it: a job file of the same call whatever is asked, a device, a
/// folder that is not there.
pub(crate) fn may_be_written<'a>(
    path: &Path,
    jobs: impl IntoIterator<Item = &'a Path>,
) -> Result<(), String> {
    let place = resolved(path)?;
    let same = |job: &&Path| std::fs::canonicalize(job).is_ok_and(|job| job == place);
    if jobs.into_iter().any(|job| same(&job)) {
        let reason = "this is the job file itself; give the page another name";
        return Err(why(path, reason));
    }
    Ok(())
}

/// Where a file of that name really is: links are followed, so that what they lead to is written and they stay.
fn resolved(path: &Path) -> Result<PathBuf, String> {
    let fault = |reason: &str| why(path, reason);
    match std::fs::metadata(path) {
        Ok(data) if data.is_dir() => Err(fault("this is a folder; end its name in `/`")),
        Ok(data) if !data.is_file() => Err(fault("this is no file but a device or a pipe")),
        Ok(_) => std::fs::canonicalize(path).map_err(|error| failed(path, &error)),
        Err(_) if path.is_symlink() => Err(fault(
            "this is a link to a file that is not there; name the file",
        )),
        Err(error) if error.kind() == io::ErrorKind::NotFound => {
            let folder = whole::folder(path);
            let name = path
                .file_name()
                .ok_or_else(|| fault("this names no file"))?;
            let folder = std::fs::canonicalize(folder).map_err(|error| failed(path, &error))?;
            Ok(folder.join(name))
        }
        Err(error) => Err(failed(path, &error)),
    }
}

/// Why a page could not be written, with its name.
fn why(path: &Path, reason: &str) -> String {
    format!("{}: {reason}", shown(path))
}

/// Why a file could not be written: its own name and what stands in the way, not those of the temporary file beside it.
fn failed(path: &Path, error: &io::Error) -> String {
    let folder = shown(whole::folder(path));
    let reason = match error.kind() {
        io::ErrorKind::NotFound => format!("there is no folder `{folder}`"),
        io::ErrorKind::NotADirectory => format!("`{folder}` is no folder"),
        io::ErrorKind::PermissionDenied => format!("this user may not write into `{folder}`"),
        io::ErrorKind::StorageFull => "the disk is full".to_owned(),
        io::ErrorKind::ReadOnlyFilesystem => format!("nothing can be written into `{folder}`"),
        io::ErrorKind::InvalidFilename => "no file can have this name here".to_owned(),
        kind => kind.to_string(),
    };
    why(path, &reason)
}

/// Writes a file through a temporary one beside it. A file that does not carry [`MARK`] is overwritten only by `force`.
pub(crate) fn write(path: &Path, text: &str, force: bool) -> Result<(), String> {
    filled(path, |file| file.write_all(text.as_bytes()), force)
}

/// The same with what is written as it is made.
pub(crate) fn filled(
    path: &Path,
    fill: impl FnOnce(&mut File) -> io::Result<()>,
    force: bool,
) -> Result<(), String> {
    let place = resolved(path)?;
    if !force && !ours(&place) {
        return Err(why(
            path,
            "this file is there already, and is no page that liftsheet wrote: somebody may have filled it in; give another name, or --force to overwrite it",
        ));
    }
    put(&place, fill, true).map_err(|error| failed(path, &error))
}

/// Writes a file through a temporary one beside it, with the folders above it. A file that is there already is overwritten
/// only by `force`, whoever wrote it: somebody may have filled it in since.
pub(crate) fn create(path: &Path, text: &str, force: bool) -> Result<(), String> {
    created(path, |file| file.write_all(text.as_bytes()), force)
}

/// The same with what is written as it is made.
pub(crate) fn created(
    path: &Path,
    fill: impl FnOnce(&mut File) -> io::Result<()>,
    force: bool,
) -> Result<(), String> {
    create_folder(whole::folder(path))?;
    let place = resolved(path)?;
    put(&place, fill, force).map_err(|error| match error.kind() {
        io::ErrorKind::AlreadyExists => why(
            path,
            "this file is there already; give another name with -o, or --force to overwrite it",
        ),
        _ => failed(path, &error),
    })
}

/// Makes a folder, with those above it, where there is none.
pub(crate) fn create_folder(folder: &Path) -> Result<(), String> {
    std::fs::create_dir_all(folder).map_err(|error| failed(folder, &error))
}

/// Fills a file, through a temporary one beside it. Whoever interrupts the program waits until the file is there or the
/// temporary one is gone: it would be left otherwise.
fn put(place: &Path, fill: impl FnOnce(&mut File) -> io::Result<()>, over: bool) -> io::Result<()> {
    held(|| {
        // A page is for everybody in the workshop, not only for who printed it.
        let mut temporary = whole::beside(place, 0o644)?;
        fill(temporary.as_file_mut())?;
        let done = if over {
            temporary.persist(place)
        } else {
            temporary.persist_noclobber(place)
        };
        done.map(|_| ()).map_err(|error| error.error)
    })
}

/// Does work that an interrupt does not cut in two: what would end the program meanwhile ends it afterwards.
#[cfg(unix)]
fn held<T>(work: impl FnOnce() -> io::Result<T>) -> io::Result<T> {
    use std::sync::Arc;
    use std::sync::atomic::{AtomicBool, Ordering};

    use signal_hook::consts::{SIGHUP, SIGINT, SIGTERM};

    let mut heard = Vec::new();
    for signal in [SIGINT, SIGTERM, SIGHUP] {
        let told = Arc::new(AtomicBool::new(false));
        let id = signal_hook::flag::register(signal, Arc::clone(&told))?;
        heard.push((signal, told, id));
    }
    let done = work();
    for (signal, told, id) in heard {
        signal_hook::low_level::unregister(id);
        if told.load(Ordering::Relaxed) {
            signal_hook::low_level::emulate_default_handler(signal)?;
        }
    }
    done
}

#[cfg(not(unix))]
fn held<T>(work: impl FnOnce() -> io::Result<T>) -> io::Result<T> {
    work()
}

/// Whether a path names a folder: one that is there, or a name that ends like one.
pub(crate) fn is_folder(path: &Path) -> bool {
    path.is_dir() || path.as_os_str().to_string_lossy().ends_with('/')
}

/// A path as it is shown: whatever in it would act on a terminal is made visible.
pub(crate) fn shown(path: &Path) -> String {
    in_message(&path.display().to_string())
}

/// Whether a path is free, or holds a file that this program wrote.
fn ours(path: &Path) -> bool {
    match std::fs::read(path) {
        Ok(bytes) => bytes.is_empty() || String::from_utf8_lossy(&bytes).contains(MARK),
        Err(error) => error.kind() == io::ErrorKind::NotFound,
    }
}
