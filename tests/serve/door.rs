//! The door: whatever comes without a session, with another's token, from another site, under another name, or too large.

use std::io::Read as _;

use super::{joined, ridge};
use crate::support::commands::demo;
use crate::support::http::Served;
use crate::support::run::Bench;

/// Every form there is.
const FORMS: [&str; 10] = [
    "/sign-in",
    "/leave",
    "/people",
    "/job/ridge/changed",
    "/job/ridge/apart",
    "/job/ridge/survey/filler-hose",
    "/job/ridge/without",
    "/job/ridge/verdict",
    "/job/ridge/task/1",
    "/job/ridge/task/1/wrong",
];

#[test]
fn no_form_is_taken_without_the_token_of_its_own_session() {
    let (bench, served) = ridge();
    let mut other = served.device();
    other.get("/sign-in");
    let foreign = other.get("/sign-in?who=ash").input("form").unwrap();
    let mut device = served.device();
    device.sign_in("ash", None);
    for form in FORMS {
        device.post_bare(form, &[("act", "done")], &[]).is(403);
        device.post_bare(form, &[("form", &foreign)], &[]).is(403);
        device
            .post_bare(form, &[("form", &"0".repeat(64))], &[])
            .is(403);
        served
            .device()
            .post_bare(form, &[("form", &foreign)], &[])
            .is(403);
    }
    assert!(!bench.path().join("ridge.record.jsonl").exists());
    let text = std::fs::read_to_string(bench.path().join("ridge.yaml")).unwrap();
    assert_eq!(text, crate::support::commands::demo());
}

#[test]
fn nobody_who_is_not_signed_in_writes_or_signs() {
    let (bench, served) = ridge();
    let mut device = served.device();
    device.get("/sign-in?who=ash");
    for form in [
        "/job/ridge/survey/filler-hose",
        "/job/ridge/without",
        "/job/ridge/changed",
        "/job/ridge/apart",
        "/job/ridge/task/1",
        "/job/ridge/task/1/wrong",
    ] {
        let reply = device.post(form, &[("act", "done"), ("v:filler-hose.overlap", "70 mm")]);
        assert_eq!(reply.is(303).field("location"), Some("/sign-in"), "{form}");
    }
    assert!(!bench.path().join("ridge.record.jsonl").exists());
}

#[test]
fn another_site_and_another_name_are_sent_away() {
    let (_bench, served) = ridge();
    let mut device = served.device();
    device.sign_in("ash", None);
    let token = device.get("/").input("form").unwrap();
    let form = [("form", token.as_str())];
    let elsewhere = [("Origin", "https://elsewhere.example")];
    device.post_bare("/leave", &form, &elsewhere).is(403);
    device
        .post_bare("/leave", &form, &[("Origin", "null")])
        .is(403);
    device
        .post_bare("/leave", &form, &[("Sec-Fetch-Site", "cross-site")])
        .is(403);
    for host in [
        "elsewhere.example",
        "elsewhere.example:80",
        "localhost",
        "localhost:1",
        "",
    ] {
        device
            .send("GET", "/", ("", &[("Host", host)]), b"")
            .is(421);
    }
    device.get("/").is(200).says("Ash (invented)");
}

#[test]
fn an_address_is_never_a_path() {
    let (bench, served) = ridge();
    std::fs::write(bench.path().join("secret.txt"), "secret").unwrap();
    let mut device = served.device();
    device.sign_in("ash", None);
    for id in [
        "..",
        "%2e%2e",
        "%2e%2e%2fsecret.txt",
        "secret.txt",
        "ridge.yaml",
        "%00",
        "%ff",
        "ridge%2f..%2fridge",
        &"a".repeat(4000),
    ] {
        for page in ["", "/survey", "/task/1", "/photo/x", "/paper/sheet"] {
            let reply = device.get(&format!("/job/{id}{page}"));
            assert!(
                [400, 404].contains(&reply.status),
                "{id}{page}: {}",
                reply.status
            );
            assert!(!reply.body.contains("secret\n") && reply.body.len() < 2000);
        }
    }
    for page in [
        "task/0",
        "task/-1",
        "task/99999999999999999999",
        "photo/..",
        "photo/%2e%2e%2fridge.yaml",
        "paper/..",
        "paper/x",
    ] {
        device.get(&format!("/job/ridge/{page}")).is(404);
    }
    // A connection that is not there may have been there just now.
    let led = device.get("/job/ridge/survey/..").is(303);
    assert_eq!(led.field("location"), Some("/job/ridge/survey"));
}

#[test]
fn what_is_too_large_is_refused_and_nothing_else_suffers() {
    let (_bench, served) = ridge();
    let mut device = served.device();
    device.sign_in("ash", None);
    let long = "9".repeat(5000);
    let reply = device.post(
        "/job/ridge/survey/filler-hose",
        &[("v:filler-hose.overlap", &long)],
    );
    assert_eq!(reply.status, 413);
    let many: Vec<(String, &str)> = (0..3000)
        .map(|number| (format!("v:{number}"), "1"))
        .collect();
    let many: Vec<(&str, &str)> = many
        .iter()
        .map(|(name, value)| (name.as_str(), *value))
        .collect();
    assert_eq!(device.post("/job/ridge/verdict", &many).status, 413);
    let huge = vec![b'a'; 60 << 20];
    let reply = device.send(
        "POST",
        "/leave",
        ("application/x-www-form-urlencoded", &[]),
        &huge,
    );
    assert!([0, 400, 413].contains(&reply.status), "{}", reply.status);
    device.get("/").is(200).says("Ash (invented)");
}

