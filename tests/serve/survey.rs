//! Values into the job file by the page: written as `fill` writes them, and never over what somebody else wrote meanwhile.

use super::ridge;
use crate::record::desk::{Desk, RULES};
use crate::record::whole::signed_until;
use crate::support::http::Served;
use crate::support::run::Bench;

const PAGE: &str = "/job/ridge/survey/filler-hose";

#[test]
fn a_value_is_written_with_what_it_comes_to() {
    let (bench, served) = ridge();
    let mut device = served.device();
    device.sign_in("ash", None);
    let page = device.get(PAGE).is(200);
    let was = page.input("w:filler-hose.overlap").unwrap();
    device
        .post(
            "/job/ridge/verdict",
            &[
                ("v:filler-hose.overlap", "70 mm"),
                ("w:filler-hose.overlap", &was),
            ],
        )
        .is(200)
        .says("reposition");
    device
        .post(
            PAGE,
            &[
                ("v:filler-hose.overlap", "70 mm"),
                ("w:filler-hose.overlap", &was),
            ],
        )
        .is(303);
    device.get("/job/ridge/survey").is(200).says("reposition");
    let text = std::fs::read_to_string(bench.path().join("ridge.yaml")).unwrap();
    let changed = text
        .lines()
        .zip(
            crate::support::commands::demo()
                .lines()
                .map(str::to_owned)
                .collect::<Vec<_>>(),
        )
        .filter(|(now, before)| now != before)
        .count();
    assert_eq!(changed, 1);
}

#[test]
fn what_somebody_else_wrote_meanwhile_is_shown_and_not_written_over() {
    let (_bench, served) = ridge();
    let (mut one, mut other) = (served.device(), served.device());
    one.sign_in("ash", None);
    other.sign_in("birch", None);
    let was = one.get(PAGE).input("w:filler-hose.overlap").unwrap();
    let typed = |value| {
        [
            ("v:filler-hose.overlap", value),
            ("w:filler-hose.overlap", was.as_str()),
        ]
        .to_vec()
    };
    other.get(PAGE).is(200);
    other.post(PAGE, &typed("70 mm")).is(303);
    one.post(PAGE, &typed("66 mm"))
        .is(200)
        .says("somebody else has written “70 mm” meanwhile, and “66 mm” was typed here");
    // Whoever has seen it may still write the other.
    one.post(
        PAGE,
        &[
            ("v:filler-hose.overlap", "66 mm"),
            ("w:filler-hose.overlap", "70 mm"),
        ],
    )
    .is(303);
}

#[test]
fn what_check_would_refuse_is_not_written_and_stays_in_its_field() {
    let (bench, served) = ridge();
    let mut device = served.device();
    device.sign_in("ash", None);
    let was = device.get(PAGE).input("w:filler-hose.overlap").unwrap();
    device
        .post(
            PAGE,
            &[
                ("v:filler-hose.overlap", "7 furlongs"),
                ("w:filler-hose.overlap", &was),
            ],
        )
        .is(200)
        .says("role=\"alert\"")
        .says("value=\"7 furlongs\"");
    let text = std::fs::read_to_string(bench.path().join("ridge.yaml")).unwrap();
    assert_eq!(text, crate::support::commands::demo());
}

#[test]
fn a_connection_that_is_not_there_is_taken_out() {
    let (bench, served) = ridge();
    let mut device = served.device();
    device.sign_in("ash", None);
    device.get("/job/ridge/survey/snorkel-duct").is(200);
    device
        .post("/job/ridge/without", &[("connection", "snorkel-duct")])
        .is(303);
    device.get("/job/ridge/survey/snorkel-duct").is(303);
    // Whoever took it out as well is told that it is gone.
    device
        .post("/job/ridge/without", &[("connection", "snorkel-duct")])
        .is(303);
    device
        .get("/job/ridge/survey")
        .says("the job has no such connection now");
    let text = std::fs::read_to_string(bench.path().join("ridge.yaml")).unwrap();
    assert!(!text.contains("id: snorkel-duct"));
}

