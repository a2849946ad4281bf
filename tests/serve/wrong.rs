//! What is said of a task beside its signature: remarks, refusals of single rows, and values put right.

use super::signed::{filled, send};
use super::{ridge, two};
use crate::record::whole::signed_until;
use crate::support::http::{Device, Reply, Served};

const WRONG: &str = "/job/ridge/task/1/wrong";

/// What a form on a page of something wrong says, whoever sends it.
fn said(page: &Reply, act: &str, more: &[(&str, &str)]) -> Vec<(String, String)> {
    let hidden = ["seen", "once"].map(|name| (name.to_owned(), page.input(name).unwrap()));
    let own = more
        .iter()
        .map(|(name, value)| ((*name).to_owned(), (*value).to_owned()));
    let act = ("act".to_owned(), act.to_owned());
    hidden.into_iter().chain([act]).chain(own).collect()
}

/// Signs task 1 as done.
fn does(device: &mut Device) {
    let fields = filled(&device.get("/job/ridge/task/1").is(200));
    send(device, "/job/ridge/task/1", &fields).is(303);
}

#[test]
fn a_remark_is_written_on_open_work_without_signing_it() {
    let (bench, served) = ridge();
    let (_here, _, alder) = two(&served);
    let mut tablet = served.device();
    tablet.sign_in("t-alder", Some(&alder));
    tablet
        .get("/job/ridge/task/1")
        .is(200)
        .says("/task/1/wrong");
    let page = tablet.get(WRONG).is(200);
    // Whoever is no supervisor is not offered what would be refused, nor a value before there is one.
    assert!(!page.body.contains("rejected") && !page.body.contains("?value="));
    let empty = said(&page, "noted", &[("remark", " ")]);
    send(&mut tablet, WRONG, &empty)
        .is(200)
        .says("takes a few words");
    let note = said(&page, "noted", &[("remark", "the plug has not come")]);
    let led = send(&mut tablet, WRONG, &note).is(303);
    assert_eq!(led.field("location"), Some("/job/ridge/task/1"));
    tablet
        .get("/job/ridge/task/1")
        .is(200)
        .says("noted by T. Alder: the plug has not come");
    // Whoever looks what is to be done sees it, until somebody goes on.
    let work = tablet
        .get("/job/ridge/work")
        .is(200)
        .says("the plug has not come");
    work.says("<h2>Remarks</h2>");
    let account = bench.run(["record", "ridge.yaml"]).code(1);
    account
        .prints("Remarks on what is open (1):\n  1 taken-in: the plug has not come, by T. Alder");
    let text = std::fs::read_to_string(bench.path().join("ridge.record.jsonl")).unwrap();
    assert_eq!(text.lines().count(), 2, "a number is noted once: {text}");
}

#[test]
fn a_row_is_refused_by_itself_and_what_is_not_ticked_stands() {
    let (_bench, served) = ridge();
    let (mut here, hazel, alder) = two(&served);
    let mut tablet = served.device();
    tablet.sign_in("t-alder", Some(&alder));
    does(&mut tablet);
    let page = here.get(WRONG).is(200).says("value=\"road-test-as-found\"");
    assert!(!page.body.contains("value=\"road-test-as-found\" checked"));
    let refused = |more: &[(&str, &str)]| said(&page, "rejected", more);
    send(
        &mut here,
        WRONG,
        &refused(&[("note", "not driven"), ("pin", &hazel)]),
    )
    .is(200)
    .says("Tick which of it is meant");
    // What was typed and ticked stays where the PIN is wrong.
    let row = ("row", "road-test-as-found");
    let kept = send(
        &mut here,
        WRONG,
        &refused(&[row, ("note", "not driven"), ("pin", "1")]),
    )
    .is(200);
    let kept = kept.says("value=\"road-test-as-found\" checked");
    assert_eq!(kept.input("note").as_deref(), Some("not driven"));
    send(
        &mut here,
        WRONG,
        &refused(&[row, ("note", "not driven"), ("pin", &hazel)]),
    )
    .is(303);
    let page = tablet.get("/job/ridge/task/1").is(200);
    assert!(
        page.body.contains("a:road-test-as-found:found"),
        "{}",
        page.body
    );
    assert!(!page.body.contains("a:read-faults:codes"), "{}", page.body);
    page.says("Read the faults before anything is unplugged: faults stored as found");
}

