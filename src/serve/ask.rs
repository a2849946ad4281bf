//! What a device asks for, once it has passed the door: which page, whose session, what was filled in.
//!
//! Takes an HTTP request; gives an [`Ask`], or the refusal. Bodies are read whole, within limits, before anything is done with them.

use std::collections::BTreeMap;
use std::net::{IpAddr, SocketAddr};
use std::sync::Arc;
use std::time::{Duration, Instant};

use axum::RequestExt as _;
use axum::extract::{ConnectInfo, FromRequest, Multipart, Path, RawForm, Request};
use axum::http::{HeaderMap, Method, header};

use super::answer::Answer;
use super::cookie;
use super::house::House;
use super::sessions::{Session, Wrote, locked, same};
use crate::desk::sign;
use crate::record::Time;

/// The largest form with its photographs.
pub(super) const LARGEST: usize = 36 << 20;
/// The largest field that somebody types, and as many of them.
const LONGEST: usize = 4_000;
const MOST: usize = 2_000;
/// As many photographs as come with one form.
const PHOTOS: usize = 40;

/// As long as a form may take to come: with photographs by somebody who is signed in, and by anybody else.
const LONG: Duration = Duration::from_secs(55);
const SHORT: Duration = Duration::from_secs(5);

/// One request.
#[derive(Debug)]
pub(super) struct Ask {
    pub(super) session: Session,
    /// Whether the session was begun by this request.
    pub(super) fresh: bool,
    pub(super) device: IpAddr,
    pub(super) now: Time,
    /// Whether it sends a form.
    pub(super) sent: bool,
    path: BTreeMap<String, String>,
    /// What stands behind the question mark.
    pub(super) query: FormFields,
    /// What was filled in.
    pub(super) form: FormFields,
    /// The photographs, by their fields.
    pub(super) photos: Vec<(String, Vec<u8>)>,
}

/// Fields by their names, in their order.
#[derive(Debug, Default)]
pub(super) struct FormFields(Vec<(String, String)>);

impl FormFields {
    /// The first of a name that is not empty.
    pub(super) fn get(&self, name: &str) -> Option<&str> {
        self.all(name).next()
    }

    /// Every one of a name that is not empty.
    pub(super) fn all<'a>(&'a self, name: &str) -> impl Iterator<Item = &'a str> {
        let own = self.0.iter().filter(move |(own, _)| own == name);
        own.map(|(_, value)| value.trim())
            .filter(|value| !value.is_empty())
    }

    /// Everything that is filled in of names that begin so, without that.
    pub(super) fn under<'a>(&'a self, prefix: &'a str) -> impl Iterator<Item = (&'a str, &'a str)> {
        let own = self.0.iter().filter_map(move |(name, value)| {
            let name = name.strip_prefix(prefix)?;
            Some((name, value.trim()))
        });
        own.filter(|(_, value)| !value.is_empty())
    }

    /// What was filled in by name, several of one name a line each: to be shown once more, and so nothing secret.
    pub(super) fn shown(&self) -> BTreeMap<&str, String> {
        let mut shown: BTreeMap<&str, String> = BTreeMap::new();
        let secret = |name: &str| matches!(name, "form" | "new" | "pin");
        for (name, value) in self.0.iter().filter(|(name, _)| !secret(name)) {
            let own = shown.entry(name).or_default();
            if !own.is_empty() {
                own.push('\n');
            }
            own.push_str(value.trim());
        }
        shown
    }

    fn read(bytes: &[u8]) -> Result<Self, Answer> {
        let pairs: Vec<(String, String)> = form_urlencoded::parse(bytes)
            .take(MOST + 1)
            .map(|(name, value)| (name.into_owned(), value.into_owned()))
            .collect();
        let long = |(name, value): &(String, String)| name.len() > LONGEST || value.len() > LONGEST;
        if pairs.len() > MOST || pairs.iter().any(long) {
            return Err(Answer::refused(413, "That is more than this page takes."));
        }
        Ok(Self(pairs))
    }
}

impl Ask {
    /// Part of the address, by its name in the route.
    pub(super) fn part(&self, name: &str) -> &str {
        self.path.get(name).map_or("", String::as_str)
    }

    /// Whoever is signed in.
    pub(super) fn person(&self) -> Option<&str> {
        self.session.person.as_deref()
    }

    /// Whether it comes from a network, and of nobody who is known: nothing of a job is shown then.
    pub(super) fn is_strange(&self, house: &House) -> bool {
        house.secure && self.person().is_none()
    }

