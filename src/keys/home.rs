//! Where the machine keeps what is no part of a folder of jobs: one folder, whose files nobody but this user reads.
//!
//! Takes names; gives bytes, and puts them there whole or not at all.

use std::fs::OpenOptions;
use std::io;
use std::path::{Path, PathBuf};

use etcetera::BaseStrategy as _;

use crate::{sha256, whole};

/// The variable that names another folder.
pub const HOME: &str = "LIFTSHEET_HOME";

/// The folder.
#[derive(Debug, Clone)]
pub struct Home(PathBuf);

impl Home {
    /// That of this user on this machine.
    pub fn of_this_machine() -> io::Result<Self> {
        if let Some(named) = std::env::var_os(HOME).filter(|named| !named.is_empty()) {
            return Ok(Self(named.into()));
        }
        let places = etcetera::base_strategy::choose_native_strategy()
            .map_err(|_| io::Error::new(io::ErrorKind::NotFound, "this user has no home"))?;
        Ok(Self(places.data_dir().join("liftsheet")))
    }

    /// The one in a folder.
    pub fn at(folder: &Path) -> Self {
        Self(folder.to_owned())
    }

    /// Where it is.
    pub fn path(&self) -> &Path {
        &self.0
    }

    /// The bytes of a file; none where there is none.
    pub(super) fn read(&self, name: &str) -> io::Result<Option<Vec<u8>>> {
        match std::fs::read(self.0.join(name)) {
            Ok(bytes) => Ok(Some(bytes)),
            Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(None),
            Err(error) => Err(error),
        }
    }

    /// Puts a file there, in the place of the one of that name. It is on the disk before this returns.
    pub(super) fn write(&self, name: &str, bytes: &[u8]) -> io::Result<()> {
        self.make()?;
        whole::put(&self.0.join(name), bytes, 0o600)
    }

    /// The same for what may be lost with the power.
    pub(super) fn note(&self, name: &str, bytes: &[u8]) -> io::Result<()> {
        self.make()?;
        whole::note(&self.0.join(name), bytes)
    }

    /// Does something while nobody else of this machine does the like.
    pub(super) fn alone<T>(
        &self,
        name: &str,
        act: impl FnOnce() -> io::Result<T>,
    ) -> io::Result<T> {
        self.make()?;
        let mut options = OpenOptions::new();
        let lock = options
            .create(true)
            .append(true)
            .open(self.0.join(format!("{name}.lock")))?;
        lock.lock()?;
        act()
    }

    fn make(&self) -> io::Result<()> {
        let mut folder = std::fs::DirBuilder::new();
        #[cfg(unix)]
        std::os::unix::fs::DirBuilderExt::mode(&mut folder, 0o700);
        folder.recursive(true).create(&self.0)
    }
}

/// A name that can be no path, whatever a file of the folder says: the number of a record, or its digest where it is none.
pub(super) fn named(id: &str) -> String {
    let plain = id.len() == 32 && id.bytes().all(|byte| byte.is_ascii_hexdigit());
    if plain {
        id.to_ascii_lowercase()
    } else {
        sha256::sha256(id.as_bytes())
    }
}
