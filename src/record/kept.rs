//! What is kept beside a record in `<job>.kept/`: the plan that was signed, the job file, photographs, each under its SHA-256.
//!
//! Takes bytes and a name's ending; gives them back by their digest, and only when they are still those. A file that is there already is
//! left alone: whatever has its name is the same, or is found to be another.

use std::io;
use std::path::{Path, PathBuf};

use thiserror::Error;

use crate::chain::sha256;
use crate::whole;

/// No file of a plan or a photograph is larger.
const MOST: u64 = 64 << 20;

/// The folder beside a record.
#[derive(Debug, Clone)]
pub struct Folder(PathBuf);

/// Why something kept cannot be had.
#[derive(Debug, Error)]
pub enum Lost {
    /// It is not there, or cannot be read.
    #[error("`{path}` cannot be read: {1}", path = .0.display())]
    Unreadable(PathBuf, io::Error),
    /// It is no longer what was kept.
    #[error("`{path}` is not as it was kept", path = .0.display())]
    Changed(PathBuf),
}

impl Folder {
    /// The folder beside a record's file: `job.kept` beside `job.record.jsonl`.
    pub fn beside(record: &Path) -> Self {
        let job = record.with_extension("");
        Self(job.with_extension("kept"))
    }

    /// Where it is.
    pub fn place(&self) -> &Path {
        &self.0
    }

    /// Where something of a digest is kept.
    pub fn path(&self, digest: &str, ending: &str) -> PathBuf {
        self.0.join(format!("{digest}.{ending}"))
    }

    /// What is kept under a digest.
    pub fn read(&self, digest: &str, ending: &str) -> Result<Vec<u8>, Lost> {
        // A record is trusted to name files of its own folder only.
        let plain = digest.len() == 64 && digest.bytes().all(|byte| byte.is_ascii_hexdigit());
        let path = self.path(if plain { digest } else { "no digest" }, ending);
        let unreadable = |error| Lost::Unreadable(path.clone(), error);
        let length = std::fs::metadata(&path).map_err(unreadable)?.len();
        if length > MOST {
            return Err(Lost::Changed(path));
        }
        let bytes = std::fs::read(&path).map_err(unreadable)?;
        if sha256(&bytes) == digest {
            Ok(bytes)
        } else {
            Err(Lost::Changed(path))
        }
    }

    /// Keeps bytes under their digest. They are on the disk before this returns.
    pub fn keep(&self, bytes: &[u8], ending: &str) -> io::Result<()> {
        let digest = sha256(bytes);
        if self.read(&digest, ending).is_ok() {
            return Ok(());
        }
        std::fs::create_dir_all(&self.0)?;
        whole::put(&self.path(&digest, ending), bytes, 0o600)
    }
}