#[test]
fn a_screen_that_somebody_else_has_finished_leads_to_the_others() {
    let (bench, served) = ridge();
    let file = bench.path().join("ridge.yaml");
    let demo = crate::support::commands::demo();
    let unread: Vec<&str> = demo
        .lines()
        .filter(|line| !line.contains("body_mass_laden"))
        .collect();
    std::fs::write(&file, unread.join("\n")).unwrap();
    let (page, mass) = ("/job/ridge/survey/vehicle", "v:vehicle.body_mass_laden");
    let (mut one, mut other) = (served.device(), served.device());
    for (device, person) in [(&mut one, "ash"), (&mut other, "birch")] {
        device.sign_in(person, None);
        device.get(page).is(200).says(mass);
    }
    one.post(page, &[(mass, "1420 kg")]).is(303);
    // Whoever is led there a moment too late goes on, and whoever typed the same is told that it went nowhere.
    let led = one.get(page).is(303);
    assert_eq!(led.field("location"), Some("/job/ridge/survey"));
    other.post(page, &[(mass, "1500 kg")]).is(303);
    other
        .get("/job/ridge/survey")
        .says("Nothing was written: somebody else has measured all of it");
    let text = std::fs::read_to_string(&file).unwrap();
    assert!(text.contains("1420 kg") && !text.contains("1500 kg"));
}

#[test]
fn what_was_written_last_can_be_taken_back() {
    let (bench, served) = ridge();
    let file = || std::fs::read_to_string(bench.path().join("ridge.yaml")).unwrap();
    let before = file();
    let (mut one, mut other) = (served.device(), served.device());
    one.sign_in("ash", None);
    other.sign_in("birch", None);
    let mut write = |value: &str| {
        let was = one.get(PAGE).input("w:filler-hose.overlap").unwrap();
        let typed = [
            ("v:filler-hose.overlap", value),
            ("w:filler-hose.overlap", was.as_str()),
        ];
        let reply = one.post(PAGE, &typed).is(303);
        let next = reply.field("location").unwrap().to_owned();
        one.get(&next).is(200).says("Take it back");
        let reply = one.get(&next).is(200);
        assert!(!reply.body.contains("Take it back"), "{}", reply.body);
        one.clone()
    };
    write("70 mm").post("/job/ridge/back", &[]).is(303);
    assert_eq!(file(), before);
    // Nobody else's value goes with it.
    let mut again = write("71 mm");
    let hose = "/job/ridge/survey/booster-hose";
    let was = other.get(hose).input("w:booster-hose.slack").unwrap();
    let typed = [
        ("v:booster-hose.slack", "33 mm"),
        ("w:booster-hose.slack", was.as_str()),
    ];
    other.post(hose, &typed).is(303);
    again.post("/job/ridge/back", &[]).is(303);
    again
        .get("/job/ridge/survey")
        .says("The job file has been changed since");
    assert!(file().contains("71 mm") && file().contains("33 mm"));
    // What another device wrote is not this one's to take back.
    let now = file();
    served.device().get("/");
    other.post("/job/ridge/back", &[]).is(303);
    other.post("/job/ridge/back", &[]).is(303);
    assert!(file().contains("71 mm"), "{now}");
}

#[test]
fn where_nothing_is_typed_it_is_said() {
    let (_bench, served) = ridge();
    let mut device = served.device();
    device.sign_in("ash", None);
    let was = device.get(PAGE).input("w:filler-hose.overlap").unwrap();
    let reply = device
        .post(
            PAGE,
            &[
                ("v:filler-hose.overlap", &was),
                ("w:filler-hose.overlap", &was),
            ],
        )
        .is(303);
    let next = reply.field("location").unwrap().to_owned();
    device.get(&next).says("Nothing was typed");
}

