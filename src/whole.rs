//! A file that is there whole or not at all, in the place of the one of its name.
//!
//! Takes a path and what is to stand there; gives, too, a new file beside a place to whoever fills it bit by bit. What may be written over,
//! and what is said of it, is left to those who ask.

use std::fs::File;
use std::io::{self, Write as _};
use std::path::Path;

use tempfile::NamedTempFile;

/// Puts a file there with its permissions, as Unix counts them. It is on the disk before this returns.
pub(crate) fn put(path: &Path, bytes: &[u8], mode: u32) -> io::Result<()> {
    replace(path, bytes, (mode, File::sync_all))?;
    flush(path)
}

/// Puts a file there that is for nobody but this user, and that may be lost with the power.
pub(crate) fn note(path: &Path, bytes: &[u8]) -> io::Result<()> {
    replace(path, bytes, (0o600, |_| Ok(())))
}

fn replace(
    path: &Path,
    bytes: &[u8],
    (mode, sync): (u32, fn(&File) -> io::Result<()>),
) -> io::Result<()> {
    let mut file = beside(path, mode)?;
    // The file itself, since the error of the wrapper names a path that nobody knows.
    file.as_file_mut().write_all(bytes)?;
    sync(file.as_file())?;
    let put = file.persist(path);
    put.map(|_| ()).map_err(|error| error.error)
}

/// A new file beside a place, to be put there when it is full.
pub(crate) fn beside(path: &Path, mode: u32) -> io::Result<NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(mode));
    builder.tempfile_in(folder(path))
}

/// Puts a new name on the disk; only then does a new file outlast a power cut. Where a folder cannot be opened to be flushed, the file
/// system keeps its names itself.
pub(crate) fn flush(path: &Path) -> io::Result<()> {
    if cfg!(unix) {
        File::open(folder(path))?.sync_all()?;
    }
    Ok(())
}

/// The folder that a file stands in.
pub(crate) fn folder(path: &Path) -> &Path {
    let folder = path.parent().filter(|path| !path.as_os_str().is_empty());
    folder.unwrap_or(Path::new("."))
}
