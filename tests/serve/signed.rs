//! Signatures by the page: through the record's own way, with the PIN where somebody has to look, and on the disk before it is said.

use super::{ridge, two};
use crate::record::whole::signed_until;
use crate::support::http::{Device, Reply, Served};

/// Everything that a task's screen asks for, filled in.
pub(super) fn filled(page: &Reply) -> Vec<(String, String)> {
    let mut fields = vec![("act".to_owned(), "done".to_owned())];
    fields.push(("seen".to_owned(), page.input("seen").unwrap()));
    fields.push(("once".to_owned(), page.input("once").unwrap()));
    for field in page.body.split("name=\"a:").skip(1) {
        let name = field.split('"').next().unwrap();
        let tag = field.split('>').next().unwrap();
        if tag.contains("value=\"no\"") {
            continue;
        }
        let value = if tag.contains("value=\"yes\"") {
            "yes"
        } else if tag.contains("inputmode") {
            "45210"
        } else {
            "none, A-1"
        };
        fields.push((format!("a:{name}"), value.to_owned()));
    }
    fields
}

pub(super) fn send(device: &mut Device, path: &str, fields: &[(String, String)]) -> Reply {
    let fields: Vec<(&str, &str)> = fields
        .iter()
        .map(|(name, value)| (name.as_str(), value.as_str()))
        .collect();
    device.post(path, &fields)
}

#[test]
fn work_is_signed_once_and_outlasts_a_power_cut() {
    let (bench, served) = ridge();
    let (mut one, mut other) = (served.device(), served.device());
    one.sign_in("ash", None);
    other.sign_in("birch", None);
    let page = one.get("/job/ridge/task/1").is(200);
    let fields = filled(&page);
    let same = filled(&other.get("/job/ridge/task/1").is(200));
    send(&mut one, "/job/ridge/task/1", &fields).is(303);
    served.kill();
    let text = std::fs::read_to_string(bench.path().join("ridge.record.jsonl")).unwrap();
    assert_eq!(text.lines().count(), 5, "{text}");
    bench
        .run(["record", "ridge.yaml"])
        .code(1)
        .prints("Ash (invented)");
    let served = Served::open(&bench);
    let mut other = served.device();
    other.sign_in("birch", None);
    let reply = send(&mut other, "/job/ridge/task/1", &same).is(200);
    let reply = reply.says("Ash (invented) has signed it as done meanwhile");
    assert!(reply.body.contains("role=\"alert\""), "{}", reply.body);
    let now = std::fs::read_to_string(bench.path().join("ridge.record.jsonl")).unwrap();
    assert_eq!(now, text);
}

#[test]
fn what_was_not_as_it_must_be_is_written_again_by_the_form() {
    let (_bench, served) = ridge();
    let mut device = served.device();
    device.sign_in("ash", None);
    let fields = filled(&device.get("/job/ridge/task/1").is(200));
    send(&mut device, "/job/ridge/task/1", &fields).is(303);
    let answered = |page: &Reply, followed: &str| {
        let mut fields = filled(page);
        for (name, value) in &mut fields {
            match name.rsplit(':').next().unwrap_or_default() {
                "followed" => followed.clone_into(value),
                "oiled" => "2026-03-02T08:00".clone_into(value),
                name if name.starts_with("gap_before") => "30".clone_into(value),
                _ => {}
            }
        }
        fields
    };
    let page = device.get("/job/ridge/task/2").is(200);
    send(&mut device, "/job/ridge/task/2", &answered(&page, "no")).is(303);
    let page = device.get("/job/ridge/task/2").is(200);
    assert!(!page.body.contains("gap_before"), "{}", page.body);
    send(&mut device, "/job/ridge/task/2", &answered(&page, "yes")).is(303);
    let page = device.get("/job/ridge/task/2").is(200);
    assert!(!page.body.contains("a:follow-every-link"), "{}", page.body);
}