    /// Whether it comes from the machine that the program runs on.
    pub(super) fn here(&self) -> bool {
        self.device.is_loopback()
    }
}

impl FromRequest<Arc<House>> for Ask {
    type Rejection = Answer;

    async fn from_request(mut request: Request, house: &Arc<House>) -> Result<Self, Answer> {
        let device = request
            .extensions()
            .get::<ConnectInfo<SocketAddr>>()
            .map_or(IpAddr::from([0, 0, 0, 0]), |info| info.0.ip());
        let (session, fresh) = session(house, request.headers())?;
        let path = request
            .extract_parts::<Path<BTreeMap<String, String>>>()
            .await;
        let Path(path) = path.map_err(|_| Answer::refused(404, "There is no such page."))?;
        let mut ask = Self {
            session,
            fresh,
            device,
            now: sign::now(),
            sent: request.method() == Method::POST,
            path,
            query: FormFields::read(request.uri().query().unwrap_or_default().as_bytes())?,
            form: FormFields::default(),
            photos: Vec::new(),
        };
        if ask.sent {
            let foreign = || {
                Answer::refused(
                    403,
                    "This form is of another sitting. Open the page again, and send it once more.",
                )
            };
            // Of whoever never opened a page nothing is read, so that it holds nobody else up.
            if fresh {
                return Err(foreign());
            }
            let patience = if ask.person().is_some() { LONG } else { SHORT };
            let read = tokio::time::timeout(patience, ask.read(request)).await;
            read.map_err(|_| Answer::refused(408, "That came too slowly. Nothing was written."))??;
            // Another site can make a browser send a form, but cannot read what must stand in it.
            if !same(ask.form.get("form").unwrap_or_default(), &ask.session.form) {
                return Err(foreign());
            }
        }
        Ok(ask)
    }
}

impl Ask {
    async fn read(&mut self, request: Request) -> Result<(), Answer> {
        let kind = request.headers().get(header::CONTENT_TYPE);
        let kind = kind.and_then(|kind| kind.to_str().ok()).unwrap_or_default();
        if kind.starts_with("multipart/form-data") {
            let parts = request.extract::<Multipart, _>().await;
            let parts = parts.map_err(|_| unreadable())?;
            return self.read_parts(parts).await;
        }
        let RawForm(bytes) = request.extract().await.map_err(|_| unreadable())?;
        self.form = FormFields::read(&bytes)?;
        Ok(())
    }

    async fn read_parts(&mut self, mut parts: Multipart) -> Result<(), Answer> {
        while let Some(part) = parts.next_field().await.map_err(|_| unreadable())? {
            let name = part.name().unwrap_or_default().to_owned();
            let photo = part.file_name().is_some();
            let bytes = part.bytes().await.map_err(|_| unreadable())?;
            if photo && bytes.is_empty() {
                continue;
            }
            let room = if photo {
                self.photos.len() < PHOTOS
            } else {
                bytes.len() <= LONGEST && self.form.0.len() < MOST
            };
            if !room {
                return Err(Answer::refused(413, "That is more than this page takes."));
            }
            if photo {
                self.photos.push((name, bytes.into()));
            } else {
                let value = String::from_utf8(bytes.into()).map_err(|_| unreadable())?;
                self.form.0.push((name, value));
            }
        }
        Ok(())
    }

    /// What the next page at this device says.
    pub(super) fn tell(&self, house: &House, told: Vec<String>) {
        locked(&house.sessions).tell(&self.session.token, told, None);
    }

    /// The same, of what was written into a job file and may be taken back.
    pub(super) fn tell_written(&self, house: &House, told: Vec<String>, wrote: Wrote) {
        locked(&house.sessions).tell(&self.session.token, told, Some(wrote));
    }
}

fn unreadable() -> Answer {
    Answer::refused(
        400,
        "What was sent could not be read, or was too large. Nothing was written.",
    )
}

/// The session of a request, and whether it was begun by it.
fn session(house: &House, headers: &HeaderMap) -> Result<(Session, bool), Answer> {
    house.sign_out();
    let mut sessions = locked(&house.sessions);
    let now = Instant::now();
    let by_itself = headers.contains_key("x-by-itself");
    let held = cookie::token(headers, house.secure);
    let held = held.and_then(|token| sessions.of(token, now, by_itself));
    match held {
        Some(session) => Ok((session, false)),
        None => match sessions.begin(now) {
            Some(session) => Ok((session, true)),
            None => Err(Answer::refused(500, "The system gives no random numbers.")),
        },
    }
}
