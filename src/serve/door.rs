//! The door: what every request must show before any page sees it, and what every answer carries.
//!
//! Takes a request; lets it through, or refuses it: asked for under another name, sent by another site, too slow.

use std::sync::Arc;
use std::time::Duration;

use axum::extract::{Request, State};
use axum::http::{Method, header};
use axum::middleware::Next;
use axum::response::{IntoResponse as _, Response};

use super::answer::Answer;
use super::house::House;

/// As long as a request may take, its form and its photographs with it.
const LONGEST: Duration = Duration::from_secs(60);

/// Looks at a request before any page does.
pub(super) async fn door(
    State(house): State<Arc<House>>,
    request: Request,
    next: Next,
) -> Response {
    // What a page does goes on when nobody waits for it any more.
    let late = "That took too long. See whether it was written before you send it again.";
    let response = if let Some(answer) = refusal(&house, &request) {
        answer.into_response()
    } else {
        let answer = tokio::time::timeout(LONGEST, seated(&house, request, next)).await;
        answer.unwrap_or_else(|_| Answer::refused(408, late).into_response())
    };
    let headers = [
        (header::CACHE_CONTROL, "no-store"),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::REFERRER_POLICY, "same-origin"),
    ];
    (headers, response).into_response()
}

/// Answers as soon as there is room for it.
async fn seated(house: &House, request: Request, next: Next) -> Response {
    // The seats are never closed.
    let _seat = house.seats.acquire().await;
    next.run(request).await
}

fn refusal(house: &House, request: &Request) -> Option<Answer> {
    let headers = request.headers();
    let text = |name: &str| headers.get(name).and_then(|value| value.to_str().ok());
    // A name that leads here from elsewhere would let another site read what stands here.
    let host = text("host").unwrap_or_default();
    if !house.answers_to(host) {
        return Some(Answer::refused(
            421,
            "This machine is not asked for under that name.",
        ));
    }
    if request.method() == Method::GET || request.method() == Method::HEAD {
        return None;
    }
    let scheme = if house.secure { "https" } else { "http" };
    let own = format!("{scheme}://{host}");
    let origin = text("origin");
    let site = text("sec-fetch-site");
    let foreign = origin.is_some_and(|origin| !origin.eq_ignore_ascii_case(&own))
        || site.is_some_and(|site| !matches!(site, "same-origin" | "none"));
    foreign.then(|| Answer::refused(403, "Another site sent this. Nothing was written."))
}