#[test]
fn a_task_that_is_another_one_now_is_not_signed() {
    let (bench, served) = ridge();
    let mut device = served.device();
    device.sign_in("ash", None);
    let mut fields = filled(&device.get("/job/ridge/task/1"));
    fields[1].1 = "0".repeat(64);
    send(&mut device, "/job/ridge/task/1", &fields)
        .is(200)
        .says("another one than was on the screen");
    assert!(!bench.path().join("ridge.record.jsonl").exists());
}

/// What a form of a check says.
fn checked(page: &Reply, pin: &str) -> Vec<(String, String)> {
    let fields = [
        ("act", "checked".to_owned()),
        ("seen", page.input("seen").unwrap()),
        ("once", page.input("once").unwrap()),
        ("pin", pin.to_owned()),
    ];
    fields.map(|(name, value)| (name.to_owned(), value)).into()
}

#[test]
fn a_check_takes_the_pin_and_a_form_counts_once() {
    let (_bench, served) = ridge();
    let (mut here, hazel, alder) = two(&served);
    let mut tablet = served.device();
    tablet.sign_in("t-alder", Some(&alder));
    let fields = filled(&tablet.get("/job/ridge/task/1").is(200));
    send(&mut tablet, "/job/ridge/task/1", &fields).is(303);
    here.get("/job/ridge/check").is(200);
    let page = here.get("/job/ridge/task/1").is(200);
    let check = checked(&page, &hazel);
    send(&mut here, "/job/ridge/task/1", &check[..3])
        .is(200)
        .says("PIN");
    let refused = send(&mut here, "/job/ridge/task/1", &checked(&page, "not this")).is(200);
    assert!(!refused.body.contains("not this"), "{}", refused.body);
    let wrong = "/job/ridge/task/1/wrong";
    let mut refusal = checked(&here.get(wrong).is(200), &hazel);
    "rejected".clone_into(&mut refusal[0].1);
    for (name, value) in [("all", "yes"), ("note", "the wheel centre was not tried")] {
        refusal.push((name.to_owned(), value.to_owned()));
    }
    send(&mut here, wrong, &refusal).is(303);
    here.get("/job/ridge/record")
        .is(200)
        .says("Rejected")
        .says("(pin)");
    // Done once more it is by the form of now, and by that of before no more.
    let again = send(&mut tablet, "/job/ridge/task/1", &fields).is(200);
    again.says("This was signed before, as entry 2; nothing more is signed");
    let fields = filled(&tablet.get("/job/ridge/task/1").is(200));
    send(&mut tablet, "/job/ridge/task/1", &fields).is(303);
    // The screen of before shows other readings than there are now.
    let old = send(&mut here, "/job/ridge/task/1", &check).is(200);
    old.says("another one than was on the screen");
}

#[test]
fn what_is_no_photograph_is_refused_in_words() {
    let (_bench, served) = ridge();
    let mut device = served.device();
    device.sign_in("ash", None);
    let page = device.get("/job/ridge/task/1").is(200);
    let token = page.input("form").unwrap();
    let seen = page.input("seen").unwrap();
    let once = page.input("once").unwrap();
    let part = |name: &str, value: &str| {
        format!("--cut\r\nContent-Disposition: form-data; name=\"{name}\"\r\n\r\n{value}\r\n")
    };
    let mut body = part("form", &token) + &part("seen", &seen);
    body += &(part("once", &once) + &part("act", "done"));
    body += "--cut\r\nContent-Disposition: form-data; name=\"a:taken-in:x\"; filename=\"x.jpg\"\r\nContent-Type: image/jpeg\r\n\r\nno picture\r\n--cut--\r\n";
    device
        .send(
            "POST",
            "/job/ridge/task/1",
            ("multipart/form-data; boundary=cut", &[]),
            body.as_bytes(),
        )
        .is(200)
        .says("It is neither JPEG nor PNG");
}

