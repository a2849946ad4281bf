//! What a device is answered: a page, a way on, a file, or a refusal in words.
//!
//! Takes what a page made; gives an HTTP response. How long anything may be kept, and what a page may load, is said here for all of them.

use axum::body::Body;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde_json::{Value, json};

use super::{cookie, templates};

/// The pages of this server: nothing but its own style sheet and script.
const OWN: &str = "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self' blob: data:; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'; worker-src 'self'";
/// Pages that also print: their style sheet stands within them, and they run nothing.
const PAPER: &str = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; form-action 'none'; base-uri 'none'; frame-ancestors 'none'";

/// An answer.
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
        let (status, kind, policy, body) = match self {
            Self::Page(html) => (
                StatusCode::OK,
                "text/html; charset=utf-8",
                OWN,
                html.into_bytes(),
            ),
            Self::Paper(html) => (
                StatusCode::OK,
                "text/html; charset=utf-8",
                PAPER,
                html.into_bytes(),
            ),
            Self::Json(value) => (
                StatusCode::OK,
                "application/json",
                OWN,
                value.to_string().into_bytes(),
            ),
            Self::File(kind, bytes) => (StatusCode::OK, kind, OWN, bytes),
            Self::Refused(status, why) => {
                let status = StatusCode::from_u16(status).unwrap_or(StatusCode::BAD_REQUEST);
                let html =
                    templates::filled("refused.html", &json!({"title": "Not done", "why": why}));
                (status, "text/html; charset=utf-8", OWN, html.into_bytes())
            }
            Self::In(token, secure) => {
                let mut response = Self::Go("/".to_owned()).into_response();
                response
                    .headers_mut()
                    .insert(header::SET_COOKIE, cookie::kept(&token, secure));
                return response;
            }
            Self::Go(to) => {
                let to = HeaderValue::from_str(&to).unwrap_or(HeaderValue::from_static("/"));
                let mut response = StatusCode::SEE_OTHER.into_response();
                response.headers_mut().insert(header::LOCATION, to);
                return response;
            }
        };
        let mut response = Response::new(Body::from(body));
        *response.status_mut() = status;
        let headers = response.headers_mut();
        headers.insert(header::CONTENT_TYPE, HeaderValue::from_static(kind));
        headers.insert(
            header::CONTENT_SECURITY_POLICY,
            HeaderValue::from_static(policy),
        );
        response
    }
}
