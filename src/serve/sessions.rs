//! Who sits at which device: a session for each browser, with whoever is signed in there.
//!
//! Takes tokens from cookies and the time; gives sessions. Nothing of it is written down: when the program is started again, everybody
//! signs in again.

use std::collections::HashMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

use crate::fill::Filled;
use crate::keys::draw;
use crate::people::Proof;
use crate::sha256::hex;

/// How long a device may lie unused until its person has to sign in again: one that several people use, and one of a single person.
const SHARED: Duration = Duration::from_secs(3 * 60);
const OWN: Duration = Duration::from_secs(15 * 60);

/// As many browsers as may be known at once; whoever was away longest is forgotten first.
const MOST: usize = 500;

/// A browser, and who is signed in there.
#[derive(Debug, Clone)]
pub(super) struct Session {
    /// What its cookie says.
    pub(super) token: String,
    /// What each of its forms must say.
    pub(super) form: String,
    /// Who is signed in.
    pub(super) person: Option<String>,
    pub(super) name: String,
    /// That the person gave the PIN.
    pub(super) proof: Option<Proof>,
    /// Whether several people use the device.
    pub(super) shared: bool,
    /// What is to be said on its next page.
    told: Vec<String>,
    /// What was written last into which job, for as long as nothing else is told.
    pub(super) wrote: Option<Wrote>,
    used: Instant,
}

/// A job by its name, and what was written into its file.
pub(super) type Wrote = (String, Arc<Filled>);

/// Every session.
#[derive(Debug, Default)]
pub(super) struct Sessions {
    by_token: HashMap<String, Session>,
}

impl Sessions {
    /// The session of a cookie, used now unless the device only looks by itself; a person who left it alone for too long is signed out.
    pub(super) fn of(&mut self, token: &str, now: Instant, by_itself: bool) -> Option<Session> {
        let session = self.by_token.get_mut(token)?;
        let most = if session.shared { SHARED } else { OWN };
        if now.duration_since(session.used) > most {
            (session.person, session.proof) = (None, None);
        }
        if !by_itself {
            session.used = now;
        }
        Some(session.clone())
    }

    /// A new session of nobody, with numbers drawn by the system; nothing where it draws none.
    pub(super) fn begin(&mut self, now: Instant) -> Option<Session> {
        if self.by_token.len() >= MOST {
            // Whoever only comes by puts nobody out who is signed in.
            let rank = |session: &&Session| (session.person.is_some(), session.used);
            let oldest = self.by_token.values().min_by_key(rank);
            let oldest = oldest.map(|session| session.token.clone());
            oldest.and_then(|token| self.by_token.remove(&token));
        }
        let session = Session {
            token: drawn()?,
            form: drawn()?,
            person: None,
            name: String::new(),
            proof: None,
            shared: false,
            told: Vec::new(),
            wrote: None,
            used: now,
        };
        self.by_token.insert(session.token.clone(), session.clone());
        Some(session)
    }

    /// Signs somebody in, under a new token, so that whoever knew the old one gains nothing.
    pub(super) fn sign_in(
        &mut self,
        old: &str,
        (person, name, proof): (&str, &str, Option<Proof>),
        shared: bool,
        now: Instant,
    ) -> Option<Session> {
        self.by_token.remove(old);
        let begun = self.begin(now)?;
        let session = self.by_token.get_mut(&begun.token)?;
        session.person = Some(person.to_owned());
        name.clone_into(&mut session.name);
        session.proof = proof;
        session.shared = shared;
        Some(session.clone())
    }

    /// What the next page of a session says.
    pub(super) fn tell(&mut self, token: &str, told: Vec<String>, wrote: Option<Wrote>) {
        if let Some(session) = self.by_token.get_mut(token) {
            (session.told, session.wrote) = (told, wrote);
        }
    }

    /// What is to be said now, and is then forgotten.
    pub(super) fn told(&mut self, token: &str) -> Vec<String> {
        let session = self.by_token.get_mut(token);
        session
            .map(|session| std::mem::take(&mut session.told))
            .unwrap_or_default()
    }

    /// Signs everybody out who does not stay.
    pub(super) fn sign_out(&mut self, stays: impl Fn(&str, Option<&Proof>) -> bool) {
        for session in self.by_token.values_mut() {
            let person = session.person.as_deref();
            if person.is_some_and(|person| !stays(person, session.proof.as_ref())) {
                (session.person, session.proof) = (None, None);
            }
        }
    }

    /// Forgets a session.
    pub(super) fn end(&mut self, token: &str) {
        self.by_token.remove(token);
    }
}

/// 256 bits of the system's own lots.
fn drawn() -> Option<String> {
    Some(hex(&draw::<32>().ok()?))
}

/// Whether two texts are the same; it takes as long wherever they differ.
pub(super) fn same(one: &str, other: &str) -> bool {
    let differ = one
        .bytes()
        .zip(other.bytes())
        .fold(0, |sum, (a, b)| sum | (a ^ b));
    one.len() == other.len() && differ == 0
}

/// What a lock guards is whole after each use, whatever became of the one that had it.
pub(super) fn locked<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A session of somebody, and when it was begun.
    fn signed_in(sessions: &mut Sessions, shared: bool) -> (String, Instant) {
        let now = Instant::now();
        let session = sessions.sign_in("", ("ash", "Ash", None), shared, now);
        (session.unwrap().token, now)
    }

    #[test]
    fn a_device_that_is_left_alone_asks_again_also_when_it_looks_by_itself() {
        for (shared, most) in [(true, SHARED), (false, OWN)] {
            let mut sessions = Sessions::default();
            let (token, begun) = signed_in(&mut sessions, shared);
            let mut person = |later, by_itself| {
                let session = sessions.of(&token, begun + later, by_itself);
                session.unwrap().person
            };
            assert!(person(most, true).is_some());
            assert!(person(most / 2, false).is_some());
            assert!(person(most, false).is_some(), "used since");
            assert!(person(most * 2 + Duration::from_secs(1), true).is_none());
        }
    }

    #[test]
    fn whoever_only_comes_by_puts_nobody_out() {
        let mut sessions = Sessions::default();
        let (token, begun) = signed_in(&mut sessions, false);
        for _ in 0..MOST * 2 {
            sessions.begin(begun + Duration::from_secs(1));
        }
        assert_eq!(sessions.by_token.len(), MOST);
        assert!(sessions.of(&token, begun, false).unwrap().person.is_some());
    }
}