#[test]
fn what_a_value_opens_again_is_shown_before_it_is_written() {
    let desk = Desk::new();
    desk.through_all_to("handed-over");
    let served = Served::open_by(&desk.bench, &RULES);
    let file = || std::fs::read_to_string(desk.bench.path().join("job.yaml")).unwrap();
    let before = file();
    let mut device = served.device();
    let page = "/job/job/survey/hose";
    let mut typed = vec![("v:hose.slack", "20 mm"), ("w:hose.slack", "30 mm")];
    // What is released is a supervisor's to open.
    device.sign_in("ash", None);
    device
        .post(page, &typed)
        .is(200)
        .says("that takes a supervisor");
    device.sign_in("birch", None);
    let reply = device.post(page, &typed).is(200);
    let reply = reply
        .says("It opens again:")
        .says("(changed: its text)</li>")
        .says("(rests on `hose.correct`)</li>");
    // Whoever has not seen it writes nothing.
    let other = "0".repeat(64);
    typed.push(("sure", &other));
    device.post(page, &typed).is(200);
    assert_eq!(file(), before);
    let sure = reply.input("sure").unwrap();
    typed.pop();
    typed.push(("sure", &sure));
    device.post(page, &typed).is(303);
    assert!(file().contains("20 mm"));
    device.get("/job/job").is(200).says("It opens again:");
    // Taken back, nothing is open.
    device.post("/job/job/back", &[]).is(303);
    assert_eq!(file(), before);
    desk.call("record", &[]).run().done().prints("released");
}

#[test]
fn a_change_that_opens_much_is_signed_for_once_all_of_it_was_shown() {
    let bench = signed_until("");
    let served = Served::open(&bench);
    let file = bench.path().join("job.yaml");
    let text = std::fs::read_to_string(&file).unwrap();
    std::fs::write(&file, text.replace("spacer: 40 mm", "spacer: 45 mm")).unwrap();
    let mut device = served.device();
    device.sign_in("birch", None);
    let page = device.get("/job/job").is(200);
    assert!(page.body.matches("</li>").count() > 11, "{}", page.body);
    let sure = page.says("All of that opens again").input("much").unwrap();
    let mut typed = vec![("note", "lower blocks")];
    let record = bench.path().join("job.record.jsonl");
    let entries = || std::fs::read_to_string(&record).unwrap().lines().count();
    let before = entries();
    let reply = device.post("/job/job/changed", &typed).is(200);
    assert_eq!(reply.input("note").as_deref(), Some("lower blocks"));
    reply.says("would fall open");
    typed.push(("much", "something else"));
    device.post("/job/job/changed", &typed).is(200);
    assert_eq!(entries(), before);
    typed[1].1 = &sure;
    device.post("/job/job/changed", &typed).is(303);
    assert_eq!(entries(), before + 1);
}

#[test]
fn what_nothing_signed_rests_on_has_to_be_signed_for_all_the_same() {
    let (bench, served) = ridge();
    bench
        .run(["sign", "ridge.yaml", "1", "--by", "ash", "--ticks"])
        .done();
    let mut device = served.device();
    device.sign_in("ash", None);
    let was = device.get(PAGE).input("w:filler-hose.overlap").unwrap();
    let typed = [
        ("v:filler-hose.overlap", "70 mm"),
        ("w:filler-hose.overlap", was.as_str()),
    ];
    device
        .post(PAGE, &typed)
        .is(200)
        .says("Nothing that is signed opens again");
    // What is taken out is asked for in the same way.
    let gone = [("connection", "gear-lever")];
    device
        .post("/job/ridge/without", &gone)
        .is(200)
        .says("<details open>");
    let text = std::fs::read_to_string(bench.path().join("ridge.yaml")).unwrap();
    assert_eq!(text, crate::support::commands::demo());
}

#[test]
fn beside_a_record_that_is_not_as_it_was_written_nothing_is_written() {
    let (bench, served) = ridge();
    let sign = ["sign", "ridge.yaml", "1", "--by", "ash", "--ticks"];
    bench.run(sign).done();
    let mut device = served.device();
    device.sign_in("ash", None);
    let was = device.get(PAGE).input("w:filler-hose.overlap").unwrap();
    let record = bench.path().join("ridge.record.jsonl");
    let text = std::fs::read_to_string(&record).unwrap();
    std::fs::write(&record, text.replace("fitter", "helper")).unwrap();
    let typed = [
        ("v:filler-hose.overlap", "70 mm"),
        ("w:filler-hose.overlap", was.as_str()),
    ];
    device
        .post(PAGE, &typed)
        .is(200)
        .says("beside a broken record");
    let text = std::fs::read_to_string(bench.path().join("ridge.yaml")).unwrap();
    assert_eq!(text, crate::support::commands::demo());
}

