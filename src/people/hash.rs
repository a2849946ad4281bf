//! What is kept of a PIN: its argon2id hash, made with the workshop's secret, in a file of its own in the folder.
//!
//! Takes a person and a PIN; gives the text to keep, and whether a PIN is the one of a text. A hash is of one person in one workshop, so that
//! nobody's serves for another. The cost is fixed here and never read from the file.

use std::collections::BTreeMap;
use std::io;
use std::path::Path;
use std::sync::{Condvar, Mutex, PoisonError};

use argon2::password_hash::PasswordHasher as _;
use argon2::password_hash::phc::PasswordHash;
use argon2::{Algorithm, Argon2, Params, Version};

use crate::chain::sha256;
use crate::keys::{Secret, draw};
use crate::whole;

/// The file in the folder of the jobs.
pub const FILE: &str = "people.pins.json";
/// KiB of memory, passes over it and lanes: the second of the two choices that RFC 9106 recommends.
const COST: (u32, u32, u32) = (64 * 1024, 3, 4);
/// So many at once take no more memory than a small machine has.
const AT_ONCE: usize = 2;

static RUNNING: (Mutex<usize>, Condvar) = (Mutex::new(0), Condvar::new());

/// Whose PIN it is: the workshop's number and the person's id.
pub(super) type Whose<'a> = (&'a str, &'a str);

/// The text to keep of a PIN.
pub(super) fn hash(secret: &Secret, whose: Whose<'_>, pin: &str) -> io::Result<String> {
    let salt: [u8; 16] = draw()?;
    made(secret, whose, (pin, &salt)).map(|hash| hash.to_string())
}

/// Whether a PIN is the one of a text that was kept.
pub(super) fn is(secret: &Secret, whose: Whose<'_>, (pin, kept): (&str, &str)) -> io::Result<bool> {
    let Ok(kept) = PasswordHash::new(kept) else {
        return Ok(false);
    };
    let Some(salt) = &kept.salt else {
        return Ok(false);
    };
    let made = made(secret, whose, (pin, salt))?;
    // The comparison of two outputs takes the same time wherever they differ.
    Ok(made.hash.is_some() && made.hash == kept.hash)
}

fn made(
    secret: &Secret,
    (workshop, person): Whose<'_>,
    (pin, salt): (&str, &[u8]),
) -> io::Result<PasswordHash> {
    let (memory, passes, lanes) = COST;
    let params = Params::new(memory, passes, lanes, None).map_err(io::Error::other)?;
    let argon =
        Argon2::new_with_secret(secret.pepper(), Algorithm::Argon2id, Version::V0x13, params);
    let argon = argon.map_err(io::Error::other)?;
    let text = format!("{workshop}\0{person}\0{pin}");
    let _turn = Turn::take();
    let hash = argon.hash_password_with_salt(text.as_bytes(), salt);
    hash.map_err(io::Error::other)
}

/// One of the few that may run at once; given back when it is dropped.
struct Turn;

impl Turn {
    fn take() -> Self {
        let (running, freed) = &RUNNING;
        let guard = running.lock().unwrap_or_else(PoisonError::into_inner);
        let full = |running: &mut usize| *running >= AT_ONCE;
        let guard = freed.wait_while(guard, full);
        *guard.unwrap_or_else(PoisonError::into_inner) += 1;
        Self
    }
}

impl Drop for Turn {
    fn drop(&mut self) {
        let (running, freed) = &RUNNING;
        *running.lock().unwrap_or_else(PoisonError::into_inner) -= 1;
        freed.notify_one();
    }
}

/// What is kept of all PINs, each under its SHA-256, which the record names.
pub(super) type Hashes = BTreeMap<String, String>;

/// Reads what is kept in a folder; nothing where the file is none.
pub(super) fn read(folder: &Path) -> Hashes {
    let text = std::fs::read(folder.join(FILE)).unwrap_or_default();
    let mut hashes: Hashes = serde_json::from_slice(&text).unwrap_or_default();
    hashes.retain(|digest, hash| sha256(hash.as_bytes()) == *digest);
    hashes
}

/// Keeps what is to be kept in a folder. It is on the disk before this returns.
pub(super) fn write(folder: &Path, hashes: &Hashes) -> io::Result<()> {
    let text = serde_json::to_string_pretty(hashes)? + "\n";
    whole::put(&folder.join(FILE), text.as_bytes(), 0o600)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::keys::Home;

    #[test]
    fn a_hash_is_of_one_pin_one_person_one_workshop_and_one_secret() {
        let home = tempfile::TempDir::new().unwrap();
        let home = Home::at(home.path());
        let secret = home.secret_or_new("one").unwrap();
        let kept = hash(&secret, ("w", "ash"), "482913").unwrap();
        assert!(
            kept.starts_with("$argon2id$v=19$m=65536,t=3,p=4$"),
            "{kept}"
        );
        let is = |secret: &Secret, whose, pin| is(secret, whose, (pin, kept.as_str())).unwrap();
        assert!(is(&secret, ("w", "ash"), "482913"));
        assert!(!is(&secret, ("w", "ash"), "482914"));
        assert!(!is(&secret, ("w", "birch"), "482913"));
        assert!(!is(&secret, ("v", "ash"), "482913"));
        assert!(!is(
            &home.secret_or_new("two").unwrap(),
            ("w", "ash"),
            "482913"
        ));
    }
}