#[test]
fn one_check_signs_off_all_that_the_sheet_names_beside_it() {
    let (bench, served) = ridge();
    let (mut here, hazel, alder) = two(&served);
    let mut tablet = served.device();
    tablet.sign_in("t-alder", Some(&alder));
    let mut does = |path: &str| {
        let page = tablet.get(path).is(200);
        let mut fields = filled(&page);
        for (name, value) in &mut fields {
            match name.rsplit(':').next().unwrap_or_default() {
                "followed" => "yes".clone_into(value),
                "oiled" => "2026-03-02T08:00".clone_into(value),
                name if name.starts_with("gap_before") => "30".clone_into(value),
                _ => {}
            }
        }
        send(&mut tablet, path, &fields).is(303);
    };
    does("/job/ridge/task/1");
    // As long as not all of it is done, what is done can be checked by itself.
    here.get("/job/ridge/check").is(200).says("/task/1\"");
    does("/job/ridge/task/2");
    let list = here.get("/job/ridge/check").is(200).says("/task/3\"");
    assert!(!list.body.contains("/task/1\"") && !list.body.contains("/task/2\""));
    here.get("/job/ridge/task/2")
        .is(200)
        .says("It is checked with 3");
    let page = here
        .get("/job/ridge/task/3")
        .is(200)
        .says("Sign 3 with 1, 2 as R. Hazel");
    let page = page.says("2. Write down the gap at every mount, mount C1L: gap from bracket");
    let page = page.says("1. Empty and wash the vehicle: done by T. Alder");
    let mut check = checked(&page, &hazel);
    let missing = send(&mut here, "/job/ridge/task/3", &check).is(200);
    missing.says("is not written down for `brackets-and-channels`");
    for (name, value) in filled(&page).into_iter().skip(3) {
        check.push((name, value));
    }
    send(&mut here, "/job/ridge/task/3", &check).is(303);
    bench
        .run(["record", "ridge.yaml", "--next"])
        .prints("down-for-the-work");
    here.get("/job/ridge/task/1")
        .is(200)
        .says("It is signed off.");
}

#[test]
fn what_comes_first_is_said_of_several_numbers() {
    let (_bench, served) = ridge();
    let mut device = served.device();
    device.sign_in("ash", None);
    device.get("/job/ridge/task/2").is(200);
    device
        .get("/job/ridge/task/6")
        .is(200)
        .says("It is not its turn yet: 4, 5 come first.");
    device
        .get("/job/ridge/task/5")
        .is(200)
        .says("It is not its turn yet: 4 comes first.");
}

#[test]
fn what_is_not_answered_is_yes_only_where_that_is_ticked() {
    let bench = signed_until("loosen-all-bolts");
    let served = Served::open(&bench);
    let mut device = served.device();
    device.sign_in("ash", None);
    let path = "/job/job/task/14";
    let page = device
        .get(path)
        .is(200)
        .says("All that is not answered above is yes");
    let name = "a:loosen-all-bolts:loose.C2R";
    let mut fields = filled(&page);
    fields.retain(|(own, _)| !own.contains(":loose.") || own == name);
    fields
        .iter_mut()
        .filter(|(own, _)| own == name)
        .for_each(|(_, value)| "no".clone_into(value));
    let refused = send(&mut device, path, &fields).is(200);
    let refused = refused.says("11 questions are not answered");
    refused.says(&format!("name=\"{name}\" value=\"no\" checked"));
    fields.push(("ticks".to_owned(), "yes".to_owned()));
    send(&mut device, path, &fields).is(303);
    let page = device.get(path).is(200).says("out of limits");
    assert!(
        page.body.contains(name) && !page.body.contains("loose.C1L"),
        "{}",
        page.body
    );
    // A no is not among what nobody answered.
    let mut fields = filled(&page);
    fields.retain(|(own, _)| own != name && own != "ticks");
    fields.push(("ticks".to_owned(), "yes".to_owned()));
    send(&mut device, path, &fields);
    device.get(path).is(200).says("out of limits").says(name);
}

