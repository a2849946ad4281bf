//! The first day: people are added on the machine itself, each with a PIN; a wrong one waits, a forgotten one is drawn anew.

use super::{drawn, joined, ridge, two};

#[test]
fn the_first_person_is_a_supervisor_who_adds_the_others() {
    let (bench, served) = ridge();
    let mut here = served.device();
    here.get("/people").is(200).says("Nobody works here yet");
    let hazel = joined(&mut here, "R. Hazel", (&[], None));
    assert_eq!(hazel.len(), 6, "{hazel}");
    // Whoever is not signed in adds nobody any more.
    let uninvited = [("act", "join"), ("name", "T. Alder"), ("role", "fitter")];
    let reply = here
        .post("/people", &uninvited)
        .is(200)
        .says("role=\"alert\"");
    assert!(!reply.body.contains("(t-alder)"), "{}", reply.body);
    here.sign_in("r-hazel", Some(&hazel));
    here.get("/people").is(200);
    joined(&mut here, "T. Alder", (&["fitter"], Some(&hazel)));
    here.get("/people").is(200).says("T. Alder (t-alder)");
    let wrong = [
        ("pin", "not this"),
        ("name", "S. Rowan"),
        ("role", "apprentice"),
    ];
    let wrong = wrong.into_iter().chain([("act", "join")]);
    let reply = here.post("/people", &wrong.collect::<Vec<_>>()).is(200);
    assert_eq!(reply.input("name").as_deref(), Some("S. Rowan"));
    reply.says("value=\"apprentice\" checked");
    let wrong = [
        ("act", "change"),
        ("who", "t-alder"),
        ("pin", "not this"),
        ("role", "fitter"),
    ];
    let reply = here.post("/people", &wrong).is(200);
    // Whoever was meant by one form is not meant by the others.
    assert_eq!(reply.body.matches("\"t-alder\" selected").count(), 1);
    let kept = std::fs::read_to_string(bench.path().join("people.record.jsonl")).unwrap();
    assert!(!kept.contains(&hazel), "a PIN is written down");
}

#[test]
fn a_wrong_pin_lets_nobody_in_and_waits() {
    let (_bench, served) = ridge();
    let mut here = served.device();
    here.get("/people");
    let hazel = joined(&mut here, "R. Hazel", (&[], None));
    here.get("/sign-in?who=r-hazel");
    let wrong = if hazel == "111111" {
        "222222"
    } else {
        "111111"
    };
    for _ in 0..3 {
        here.post("/sign-in", &[("who", "r-hazel"), ("pin", wrong)])
            .is(200)
            .says("This is not the PIN");
    }
    here.post("/sign-in", &[("who", "r-hazel"), ("pin", &hazel)])
        .is(200)
        .says("Too many wrong PINs");
}

#[test]
fn a_forgotten_pin_is_drawn_anew_by_a_supervisor_and_the_old_one_is_gone() {
    let (_bench, served) = ridge();
    let (mut here, hazel, old) = two(&served);
    let reply = here.post(
        "/people",
        &[("act", "reset"), ("who", "t-alder"), ("pin", &hazel)],
    );
    let new = drawn(&reply);
    let mut other = served.device();
    other.get("/sign-in?who=t-alder");
    other
        .post("/sign-in", &[("who", "t-alder"), ("pin", &old)])
        .is(200)
        .says("This is not the PIN");
    other.sign_in("t-alder", Some(&new));
}

#[test]
fn another_person_takes_over_a_device_and_the_session_before_is_over() {
    let (_bench, served) = ridge();
    let mut here = served.device();
    here.sign_in("ash", None);
    let before = here.clone();
    here.sign_in("elm", None);
    here.get("/").is(200).says("<span>Elm (invented)</span>");
    let mut old = before;
    let page = old.get("/").is(200);
    assert!(!page.body.contains("<span>Ash"), "{}", page.body);
}

#[test]
fn whoever_s_pin_is_reset_writes_nothing_any_more() {
    let (bench, served) = ridge();
    let (mut here, hazel, alder) = two(&served);
    let mut tablet = served.device();
    tablet.sign_in("t-alder", Some(&alder));
    let page = "/job/ridge/survey/filler-hose";
    let was = tablet.get(page).input("w:filler-hose.overlap").unwrap();
    here.post(
        "/people",
        &[("act", "reset"), ("who", "t-alder"), ("pin", &hazel)],
    )
    .is(200);
    let typed = [
        ("v:filler-hose.overlap", "70 mm"),
        ("w:filler-hose.overlap", was.as_str()),
    ];
    let reply = tablet.post(page, &typed).is(303);
    assert_eq!(reply.field("location"), Some("/sign-in"));
    let text = std::fs::read_to_string(bench.path().join("ridge.yaml")).unwrap();
    assert_eq!(text, crate::support::commands::demo());
    // Whoever reset it is signed in as before, and a wrong PIN of somebody signs nobody else out.
    here.get("/sign-in?who=t-alder");
    here.get("/").is(200).says("<span>R. Hazel</span>");
}

#[test]
fn whoever_was_believed_by_name_is_not_once_there_are_pins() {
    let (_bench, served) = ridge();
    let mut tablet = served.device();
    tablet.sign_in("ash", None);
    two(&served);
    let page = tablet.get("/job/ridge").is(200);
    assert!(!page.body.contains("<span>Ash"), "{}", page.body);
}

#[test]
fn a_passphrase_takes_the_place_of_a_pin() {
    let (_bench, served) = ridge();
    let (_, _, alder) = two(&served);
    let mut tablet = served.device();
    tablet.sign_in("t-alder", Some(&alder));
    tablet.get("/people").is(200).says("Your own PIN");
    let change = |pin, new| [("act", "own"), ("pin", pin), ("new", new)];
    tablet
        .post("/people", &change(&alder, "password"))
        .is(200)
        .says("This passphrase will not do");
    tablet
        .post("/people", &change("000000", "wet alder on the ridge"))
        .is(200)
        .says("This is not the PIN");
    tablet
        .post("/people", &change(&alder, "wet alder on the ridge"))
        .is(303);
    tablet.get("/sign-in").is(200).says("Sign in with it.");
    tablet.sign_in("t-alder", Some("wet alder on the ridge"));
}

#[test]
fn a_supervisor_changes_what_somebody_may_do() {
    let (_bench, served) = ridge();
    let (mut here, hazel, alder) = two(&served);
    let change = |pin| {
        [
            ("act", "change"),
            ("who", "t-alder"),
            ("role", "tradesperson"),
            ("licences", "brakes, fuel"),
            ("pin", pin),
        ]
    };
    here.post("/people", &change(&hazel))
        .is(200)
        .says("<td>tradesperson; brakes, fuel</td>");
    let mut tablet = served.device();
    tablet.sign_in("t-alder", Some(&alder));
    tablet.get("/people").is(200);
    let reply = tablet.post("/people", &change(&alder)).is(200);
    reply.says("`t-alder` is no supervisor");
    // No work asks for such a licence; none at all can be held too, and a form that says nothing is answered.
    let licences = |words| {
        [
            ("act", "change"),
            ("who", "t-alder"),
            ("licences", words),
            ("pin", hazel.as_str()),
        ]
    };
    here.post("/people", &licences("brake"))
        .is(200)
        .says("`brake` is no trade that a licence is for");
    here.post("/people", &licences("none"))
        .is(200)
        .says("<td>tradesperson</td>");
    here.post("/people", &licences(""))
        .is(200)
        .says("No role is ticked and no licence written");
}
