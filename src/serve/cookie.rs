//! The cookie of a session: read and written here alone.

use axum::http::{HeaderMap, HeaderValue, header};

/// The cookie's name; with TLS one that a browser takes from this machine alone.
fn cookie(secure: bool) -> &'static str {
    if secure {
        "__Host-liftsheet"
    } else {
        "liftsheet"
    }
}

/// The token that a request's cookie says.
pub(super) fn token(headers: &HeaderMap, secure: bool) -> Option<&str> {
    let cookies = headers.get_all(header::COOKIE).into_iter();
    let cookies = cookies.filter_map(|value| value.to_str().ok());
    let mut pairs = cookies.flat_map(|value| value.split(';'));
    pairs.find_map(|pair| {
        let (name, value) = pair.trim().split_once('=')?;
        (name == cookie(secure)).then_some(value)
    })
}

/// The cookie of a session.
pub(super) fn kept(token: &str, secure: bool) -> HeaderValue {
    let name = cookie(secure);
    let secure = if secure { "; Secure" } else { "" };
    let text = format!("{name}={token}; Path=/; HttpOnly; SameSite=Strict{secure}");
    HeaderValue::from_str(&text).unwrap_or(HeaderValue::from_static(""))
}