#[test]
fn an_apprentice_signs_the_rows_that_are_for_him_and_is_told_of_the_others() {
    let (bench, served) = ridge();
    let mut device = served.device();
    device.sign_in("cedar", None);
    let page = device
        .get("/job/ridge/task/1")
        .is(200)
        .says("Done, as Cedar (invented)");
    let page = page.says("Road-test the vehicle as found: Ash (invented) or Birch (invented)");
    assert!(!page.body.contains("a:road-test-as-found"), "{}", page.body);
    send(&mut device, "/job/ridge/task/1", &filled(&page)).is(303);
    device
        .get("/job/ridge/work")
        .is(200)
        .says("Ash (invented) or Birch (invented) may do 1");
    bench
        .run(["record", "ridge.yaml", "--next", "ash"])
        .prints("road-test-as-found");
    let mut other = served.device();
    other.sign_in("ash", None);
    let page = other.get("/job/ridge/task/1").is(200);
    assert!(!page.body.contains("a:read-faults"), "{}", page.body);
    send(&mut other, "/job/ridge/task/1", &filled(&page)).is(303);
}

#[test]
fn what_is_to_be_measured_leads_to_the_survey() {
    let job = crate::support::commands::demo().replace("measured: {slack: 42 mm}", "");
    let bench = crate::support::run::Bench::new().file("ridge.yaml", job);
    let served = Served::open(&bench);
    let mut device = served.device();
    device.sign_in("ash", None);
    let page = device
        .get("/job/ridge/task/1")
        .is(200)
        .says("Measure it on the survey");
    page.says("/job/ridge/survey/tail-loom\"");
}

#[test]
fn what_is_signed_later_says_when_it_was_done() {
    let (bench, served) = ridge();
    let mut device = served.device();
    device.sign_in("ash", None);
    let path = "/job/ridge/task/1";
    let page = device.get(path).is(200).says("Not just now?");
    let mut fields = filled(&page);
    fields.push(("when".to_owned(), "2099-03-02T08:30".to_owned()));
    let late = send(&mut device, path, &fields)
        .is(200)
        .says("is still to come");
    assert_eq!(late.input("when").as_deref(), Some("2099-03-02T08:30"));
    "yesterday".clone_into(&mut fields.last_mut().unwrap().1);
    send(&mut device, path, &fields)
        .is(200)
        .says("`yesterday` is no time");
    "2026-03-02T08:30".clone_into(&mut fields.last_mut().unwrap().1);
    send(&mut device, path, &fields).is(303);
    let text = std::fs::read_to_string(bench.path().join("ridge.record.jsonl")).unwrap();
    assert_eq!(
        text.matches("\"at\":\"2026-03-02T08:30:00Z\"").count(),
        4,
        "{text}"
    );
}

/// Each bolt has its own figure on the page, too, and a bolt under threadlocker its word.
#[test]
fn a_retorque_is_written_down_bolt_by_bolt() {
    let bench = signed_until("retorque-first");
    let served = Served::open(&bench);
    let mut device = served.device();
    device.sign_in("ash", None);
    let path = "/job/job/task/95";
    let page = device.get(path).is(200).says("62 N·m to 68 N·m");
    let mut fields = filled(&page);
    for (name, value) in &mut fields {
        match name.rsplit_once(':').map(|(_, name)| name) {
            Some("torque.T2R") => "mark".clone_into(value),
            Some("torque.T3R") => "50".clone_into(value),
            Some(torque) if torque.starts_with("torque.") => "65".clone_into(value),
            Some("turned") => "0".clone_into(value),
            _ => {}
        }
    }
    fields.extend(
        [("wrench", "W7"), ("odometer", "45310")]
            .map(|(name, value)| (name.to_owned(), value.to_owned())),
    );
    send(&mut device, path, &fields).is(303);
    let page = device.get(path).is(200).says("out of limits");
    // What is right is not asked again.
    assert!(
        page.body.contains("torque.T3R")
            && !page.body.contains("name=\"a:retorque-first:torque.T2R\""),
        "{}",
        page.body
    );
    let account = bench.run(["record", "job.yaml"]).code(1).stdout;
    assert!(
        account.contains("not right since: retorque-first"),
        "{account}"
    );
}