#[test]
fn a_record_that_lost_its_last_line_says_so_on_the_job() {
    let (bench, served) = ridge();
    let note = ["--act", "noted", "--note", "its strut is weak"];
    for more in [&["--ticks"][..], &note[..]] {
        let sign = ["sign", "ridge.yaml", "taken-in", "--by", "ash"];
        bench.run(sign.iter().chain(more).copied()).done();
    }
    let record = bench.path().join("ridge.record.jsonl");
    let text = std::fs::read_to_string(&record).unwrap();
    let (rest, _) = text.trim_end().rsplit_once('\n').unwrap();
    std::fs::write(&record, format!("{rest}\n")).unwrap();
    let page = served.device().get("/job/ridge").is(200);
    page.says("This machine saw 3 lines of this record");
}

#[test]
fn what_is_the_same_at_every_mount_is_typed_once() {
    let begun = Bench::new().run(["new", "x", "--pattern", "soft-top", "-o", "-"]);
    let people = "people:\n  - {id: ash, name: Ash (invented), roles: fitter}\n";
    let job = begun.done().stdout.replace("people:\n", people);
    let bench = Bench::new().file("ridge.yaml", job);
    let served = Served::open(&bench);
    let mut device = served.device();
    device.sign_in("ash", None);
    let page = device.get("/job/ridge/survey/mounts").is(200);
    let named = |kind: &str| -> Vec<String> {
        let field = format!("name=\"{kind}:");
        let found = page.body.split(&field).skip(1);
        let names = found.map(|rest| rest.split('"').next().unwrap());
        names.map(|name| format!("{kind}:{name}")).collect()
    };
    let (same, fields) = (named("same"), named("v"));
    let called = |name: &str| -> Vec<&str> {
        let all = fields.iter().filter(|field| field.ends_with(name));
        all.map(String::as_str).collect()
    };
    let (joints, rubbers) = (called(".joint"), called(".rubber"));
    assert!(same.len() > 2 && joints.len() == same.len() + 1, "{same:?}");
    // What is looked at on each mount is not taken over.
    let mut fields = vec![(joints[0], "captive"), (rubbers[0], "sound")];
    fields.extend(same.iter().map(|name| (name.as_str(), "yes")));
    device.post("/job/ridge/survey/mounts", &fields).is(303);
    let text = std::fs::read_to_string(bench.path().join("ridge.yaml")).unwrap();
    assert_eq!(
        text.matches("measured: {joint: captive").count() - 1,
        // The remark over them gives it as an example.
        joints.len(),
        "{text}"
    );
    assert_eq!(text.matches("rubber: sound").count(), 1, "{text}");
}

#[test]
fn what_has_to_be_signed_for_is_written_by_nobody_who_may_not() {
    let (bench, served) = ridge();
    let sign = ["sign", "ridge.yaml", "taken-in", "--by", "ash", "--ticks"];
    bench.run(sign).done();
    let job = || std::fs::read(bench.path().join("ridge.yaml")).unwrap();
    let (before, mut device) = (job(), served.device());
    device.sign_in("cedar", None);
    let was = device.get(PAGE).is(200).input("w:filler-hose.overlap");
    let shorter = [
        ("v:filler-hose.overlap", "20 mm"),
        ("w:filler-hose.overlap", was.as_deref().unwrap()),
    ];
    let page = device.post(PAGE, &shorter).is(200);
    page.says("Nothing is written: `cedar` may not sign the record as changed: that takes fitter or supervisor");
    assert_eq!(job(), before);
    // A fitter is asked first whether that is meant.
    device.sign_in("ash", None);
    let page = device.post(PAGE, &shorter).is(200);
    page.says("Work is signed already");
}

