//! A device on the network of which nobody knows whose it is sees nothing of a job.

use std::sync::Arc;

use axum::body::{Body, to_bytes};
use axum::http::{Request, StatusCode, header};
use tower::ServiceExt as _;

use super::house::House;
use super::{Opened, router};
use crate::desk::load::RulesArgs;

const DEMO: &str = "rules/demo/forestry-crew.yaml";

/// The page of a folder with one job, on the network or on this machine alone.
fn house(folder: &std::path::Path, secure: bool) -> Arc<House> {
    std::fs::copy(DEMO, folder.join("ridge.yaml")).unwrap();
    let opened = Opened {
        address: "https://192.0.2.7:8080".to_owned(),
        name: None,
        fingerprint: secure.then(|| "AB:CD".to_owned()),
        certificate: None,
        elsewhere: None,
    };
    let rules = RulesArgs {
        rules: Vec::new(),
        only_own_rules: false,
    };
    let names = (vec!["localhost".to_owned()], 8080);
    let house = House::open((folder.to_owned(), rules), secure, names, opened);
    Arc::new(house.unwrap_or_else(|_| panic!("the rules are right")))
}

/// What a device that was never here is answered: the status, where it is sent, and the page.
fn asked(house: &Arc<House>, path: &str) -> (StatusCode, Option<String>, String) {
    let request = Request::get(path).header(header::HOST, "localhost:8080");
    let request = request.body(Body::empty()).unwrap();
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .unwrap();
    runtime.block_on(async {
        let answer = router(Arc::clone(house)).oneshot(request).await.unwrap();
        let status = answer.status();
        let to = answer.headers().get(header::LOCATION);
        let to = to.map(|to| to.to_str().unwrap().to_owned());
        let body = to_bytes(answer.into_body(), 1 << 20).await.unwrap();
        (status, to, String::from_utf8_lossy(&body).into_owned())
    })
}

const OF_A_JOB: [&str; 11] = [
    "/people",
    "/job/ridge",
    "/job/ridge/survey",
    "/job/ridge/survey/filler-hose",
    "/job/ridge/work",
    "/job/ridge/check",
    "/job/ridge/task/1",
    "/job/ridge/task/1/wrong",
    "/job/ridge/record",
    "/job/ridge/study",
    "/job/ridge/paper/sheet",
];

#[test]
fn a_stranger_on_the_network_sees_no_job() {
    let folder = tempfile::tempdir().unwrap();
    let network = house(folder.path(), true);
    for path in OF_A_JOB {
        let (status, to, _) = asked(&network, path);
        assert_eq!(
            (status, to.as_deref()),
            (StatusCode::SEE_OTHER, Some("/sign-in")),
            "{path}"
        );
    }
    let (_, _, page) = asked(&network, "/");
    assert!(page.contains("Sign in to see the jobs."), "{page}");
    assert!(!page.contains("ridge") && page.contains("AB:CD"), "{page}");
    // At the machine itself everybody may look.
    let here = house(folder.path(), false);
    for path in OF_A_JOB {
        assert_eq!(asked(&here, path).0, StatusCode::OK, "{path}");
    }
    assert!(asked(&here, "/").2.contains("/job/ridge"));
}