#[test]
fn what_is_signed_off_is_opened_again_as_a_whole() {
    let (_bench, served) = ridge();
    let (mut here, hazel, alder) = two(&served);
    let mut tablet = served.device();
    tablet.sign_in("t-alder", Some(&alder));
    does(&mut tablet);
    let page = here.get("/job/ridge/task/1").is(200);
    let check = said(&page, "checked", &[("pin", &hazel)]);
    send(&mut here, "/job/ridge/task/1", &check).is(303);
    let page = here.get("/job/ridge/task/1").is(200);
    page.says("It is signed off.").says("/task/1/wrong");
    let page = here.get(WRONG).is(200);
    let open = |act| {
        said(
            &page,
            act,
            &[
                ("all", "yes"),
                ("note", "another tyre is on"),
                ("pin", &hazel),
            ],
        )
    };
    // No screen signs what it does not name.
    send(&mut here, WRONG, &open("bound"))
        .is(200)
        .says("does not say what is signed");
    send(&mut here, WRONG, &open("reopened")).is(303);
    here.get("/job/ridge/task/1")
        .is(200)
        .says("reopened by R. Hazel: another tyre is on");
    let page = tablet.get("/job/ridge/task/1").is(200);
    page.says("a:read-faults:codes")
        .says("a:road-test-as-found:found");
}

#[test]
fn a_value_is_put_right_by_its_author_until_it_is_checked() {
    let (_bench, served) = ridge();
    let (mut here, hazel, alder) = two(&served);
    let mut tablet = served.device();
    tablet.sign_in("t-alder", Some(&alder));
    does(&mut tablet);
    let address = format!("{WRONG}?value=road-test-as-found%3Afound");
    tablet
        .get(WRONG)
        .is(200)
        .says("?value=road-test-as-found%3Afound");
    let page = tablet
        .get(&address)
        .is(200)
        .says("written down by T. Alder");
    let right = |page: &Reply, pin: &str| {
        let more = [
            ("a:road-test-as-found:found", "pulls left"),
            ("note", "read wrong"),
            ("pin", pin),
        ];
        said(page, "corrected", &more)
    };
    let kept = send(&mut tablet, &address, &right(&page, "1")).is(200);
    assert_eq!(
        kept.input("a:road-test-as-found:found").as_deref(),
        Some("pulls left")
    );
    send(&mut tablet, &address, &right(&page, &alder)).is(303);
    tablet.get("/job/ridge/task/1").is(200).says("pulls left");
    // What was put right is put right once more; whatever has been signed since stands on another screen.
    send(&mut tablet, &address, &right(&page, &alder))
        .is(200)
        .says("another one than was on the screen");
    let page = here.get(&address).is(200).says("pulls left");
    send(&mut here, &address, &right(&page, &hazel)).is(303);
    here.get(&format!("{WRONG}?value=road-test-as-found%3Anone"))
        .is(200)
        .says("A remark");
}

#[test]
fn what_would_open_much_is_a_tick_away() {
    let bench = signed_until("");
    let served = Served::open(&bench);
    let mut device = served.device();
    device.sign_in("birch", None);
    let path = "/job/job/task/5/wrong";
    let page = device.get(path).is(200);
    let mut refusal = said(
        &page,
        "rejected",
        &[("all", "yes"), ("note", "the key was in")],
    );
    let told = send(&mut device, path, &refusal)
        .is(200)
        .says("would fall open");
    let told = told.says("All of that opens again, and is done");
    assert_eq!(told.input("note").as_deref(), Some("the key was in"));
    refusal.push(("much".to_owned(), "yes".to_owned()));
    send(&mut device, path, &refusal).is(303);
    device.get("/job/job").is(200).says("At work");
}

#[test]
fn the_card_for_the_steering_wheel_is_printed_from_the_job() {
    let bench = signed_until("stands-set.cab.left");
    let served = Served::open(&bench);
    let mut device = served.device();
    device.get("/job/job").is(200).says("/paper/card\"");
    let card = device.get("/job/job/paper/card").is(200);
    let printed = bench.run(["record", "job.yaml", "--card"]).stdout;
    for words in ["body cab left up", "bolts cab left out"] {
        assert!(
            printed.contains(words) && card.body.contains(words),
            "{printed}"
        );
    }
}