#[test]
fn whoever_is_slow_holds_nobody_else_up() {
    let (_bench, served) = ridge();
    // Heads that never end, and the bodies of forms of nobody: more than there are seats.
    let said = [
        "GET / HTTP/1.1\r\nHost: localhost",
        "POST /leave HTTP/1.1\r\nHost: localhost:PORT\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: 100\r\n\r\nform=",
    ];
    let held: Vec<_> = (0..80)
        .map(|number| served.begun(said[number % 2]))
        .collect();
    let mut device = served.device();
    device.sign_in("ash", None);
    device.get("/job/ridge").is(200);
    // Nor does whoever was let in, and sends a letter now and then.
    let token = device.get("/").input("form").unwrap();
    let cookie = device.cookie().unwrap();
    let slow = format!(
        "POST /leave HTTP/1.1\r\nHost: localhost:PORT\r\nCookie: {cookie}\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: 100\r\n\r\nform={token}"
    );
    let slow: Vec<_> = (0..4).map(|_| served.begun(&slow)).collect();
    device.get("/job/ridge").is(200).says("Ash (invented)");
    drop((held, slow));
}

#[test]
fn a_form_of_nobody_that_does_not_come_is_given_up() {
    let (_bench, served) = ridge();
    let mut nobody = served.device();
    nobody.get("/sign-in");
    let cookie = nobody.cookie().unwrap();
    let said = format!(
        "POST /sign-in HTTP/1.1\r\nHost: localhost:PORT\r\nCookie: {cookie}\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: 100\r\n\r\nform="
    );
    // At all seats at once.
    let mut slow: Vec<_> = (0..20).map(|_| served.begun(&said)).collect();
    let mut answer = [0; 12];
    slow[0].read_exact(&mut answer).unwrap();
    assert_eq!(&answer, b"HTTP/1.1 408");
    served.device().get("/").is(200);
}

#[test]
fn a_head_that_does_not_end_is_not_waited_for() {
    let (_bench, served) = ridge();
    let mut half = served.begun("GET / HTTP/1.1\r\nHost: localhost");
    let mut answer = Vec::new();
    // It is closed from the other side, long before this side gives up waiting.
    half.read_to_end(&mut answer).unwrap();
    assert!(!String::from_utf8_lossy(&answer).contains("200 OK"));
}

#[test]
fn many_at_once_are_all_answered() {
    let (_bench, served) = ridge();
    let devices: Vec<_> = (0..40)
        .map(|_| {
            let mut device = served.device();
            std::thread::spawn(move || {
                device.get("/").is(200);
                device.sign_in("ash", None);
                device.get("/job/ridge/work").is(200).says("Ash (invented)");
            })
        })
        .collect();
    for device in devices {
        device.join().unwrap();
    }
}

#[test]
fn every_answer_says_what_it_may_load_and_that_nothing_is_kept() {
    let (_bench, served) = ridge();
    let mut device = served.device();
    for page in [
        "/",
        "/people",
        "/sign-in",
        "/job/ridge",
        "/job/ridge/paper/sheet",
        "/page.css",
        "/page.js",
        "/nothing",
        "/job/none",
    ] {
        let reply = device.get(page);
        assert_eq!(reply.field("cache-control"), Some("no-store"), "{page}");
        assert_eq!(
            reply.field("x-content-type-options"),
            Some("nosniff"),
            "{page}"
        );
        let policy = reply.field("content-security-policy").unwrap();
        assert!(
            policy.starts_with("default-src 'none'; ") && policy.contains("frame-ancestors 'none'"),
            "{page}: {policy}"
        );
        assert!(!policy.contains("script-src 'unsafe-inline'"));
    }
    let reply = served.device().get("/");
    let cookie = reply.field("set-cookie").unwrap();
    assert!(
        cookie.contains("HttpOnly") && cookie.contains("SameSite=Strict"),
        "{cookie}"
    );
}

#[test]
fn a_network_is_let_in_only_once_everybody_listed_has_a_pin() {
    let bench = Bench::new().file("ridge.yaml", demo());
    let on = ["serve", "--on", "127.0.0.1", "--port", "0"];
    bench
        .run(on)
        .code(2)
        .complains("nobody is listed in this folder");
    let served = Served::open(&bench);
    let mut here = served.device();
    here.get("/people");
    joined(&mut here, "R. Hazel", (&[], None));
    served.kill();
    // With a certificate that is none it goes as far as that, and no further.
    let bench = bench.file("own.pem", "no certificate");
    let own = ["--certificate", "own.pem", "--key", "own.pem"];
    bench
        .run(on.into_iter().chain(own))
        .code(2)
        .complains("`own.pem` cannot be used");
}

#[test]
fn a_port_that_is_taken_is_named_with_a_way_out() {
    let (bench, served) = ridge();
    let port = served.port.to_string();
    bench
        .run(["serve", "--port", &port])
        .code(2)
        .complains("is taken, perhaps by another `liftsheet serve`; name another one with --port");
    bench
        .run(["serve", "none"])
        .code(2)
        .complains("there is no such folder or job file");
}
