//! What a device is answered: a page, a way on, a file, or a refusal in words.
//!
//! Takes what a page made; gives an HTTP response. How long anything may be kept, and what a page may load, is said here for all of them.

use axum::http::{HeaderName, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use serde_json::{Value, json};

use super::{cookie, templates};

const HTML: &str = "text/html; charset=utf-8";
/// The pages of this server: nothing but its own style sheet and script.
const OWN: &str = "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self' blob: data:; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'; worker-src 'self'";
/// Pages that also print: their style sheet stands within them, and they run nothing.
const PAPER: &str = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; form-action 'none'; base-uri 'none'; frame-ancestors 'none'";

#[derive(Debug)]
pub(super) enum Answer {
    /// A page of this server.
    Page(String),
    /// A page that also prints.
    Paper(String),
    /// On to another page, so that going back and loading again sends nothing twice.
    Go(String),
    /// On to the jobs, with the cookie of a session that somebody has begun.
    In(String, bool),
    /// A few words for the script of a page.
    Json(Value),
    /// A file of the program's own, or a photograph.
    File(&'static str, Vec<u8>),
    /// No, and why.
    Refused(u16, Vec<String>),
}

impl Answer {
    /// No, in a sentence.
    pub(super) fn refused(status: u16, why: &str) -> Self {
        Self::Refused(status, vec![why.to_owned()])
    }
}

impl IntoResponse for Answer {
    fn into_response(self) -> Response {
        match self {
            Self::Page(html) => (headed(HTML, OWN), html).into_response(),
            Self::Paper(html) => (headed(HTML, PAPER), html).into_response(),
            Self::Json(value) => {
                (headed("application/json", OWN), value.to_string()).into_response()
            }
            Self::File(kind, bytes) => (headed(kind, OWN), bytes).into_response(),
            Self::Refused(status, why) => {
                let status = StatusCode::from_u16(status).unwrap_or(StatusCode::BAD_REQUEST);
                let html =
                    templates::filled("refused.html", &json!({"title": "Not done", "why": why}));
                (status, headed(HTML, OWN), html).into_response()
            }
            Self::In(token, secure) => {
                let cookie = [(header::SET_COOKIE, cookie::kept(&token, secure))];
                (cookie, Redirect::to("/")).into_response()
            }
            Self::Go(to) => Redirect::to(&to).into_response(),
        }
    }
}

/// What a body is, and what may be loaded with it.
fn headed(kind: &'static str, policy: &'static str) -> [(HeaderName, &'static str); 2] {
    [
        (header::CONTENT_TYPE, kind),
        (header::CONTENT_SECURITY_POLICY, policy),
    ]
}