#[test]
fn what_holds_a_connection_is_ticked_and_can_be_put_right() {
    let (bench, served) = ridge();
    let mut device = served.device();
    device.sign_in("ash", None);
    let page = "/job/ridge/survey/rear-breather";
    let holds = |names: &[&str]| {
        let text = std::fs::read_to_string(bench.path().join("ridge.yaml")).unwrap();
        let own = text.split("- id: rear-breather").nth(1).unwrap();
        let line = own.lines().find(|line| line.contains("held_by:"));
        names.iter().all(|name| line.unwrap().contains(name))
    };
    assert!(holds(&["none"]));
    for names in [&["chassis", "tub"][..], &["chassis"], &["none"]] {
        let was = device.get(page).is(200);
        let was = was.input("w:rear-breather.held_by").unwrap();
        let ticked = names.iter().map(|name| ("v:rear-breather.held_by", *name));
        let fields: Vec<_> = ticked
            .chain([("w:rear-breather.held_by", was.as_str())])
            .collect();
        device.post(page, &fields).is(303);
        assert!(holds(names), "{names:?}");
    }
}

#[test]
fn a_job_file_with_mistakes_is_no_sheet() {
    let broken = crate::support::commands::demo().replace("spacer: 40 mm", "spacer: sixty");
    let bench = Bench::new().file("ridge.yaml", broken);
    let served = Served::open(&bench);
    let mut device = served.device();
    device.get("/job/ridge/paper/sheet").is(404);
}

#[test]
fn what_nobody_touched_is_not_written_over() {
    let (bench, served) = ridge();
    let (mut one, mut other) = (served.device(), served.device());
    one.sign_in("ash", None);
    other.sign_in("birch", None);
    let page = one.get(PAGE);
    let was = |name: &str| page.input(&format!("w:filler-hose.{name}")).unwrap();
    let (overlap, level) = (was("overlap"), was("level"));
    other
        .post(
            PAGE,
            &[
                ("v:filler-hose.level", "200 mm"),
                ("w:filler-hose.level", &level),
            ],
        )
        .is(303);
    one.post(
        PAGE,
        &[
            ("v:filler-hose.level", &level),
            ("w:filler-hose.level", &level),
            ("v:filler-hose.overlap", "70 mm"),
            ("w:filler-hose.overlap", &overlap),
        ],
    )
    .is(303);
    let text = std::fs::read_to_string(bench.path().join("ridge.yaml")).unwrap();
    assert!(
        text.contains("overlap: 70 mm") && text.contains("level: 200 mm"),
        "{text}"
    );
}

#[test]
fn what_a_lower_lift_would_leave_apart_is_put_together_by_a_tap() {
    let bench = signed_until("jacks-under.cab.left");
    let served = Served::open(&bench);
    let file = bench.path().join("job.yaml");
    let text = std::fs::read_to_string(&file).unwrap();
    std::fs::write(&file, text.replace("spacer: 40 mm", "spacer: 10 mm")).unwrap();
    let mut device = served.device();
    device.sign_in("birch", None);
    let page = device
        .get("/job/job")
        .is(200)
        .says("does not put it together any more");
    // What would be refused is not asked for before that is settled.
    assert!(!page.body.contains("Sign for it as"), "{}", page.body);
    let refused = device
        .post("/job/job/changed", &[("note", "lower blocks")])
        .is(200);
    refused.says("nothing in the plan of now puts back");
    let mut reply = device.post("/job/job/apart", &[]);
    if reply.status == 200 {
        let sure = reply
            .says("Tap the same button once more")
            .input("sure")
            .unwrap();
        reply = device.post("/job/job/apart", &[("sure", &sure)]);
    }
    reply.is(303);
    assert!(
        std::fs::read_to_string(&file)
            .unwrap()
            .contains("apart: yes")
    );
    let page = device
        .get("/job/job")
        .is(200)
        .says("is put together and checked again");
    page.says("Sign for it as");
}
